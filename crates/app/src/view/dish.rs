//! One dish: what it has shown, what it owes, what is fitted, what is open, what happened.

use std::collections::BTreeMap;

use ledger::{Entry, Subject};
use logbook::document::{FindingDoc, PositionDoc, RecordDoc};
use logbook::events::PunchCategory;
use report::figure::Cut;
use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, LocksShort, Moment, Proof};
use super::eye::{Eye, count, label};
use super::proofs::owed;
use crate::error::Result;
use crate::words;

/// A dish.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct DishView {
    pub(crate) position: String,
    pub(crate) label: String,
    pub(crate) dish_type: String,
    /// The face, large cut, with its targets.
    pub(crate) face_svg: String,
    /// How many proofs do not stand.
    pub(crate) owes: u32,
    pub(crate) headline: String,
    pub(crate) proofs: Vec<Proof>,
    pub(crate) serials: Vec<Serial>,
    /// Open findings, the gravest first.
    pub(crate) findings: Vec<FindingView>,
    /// What happened, the latest first.
    pub(crate) history: Vec<HistoryItem>,
    pub(crate) locks: LocksShort,
    pub(crate) knowledge: Knowledge,
}

/// A serial that is fitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Serial {
    pub(crate) slot: String,
    pub(crate) serial: String,
    pub(crate) since: String,
}

/// An open finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FindingView {
    pub(crate) finding: String,
    #[ts(type = "\"A\" | \"B\" | \"C\"")]
    pub(crate) category: &'static str,
    pub(crate) text: String,
    pub(crate) place: String,
    pub(crate) raised: String,
}

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct HistoryItem {
    pub(crate) at: Moment,
    pub(crate) text: String,
    pub(crate) record: Option<String>,
}

impl Eye<'_> {
    /// One dish.
    pub(crate) fn dish_view(&self, typed: &str) -> Result<DishView> {
        let dish = self.dish(typed)?;
        let records = self.records(&dish)?;
        let locks = self.locks_short(&dish, &records)?;
        let (shown, face_svg) = self.face(&dish, locks.known, Cut::Large)?;
        let owes = count(owed(&shown));
        let stand = shown.len() - usize::try_from(owes).unwrap_or(0);
        Ok(DishView {
            position: dish.position.clone(),
            label: label(&dish),
            dish_type: dish.dish_type.clone(),
            face_svg,
            owes,
            headline: format!(
                "{}; {}",
                words::count(stand, "proof stands", "proofs stand"),
                words::count(shown.len() - stand, "owed", "owed")
            ),
            proofs: self.proofs(&dish, &records, &shown)?,
            serials: serials(self, &dish),
            findings: self.open_findings(&dish)?,
            history: self.history(&dish, &records)?,
            locks,
            knowledge: self.knowledge()?,
        })
    }

    /// Open findings of a dish, the gravest first.
    fn open_findings(&self, dish: &PositionDoc) -> Result<Vec<FindingView>> {
        let mut open: Vec<FindingDoc> = self.source.findings_of(&dish.position)?;
        open.retain(|finding| finding.closed.is_none());
        open.sort_by_key(|finding| match finding.category {
            PunchCategory::A => 0,
            PunchCategory::B => 1,
            PunchCategory::C => 2,
        });
        Ok(open
            .iter()
            .map(|finding| FindingView {
                finding: finding.finding.to_string(),
                category: match finding.category {
                    PunchCategory::A => "A",
                    PunchCategory::B => "B",
                    PunchCategory::C => "C",
                },
                text: finding.text.clone(),
                place: finding.place.clone().unwrap_or_default(),
                raised: format!(
                    "raised {} by {}",
                    self.when(&finding.worked_at),
                    self.source.name(&finding.raised.person)
                ),
            })
            .collect())
    }

    /// What happened on a dish, the latest first; single answers are left to their records.
    fn history(
        &self,
        dish: &PositionDoc,
        records: &BTreeMap<Subject, RecordDoc>,
    ) -> Result<Vec<HistoryItem>> {
        let happened = self.happened(dish, records)?;
        Ok(happened
            .into_iter()
            .map(|one| HistoryItem {
                at: self.zone.moment(&self.claimed(&one.entry)),
                text: one.text,
                record: one.record,
            })
            .collect())
    }

    /// Entries about a dish, its records and its findings that are worth telling, the latest first.
    pub(crate) fn happened(
        &self,
        dish: &PositionDoc,
        records: &BTreeMap<Subject, RecordDoc>,
    ) -> Result<Vec<Happened>> {
        let mut about: Vec<Subject> = vec![dish.subject.clone()];
        about.extend(records.keys().cloned());
        about.extend(
            self.source.findings_of(&dish.position)?.into_iter().map(|finding| finding.finding),
        );
        let mut list = Vec::new();
        for subject in &about {
            for entry in self.logbook.store.entries_of_subject(&subject.to_string())? {
                let Some(text) = self.told(&entry, records.get(subject)) else { continue };
                let record = records.contains_key(subject).then(|| subject.to_string());
                list.push(Happened { entry, text, record });
            }
        }
        // The order of this chain is the order of work as entered; times are claims.
        list.sort_by_key(|one| {
            std::cmp::Reverse((one.entry.header().number(), self.claimed(&one.entry)))
        });
        Ok(list)
    }
}

/// An entry worth telling.
pub(crate) struct Happened {
    pub(crate) entry: Entry,
    pub(crate) text: String,
    /// The record that it is about, if it is about one.
    pub(crate) record: Option<String>,
}

fn serials(eye: &Eye<'_>, dish: &PositionDoc) -> Vec<Serial> {
    dish.fitted
        .iter()
        .filter(|fitted| fitted.to.is_none())
        .map(|fitted| Serial {
            slot: fitted.slot.clone(),
            serial: fitted.serial.clone(),
            since: eye.zone.day(&fitted.from.at()),
        })
        .collect()
}
