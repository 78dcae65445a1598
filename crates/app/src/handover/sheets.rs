//! Calculation sheets: the verdict's working, laid out so that it can be redone by hand.

use acceptance::Sheet;
use logbook::document::{AttemptDoc, RecordDoc, VerdictDoc};
use logbook::source::{Calculated, Checklist, DishDesign, InputFrom, Step};
use logbook::{Surroundings, Verdict, judge};
use report::model;

use super::figures::figures;
use super::proofs::attempt_id;
use super::source::Source;
use super::tables::tables;
use crate::words;

/// Where a sheet belongs.
struct Of<'o> {
    record: &'o RecordDoc,
    attempt: &'o AttemptDoc,
    checklist: &'o Checklist,
    verdict: &'o VerdictDoc,
    installation: &'o str,
    step: Option<(&'o Step, &'o Calculated)>,
    limits: Vec<String>,
    design: Option<&'o DishDesign>,
}

impl Source<'_> {
    /// The sheets of an attempt's verdict, one for each calculation step.
    pub(super) fn sheets_shown(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        checklist: &Checklist,
        installation: &str,
    ) -> Vec<model::Sheet> {
        let Some(verdict) = attempt.verdict() else { return Vec::new() };
        let last = verdict.sheets.len().saturating_sub(1);
        // A design that can't be read leaves out the figure that needs it, and nothing else.
        let around = Surroundings::of_verdict(self.shelf, verdict).unwrap_or_default();
        let design = around.design.as_ref().map(|(_, design)| design);
        let shown = verdict.sheets.iter().enumerate().map(|(place, one)| {
            // An early verdict has one sheet and does not name its step.
            let step = checklist
                .calculation(&one.step)
                .or_else(|| checklist.calculations().next().filter(|_| one.step.is_empty()));
            // The limits of the whole verdict stand once, with the last sheet.
            let limits = if place == last { limits(verdict) } else { Vec::new() };
            let of = Of { record, attempt, checklist, verdict, installation, step, limits, design };
            self.sheet_shown(&of, &one.sheet)
        });
        shown.collect()
    }

    fn sheet_shown(&self, of: &Of<'_>, sheet: &Sheet) -> model::Sheet {
        let Of { record, attempt, verdict, installation, .. } = *of;
        let number = of.step.map(|(step, _)| step.number.as_str()).unwrap_or_default();
        let mut flags: Vec<String> = sheet.flags.iter().map(|flag| flag.sentence.clone()).collect();
        flags.extend(of.limits.iter().cloned());
        model::Sheet {
            attempt: attempt_id(&record.requirement, attempt.number),
            subject: format!(
                "{}, {}, attempt {}, step {number}",
                record.position, record.requirement, attempt.number
            ),
            calculation: format!("{}, version {}", sheet.title, sheet.version),
            mark: mark(sheet.verdict),
            verdict: verdict_words(sheet.verdict).to_owned(),
            reason: sheet.reason.clone(),
            inputs: self.inputs(of, sheet),
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
            findings: sheet.findings.iter().map(finding).collect(),
            figures: figures(sheet, of.design),
            tables: tables(sheet, of.design),
            foot: self.foot(attempt, verdict, installation),
        }
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
    fn inputs(&self, of: &Of<'_>, sheet: &Sheet) -> Vec<model::SheetInput> {
        let Of { record, attempt, checklist, installation, .. } = *of;
        let mapping = of.step.map(|(_, calculated)| &calculated.inputs);
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

fn finding(finding: &acceptance::Finding) -> model::SheetFinding {
    model::SheetFinding { place: finding.place.clone(), text: finding.sentence.clone() }
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
