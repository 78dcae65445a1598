//! The result of every calculation: strings and whole numbers only, ready for paper and for the
//! ledger's canonical form.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::Calculation;
use crate::form::Form;

/// What a calculation says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Accepted under the decision rule.
    Pass,
    /// Not accepted under the decision rule.
    Fail,
    /// Nothing can be said; the reason says why. Distinct from failed.
    NotJudged,
    /// A calculation without a limit: there is nothing to judge.
    Computed,
}

/// The whole calculation sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// Name of the calculation.
    pub calculation: String,
    /// Version of the calculation; a change of any result raises it.
    pub version: u32,
    /// Title for people.
    pub title: String,
    /// What it says.
    pub verdict: Verdict,
    /// The verdict in one sentence or a few, with its numbers.
    pub reason: String,
    /// The inputs as typed.
    pub inputs: Vec<InputShown>,
    /// Inputs that were not given and are needed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<Missing>,
    /// The results.
    pub results: Vec<Outcome>,
    /// Every step, in order.
    pub working: Vec<Line>,
    /// The uncertainty budget of the judged result.
    pub doubt: Vec<DoubtLine>,
    /// The combined uncertainty of the judged result.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub combined: Option<Combined>,
    /// The decision rule with its limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule: Option<RuleShown>,
    /// Where the calculation holds.
    pub validity: String,
    /// What it rests on.
    pub sources: Vec<String>,
    /// What a reader should be warned of.
    pub flags: Vec<Flag>,
    /// Data of the figure, if the calculation has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub figure: Option<Figure>,
    /// Results that are lists: a row per facet, per rack, per interval.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tables: Vec<Table>,
    /// What the calculation noticed about a place and that somebody has to look at.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Finding>,
}

impl Sheet {
    /// A sheet with the inputs read so far and nothing calculated, not judged.
    pub(crate) fn blank(calculation: &Calculation, form: Form) -> Self {
        let reason = form.missing_sentence();
        Self {
            calculation: calculation.name().to_owned(),
            version: calculation.version(),
            title: calculation.title().to_owned(),
            verdict: Verdict::NotJudged,
            reason,
            inputs: form.inputs,
            missing: form.missing,
            results: Vec::new(),
            working: Vec::new(),
            doubt: Vec::new(),
            combined: None,
            rule: None,
            validity: "Nothing was calculated.".to_owned(),
            sources: Vec::new(),
            flags: Vec::new(),
            figure: None,
            tables: Vec::new(),
            findings: Vec::new(),
        }
    }

    /// The result of a name.
    pub fn result(&self, name: &str) -> Option<&Outcome> {
        self.results.iter().find(|outcome| outcome.name == name)
    }
}

/// An input as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InputShown {
    /// Path of the field, as `start.gauge_pressure`.
    pub field: String,
    /// What it is.
    pub meaning: String,
    /// The text as typed.
    pub typed: String,
}

/// An input that is needed and was not given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Missing {
    /// Path of the field.
    pub field: String,
    /// What it is.
    pub meaning: String,
}

/// A result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    /// Name for programs.
    pub name: String,
    /// What it is, with the state it refers to where there is one.
    pub meaning: String,
    /// The value.
    pub value: String,
    /// Its unit.
    pub unit: String,
    /// Standard uncertainty in the same unit, where one is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard_uncertainty: Option<String>,
}

impl Outcome {
    /// The same result with its standard uncertainty.
    pub(crate) fn within(self, standard_uncertainty: String) -> Self {
        Self { standard_uncertainty: Some(standard_uncertainty), ..self }
    }

    /// A result without an uncertainty of its own.
    pub(crate) fn new(name: &str, meaning: &str, value: String, unit: &str) -> Self {
        Self {
            name: name.to_owned(),
            meaning: meaning.to_owned(),
            value,
            unit: unit.to_owned(),
            standard_uncertainty: None,
        }
    }
}

/// A step of the working.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Symbol, as `p₁`.
    pub symbol: String,
    /// What it is.
    pub meaning: String,
    /// The formula, in symbols of lines above.
    pub formula: String,
    /// The value, with enough digits to redo the next step.
    pub value: String,
    /// Its unit.
    pub unit: String,
    /// Where the formula or constant comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

impl Line {
    /// A step without a source of its own.
    pub(crate) fn new(
        symbol: &str,
        meaning: &str,
        formula: &str,
        value: String,
        unit: &str,
    ) -> Self {
        Self {
            symbol: symbol.to_owned(),
            meaning: meaning.to_owned(),
            formula: formula.to_owned(),
            value,
            unit: unit.to_owned(),
            source: None,
        }
    }

    /// The same step with its source.
    pub(crate) fn sourced(self, source: &str) -> Self {
        Self { source: Some(source.to_owned()), ..self }
    }
}

