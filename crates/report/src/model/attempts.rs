//! Attempts and their readings, and the people and instruments behind them.

use serde::{Deserialize, Serialize};

use super::Fact;

/// How an attempt ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AttemptOutcome {
    /// Within the limit.
    Pass,
    /// Outside the limit.
    Fail,
    /// Not judged: something needed is missing or does not hold.
    NotJudged,
    /// Given up before the end.
    Interrupted,
    /// Still in hand.
    InProgress,
    /// Nothing to judge: a list of confirmations, for instance.
    Done,
}

/// One attempt at a checklist on the dish.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attempt {
    /// Id within the report, such as "leak-3"; sheets and proofs point to it.
    pub id: String,
    /// Requirement, such as "leak".
    pub requirement: String,
    /// Heading, such as "Leak, attempt 3 of 3".
    pub title: String,
    /// Checklist and revision, such as "P06 revision 1".
    pub checklist: String,
    /// How it ended.
    pub outcome: AttemptOutcome,
    /// Its result in a few words, such as "Within the limit".
    pub result: String,
    /// Why: the reason sentence, also for failed and not judged attempts.
    pub reason: String,
    /// State of the record, such as "accepted" or "not accepted".
    pub state: String,
    /// When the work began, as printed.
    pub started: String,
    /// When it ended, as printed; may be empty.
    pub ended: String,
    /// Who performed it, with the role.
    pub performed_by: String,
    /// Who assisted; may be empty.
    pub assisted_by: String,
    /// Who reviewed it, with the role and the decision; may be empty.
    pub reviewed_by: String,
    /// Who witnessed it, or "invited, did not attend"; may be empty.
    pub witnessed_by: String,
    /// What links it to the one before, such as "after repair of joint G14"; may be empty.
    pub follows: String,
    /// What must be known of it before anything else, such as that it is a record only; may be
    /// empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notice: String,
    /// Every limit with what was found; may be empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<LimitLine>,
    /// Readings and answers in the order of the steps.
    pub readings: Vec<Reading>,
    /// Measured tables and files of loggers and meters, with where their values come from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub taken: Vec<Taken>,
}

/// A limit with what was compared with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitLine {
    /// What it limits.
    pub title: String,
    /// The limit as printed.
    pub value: String,
    /// What was found; may be empty.
    pub found: String,
    /// What came of it: within, outside, or not judged.
    pub outcome: AttemptOutcome,
    /// Why, where it is not within.
    pub reason: String,
    /// Where the limit comes from.
    pub source: String,
}

/// A measured table, or an import of files: where its values come from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Taken {
    /// Step number or name, such as "2.1".
    pub step: String,
    /// What was asked, such as "As found, all facets".
    pub title: String,
    /// Entry.
    pub entry: String,
    /// Counts, files with their hashes, decisions taken while reading, instruments, what it
    /// replaced and why. A line break parts several things under one name.
    pub facts: Vec<Fact>,
}

/// The calibration state of an instrument at the time of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationState {
    /// In date.
    InDate,
    /// Out of date, or a certificate shows it out of tolerance: printed loud.
    OutOfDate,
    /// Not known: printed loud.
    Unknown,
    /// The step needs no instrument.
    NotNeeded,
}

/// One answer to a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Step number or name, such as "6.1".
    pub step: String,
    /// What was asked, such as "Start pressure".
    pub title: String,
    /// The answer as typed, with the unit as typed; "not measured" where it is missing.
    pub as_typed: String,
    /// The value in the base unit; may be empty.
    pub normalised: String,
    /// Instrument id; may be empty.
    pub instrument: String,
    /// Calibration state at the time of work.
    pub calibration: CalibrationState,
    /// The same in words, such as "due 15 Jan 2027"; may be empty.
    pub calibration_text: String,
    /// Who, with the role.
    pub who: String,
    /// Time of work as printed.
    pub worked_at: String,
    /// "direct", "transcribed from paper", "imported".
    pub how: String,
    /// Entry, such as "T1-0371".
    pub entry: String,
    /// Remark, such as "corrects T1-0368"; may be empty.
    pub remark: String,
}

/// A correction, a late entry, or a transcription.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// "correction", "taken again", "late", "transcribed", "moved".
    pub kind: String,
    /// What it is about.
    pub subject: String,
    /// What was there before; may be empty.
    pub before: String,
    /// What stands now; may be empty.
    pub after: String,
    /// Why.
    pub reason: String,
    /// Who and when.
    pub who: String,
    /// Entry.
    pub entry: String,
}

/// An instrument with its certificate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// Instrument id, such as "PG-03".
    pub id: String,
    /// What it is.
    pub description: String,
    /// Accuracy or uncertainty as certified.
    pub accuracy: String,
    /// Certificate number, date and laboratory; may be empty.
    pub certificate: String,
    /// When it falls due.
    pub due: String,
    /// State over all uses in this report.
    pub state: CalibrationState,
    /// The same in words, such as "in date at every use".
    pub state_text: String,
}

/// A person who acted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Opaque id.
    pub id: String,
    /// Name as signed.
    pub name: String,
    /// Role or roles acted in.
    pub role: String,
    /// What the person did here.
    pub did: String,
    /// Qualification state at the time of work.
    pub qualification: String,
}
