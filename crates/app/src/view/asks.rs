//! What each step asks for, as the screens offer it: units, instruments with their calibration,
//! options, lines to go through.

use logbook::Surroundings;
use logbook::document::{InstrumentDoc, RecordDoc};
use logbook::source::{Asks, Checklist, Criteria, ReadingAsked, Step, StepOption};
use quantity::{Dimension, Field};

use super::eye::{Eye, count};
use super::record::{Ask, Channel, Column, InstrumentChoice, OptionView};
use crate::error::Result;

/// A record with everything that its steps refer to.
pub(crate) struct Filled<'r> {
    pub(crate) record: &'r RecordDoc,
    pub(crate) checklist: &'r Checklist,
    pub(crate) criteria: &'r Criteria,
    pub(crate) around: &'r Surroundings,
    /// Every instrument of the site.
    pub(crate) instruments: &'r [InstrumentDoc],
}

impl Eye<'_> {
    /// Every instrument of the site, in the order of their ids.
    pub(crate) fn instruments(&self) -> Result<Vec<InstrumentDoc>> {
        let mut list: Vec<InstrumentDoc> = Vec::new();
        for key in self.source.shelf.keys("instrument/")? {
            list.extend(self.source.document::<InstrumentDoc>(&key)?);
        }
        Ok(list)
    }

    /// What a step asks for.
    pub(crate) fn ask(&self, filled: &Filled<'_>, step: &Step) -> Ask {
        let options = |list: &[StepOption]| -> Vec<OptionView> {
            list.iter()
                .map(|one| OptionView { id: one.id.clone(), text: one.text.clone() })
                .collect()
        };
        match &step.asks {
            Asks::Confirm(_) => Ask::Confirm {},
            Asks::Reading(asked) => Ask::Reading {
                quantity: asked.quantity.name().to_owned(),
                unit: asked.unit.clone(),
                units: units(asked),
                instrument_role: asked.instrument.clone(),
                instruments: self.choices(filled, asked.instrument.as_deref()),
            },
            Asks::Choice(asked) => Ask::Choice { options: options(&asked.options) },
            Asks::Photo(asked) => Ask::Photo { shows: asked.shows.clone() },
            Asks::Hold(asked) => Ask::Hold {
                at_least: limit_value(filled.criteria, &asked.at_least),
                at_least_seconds: limit_seconds(filled.criteria, &asked.at_least),
            },
            Asks::Table(asked) => Ask::Table {
                rows: filled.record.lists.get(&asked.list).cloned().unwrap_or_default(),
                options: options(&asked.options),
                good: asked.good.clone(),
                instruments: self.choices(filled, asked.instrument.as_deref()),
            },
            Asks::Survey(asked) => Ask::Survey {
                columns: asked
                    .columns
                    .iter()
                    .map(|column| Column {
                        id: column.id.clone(),
                        title: column.title.clone(),
                        unit: column.unit.clone(),
                    })
                    .collect(),
                rows: filled
                    .around
                    .lines(filled.record, asked)
                    .map_or(0, |lines| count(lines.len())),
                instrument_role: asked.instrument.clone(),
                instruments: self.choices(filled, asked.instrument.as_deref()),
            },
            Asks::Series(asked) => Ask::Series {
                channels: asked
                    .channels
                    .iter()
                    .map(|channel| Channel {
                        id: channel.id.clone(),
                        title: channel.title.clone(),
                        unit: channel.unit.clone(),
                        instruments: self.choices(filled, channel.instrument.as_deref()),
                    })
                    .collect(),
            },
            Asks::Calculation(asked) => Ask::Calculation {
                name: asked.name.clone(),
                title: acceptance::calculation(&asked.name)
                    .map_or_else(|| asked.name.clone(), |known| known.title().to_owned()),
            },
            Asks::Witness(asked) => Ask::Witness {
                roles: asked.roles.iter().map(|role| role.title().to_owned()).collect(),
            },
            Asks::Signature(_) => Ask::Signature {},
        }
    }

    /// The site's instruments that can play a part, those in date first.
    fn choices(&self, filled: &Filled<'_>, part: Option<&str>) -> Vec<InstrumentChoice> {
        let Some(part) = part else { return Vec::new() };
        let wanted = filled.checklist.instruments.iter().find(|one| one.role == part);
        let today = self.source.now.day();
        let warn = i64::from(filled.checklist.recording.calibration_warning_days);
        let fits = |one: &&InstrumentDoc| wanted.is_none_or(|wanted| wanted.kind == one.kind);
        let mut list: Vec<InstrumentChoice> = filled
            .instruments
            .iter()
            .filter(fits)
            .map(|one| {
                let state = one.state_on(today, warn);
                InstrumentChoice {
                    instrument: one.instrument.clone(),
                    description: one.description.clone(),
                    unit: one.unit.clone(),
                    calibration: state.words(),
                    overdue: !state.counts(),
                }
            })
            .collect();
        list.sort_by_key(|choice| choice.overdue);
        list
    }
}

/// The units of a reading, the step's own first.
fn units(asked: &ReadingAsked) -> Vec<String> {
    let mut list = vec![asked.unit.clone()];
    for unit in quantity::units_of(asked.quantity) {
        if !list.iter().any(|known| known == unit.symbol()) {
            list.push(unit.symbol().to_owned());
        }
    }
    list
}

/// The value of a limit as written.
pub(crate) fn limit_value(criteria: &Criteria, id: &str) -> String {
    criteria.limit(id).map(|limit| limit.value.clone()).unwrap_or_default()
}

/// The value of a limit of time; 0 where there is none.
pub(crate) fn limit_seconds(criteria: &Criteria, id: &str) -> u32 {
    criteria
        .limit(id)
        .and_then(|limit| quantity::parse(&limit.value, &Field::of(Dimension::Duration)).ok())
        .and_then(|span| span.base().ceil().to_string().parse().ok())
        .unwrap_or(0)
}
