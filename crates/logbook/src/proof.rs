//! Proofs: whether a dish has shown what it must, by which record, and what stands in the way.

use ledger::{EntryId, Subject};
use serde::{Deserialize, Serialize};

use crate::document::{AttemptState, Fitted, RecordDoc, SerialFittedThen, Unread};
use crate::events::SourceRevision;
use crate::judge::Verdict;

/// Where a proof stands. Whatever is not `Stands` counts as owed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ProofState {
    /// Not shown.
    Owed,
    /// Work is done and waits for a verdict or a review.
    UnderReview,
    /// Shown, reviewed and accepted.
    Stands,
    /// It stood, and a serial was fitted since the test began. Whether the work bears on the
    /// requirement is not decided here, so it counts as owed.
    Voided,
    /// An entry bears on it that this version can't take into account.
    Withheld,
}

impl ProofState {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Owed => "owed",
            Self::UnderReview => "under review",
            Self::Stands => "stands",
            Self::Voided => "voided",
            Self::Withheld => "withheld",
        }
    }
}

/// The proof of one requirement for one position.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proof {
    /// The requirement.
    pub requirement: String,
    /// Where it stands.
    pub state: ProofState,
    /// Why, most important first; never empty.
    pub reasons: Vec<String>,
    /// The record that decides it.
    pub record: Option<Subject>,
    /// The attempt that decides it.
    pub attempt: Option<u32>,
    /// The first entry that counts: the start of the attempt.
    pub first: Option<EntryId>,
    /// The entry that closes it: the accepting review.
    pub closing: Option<EntryId>,
    /// What was fitted.
    pub serials: Vec<SerialFittedThen>,
    /// The criteria that judged it.
    pub criteria: Option<SourceRevision>,
}

impl Proof {
    /// A requirement for which nothing has been recorded.
    pub fn without_record(requirement: &str) -> Self {
        Self {
            requirement: requirement.to_owned(),
            state: ProofState::Owed,
            reasons: vec!["Nothing has been recorded for it.".into()],
            record: None,
            attempt: None,
            first: None,
            closing: None,
            serials: Vec::new(),
            criteria: None,
        }
    }

    /// The proof that one record gives.
    pub fn of_record(record: &RecordDoc) -> Self {
        let mut proof = Self {
            record: Some(record.record.clone()),
            serials: record.serials.clone(),
            criteria: Some(record.criteria.clone()),
            ..Self::without_record(&record.requirement)
        };
        // Attempts entered in error count for nothing, so the latest of the others decides.
        let deciding = record
            .attempts
            .iter()
            .rev()
            .find(|attempt| attempt.state != AttemptState::EnteredInError);
        let Some(attempt) = deciding else {
            proof.reasons = vec!["No attempt counts yet.".into()];
            return proof;
        };
        proof.attempt = Some(attempt.number);
        proof.serials.clone_from(&attempt.serials);
        proof.first = Some(attempt.started.entry);
        let verdict = attempt.verdict();
        let because = verdict.map(|verdict| verdict.reason.clone());
        let number = attempt.number;
        (proof.state, proof.reasons) = match attempt.state {
            AttemptState::InProgress => {
                (ProofState::Owed, vec![format!("Attempt {number} is in progress.")])
            }
            AttemptState::Interrupted => {
                let why = attempt.interruptions.last().map(|stop| stop.reason.clone());
                (ProofState::Owed, reasons(format!("Attempt {number} was interrupted."), why))
            }
            AttemptState::AwaitingVerdict => (
                ProofState::UnderReview,
                vec![format!("Attempt {number} is done and awaits the verdict.")],
            ),
            AttemptState::NotJudged => {
                (ProofState::Owed, reasons(format!("Attempt {number} is not judged."), because))
            }
            AttemptState::AwaitingReview => match verdict.map(|verdict| verdict.verdict) {
                Some(Verdict::Pass) => (
                    ProofState::UnderReview,
                    vec![format!("Attempt {number} is done and awaits review by another person.")],
                ),
                _ => (ProofState::Owed, reasons(format!("Attempt {number} failed."), because)),
            },
            AttemptState::Rejected => {
                let why = attempt.review().and_then(|review| review.reason.clone());
                (ProofState::Owed, reasons(format!("Attempt {number} was rejected."), why))
            }
            AttemptState::Accepted => {
                proof.closing = attempt.review().map(|review| review.stamp.entry);
                (
                    ProofState::Stands,
                    vec![format!("Attempt {number} was accepted by another person.")],
                )
            }
            AttemptState::EnteredInError => (ProofState::Owed, Vec::new()),
        };
        proof.withhold(record);
        proof
    }

