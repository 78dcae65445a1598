//! Records of lockouts, which are not locks: which ones are open here, and what they say of the
//! sun. The board at the dish decides, and every caption says so.

use std::collections::BTreeMap;

use ledger::Subject;
use logbook::document::{AttemptState, PositionDoc, RecordDoc};
use logbook::source::Checklist;

use super::common::LocksShort;
use super::eye::{Eye, count};
use crate::error::Result;
use crate::words;

/// The calculation that makes a checklist one of a lockout: the sun over a job under lock.
pub(super) const SUN_WINDOW: &str = "parking-window";

/// What this version leaves to the board at the dish.
pub(crate) const NO_LOCKS_KEPT: &str = "This version keeps records of lockouts, not the locks themselves. The lock board at the dish \
     decides.";

/// A lockout record, with the checklist that it fills.
pub(crate) struct Lockout {
    pub(crate) record: RecordDoc,
    pub(crate) checklist: Checklist,
}

impl Lockout {
    /// True until another person accepted the record, or it was entered in error. A record that
    /// was stopped, failed or rejected may stand for a lock that still hangs.
    pub(crate) fn is_open(&self) -> bool {
        self.record.latest().is_some_and(|attempt| {
            !matches!(attempt.state, AttemptState::Accepted | AttemptState::EnteredInError)
        })
    }
}

impl Eye<'_> {
    /// The lockout records of a dish, in the order opened.
    pub(crate) fn lockouts(
        &self,
        records: &BTreeMap<Subject, RecordDoc>,
        dish: &PositionDoc,
    ) -> Result<Vec<Lockout>> {
        let mut list = Vec::new();
        for short in &dish.records {
            let Some(record) = records.get(&short.record) else { continue };
            let checklist = self.source.checklist_of(record)?;
            if checklist.calculations().any(|(_, calculated)| calculated.name == SUN_WINDOW) {
                list.push(Lockout { record: record.clone(), checklist });
            }
        }
        Ok(list)
    }

    /// Lockout records of a dish that are open here, with what that means.
    pub(crate) fn locks_short(
        &self,
        dish: &PositionDoc,
        records: &BTreeMap<Subject, RecordDoc>,
    ) -> Result<LocksShort> {
        let known =
            self.lockouts(records, dish)?.iter().filter(|lockout| lockout.is_open()).count();
        Ok(LocksShort {
            known: count(known),
            caption: format!(
                "{} known to this tablet as of {}. {NO_LOCKS_KEPT}",
                super::eye::capital(&words::count(
                    known,
                    "open lockout record",
                    "open lockout records"
                )),
                self.moment(&self.source.now).clock
            ),
        })
    }
}
