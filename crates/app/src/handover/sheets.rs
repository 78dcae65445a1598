//! Calculation sheets: the verdict's working, laid out so that it can be redone by hand.

use acceptance::{Series, Sheet};
use logbook::document::{AttemptDoc, RecordDoc, VerdictDoc};
use logbook::source::{Checklist, InputFrom};
use logbook::{Verdict, judge};
use report::model;

use super::proofs::attempt_id;
use super::source::Source;
use crate::words;

impl Source<'_> {
    pub(super) fn sheet_shown(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        checklist: &Checklist,
        installation: &str,
    ) -> Option<model::Sheet> {
        let verdict = attempt.verdict()?;
        let sheet = verdict.sheet.as_ref()?;
        let step = checklist.calculation();
        let number = step.map(|(step, _)| step.number.as_str()).unwrap_or_default();
        let mut flags: Vec<String> = sheet.flags.iter().map(|flag| flag.sentence.clone()).collect();
        flags.extend(limits(verdict));
        Some(model::Sheet {
            attempt: attempt_id(&record.requirement, attempt.number),
            subject: format!(
                "{}, {}, attempt {}, step {number}",
                record.position, record.requirement, attempt.number
            ),
            calculation: format!("{}, version {}", sheet.title, sheet.version),
            mark: mark(sheet.verdict),
            verdict: verdict_words(sheet.verdict).to_owned(),
            reason: sheet.reason.clone(),
            inputs: self.inputs(record, attempt, checklist, sheet, installation),
            formula: formulas(sheet),
            working: working(sheet),
            doubt: sheet.doubt.iter().map(doubt).collect(),
            doubt_total: sheet
                .combined
                .as_ref()
                .map(|all| {
                    format!(
                        "together {} {}; expanded with k = {}: {} {}",
                        all.standard, all.unit, all.coverage_factor, all.expanded, all.unit
                    )
                })
                .unwrap_or_default(),
            rule: sheet.rule.as_ref().map(|rule| rule.text.clone()).unwrap_or_default(),
            limit: sheet.rule.as_ref().map(|rule| rule.limit.clone()).unwrap_or_default(),
            limit_source: sheet
                .rule
                .as_ref()
                .and_then(|rule| rule.limit_source.clone())
                .unwrap_or_default(),
            validity: sheet.validity.clone(),
            sources: sheet.sources.clone(),
            flags,
            figures: figures(sheet),
            foot: self.foot(attempt, verdict, installation),
        })
    }

    fn foot(&self, attempt: &AttemptDoc, verdict: &VerdictDoc, installation: &str) -> String {
        let judged = format!(
            "judged {}, entry {}",
            words::when_short(&verdict.stamp.claimed),
            words::entry(installation, &verdict.stamp)
        );
        match attempt.review() {
            Some(review) => format!("{judged}; reviewed by {}", self.name(&review.stamp.person)),
            None => format!("{judged}; not reviewed"),
        }
    }

    /// The inputs as typed, each with its instrument, time and entry where a step gave it.
    fn inputs(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        checklist: &Checklist,
        sheet: &Sheet,
        installation: &str,
    ) -> Vec<model::SheetInput> {
        let mapping = checklist.calculation().map(|(_, calculated)| &calculated.inputs);
        let given_for = |field: &str| {
            let InputFrom::Answer(step) = mapping?.get(field)? else { return None };
            judge::counting(record, checklist, attempt.number, step)
        };
        let shown = sheet.inputs.iter().map(|input| {
            let given = given_for(&input.field);
            let used = given.and_then(|given| given.instrument.as_ref());
            model::SheetInput {
                name: input.meaning.clone(),
                value: input.typed.clone(),
                instrument: used
                    .map(|used| format!("{}, {}", used.instrument, used.state.words()))
                    .unwrap_or_default(),
                at: given.map(|given| words::when_short(&given.worked_at)).unwrap_or_default(),
                entry: given
                    .map(|given| words::entry(installation, &given.stamp))
                    .unwrap_or_default(),
            }
        });
        let missing = sheet.missing.iter().map(|missing| model::SheetInput {
            name: missing.meaning.clone(),
            value: "missing".to_owned(),
            instrument: String::new(),
            at: String::new(),
            entry: given_for(&missing.field)
                .map(|given| words::entry(installation, &given.stamp))
                .unwrap_or_default(),
        });
        shown.chain(missing).collect()
    }
}