/// A contribution to the uncertainty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DoubtLine {
    /// Where the doubt comes from.
    pub source: String,
    /// What was stated about it.
    pub statement: String,
    /// Standard uncertainty of the input.
    pub standard_uncertainty: String,
    /// Unit of the input's standard uncertainty.
    pub unit: String,
    /// Contribution to the result.
    pub contribution: String,
    /// Unit of the contribution.
    pub contribution_unit: String,
    /// Share of the variance of the judged result, in percent.
    pub share: String,
    /// Share of the variance of the mass lost, and so of every leak rate, in percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub share_of_mass: Option<String>,
}

/// The combined uncertainty of the judged result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Combined {
    /// Name of the result.
    pub of: String,
    /// Combined standard uncertainty.
    pub standard: String,
    /// Coverage factor.
    pub coverage_factor: String,
    /// Expanded uncertainty.
    pub expanded: String,
    /// Unit of both.
    pub unit: String,
}

/// The decision rule as applied.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RuleShown {
    /// Name of the rule: `simple` or `guarded`.
    pub name: String,
    /// The rule in words.
    pub text: String,
    /// The limit with its unit.
    pub limit: String,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit_source: Option<String>,
    /// The limit less the guard band, with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acceptance_limit: Option<String>,
    /// Probability that the true value is within the limit, in percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conformance_probability: Option<String>,
}

/// A warning.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Flag {
    /// A stable code for programs.
    pub code: String,
    /// The warning.
    pub sentence: String,
}

/// A result that is a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Table {
    /// Name for programs.
    pub name: String,
    /// What it lists.
    pub title: String,
    /// Heads of the columns, with units.
    pub columns: Vec<String>,
    /// The rows, each with as many texts as there are columns.
    pub rows: Vec<Vec<String>>,
}

/// Something noticed about a place, as a rack whose facets all moved the same way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// A stable code for programs.
    pub code: String,
    /// The place, as the rack or the facet.
    pub place: String,
    /// What was noticed, with its numbers.
    pub sentence: String,
}

/// Data of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// What it shows.
    pub title: String,
    /// Label of the horizontal axis, with unit.
    pub x_label: String,
    /// Label of the vertical axis, with unit.
    pub y_label: String,
    /// Lines.
    pub series: Vec<Series>,
    /// Parts of a whole, as bars.
    pub bars: Vec<Bar>,
    /// Values over a plane, as a map.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Grid")]
    pub grid: Option<Grid>,
    /// How the axes are scaled, where not each by itself and evenly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Axes")]
    pub axes: Option<Axes>,
}

/// How the axes of a figure are scaled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Axes {
    /// One unit is as long on both axes, as on a drawing of a place.
    Equal,
    /// The horizontal axis by powers of ten.
    LogX,
    /// The vertical axis by powers of ten.
    LogY,
    /// Both axes by powers of ten.
    LogBoth,
}

/// Values over a plane: rows from the bottom to the top, each from left to right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Grid {
    /// What the values are.
    pub meaning: String,
    /// Their unit.
    pub unit: String,
    /// Horizontal place of the first cell's middle, in the unit of the axis.
    pub x_from: String,
    /// From a cell to the next.
    pub x_step: String,
    /// Vertical place of the first row's middle, in the unit of the axis.
    pub y_from: String,
    /// From a row to the next.
    pub y_step: String,
    /// The values.
    pub rows: Vec<Vec<String>>,
}

/// How a series is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Drawn {
    /// The line that is looked at.
    Thick,
    /// A line beside it.
    Thin,
    /// A limit or a fitted line.
    Dashed,
    /// Marks, one for each point, without a line.
    Points,
    /// Marks struck out: readings that were left out.
    Crosses,
}

/// A line of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Series {
    /// Name for programs.
    pub name: String,
    /// What it shows.
    pub meaning: String,
    /// Its points.
    pub points: Vec<Point>,
    /// How it is drawn, where its name doesn't say it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Drawn")]
    pub drawn: Option<Drawn>,
}

impl Series {
    /// A series drawn in a stated way.
    pub(crate) fn new(name: &str, meaning: &str, drawn: Drawn, points: Vec<Point>) -> Self {
        Self { name: name.to_owned(), meaning: meaning.to_owned(), points, drawn: Some(drawn) }
    }
}

impl Figure {
    /// Lines and marks over two axes.
    pub(crate) fn lines(title: &str, x_label: &str, y_label: &str, series: Vec<Series>) -> Self {
        Self {
            title: title.to_owned(),
            x_label: x_label.to_owned(),
            y_label: y_label.to_owned(),
            series,
            bars: Vec::new(),
            grid: None,
            axes: None,
        }
    }
}

/// A point of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Horizontal.
    pub x: String,
    /// Vertical.
    pub y: String,
}

impl Point {
    /// A point of two numbers, printed with six significant digits.
    pub(crate) fn of(x: f64, y: f64) -> Self {
        Self { x: quantity::significant(x, 6), y: quantity::significant(y, 6) }
    }
}

/// A bar of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Name for programs.
    pub name: String,
    /// What it shows.
    pub meaning: String,
    /// Its length.
    pub value: String,
    /// Unit of the length.
    pub unit: String,
}
