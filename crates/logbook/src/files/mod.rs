//! Reading measurement files: bytes to rows, with every line accounted for.
//!
//! Three forms are read: a table of one line a facet ([`facet_table`]), a logger's comma-separated
//! file with rows of names, units and aggregations, and a meter's semicolon-separated file with
//! decimal commas ([`series()`]). Nothing is guessed: where a file can be read two ways, a
//! [`Question`] comes back instead of rows, and its answer goes into the form of the next call.
//! No time zone is made up; the caller states it.
//!
//! The bytes are never changed. A number that is used has the digits of its text and no others;
//! what is no number is missing by its marker, unusable with a reason, or its whole line is
//! rejected with a reason. Used, rejected, blank, header and preamble lines add up to the lines of
//! the file.

mod cell;
mod decimal;
mod facets;
mod heads;
mod lines;
mod order;
mod record;
mod series;
mod shown;
mod stamp;
mod table;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use quantity::Dimension;
use serde::Serialize;

pub use facets::facet_table;
pub use series::series;

/// The largest file that is read, in bytes.
pub const MOST_BYTES: usize = 8 << 20;
/// The most lines of a file that is read.
pub const MOST_LINES: usize = 50_000;
/// The longest line that is read, in bytes.
pub const LONGEST_LINE: usize = 64 << 10;
/// The most fields of a line that is read.
pub const MOST_FIELDS: usize = 512;

/// Answers to earlier questions about the same file: a question's id and the id of the choice.
pub type Answers = BTreeMap<String, String>;

/// A column of a facet table that the checklist asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its id, as `dx`. The head of the column in the file begins with it, as `dx_mm`.
    pub id: String,
    /// What it measures.
    pub dimension: Dimension,
    /// Largest size, in base units, that can occur at all; beyond it a value is unusable.
    pub largest: Option<String>,
}

/// How a facet table is to be read.
#[derive(Debug, Clone, Default)]
pub struct FacetForm {
    /// The columns asked for.
    pub columns: Vec<Column>,
    /// The facets there are; empty when any name is taken.
    pub known: Vec<String>,
    /// Answers to the questions of earlier calls.
    pub answers: Answers,
}

/// A form of series file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Commas between fields, decimal points, rows of names, units and aggregations.
    Logger,
    /// Semicolons between fields, decimal commas, one row of names with units.
    Meter,
}

/// Which end of its interval a stamp names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Label {
    /// The stamp is the beginning of the interval.
    Start,
    /// The stamp is the end of the interval.
    End,
}

/// A channel that the checklist asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Channel {
    /// Its id, as `irradiance`.
    pub id: String,
    /// Its title for people.
    pub title: String,
    /// What it measures; a column is taken by the unit in its head.
    pub dimension: Dimension,
}

/// How a series file is to be read.
#[derive(Debug, Clone, Default)]
pub struct SeriesForm {
    /// The form; without it, the separators of the file decide.
    pub form: Option<Form>,
    /// The offset from UTC of the file's stamps, as `-04:00`. Without it, a question comes back,
    /// unless every stamp carries its own offset.
    pub zone: Option<String>,
    /// What the interval's stamp names. Without it, a question comes back.
    pub label: Option<Label>,
    /// Offsets to offer when the zone has to be asked for, each with words, as
    /// `("-03:00", "local time, UTC−3")`.
    pub zones: Vec<Choice>,
    /// The channels asked for; those the file does not have are left out of the result.
    pub channels: Vec<Channel>,
    /// Answers to the questions of earlier calls.
    pub answers: Answers,
}

/// A question that has to be answered before the file can be used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Question {
    /// Its id, under which the answer is given: `zone`, `label`, `decimal`, `unit:dx` …
    pub id: String,
    /// What it is about.
    pub title: String,
    /// Why it has to be asked.
    pub sentence: String,
    /// The readings that are possible, each shown on a value of the file. For `zone` any other
    /// offset is an answer too.
    pub choices: Vec<Choice>,
}

/// A way to read something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Choice {
    /// What is given back as the answer.
    pub id: String,
    /// What it would mean.
    pub text: String,
}

