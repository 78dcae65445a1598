//! A verdict with its limits, and calculation sheets as the screens show them.

use acceptance::Sheet;
use logbook::document::VerdictDoc;
use logbook::source::DishDesign;
use logbook::{LimitChecked, Verdict};
use serde::Serialize;
use ts_rs::TS;

use super::common::Flag;
use crate::handover::figures;

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
    /// What is needed and was not given.
    pub(crate) missing: Vec<MissingView>,
    /// The inputs as typed.
    pub(crate) inputs: Vec<InputView>,
    pub(crate) results: Vec<ResultView>,
    pub(crate) working: Vec<WorkingLine>,
    pub(crate) doubt: Vec<DoubtView>,
    /// The combined doubt of the judged result, in words; empty where there is none.
    pub(crate) combined: String,
    pub(crate) rule: String,
    pub(crate) validity: String,
    pub(crate) sources: Vec<String>,
    pub(crate) flags: Vec<Flag>,
    /// Its figures, what is looked at first coming first.
    pub(crate) figures: Vec<SheetDrawing>,
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

/// An input that is needed and was not given.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct MissingView {
    /// Path of the field, as `start.temperature`.
    pub(crate) field: String,
    pub(crate) meaning: String,
}

/// An input as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct InputView {
    pub(crate) meaning: String,
    pub(crate) typed: String,
}

/// A result.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ResultView {
    pub(crate) meaning: String,
    pub(crate) value: String,
    pub(crate) unit: String,
    /// Its standard uncertainty in the same unit; empty where none is known.
    pub(crate) doubt: String,
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

/// A figure of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SheetDrawing {
    pub(crate) title: String,
    pub(crate) svg: String,
}

/// What a calculation noticed about a place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SheetFinding {
    pub(crate) code: String,
    pub(crate) place: String,
    pub(crate) sentence: String,
}

impl VerdictView {
    /// A verdict as the screens show it.
    pub(crate) fn of(verdict: &VerdictDoc, design: Option<&DishDesign>) -> Self {
        Self {
            verdict: name(verdict.verdict),
            headline: match verdict.verdict {
                Verdict::Pass => "Within the limits",
                Verdict::Fail => "Outside a limit",
                Verdict::NotJudged => "Not judged",
            }
            .to_owned(),
            reason: verdict.reason.clone(),
            limits: verdict.limits.iter().map(LimitView::of).collect(),
            sheets: verdict
                .sheets
                .iter()
                .map(|of_step| SheetView::of(&of_step.step, &of_step.sheet, design))
                .collect(),
            stale: !verdict.overtaken_by.is_empty(),
        }
    }
}

impl LimitView {
    fn of(limit: &LimitChecked) -> Self {
        Self {
            title: limit.title.clone(),
            value: limit.value.clone(),
            found: limit.found.clone(),
            verdict: name(limit.verdict),
            reason: limit.reason.clone(),
            source: format!("{} ({})", limit.source, limit.status.words()),
        }
    }
}

impl SheetView {
    /// The figure that is looked at first.
    pub(crate) fn first_svg(&self) -> Option<String> {
        self.figures.first().map(|figure| figure.svg.clone())
    }
}

fn name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::NotJudged => "not_judged",
    }
}