    /// An entry that bears on the record and could not be taken into account closes no proof.
    fn withhold(&mut self, record: &RecordDoc) {
        let Some(unread) = record.unread.first() else { return };
        if matches!(self.state, ProofState::Stands | ProofState::UnderReview) {
            self.state = ProofState::Withheld;
            self.closing = None;
            self.reasons.insert(0, withheld_because(&unread.what, record.unread.len()));
        }
    }
}

/// The sentence for an entry that could not be taken into account.
pub(crate) fn withheld_because(what: &str, count: usize) -> String {
    let more = match count {
        0 | 1 => String::new(),
        more => format!(" ({} more)", more - 1),
    };
    format!("Withheld: an entry bears on this record that was not taken into account{more}: {what}")
}

fn reasons(first: String, second: Option<String>) -> Vec<String> {
    std::iter::once(first).chain(second).collect()
}

/// The proof that all records of one requirement on one position give together. `unread` are the
/// entries about the position itself that could not be taken into account.
pub(crate) fn of_position(
    requirement: &str,
    records: &[RecordDoc],
    fitted: &[Fitted],
    unread: &[Unread],
) -> Proof {
    // The latest record decides, unless it has shown nothing yet and an earlier one stands.
    let mut proofs = records.iter().rev().map(Proof::of_record);
    let Some(latest) = proofs.next() else { return Proof::without_record(requirement) };
    let undecided = |proof: &Proof, record: Option<&RecordDoc>| {
        proof.state == ProofState::Owed
            && !record.is_some_and(|record| {
                record.attempts.iter().any(|attempt| {
                    attempt.verdict().is_some_and(|verdict| verdict.verdict == Verdict::Fail)
                })
            })
    };
    let mut proof = if undecided(&latest, records.last()) {
        proofs.find(|earlier| earlier.state == ProofState::Stands).unwrap_or(latest)
    } else {
        latest
    };
    void(&mut proof, records, fitted);
    if let Some(first) = unread.first()
        && matches!(proof.state, ProofState::Stands | ProofState::UnderReview)
    {
        proof.state = ProofState::Withheld;
        proof.closing = None;
        proof.reasons.insert(0, withheld_because(&first.what, unread.len()));
    }
    proof
}

/// A serial fitted since the test began voids the proof. By its claimed time of work it may have
/// been there before, when it was entered late; that is not decided here either.
fn void(proof: &mut Proof, records: &[RecordDoc], fitted: &[Fitted]) {
    if proof.state != ProofState::Stands {
        return;
    }
    let started = records
        .iter()
        .filter(|record| Some(&record.record) == proof.record.as_ref())
        .find_map(|record| record.attempt(proof.attempt?))
        .map(|attempt| &attempt.started);
    let Some(started) = started else { return };
    let since = fitted.iter().find(|fitted| {
        let by = &fitted.by;
        by.chain != started.chain || by.number > started.number
    });
    let Some(since) = since else { return };
    proof.state = ProofState::Voided;
    proof.closing = None;
    proof.reasons.insert(
        0,
        format!(
            "{} was fitted as {} at {}, entered after the test began; until it is decided whether \
             that bears on it, this counts as owed.",
            since.serial, since.slot, since.from
        ),
    );
}
