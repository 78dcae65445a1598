//! Records and their attempts: opened, started, interrupted, and in which weather.

use ledger::Digest;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Role;
use crate::Moment;

/// One exact revision of an adopted file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceRevision {
    /// The file's id.
    pub id: String,
    /// Its revision label.
    pub revision: String,
    /// SHA-256 of its bytes.
    pub hash: Digest,
}

/// A checklist is filled for one dish. The entry's subject is the record from here on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordOpened {
    /// The dish position.
    pub position: String,
    /// The checklist.
    pub checklist: SourceRevision,
    /// The criteria that judge it.
    pub criteria: SourceRevision,
}

/// An attempt begins. Attempts are numbered from 1 without a gap.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AttemptStarted {
    /// Its number.
    pub attempt: u32,
    /// The first step that is done anew; answers to earlier steps stand from the attempt before.
    pub from_step: String,
    /// Why there is another attempt; needed from the second on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// The role in which the person acts.
    pub role: Role,
    /// People who help, by id; they sign nothing here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assisted_by: Vec<String>,
    /// The site's permit number, if it uses one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permit: Option<String>,
    /// Claimed time of work.
    pub worked_at: Moment,
}

/// The attempt stopped before its end.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AttemptInterrupted {
    /// Its number.
    pub attempt: u32,
    /// Why.
    pub reason: String,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time of the interruption.
    pub worked_at: Moment,
}

/// One weather quantity as observed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Observation {
    /// What, as the checklist's weather window names it, such as `wind-gust`.
    pub quantity: String,
    /// As typed, with unit; or a word such as `none`.
    pub typed: String,
    /// The instrument, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub instrument: Option<String>,
}

/// The weather was noted during an attempt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeatherNoted {
    /// The attempt's number.
    pub attempt: u32,
    /// What was seen.
    pub observations: Vec<Observation>,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time of observation.
    pub worked_at: Moment,
}
