//! Calculation sheets: everything that is needed to redo a calculation by hand.

use serde::{Deserialize, Serialize};

use super::{Fact, Figure};

/// The mark beside a sheet's verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SheetMark {
    /// Solid disc.
    Within,
    /// Ring with a cross.
    Outside,
    /// Dashed ring with a bar.
    NotJudged,
    /// No mark: a computed value without a limit.
    Computed,
}

/// One calculation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// The `id` of the attempt it belongs to; may be empty.
    pub attempt: String,
    /// What stands at the top left, such as "PC-04, leak, attempt 3, step 22".
    pub subject: String,
    /// Name and version of the calculation, such as "pressure decay, version 1".
    pub calculation: String,
    /// Mark beside the verdict.
    pub mark: SheetMark,
    /// The verdict in a few words, such as "Within the limit".
    pub verdict: String,
    /// The reason, one or two sentences.
    pub reason: String,
    /// What was read: each input that a step gave, or should have given.
    pub inputs: Vec<SheetInput>,
    /// What was given beside: figures of design, site and criteria.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub given: Vec<Fact>,
    /// The formula, one line each.
    pub formula: Vec<String>,
    /// Every intermediate.
    pub working: Vec<WorkingLine>,
    /// The budget of doubt; may be empty.
    pub doubt: Vec<DoubtLine>,
    /// Its total, such as "together, k = 2: 0.25 %"; may be empty.
    pub doubt_total: String,
    /// The decision rule.
    pub rule: String,
    /// The limit as printed; may be empty.
    pub limit: String,
    /// Where the limit comes from; may be empty.
    pub limit_source: String,
    /// Range in which the calculation holds.
    pub validity: String,
    /// Sources, one each.
    pub sources: Vec<String>,
    /// Warnings, one each.
    pub flags: Vec<String>,
    /// What the calculation noticed about a place, one each; may be empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<SheetFinding>,
    /// Figures, in order.
    pub figures: Vec<Figure>,
    /// Results that are lists; may be empty. A long one follows on pages of its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tables: Vec<SheetTable>,
    /// Who did and who accepted it, for the foot of the sheet; may be empty.
    pub foot: String,
}

/// An input as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetInput {
    /// What it is, such as "start pressure".
    pub name: String,
    /// As typed; "missing" where it is missing.
    pub value: String,
    /// Instrument and its calibration; may be empty.
    pub instrument: String,
    /// When it was read; may be empty.
    pub at: String,
    /// Entry; may be empty.
    pub entry: String,
}

/// A named intermediate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorkingLine {
    /// Symbol, such as "p₁".
    pub symbol: String,
    /// What it is.
    pub meaning: String,
    /// From what, such as "110.0 bar(g) + 0.862 bar"; may be empty.
    pub formula: String,
    /// Value with enough digits.
    pub value: String,
    /// Unit; may be empty.
    pub unit: String,
    /// Source; may be empty.
    pub source: String,
}

/// A line of the budget of doubt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DoubtLine {
    /// Where the doubt comes from.
    pub source: String,
    /// Its size with unit, such as "0.24 %".
    pub size: String,
    /// Its share or note; may be empty.
    pub share: String,
}

/// What a calculation noticed about a place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetFinding {
    /// The place, such as the rack "R09".
    pub place: String,
    /// What was noticed.
    pub text: String,
}

/// A result that is a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetTable {
    /// Heading, such as "Each facet".
    pub title: String,
    /// What holds for every row, or how to read it; may be empty.
    pub note: String,
    /// Heads of the columns.
    pub columns: Vec<String>,
    /// The rows, each with as many texts as there are columns.
    pub rows: Vec<Vec<String>>,
}
