//! Measured tables and time series: many values of one step, typed in or read from files.

use std::fmt;

use ledger::{Digest, EntryId};
use quantity::Dimension;
use serde::{Deserialize, Serialize};

use super::{Insistence, Origin, Role};
use crate::Moment;

/// A line of a file that was not used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineRejected {
    /// Its number, from 1.
    pub line: u32,
    /// Why.
    pub reason: String,
}

/// What became of the lines of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LinesRead {
    /// All lines.
    pub read: u32,
    /// Lines whose values are used.
    pub used: u32,
    /// Lines that are not, each with the reason.
    pub rejected: Vec<LineRejected>,
    /// Blank lines.
    pub blank: u32,
    /// Lines of the head.
    pub header: u32,
}

/// Where a table comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "how", rename_all = "snake_case", deny_unknown_fields)]
pub enum SurveySource {
    /// Typed in, cell by cell.
    Typed {},
    /// Read from a file that is attached to the same entry.
    File {
        /// SHA-256 of the file.
        file: Digest,
        /// Its name, as it came.
        name: String,
        /// The form in which it was read.
        form: String,
        /// How it was read where it could be read in more than one way.
        decisions: Vec<String>,
        /// What became of its lines.
        lines: LinesRead,
    },
}

/// A column of a table, with the unit in which its values are written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyColumn {
    /// The column's id in the checklist.
    pub id: String,
    /// What it measures.
    pub dimension: Dimension,
    /// The unit meant where a value has none of its own.
    pub unit: String,
}

/// What is said about one row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RowState {
    /// It has its values.
    Measured,
    /// Looked at and within the limit, without values.
    Within,
    /// Nobody measured it.
    NotMeasured,
    /// Covered or taken out, so that there is nothing to measure.
    Masked,
}

impl RowState {
    /// The name in entries and calculations.
    pub fn name(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Within => "within",
            Self::NotMeasured => "not_measured",
            Self::Masked => "masked",
        }
    }
}

impl fmt::Display for RowState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Measured => "measured",
            Self::Within => "within the limit",
            Self::NotMeasured => "not measured",
            Self::Masked => "masked",
        })
    }
}

/// What holds for every row of the list that the table does not name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "state", rename_all = "snake_case", deny_unknown_fields)]
pub enum OtherRows {
    /// All of them were looked at and are within the limit.
    Within {
        /// How that was seen.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reason: Option<String>,
    },
    /// Nobody measured them.
    NotMeasured {
        /// Why; needed when there are any.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reason: Option<String>,
    },
}

impl OtherRows {
    /// The state of each of them.
    pub fn state(&self) -> RowState {
        match self {
            Self::Within { .. } => RowState::Within,
            Self::NotMeasured { .. } => RowState::NotMeasured,
        }
    }

    /// Why, where it is said.
    pub fn reason(&self) -> Option<&str> {
        match self {
            Self::Within { reason } | Self::NotMeasured { reason } => reason.as_deref(),
        }
    }
}

/// One row of a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyRow {
    /// The row, such as facet `R09/F14`.
    pub row: String,
    /// What is said about it.
    pub state: RowState,
    /// The values as typed, in the order of the columns; none unless it was measured.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub typed: Vec<String>,
    /// The same values as exact decimals in the base unit of their column.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub base: Vec<String>,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A table was measured, row by row of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyTaken {
    /// The attempt's number.
    pub attempt: u32,
    /// The step's id.
    pub step: String,
    /// The role in which the person acts (of a transcription: the role of the one who types).
    pub role: Role,
    /// How it was entered.
    pub origin: Origin,
    /// Claimed time of work.
    pub worked_at: Moment,
    /// The instrument's id, where the step asks for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// The entry that this table replaces: the one that counted for the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<EntryId>,
    /// Why it was taken again; needed with `replaces`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Questions overruled.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub insisted: Vec<Insistence>,
    /// Where the values come from.
    pub source: SurveySource,
    /// The columns, in the order of the values.
    pub columns: Vec<SurveyColumn>,
    /// What holds for rows that are not named.
    pub others: OtherRows,
    /// The rows, in any order, each once.
    pub rows: Vec<SurveyRow>,
}

/// Whether a time stands at the start or at the end of the interval that its value covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum IntervalLabel {
    /// At its start.
    Start,
    /// At its end.
    End,
}

impl IntervalLabel {
    /// The name in entries and calculations.
    pub fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::End => "end",
        }
    }
}

/// A file of a logger or meter, attached to the same entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeriesFile {
    /// SHA-256 of the file.
    pub file: Digest,
    /// Its name, as it came.
    pub name: String,
    /// The form in which it was read.
    pub form: String,
    /// The instrument that wrote it, by id.
    pub instrument: String,
    /// The offset from UTC in which its times stand, such as `-04:00`.
    pub zone: String,
    /// Where in its interval a time stands.
    pub label: IntervalLabel,
    /// The length of an interval, with unit.
    pub interval: String,
    /// How it was read where it could be read in more than one way.
    pub decisions: Vec<String>,
    /// What became of its lines.
    pub lines: LinesRead,
}

/// One channel of a series.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeriesChannel {
    /// The channel's id in the checklist.
    pub id: String,
    /// The unit of every value.
    pub unit: String,
    /// What it measures.
    pub dimension: Dimension,
    /// The place of its file in the list, from 0.
    pub file: u32,
    /// The instrument's id, where it is another than the file's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// The times, rising.
    pub times: Vec<Moment>,
    /// A value for each time, as it stands in the file; empty where there is none.
    pub typed: Vec<String>,
}

/// Time series were read from files.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeriesImported {
    /// The attempt's number.
    pub attempt: u32,
    /// The step's id.
    pub step: String,
    /// The role in which the person acts.
    pub role: Role,
    /// Claimed time of work.
    pub worked_at: Moment,
    /// The entry that this import replaces: the one that counted for the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<EntryId>,
    /// Why it was imported again; needed with `replaces`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Questions overruled.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub insisted: Vec<Insistence>,
    /// The files.
    pub files: Vec<SeriesFile>,
    /// The channels.
    pub channels: Vec<SeriesChannel>,
}

impl SeriesImported {
    /// The instrument that measured a channel: its own, otherwise that of its file.
    pub fn instrument_of<'s>(&'s self, channel: &'s SeriesChannel) -> Option<&'s str> {
        let file = || self.files.get(usize::try_from(channel.file).ok()?);
        channel.instrument.as_deref().or_else(|| Some(file()?.instrument.as_str()))
    }
}