impl SheetView {
    /// A calculation sheet as the screens show it. A figure that can't be drawn is left out: its
    /// numbers stand in the working. The map of a mirror takes the design of the dish.
    pub(crate) fn of(step: &str, sheet: &Sheet, design: Option<&DishDesign>) -> Self {
        Self {
            step: step.to_owned(),
            title: format!("{}, version {}", sheet.title, sheet.version),
            mark: match sheet.verdict {
                acceptance::Verdict::Pass => SheetMark::Within,
                acceptance::Verdict::Fail => SheetMark::Outside,
                acceptance::Verdict::NotJudged => SheetMark::NotJudged,
                acceptance::Verdict::Computed => SheetMark::Computed,
            },
            reason: sheet.reason.clone(),
            missing: sheet.missing.iter().map(missing).collect(),
            inputs: sheet.inputs.iter().map(input).collect(),
            results: sheet.results.iter().map(result).collect(),
            working: sheet.working.iter().map(working).collect(),
            doubt: sheet.doubt.iter().map(doubt).collect(),
            combined: sheet.combined.as_ref().map(combined).unwrap_or_default(),
            rule: sheet.rule.as_ref().map(rule).unwrap_or_default(),
            validity: sheet.validity.clone(),
            sources: sheet.sources.clone(),
            flags: sheet
                .flags
                .iter()
                .map(|flag| Flag { code: flag.code.clone(), text: flag.sentence.clone() })
                .collect(),
            figures: figures(sheet, design).iter().filter_map(drawn).collect(),
            tables: sheet.tables.iter().map(table).collect(),
            findings: sheet.findings.iter().map(noticed).collect(),
        }
    }
}

/// A figure as the screens take it.
fn drawn(figure: &report::model::Figure) -> Option<SheetDrawing> {
    let svg = report::figure::drawing(figure).ok()?.to_svg();
    Some(SheetDrawing { title: figure.title().to_owned(), svg })
}

fn result(outcome: &acceptance::Outcome) -> ResultView {
    ResultView {
        meaning: outcome.meaning.clone(),
        value: outcome.value.clone(),
        unit: outcome.unit.clone(),
        doubt: outcome.standard_uncertainty.clone().unwrap_or_default(),
    }
}

fn missing(missing: &acceptance::Missing) -> MissingView {
    MissingView { field: missing.field.clone(), meaning: missing.meaning.clone() }
}

fn input(input: &acceptance::InputShown) -> InputView {
    InputView { meaning: input.meaning.clone(), typed: input.typed.clone() }
}

fn combined(combined: &acceptance::Combined) -> String {
    format!(
        "Combined standard uncertainty {} {unit}; expanded {} {unit} (k = {}).",
        combined.standard,
        combined.expanded,
        combined.coverage_factor,
        unit = combined.unit,
    )
}

fn working(line: &acceptance::Line) -> WorkingLine {
    WorkingLine {
        symbol: line.symbol.clone(),
        meaning: line.meaning.clone(),
        formula: line.formula.clone(),
        value: line.value.clone(),
        unit: line.unit.clone(),
        source: line.source.clone().unwrap_or_default(),
    }
}

fn doubt(line: &acceptance::DoubtLine) -> DoubtView {
    DoubtView {
        source: line.source.clone(),
        statement: line.statement.clone(),
        contribution: format!("{} {}", line.contribution, line.contribution_unit),
        share: format!("{} %", line.share),
    }
}

/// The decision rule with its limit and where the limit comes from.
fn rule(rule: &acceptance::RuleShown) -> String {
    let source =
        rule.limit_source.as_ref().map(|source| format!(" Source of the limit: {source}."));
    let edge = rule.acceptance_limit.as_ref().map(|edge| format!(" Acceptance limit {edge}."));
    let conforms = rule
        .conformance_probability
        .as_ref()
        .map(|share| format!(" Probability that the true value keeps the limit: {share} %."));
    [Some(format!("{} Limit {}.", rule.text, rule.limit)), edge, conforms, source]
        .into_iter()
        .flatten()
        .collect()
}

fn table(table: &acceptance::Table) -> SheetTable {
    SheetTable {
        name: table.name.clone(),
        title: table.title.clone(),
        columns: table.columns.clone(),
        rows: table.rows.clone(),
    }
}

/// What a calculation noticed, as the screens show it.
pub(crate) fn noticed(finding: &acceptance::Finding) -> SheetFinding {
    SheetFinding {
        code: finding.code.clone(),
        place: finding.place.clone(),
        sentence: finding.sentence.clone(),
    }
}
