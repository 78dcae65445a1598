//! Witness points, verdicts, reviews.

use std::collections::BTreeSet;

use super::attempt::attempt_mut;
use super::{Fault, Fold, misplaced};
use crate::document::{AttemptDoc, ReviewDoc, VerdictDoc, WitnessDoc};
use crate::events::{Decision, RecordReviewed, StepWitnessed, VerdictReached, Witnessing};
use crate::judge::Verdict;
use crate::source::Asks;

/// Everyone who did or entered work in an attempt. None of them may review it.
pub(crate) fn performers(attempt: &AttemptDoc) -> BTreeSet<&str> {
    let mut people: BTreeSet<&str> = BTreeSet::new();
    people.insert(&attempt.started.person);
    people.extend(attempt.assisted_by.iter().map(String::as_str));
    people.extend(attempt.finished.iter().map(|stamp| stamp.person.as_str()));
    for (stamp, origin) in attempt.work() {
        people.insert(&stamp.person);
        people.insert(origin.performer(stamp).0);
    }
    for given in attempt.series.values().flat_map(|series| &series.given) {
        people.insert(&given.stamp.person);
    }
    people
}

impl Fold<'_> {
    pub(super) fn step_witnessed(&mut self, event: StepWitnessed) -> Result<(), Fault> {
        self.bound(event.role)?;
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let Some(Asks::Witness(asked)) = checklist.step(&event.step).map(|step| &step.asks) else {
            return misplaced(format!("the checklist has no witness step `{}`", event.step));
        };
        let stamp = self.stamp_as(event.role);
        let attempt = attempt_mut(&mut record, event.attempt)?;
        if matches!(event.witnessing, Witnessing::Present {}) {
            if !asked.roles.contains(&event.role) {
                return misplaced(format!("a {} is no witness here", event.role.title()));
            }
            if performers(attempt).contains(stamp.person.as_str()) {
                return misplaced("the witness took part in the work");
            }
        }
        attempt.witnesses.push(WitnessDoc {
            stamp,
            step: event.step,
            witnessing: event.witnessing,
            worked_at: event.worked_at,
        });
        Ok(self.put_record(&record)?)
    }

    pub(super) fn verdict_reached(&mut self, event: VerdictReached) -> Result<(), Fault> {
        let mut record = self.record()?;
        if event.criteria != record.criteria {
            return misplaced("it judges by other criteria than its record names");
        }
        let mut sheets = event.sheets;
        if sheets.iter().any(|one| one.step.is_empty()) {
            // An entry of version 1 names no step; its checklist has one calculation.
            let checklist = self.checklist_of(&record)?;
            if let Some((step, _)) = checklist.calculations().next() {
                for one in sheets.iter_mut().filter(|one| one.step.is_empty()) {
                    one.step.clone_from(&step.id);
                }
            }
        }
        let stamp = self.stamp.clone();
        let attempt = attempt_mut(&mut record, event.attempt)?;
        if attempt.finished.is_none() {
            return misplaced("the attempt was not finished before it");
        }
        attempt.verdicts.push(VerdictDoc {
            stamp,
            verdict: event.verdict,
            reason: event.reason,
            criteria: event.criteria,
            limits: event.limits,
            sheets,
            site: event.site,
            design: event.design,
            inputs: event.inputs,
            overtaken_by: Vec::new(),
        });
        // A review looks at one verdict; a later verdict needs a review of its own.
        let verdict = self.stamp.entry;
        for review in &mut attempt.reviews {
            review.overtaken_by.push(verdict);
        }
        self.put_settled(record)
    }

    pub(super) fn record_reviewed(&mut self, event: RecordReviewed) -> Result<(), Fault> {
        self.bound(event.role)?;
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        if !checklist.reviewer.roles.contains(&event.role) {
            return misplaced(format!("a {} is no reviewer here", event.role.title()));
        }
        let stamp = self.stamp_as(event.role);
        let attempt = attempt_mut(&mut record, event.attempt)?;
        let Some(verdict) =
            attempt.verdict().filter(|verdict| verdict.stamp.entry == event.verdict)
        else {
            return misplaced("the verdict that it reviews is not the one that counts");
        };
        if event.decision == Decision::Accept && verdict.verdict != Verdict::Pass {
            return misplaced(format!("it accepts a verdict of “{}”", verdict.verdict.words()));
        }
        if performers(attempt).contains(stamp.person.as_str()) {
            return misplaced("the reviewer took part in the work");
        }
        attempt.reviews.push(ReviewDoc {
            stamp,
            verdict: event.verdict,
            decision: event.decision,
            reason: event.reason,
            overtaken_by: Vec::new(),
        });
        self.put_settled(record)
    }
}