/// Every line of a file, accounted for: `used + rejected + blank + header + preamble = read`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Lines {
    /// Lines of the file.
    pub read: usize,
    /// Lines whose values are in the result.
    pub used: usize,
    /// Lines that are not, each with its reason.
    pub rejected: Vec<Rejected>,
    /// Empty lines.
    pub blank: usize,
    /// Lines of names, units, aggregations and separators.
    pub header: usize,
    /// Lines before the header.
    pub preamble: usize,
}

/// A line that was not used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Rejected {
    /// Its number, from 1.
    pub line: usize,
    /// Why.
    pub reason: String,
}

/// What stands in a field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "is", rename_all = "snake_case")]
pub enum Cell {
    /// A number.
    Number(Number),
    /// Nothing, or a marker for a missing value.
    Missing {
        /// As it stands in the file.
        typed: String,
    },
    /// Something that can't be used, counted and listed.
    Unusable {
        /// As it stands in the file.
        typed: String,
        /// Why.
        reason: String,
    },
}

/// A number of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Number {
    /// As it stands in the file, as `1.013,2`.
    pub typed: String,
    /// The same digits with a decimal point and without groups, as `1013.2`; with the sign of its
    /// bound before it, as `>550`.
    pub plain: String,
    /// Exact decimal in the base unit.
    pub base: String,
    /// True when it is only a bound.
    pub bound: bool,
}

impl Cell {
    /// The number; none where the field has none or only a bound.
    pub fn exact(&self) -> Option<&Number> {
        match self {
            Self::Number(number) if !number.bound => Some(number),
            _ => None,
        }
    }

    /// The number in plain decimals, or nothing.
    pub fn plain(&self) -> &str {
        match self {
            Self::Number(number) => &number.plain,
            Self::Missing { .. } | Self::Unusable { .. } => "",
        }
    }
}

/// A facet table as read.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct FacetFile {
    /// What has to be answered first; there are no rows as long as it stands.
    pub question: Option<Question>,
    /// Units of the columns asked for, as symbols, in their order.
    pub units: Vec<String>,
    /// The facets that the file names, in the order of the file.
    pub rows: Vec<FacetRow>,
    /// Every line accounted for.
    pub lines: Lines,
    /// What was decided about the file, in words.
    pub decisions: Vec<String>,
    /// Heads of the rows shown.
    pub heads: Vec<String>,
    /// The first rows as understood.
    pub first: Vec<Vec<String>>,
    /// The last rows as understood.
    pub last: Vec<Vec<String>>,
}

/// A line of a facet table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FacetRow {
    /// Its line in the file.
    pub line: usize,
    /// The facet.
    pub facet: String,
    /// The values, in the order of the columns asked for; empty when the facet was not measured.
    pub values: Vec<Number>,
    /// Why there are no values, as the file has it: a marker, or `masked`.
    pub note: Option<String>,
}

/// A series file as read.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SeriesFile {
    /// What has to be answered first; there are no samples as long as it stands.
    pub question: Option<Question>,
    /// The form that was read.
    pub form: Option<Form>,
    /// Offset from UTC as stated, as `-04:00`; none where the stamps carry their own.
    pub zone: Option<String>,
    /// Which end of the interval a stamp names.
    pub label: Option<Label>,
    /// Step of the stamps, as `1 min`.
    pub interval: Option<String>,
    /// The stamps as RFC 3339 with the zone's offset, one a used line.
    pub times: Vec<String>,
    /// The channels that the file has.
    pub channels: Vec<SeriesChannel>,
    /// Every line accounted for.
    pub lines: Lines,
    /// What was decided about the file, in words.
    pub decisions: Vec<String>,
    /// What a person should look at: gaps, stamps that go back, lines that look edited.
    pub warnings: Vec<String>,
    /// Heads of the rows shown.
    pub heads: Vec<String>,
    /// The first rows as understood.
    pub first: Vec<Vec<String>>,
    /// The last rows as understood.
    pub last: Vec<Vec<String>>,
}

/// A channel of a series file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SeriesChannel {
    /// The channel's id in the checklist.
    pub id: String,
    /// The name of its column.
    pub column: String,
    /// Symbol of its unit.
    pub unit: String,
    /// The aggregation that the file states, as `Avg`.
    pub aggregation: Option<String>,
    /// One value a stamp.
    pub values: Vec<Cell>,
    /// How many are missing by marker.
    pub missing: usize,
    /// Those that can't be used, by line.
    pub unusable: Vec<Rejected>,
}
