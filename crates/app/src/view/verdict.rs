//! A verdict with its limits, and calculation sheets as the screens show them.

use serde::Serialize;
use ts_rs::TS;

use super::common::Flag;

/// A verdict over all limits of a checklist.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct VerdictView {
    #[ts(type = "\"pass\" | \"fail\" | \"not_judged\"")]
    pub(crate) verdict: &'static str,
    pub(crate) headline: String,
    pub(crate) reason: String,
    pub(crate) limits: Vec<LimitView>,
    pub(crate) sheets: Vec<SheetView>,
    /// True when something that bears on it was entered since: it does not count.
    pub(crate) stale: bool,
}

/// One limit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LimitView {
    pub(crate) title: String,
    pub(crate) value: String,
    pub(crate) found: String,
    #[ts(type = "\"pass\" | \"fail\" | \"not_judged\"")]
    pub(crate) verdict: &'static str,
    pub(crate) reason: String,
    pub(crate) source: String,
}

/// A calculation sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SheetView {
    /// The step that asked for it; empty for a calculation outside a record.
    pub(crate) step: String,
    pub(crate) title: String,
    pub(crate) mark: SheetMark,
    pub(crate) reason: String,
    pub(crate) results: Vec<ResultView>,
    pub(crate) working: Vec<WorkingLine>,
    pub(crate) doubt: Vec<DoubtView>,
    pub(crate) rule: String,
    pub(crate) validity: String,
    pub(crate) sources: Vec<String>,
    pub(crate) flags: Vec<Flag>,
    pub(crate) figure_svg: Option<String>,
    pub(crate) tables: Vec<SheetTable>,
    pub(crate) findings: Vec<SheetFinding>,
}

/// What a sheet says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub(crate) enum SheetMark {
    Within,
    Outside,
    NotJudged,
    Computed,
}

/// A result.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ResultView {
    pub(crate) meaning: String,
    pub(crate) value: String,
    pub(crate) unit: String,
}

/// A step of the working.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct WorkingLine {
    pub(crate) symbol: String,
    pub(crate) meaning: String,
    pub(crate) formula: String,
    pub(crate) value: String,
    pub(crate) unit: String,
    pub(crate) source: String,
}

/// A contribution to the uncertainty.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct DoubtView {
    pub(crate) source: String,
    pub(crate) statement: String,
    pub(crate) contribution: String,
    pub(crate) share: String,
}

/// A result that is a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SheetTable {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) columns: Vec<String>,
    pub(crate) rows: Vec<Vec<String>>,
}

/// What a calculation noticed about a place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SheetFinding {
    pub(crate) code: String,
    pub(crate) place: String,
    pub(crate) sentence: String,
}
