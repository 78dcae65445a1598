//! What comes of an attempt: finished, judged, witnessed, reviewed; findings; reports.

use acceptance::Sheet;
use ledger::{Digest, EntryId, Subject};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{Role, SourceRevision};
use crate::Moment;
use crate::judge::{LimitChecked, Verdict};

/// The performer finished the attempt and signs for it. Finished is not accepted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AttemptFinished {
    /// The attempt's number.
    pub attempt: u32,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time of the end of work.
    pub worked_at: Moment,
}

/// The attempt was entered in error, for instance on the wrong dish. It stays readable.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AttemptWithdrawn {
    /// The attempt's number.
    pub attempt: u32,
    /// Why.
    pub reason: String,
    /// The record where it belongs, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub belongs_to: Option<Subject>,
    /// The role in which the person acts.
    pub role: Role,
}

/// What one calculation step gave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepSheet {
    /// The step's id; empty where an entry of version 1 did not name it.
    pub step: String,
    /// The calculation with its working.
    pub sheet: Sheet,
}

/// The program judged the attempt by the adopted criteria.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VerdictReached {
    /// The attempt's number.
    pub attempt: u32,
    /// Over all limits.
    pub verdict: Verdict,
    /// Why, in a sentence.
    pub reason: String,
    /// The criteria used.
    pub criteria: SourceRevision,
    /// Every limit with what it was compared with.
    pub limits: Vec<LimitChecked>,
    /// Every calculation with its working, in the order of the steps.
    pub sheets: Vec<StepSheet>,
    /// The description of the site that was used, by its entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<EntryId>,
    /// The design of the dish that was used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub design: Option<SourceRevision>,
    /// The entries that the verdict rests on, in chain order.
    pub inputs: Vec<EntryId>,
}

/// Version 1 of [`VerdictReached`]: one calculation at the most, its step not named. Read for
/// ever, written no more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct VerdictReachedV1 {
    attempt: u32,
    verdict: Verdict,
    reason: String,
    criteria: SourceRevision,
    limits: Vec<LimitChecked>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sheet: Option<Sheet>,
    inputs: Vec<EntryId>,
}

impl From<VerdictReachedV1> for VerdictReached {
    fn from(old: VerdictReachedV1) -> Self {
        let sheet = old.sheet.map(|sheet| StepSheet { step: String::new(), sheet });
        Self {
            attempt: old.attempt,
            verdict: old.verdict,
            reason: old.reason,
            criteria: old.criteria,
            limits: old.limits,
            sheets: sheet.into_iter().collect(),
            site: None,
            design: None,
            inputs: old.inputs,
        }
    }
}

/// What came of a witness point.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "outcome", rename_all = "snake_case", deny_unknown_fields)]
pub enum Witnessing {
    /// The witness was there and signs this entry.
    Present {},
    /// Invited with due notice and did not come; signed by the one who invited.
    InvitedAbsent {
        /// Who was invited, by id.
        invited: String,
        /// When the invitation was given.
        invited_at: Moment,
        /// How the invitation can be shown.
        evidence: String,
    },
}

/// A witness point was dealt with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepWitnessed {
    /// The attempt's number.
    pub attempt: u32,
    /// The step's id.
    pub step: String,
    /// What came of it.
    pub witnessing: Witnessing,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time.
    pub worked_at: Moment,
}

/// What the reviewer decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// The record is accepted and proves its requirement.
    Accept,
    /// It is not, for the stated reason.
    Reject,
}

/// Another person than the performer reviewed the attempt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordReviewed {
    /// The attempt's number.
    pub attempt: u32,
    /// The verdict's entry that the reviewer saw.
    pub verdict: EntryId,
    /// Accept or reject.
    pub decision: Decision,
    /// Why; needed for a rejection.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// The role in which the person acts.
    pub role: Role,
}

/// How much an open item blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum PunchCategory {
    /// Unsafe, or prevents the next hold point or test.
    A,
    /// Incomplete or not to drawing, harmless for commissioning; blocks handover.
    B,
    /// Cosmetic, paper or improvement.
    C,
}

/// An open item was raised. The entry's subject is the finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingRaised {
    /// The dish position.
    pub position: String,
    /// What is wrong.
    pub text: String,
    /// Where on the dish, such as joint `G14`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// How much it blocks.
    pub category: PunchCategory,
    /// The record in which it came up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub record: Option<Subject>,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time.
    pub worked_at: Moment,
}

/// An open item was verified as done, by another person than the one who did it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingClosed {
    /// Who did the work, by id.
    pub done_by: String,
    /// What was done.
    pub done: String,
    /// The role in which the verifier acts.
    pub role: Role,
    /// Claimed time of the work.
    pub worked_at: Moment,
}

/// A report left the logbook. The entry's subject is the report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReportIssued {
    /// The dish position.
    pub position: String,
    /// The records it shows.
    pub records: Vec<Subject>,
    /// SHA-256 of the file as issued, before any signature.
    pub file: Digest,
    /// Number of pages.
    pub pages: u32,
    /// Names of the signature fields, in the order of signing.
    pub signatures: Vec<String>,
}

/// A report was signed by an appended update.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReportSigned {
    /// Name of the signature field.
    pub field: String,
    /// SHA-256 of the file that the signature extends.
    pub extends: Digest,
    /// SHA-256 of the signed file.
    pub file: Digest,
    /// The role in which the person signs.
    pub role: Role,
}
