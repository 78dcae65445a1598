//! Work at the dish: answers, holds, corrections, and what was typed in from paper.

use ledger::{Digest, EntryId};
use quantity::StoredReading;
use serde::{Deserialize, Serialize};

use super::Role;
use crate::Moment;

/// One line of a table that differs from the rest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableRow {
    /// The line, such as joint `G14`.
    pub row: String,
    /// The option chosen for it.
    pub choice: String,
    /// A reading that belongs to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<StoredReading>,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What was answered to one step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Answer {
    /// Done or seen.
    Confirmed {},
    /// A measured value: as typed, beside its exact decimal in the base unit.
    Read {
        /// The value.
        reading: StoredReading,
    },
    /// One option of the step's list.
    Chosen {
        /// Its id.
        option: String,
    },
    /// A photo, attached to the same entry.
    Photographed {
        /// Hash of the picture.
        photo: Digest,
    },
    /// A table by exception: every line of the list has `others` unless named in `rows`.
    Tabulated {
        /// The option that holds for all lines not named.
        others: String,
        /// How many lines the table has, as counted at the dish.
        count: u32,
        /// The lines that differ.
        rows: Vec<TableRow>,
    },
    /// Nothing was measured. It stays missing; it is never zero.
    Missing {
        /// Why.
        reason: String,
    },
    /// The step does not apply here.
    NotApplicable {
        /// Who decided, and why.
        reason: String,
    },
}

/// How an answer came into the logbook.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "how", rename_all = "snake_case", deny_unknown_fields)]
pub enum Origin {
    /// Typed by the performer where the work was done.
    Direct {},
    /// Typed in from a paper form by the person who acts in the entry.
    Transcribed {
        /// Number of the form.
        form: String,
        /// Photo of the page, attached to the same entry.
        page: Digest,
        /// Who did the work, by id. Their confirmation is an entry of its own.
        performer: String,
        /// The role in which they did it.
        performer_role: Role,
    },
}

/// A question that the logbook asked and the person overruled, with the reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Insistence {
    /// Code of the refusal.
    pub code: String,
    /// Why it is right nevertheless.
    pub reason: String,
}

/// A step was answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnswerGiven {
    /// The attempt's number.
    pub attempt: u32,
    /// The step's id.
    pub step: String,
    /// The answer.
    pub answer: Answer,
    /// The instrument's id, where the step asks for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// The role in which the person acts (of a transcription: the role of the one who types).
    pub role: Role,
    /// How it was entered.
    pub origin: Origin,
    /// Questions overruled.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub insisted: Vec<Insistence>,
    /// Claimed time of work.
    pub worked_at: Moment,
}

/// A reading of a clock that runs through suspend and that nobody sets.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClockReading {
    /// The device's start, by an id that changes with every start.
    pub boot: String,
    /// Milliseconds since some moment of that start.
    pub milliseconds: u64,
}

/// A timed wait began.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoldStarted {
    /// The attempt's number.
    pub attempt: u32,
    /// The step's id.
    pub step: String,
    /// The role in which the person acts.
    pub role: Role,
    /// How it was entered.
    pub origin: Origin,
    /// Claimed time of the start.
    pub worked_at: Moment,
    /// The running clock, where the device has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock: Option<ClockReading>,
}

/// A timed wait ended. The one who ends it need not be the one who began it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoldEnded {
    /// The attempt's number.
    pub attempt: u32,
    /// The step's id.
    pub step: String,
    /// The role in which the person acts.
    pub role: Role,
    /// How it was entered.
    pub origin: Origin,
    /// Claimed time of the end.
    pub worked_at: Moment,
    /// The running clock, where the device has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock: Option<ClockReading>,
}

/// An answer was corrected. The original stays and stays visible.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CorrectionMade {
    /// The answer's entry, or the correction's that is corrected again.
    pub corrects: EntryId,
    /// The answer as it should be.
    pub answer: Answer,
    /// The instrument's id, where the step asks for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// Why.
    pub reason: String,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time of the work that is described, not of the correction.
    pub worked_at: Moment,
    /// Questions overruled.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub insisted: Vec<Insistence>,
}

/// The performer read what was typed in from their paper, and confirms it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TranscriptionConfirmed {
    /// The entries confirmed.
    pub entries: Vec<EntryId>,
    /// The role in which the person acts.
    pub role: Role,
}