/// Every limit of the verdict beside the calculation's own, one line each.
fn limits(verdict: &VerdictDoc) -> Vec<String> {
    verdict
        .limits
        .iter()
        .map(|limit| {
            let out = match limit.verdict {
                Verdict::Pass => "kept",
                Verdict::Fail => "NOT KEPT",
                Verdict::NotJudged => "NOT JUDGED",
            };
            let found = if limit.found.is_empty() { "nothing" } else { &limit.found };
            format!(
                "{}: {} — found {found}: {out}. Source: {} ({}).",
                limit.title,
                limit.value,
                limit.source,
                limit.status.words()
            )
        })
        .collect()
}

/// The formulas, each once, in the order of the working.
fn formulas(sheet: &Sheet) -> Vec<String> {
    let mut formulas: Vec<String> = Vec::new();
    for line in sheet.working.iter().filter(|line| line.formula.contains('=')) {
        // Coefficients stand in the table alone.
        if line.formula.starts_with("with ") {
            continue;
        }
        if !formulas.contains(&line.formula) {
            formulas.push(line.formula.clone());
        }
    }
    formulas
}

/// The working; a source that several lines in a row share is printed with the first of them.
fn working(sheet: &Sheet) -> Vec<model::WorkingLine> {
    let mut lines: Vec<model::WorkingLine> = sheet.working.iter().map(line).collect();
    let mut last = String::new();
    for line in lines.iter_mut().filter(|line| !line.source.is_empty()) {
        if line.source == last {
            line.source.clear();
        } else {
            last.clone_from(&line.source);
        }
    }
    lines
}

fn line(line: &acceptance::Line) -> model::WorkingLine {
    model::WorkingLine {
        symbol: line.symbol.clone(),
        meaning: line.meaning.clone(),
        formula: line.formula.clone(),
        value: line.value.clone(),
        unit: line.unit.clone(),
        source: line.source.clone().unwrap_or_default(),
    }
}

fn doubt(line: &acceptance::DoubtLine) -> model::DoubtLine {
    model::DoubtLine {
        source: format!("{} ({})", line.source, line.statement),
        size: format!("{} {}", line.contribution, line.contribution_unit),
        share: format!("{} %", line.share),
    }
}

/// The decay figure: what is left of the gas, what the gauge alone would say, and the limit.
fn figures(sheet: &Sheet) -> Vec<model::Figure> {
    let Some(figure) = &sheet.figure else { return Vec::new() };
    let bar = sheet.combined.as_ref().map(|all| all.expanded.clone()).unwrap_or_default();
    let series = figure
        .series
        .iter()
        .map(|series| {
            let style = match series.name.as_str() {
                "left" => model::LineStyle::Thick,
                "limit" => model::LineStyle::Dashed,
                _ => model::LineStyle::Thin,
            };
            let bar = if style == model::LineStyle::Thick { bar.as_str() } else { "" };
            line_of(series, style, bar)
        })
        .collect();
    vec![model::Figure {
        title: figure.title.clone(),
        y_title: figure.y_label.clone(),
        x_unit: "h".to_owned(),
        series,
    }]
}

fn line_of(series: &Series, style: model::LineStyle, bar: &str) -> model::FigureSeries {
    let last = series.points.len().saturating_sub(1);
    model::FigureSeries {
        label: series.meaning.clone(),
        second: series.points.last().map(|point| format!("{} %", point.y)).unwrap_or_default(),
        style,
        points: series
            .points
            .iter()
            .enumerate()
            .map(|(index, point)| model::FigurePoint {
                x: point.x.clone(),
                y: point.y.clone(),
                // The start is the reference: only what is left at the end is in doubt.
                bar: if index == last { bar.to_owned() } else { String::new() },
            })
            .collect(),
    }
}

fn mark(verdict: acceptance::Verdict) -> model::SheetMark {
    match verdict {
        acceptance::Verdict::Pass => model::SheetMark::Within,
        acceptance::Verdict::Fail => model::SheetMark::Outside,
        acceptance::Verdict::NotJudged => model::SheetMark::NotJudged,
        acceptance::Verdict::Computed => model::SheetMark::Computed,
    }
}

fn verdict_words(verdict: acceptance::Verdict) -> &'static str {
    match verdict {
        acceptance::Verdict::Pass => "Within the limit",
        acceptance::Verdict::Fail => "Outside the limit",
        acceptance::Verdict::NotJudged => "Not judged",
        acceptance::Verdict::Computed => "Computed",
    }
}
