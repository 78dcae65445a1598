//! Instruments with their certificates and people with their papers, as they were at the work.

use std::collections::{BTreeMap, BTreeSet};

use logbook::document::{self, AttemptDoc, InstrumentUse, PositionDoc, RecordDoc};
use logbook::events::{Origin, Witnessing};
use report::model;

use super::source::Source;
use crate::error::Result;

impl Source<'_> {
    /// Instruments used on a dish's records, with the calibration that held.
    pub(super) fn instruments_shown(records: &[RecordDoc]) -> Vec<model::Instrument> {
        let mut uses: BTreeMap<&str, Vec<&InstrumentUse>> = BTreeMap::new();
        for used in records.iter().flat_map(|record| &record.attempts).flat_map(used_in) {
            uses.entry(used.instrument.as_str()).or_default().push(used);
        }
        uses.into_iter().filter_map(|(id, uses)| instrument(id, &uses)).collect()
    }

    /// People who acted, with the state of their papers.
    pub(super) fn people_shown(
        &self,
        dish: &PositionDoc,
        records: &[RecordDoc],
    ) -> Result<Vec<model::Person>> {
        let people = self.people_of(dish)?;
        people.iter().map(|id| self.person_shown(id, &dish.position, records)).collect()
    }

    fn person_shown(
        &self,
        id: &str,
        position: &str,
        records: &[RecordDoc],
    ) -> Result<model::Person> {
        let person = self.person(id)?;
        let mut did = BTreeSet::new();
        let mut day = None;
        let attempts = records
            .iter()
            .flat_map(|record| record.attempts.iter().map(move |attempt| (record, attempt)));
        for (record, attempt) in attempts {
            // One record needs no name.
            let of = match records.len() {
                1 => String::new(),
                _ => format!("{}, ", record.title),
            };
            let mut note = |there: bool, what: &str, stamp: Option<&document::Stamp>| {
                if there {
                    did.insert(format!("{of}{what} attempt {}", attempt.number));
                    day = day.or(stamp.map(|stamp| stamp.claimed.day()));
                }
            };
            let finished = attempt.finished.as_ref().filter(|stamp| stamp.person == id);
            note(finished.is_some(), "performed", finished);
            note(attempt.assisted_by.iter().any(|one| one == id), "assisted in", None);
            for witness in attempt.witnesses.iter().filter(|w| w.stamp.person == id) {
                let there = matches!(witness.witnessing, Witnessing::Present {});
                note(there, "witnessed", Some(&witness.stamp));
            }
            for review in attempt.reviews.iter().filter(|review| review.stamp.person == id) {
                note(true, "reviewed", Some(&review.stamp));
            }
            let typed_in = attempt.work().any(|(stamp, origin)| {
                stamp.person == id && matches!(origin, Origin::Transcribed { .. })
            });
            note(typed_in, "typed in paper of", None);
            let opened = attempt.number == 1 && record.opened.person == id;
            note(opened && finished.is_none(), "opened", Some(&record.opened));
        }
        for finding in self.findings_of(position)? {
            let mut note = |there: bool, what: &str| {
                if there {
                    did.insert(format!("{what} an open item"));
                }
            };
            note(finding.raised.person == id, "raised");
            note(finding.done.as_ref().is_some_and(|(by, _)| by == id), "settled");
            let verified = finding.closed.as_ref().is_some_and(|closed| closed.person == id);
            note(verified, "verified");
        }
        let day = day.unwrap_or_else(|| person.enrolled.claimed.day());
        let papers: Vec<String> = person
            .papers
            .iter()
            .map(|paper| {
                let until = paper.expires.map_or("without end".to_owned(), |expires| {
                    let state = if expires < day { "EXPIRED" } else { "good" };
                    format!("to {} ({state} at the work)", expires.format("%-d %b %Y"))
                });
                format!("{} {}, {until}", paper.kind.replace('-', " "), paper.number)
            })
            .collect();
        Ok(model::Person {
            id: id.to_owned(),
            name: person.name.clone(),
            role: person.roles.iter().map(|held| held.role.title()).collect::<Vec<_>>().join(", "),
            did: match did.is_empty() {
                true => "entered parts of the records".to_owned(),
                false => did.into_iter().collect::<Vec<_>>().join("; "),
            },
            qualification: papers.join("; "),
        })
    }
}

/// Every use of an instrument in an attempt: for answers, measured tables and each channel of an
/// import.
fn used_in(attempt: &AttemptDoc) -> impl Iterator<Item = &InstrumentUse> {
    let answers = attempt.answers.values().flat_map(|answer| &answer.given);
    let surveys = attempt.surveys.values().flat_map(|survey| &survey.given);
    let series = attempt.series.values().flat_map(|series| &series.given);
    answers
        .filter_map(|given| given.instrument.as_ref())
        .chain(surveys.filter_map(|given| given.instrument.as_ref()))
        .chain(series.flat_map(|given| given.instruments.values()))
}

fn instrument(id: &str, uses: &[&InstrumentUse]) -> Option<model::Instrument> {
    let last = uses.last()?;
    let overdue = uses.iter().filter(|used| !used.state.counts()).count();
    let calibrated = last.calibration.as_ref();
    let accuracy: Vec<String> = calibrated
        .map(|c| c.components.iter().map(|part| format!("{} ±{}", part.name, part.value)).collect())
        .unwrap_or_default();
    Some(model::Instrument {
        id: id.to_owned(),
        description: format!("{}; maker's number {}", last.description, last.maker_serial),
        accuracy: match accuracy.is_empty() {
            true => format!("shows {}", last.resolution),
            false => format!("{}; shows {}", accuracy.join(", "), last.resolution),
        },
        certificate: calibrated
            .map(|c| {
                format!(
                    "{} of {}, {}",
                    c.certificate,
                    c.calibrated.format("%-d %b %Y"),
                    c.laboratory
                )
            })
            .unwrap_or_default(),
        due: calibrated.map(|c| c.due.format("%-d %b %Y").to_string()).unwrap_or_default(),
        state: calibration(uses.iter().find(|used| !used.state.counts()).unwrap_or(last)),
        state_text: match overdue {
            0 => "in date at every use".to_owned(),
            out => format!("NOT IN DATE at {out} of {} uses", uses.len()),
        },
    })
}

pub(super) fn calibration(used: &InstrumentUse) -> model::CalibrationState {
    match used.state {
        document::CalibrationState::InDate { .. } | document::CalibrationState::DueSoon { .. } => {
            model::CalibrationState::InDate
        }
        document::CalibrationState::Overdue { .. } => model::CalibrationState::OutOfDate,
        document::CalibrationState::NoneKnown | document::CalibrationState::NotRegistered => {
            model::CalibrationState::Unknown
        }
    }
}
