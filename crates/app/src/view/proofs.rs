//! The proofs of a dish as the screens list them: in the order of the ring, each with what can be
//! done about it now.

use std::collections::BTreeMap;

use ledger::Subject;
use logbook::Key;
use logbook::document::{AdoptedDoc, AttemptState, PositionDoc, RecordDoc};
use logbook::source::Checklist;
use report::model;

use super::common::{Proof, ProofState};
use super::eye::Eye;
use crate::error::Result;

impl Eye<'_> {
    /// Every required proof of a dish. `shown` are the same proofs as the face has them.
    pub(crate) fn proofs(
        &self,
        dish: &PositionDoc,
        records: &BTreeMap<Subject, RecordDoc>,
        shown: &[model::Proof],
    ) -> Result<Vec<Proof>> {
        shown.iter().map(|proof| self.proof(dish, records, proof)).collect()
    }

    fn proof(
        &self,
        dish: &PositionDoc,
        records: &BTreeMap<Subject, RecordDoc>,
        shown: &model::Proof,
    ) -> Result<Proof> {
        let requirement = shown.requirement.as_str();
        let known = dish.proof(requirement);
        let latest = dish.records.iter().rev().find(|record| record.requirement == requirement);
        let record = known.record.as_ref().or(latest.map(|record| &record.record));
        let state = ProofState::from(shown.state);
        let adopted = self
            .site
            .checklists
            .iter()
            .find(|(_, adopted)| adopted.proves.as_deref() == Some(requirement));
        let checklist = adopted.map(|(id, _)| id.clone());
        let criteria = match adopted {
            Some((id, adopted)) => self.criteria_named_by(id, &adopted.revision)?,
            None => None,
        };
        let at_work = record.and_then(|record| records.get(record));
        Ok(Proof {
            requirement: requirement.to_owned(),
            title: self.short(requirement).to_owned(),
            state,
            word: shown.state.word().to_owned(),
            reason: known.reasons.join(" "),
            record: record.map(ToString::to_string),
            verb: verb(state, at_work, checklist.is_some()).map(str::to_owned),
            checklist,
            criteria,
        })
    }

    /// The criteria that an adopted checklist names as those it is judged by.
    fn criteria_named_by(&self, id: &str, revision: &str) -> Result<Option<String>> {
        let key = Key::checklist(id, revision);
        let read: Option<AdoptedDoc<Checklist>> = self.source.document(&key)?;
        Ok(read.map(|adopted| adopted.read.criteria))
    }
}

/// What can be done about a proof now.
fn verb(state: ProofState, record: Option<&RecordDoc>, startable: bool) -> Option<&'static str> {
    if matches!(state, ProofState::Stands | ProofState::NotRequired) {
        return None;
    }
    let Some(record) = record else { return startable.then_some("Start") };
    match record.latest().map(|attempt| attempt.state) {
        Some(AttemptState::AwaitingReview) => Some("Review"),
        Some(_) => Some("Go on"),
        None => Some("Start"),
    }
}

impl From<model::ProofState> for ProofState {
    fn from(state: model::ProofState) -> Self {
        match state {
            model::ProofState::Stands => Self::Stands,
            model::ProofState::UnderReview => Self::UnderReview,
            model::ProofState::Voided => Self::Voided,
            model::ProofState::Lapsed => Self::Lapsed,
            model::ProofState::Undecided => Self::Undecided,
            model::ProofState::Owed => Self::Owed,
            model::ProofState::OwedWaiting => Self::OwedWaiting,
            model::ProofState::NotRequired => Self::NotRequired,
        }
    }
}

/// How many proofs a dish owes: all that do not stand and are required.
pub(crate) fn owed(shown: &[model::Proof]) -> usize {
    shown
        .iter()
        .filter(|proof| {
            !matches!(proof.state, model::ProofState::Stands | model::ProofState::NotRequired)
        })
        .count()
}
