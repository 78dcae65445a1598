//! Files as they would be read: nothing is entered by looking.

use serde::Serialize;
use ts_rs::TS;

use super::record::OptionView;

/// A table of facets, read and not entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SurveyPreview {
    pub(crate) rows: u32,
    pub(crate) used: u32,
    pub(crate) rejected: Vec<Rejected>,
    pub(crate) decisions: Vec<String>,
    pub(crate) first: Vec<Vec<String>>,
    pub(crate) last: Vec<Vec<String>>,
    pub(crate) question: Option<FileQuestion>,
}

/// Files of loggers and meters, read and not entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SeriesPreview {
    pub(crate) files: Vec<SeriesFilePreview>,
    pub(crate) pictures: Vec<Picture>,
    pub(crate) warnings: Vec<String>,
}

/// One file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SeriesFilePreview {
    pub(crate) name: String,
    pub(crate) form: String,
    pub(crate) rows: u32,
    pub(crate) used: u32,
    pub(crate) rejected: Vec<Rejected>,
    pub(crate) decisions: Vec<String>,
    pub(crate) first: Vec<Vec<String>>,
    pub(crate) last: Vec<Vec<String>>,
    pub(crate) zone: String,
    pub(crate) question: Option<FileQuestion>,
}

/// A line that was not used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Rejected {
    pub(crate) line: u32,
    pub(crate) reason: String,
}

/// What the file does not say and a person must.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FileQuestion {
    pub(crate) title: String,
    pub(crate) sentence: String,
    pub(crate) choices: Vec<OptionView>,
}

/// A picture of what was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Picture {
    pub(crate) title: String,
    pub(crate) svg: String,
}
