//! What stands behind the report: the entries it carries, and the age of the knowledge.

use std::collections::BTreeSet;

use ledger::{Entry, Subject, archive, kinds};
use logbook::Key;
use logbook::document::{PositionDoc, StatusDoc};
use report::model;

use super::source::Source;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;

/// The entries that travel with a report.
pub(super) struct Carried {
    /// As an archive.
    pub(super) bytes: Vec<u8>,
    /// How many.
    pub(super) entries: u64,
    /// How many of them come without their payload.
    pub(super) bare: u64,
}

/// Kinds whose payloads always travel: they say who may sign, what was adopted, and what verdicts
/// rest on beside the readings.
const ALWAYS: [&str; 10] = [
    kinds::FOUND,
    kinds::ADMIT,
    "checklist_adopted",
    "criteria_adopted",
    "retest_rules_adopted",
    "dish_design_adopted",
    "site_described",
    "person_certified",
    "instrument_registered",
    "instrument_calibrated",
];

impl Logbook {
    /// Every entry of the chain, so that it verifies link by link. Entries about other dishes
    /// travel as headers alone: their hashes hold the chain together and say nothing else.
    pub(super) fn evidence(&self, dish: &PositionDoc, source: &Source<'_>) -> Result<Carried> {
        let mut about: BTreeSet<Subject> =
            dish.records.iter().map(|record| record.record.clone()).collect();
        about.insert(dish.subject.clone());
        about
            .extend(source.findings_of(&dish.position)?.into_iter().map(|finding| finding.finding));
        let people: BTreeSet<String> = source.people_of(dish)?;
        for person in &people {
            about.insert(self.subject_of(&self.person(person)?.enrolled.entry)?);
        }
        let (mut bytes, mut entries, mut bare) = (Vec::new(), 0, 0);
        let mut fault = None;
        self.store.for_each_entry(&mut |entry| {
            let full =
                ALWAYS.contains(&entry.header().kind()) || about.contains(entry.header().subject());
            entries += 1;
            bare += u64::from(!full);
            if let Err(cause) = write(&mut bytes, entry, full) {
                fault.get_or_insert(cause);
            }
            Ok(())
        })?;
        match fault {
            Some(cause) => Err(cause),
            None => Ok(Carried { bytes, entries, bare }),
        }
    }
}

impl Source<'_> {
    /// People who acted on a dish's records or its open items, by id.
    pub(super) fn people_of(&self, dish: &PositionDoc) -> Result<BTreeSet<String>> {
        let mut people = BTreeSet::new();
        for record in &dish.records {
            let document = self.record(&record.record)?;
            for id in self.acted(&document) {
                people.insert(id);
            }
        }
        for finding in self.findings_of(&dish.position)? {
            people.insert(finding.raised.person);
            people.extend(finding.closed.map(|closed| closed.person));
            people.extend(finding.done.map(|(by, _)| by));
        }
        people.retain(|id| !id.is_empty());
        Ok(people)
    }

    pub(super) fn evidence_shown(&self, carried: &Carried) -> Result<model::Evidence> {
        let installation = self.site_document()?.installation;
        let status: StatusDoc = self.document(&Key::status())?.unwrap_or_default();
        let heads = status
            .chains
            .iter()
            .map(|(chain, heard)| model::ChainHead {
                installation: installation.clone(),
                chain: chain.to_string(),
                number: heard.number,
                id: heard.entry.to_string(),
            })
            .collect();
        let bare = match carried.bare {
            0 => String::new(),
            one => format!(" {one} of them, about other things, travel as headers alone."),
        };
        Ok(model::Evidence {
            entries: carried.entries,
            heads,
            note: format!(
                "Photos and other attached files stay in the site's logbook; the entries name each \
                 by its hash.{bare}"
            ),
        })
    }
}

fn write(bytes: &mut Vec<u8>, entry: &Entry, full: bool) -> Result<()> {
    let failed = |cause: &dyn std::fmt::Display| AppError::internal("Collecting entries", cause);
    if full {
        return archive::write_line(bytes, entry).map_err(|e| failed(&e));
    }
    let bare = Entry::from_stored(entry.header_bytes(), None, entry.signature());
    let bare = bare.map_err(|e| failed(&e))?;
    archive::write_line(bytes, &bare).map_err(|e| failed(&e))
}
