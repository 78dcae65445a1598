//! Requests that carry many values of one step: measured tables and time series from files.

use std::collections::BTreeMap;

use logbook::Moment;
use logbook::events::RowState;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Upload;

/// What holds for the rows of a table that nobody names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum OthersAsked {
    /// Looked at and within the limit.
    Within,
    /// Nobody measured them.
    #[default]
    NotMeasured,
}

/// One row of a measured table, as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct MeasuredRow {
    /// The row, such as facet `R09/F14`.
    pub row: String,
    /// What is said about it.
    #[ts(type = "\"measured\" | \"within\" | \"not_measured\" | \"masked\"")]
    pub state: RowState,
    /// Values in the order of the columns; none unless it was measured.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<String>>")]
    pub typed: Vec<String>,
    /// What was seen.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub note: Option<String>,
}

/// A measured table of the open attempt: from a file, or typed row by row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct TakeSurvey {
    /// The record.
    pub record: String,
    /// The step's id.
    pub step: String,
    /// The file, where the values come from one; its bytes stay with the entry.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub file: Option<Upload>,
    /// The file's name.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub name: Option<String>,
    /// Answers to the questions about the file, by question.
    #[serde(default)]
    #[ts(optional, as = "Option<BTreeMap<String, String>>")]
    pub answers: BTreeMap<String, String>,
    /// Rows typed; none with a file.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<MeasuredRow>>")]
    pub rows: Vec<MeasuredRow>,
    /// What holds for rows that are not named.
    #[serde(default)]
    #[ts(optional, as = "Option<OthersAsked>")]
    pub others: OthersAsked,
    /// Why, or how it was seen.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub others_reason: Option<String>,
    /// The instrument's id.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub instrument: Option<String>,
    /// Claimed time of work; the clock's when left out.
    #[serde(default)]
    #[ts(optional = nullable, type = "string")]
    pub worked_at: Option<Moment>,
    /// Why it is taken again, where the step has a table already.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub reason: Option<String>,
    /// The reason for insisting on a questioned table.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub insist: Option<String>,
}

/// A file of a logger or meter.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct LoggerFile {
    /// Its name.
    pub name: String,
    /// Its bytes.
    pub file: Upload,
    /// The instrument that wrote it.
    pub instrument: String,
    /// The form, `logger` or `meter`; the file's own separators decide when left out.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub form: Option<String>,
    /// Offset of its times from UTC, such as `-04:00`.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub zone: Option<String>,
    /// Whether a time names the `start` or the `end` of its interval.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub label: Option<String>,
    /// Answers to other questions about the file, by question.
    #[serde(default)]
    #[ts(optional, as = "Option<BTreeMap<String, String>>")]
    pub answers: BTreeMap<String, String>,
}

/// Time series of the open attempt, from files of loggers and meters.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct ImportSeries {
    /// The record.
    pub record: String,
    /// The step's id.
    pub step: String,
    /// The files.
    pub files: Vec<LoggerFile>,
    /// Instruments of single channels, where they are others than their file's.
    #[serde(default)]
    #[ts(optional, as = "Option<BTreeMap<String, String>>")]
    pub instruments: BTreeMap<String, String>,
    /// Claimed time of work; the clock's when left out.
    #[serde(default)]
    #[ts(optional = nullable, type = "string")]
    pub worked_at: Option<Moment>,
    /// Why it is imported again, where the step has series already.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub reason: Option<String>,
    /// The reason for insisting on a questioned import.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub insist: Option<String>,
}
