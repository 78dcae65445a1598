//! Calculation sheets: the verdict's working, laid out so that it can be redone by hand.

use acceptance::Sheet;
use logbook::document::{AttemptDoc, InstrumentUse, RecordDoc, Stamp, VerdictDoc};
use logbook::source::{Calculated, Checklist, DishDesign, InputFrom, Step};
use logbook::{LimitChecked, Moment, Surroundings, Verdict, judge};
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
        // A design that can't be read leaves out the figure that needs it, and nothing else.
        let around = Surroundings::of_verdict(self.shelf, verdict).unwrap_or_default();
        let design = around.design.as_ref().map(|(_, design)| design);
        let shown = verdict.sheets.iter().map(|one| {
            // An early verdict has one sheet and does not name its step.
            let step = checklist
                .calculation(&one.step)
                .or_else(|| checklist.calculations().next().filter(|_| one.step.is_empty()));
            let of = Of { record, attempt, checklist, verdict, installation, step, design };
            self.sheet_shown(&of, &one.sheet)
        });
        shown.collect()
    }

    fn sheet_shown(&self, of: &Of<'_>, sheet: &Sheet) -> model::Sheet {
        let Of { record, attempt, verdict, installation, .. } = *of;
        let number = of.step.map(|(step, _)| step.number.as_str()).unwrap_or_default();
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
            given: of.given(sheet),
            formula: formulas(sheet),
            working: working(sheet),
            doubt: sheet.doubt.iter().map(doubt).collect(),
            doubt_total: sheet
                .combined
                .as_ref()
                .map(|all| {
                    format!(
                        "together {}; expanded with k = {}: {}",
                        with_unit(&all.standard, &all.unit),
                        all.coverage_factor,
                        with_unit(&all.expanded, &all.unit)
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
            flags: sheet.flags.iter().map(|flag| flag.sentence.clone()).collect(),
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

    /// The inputs that a step gave, as typed, each with its instrument, time and entry; and what
    /// is missing.
    fn inputs(&self, of: &Of<'_>, sheet: &Sheet) -> Vec<model::SheetInput> {
        let entry = |from: &FromStep<'_>| words::entry(of.installation, from.stamp);
        let read = sheet.inputs.iter().filter_map(|input| {
            let from = of.step_of(&input.field)?;
            Some(model::SheetInput {
                name: input.meaning.clone(),
                value: moments_short(&input.typed),
                instrument: from
                    .instrument
                    .map(|used| format!("{}, {}", used.instrument, used.state.words()))
                    .unwrap_or_default(),
                at: words::when_short(from.worked_at),
                entry: entry(&from),
            })
        });
        let missing = sheet.missing.iter().map(|missing| model::SheetInput {
            name: missing.meaning.clone(),
            value: "missing".to_owned(),
            instrument: String::new(),
            at: String::new(),
            entry: of.step_of(&missing.field).map(|from| entry(&from)).unwrap_or_default(),
        });
        read.chain(missing).collect()
    }
}

/// Where an input came from: the entry that gave it.
struct FromStep<'o> {
    stamp: &'o Stamp,
    worked_at: &'o Moment,
    instrument: Option<&'o InstrumentUse>,
}

impl<'o> Of<'o> {
    /// The entry of the step that gave an input; none for what design, site and criteria gave.
    fn step_of(&self, field: &str) -> Option<FromStep<'o>> {
        let step = |step: &'o str| {
            judge::attempts_for(self.record, self.checklist, self.attempt.number, step)
        };
        match self.step?.1.inputs.get(field)? {
            InputFrom::Answer(id) => self.answer(id),
            InputFrom::Stated(stated) => self.answer(&stated.answer),
            InputFrom::Survey(id) => {
                let given = step(id).find_map(|attempt| attempt.surveys.get(id)?.current())?;
                Some(FromStep {
                    stamp: &given.stamp,
                    worked_at: &given.worked_at,
                    instrument: given.instrument.as_ref(),
                })
            }
            InputFrom::Series(part) => {
                let id = &part.step;
                let given = step(id).find_map(|attempt| attempt.series.get(id)?.current())?;
                Some(FromStep {
                    stamp: &given.stamp,
                    worked_at: &given.worked_at,
                    instrument: given.instruments.get(&part.channel),
                })
            }
            InputFrom::Hold(id) => {
                let hold = step(id).find_map(|attempt| attempt.holds.get(id))?;
                let mark = hold.end.as_ref().unwrap_or(&hold.start);
                Some(FromStep { stamp: &mark.stamp, worked_at: &mark.worked_at, instrument: None })
            }
            InputFrom::Limit(_)
            | InputFrom::LimitPer(_)
            | InputFrom::LimitSource(_)
            | InputFrom::LimitRule(_)
            | InputFrom::Instrument(_)
            | InputFrom::Design(_)
            | InputFrom::Site(_)
            | InputFrom::WorkedAt(_)
            | InputFrom::Text(_) => None,
        }
    }

    fn answer(&self, step: &str) -> Option<FromStep<'o>> {
        let given = judge::counting(self.record, self.checklist, self.attempt.number, step)?;
        Some(FromStep {
            stamp: &given.stamp,
            worked_at: &given.worked_at,
            instrument: given.instrument.as_ref(),
        })
    }

    /// The inputs that no step gave.
    fn given(&self, sheet: &Sheet) -> Vec<model::Fact> {
        let given = sheet.inputs.iter().filter(|input| self.step_of(&input.field).is_none());
        given
            .map(|input| model::Fact {
                name: input.meaning.clone(),
                value: moments_short(&input.typed),
            })
            .collect()
    }
}

/// Every limit of the verdict with what was found. Conditions in a row that share a limit and came
/// out alike are one line.
pub(super) fn limits(verdict: &VerdictDoc) -> Vec<model::LimitLine> {
    let alike = |a: &LimitChecked, b: &LimitChecked| {
        (&a.limit, &a.value, a.verdict) == (&b.limit, &b.value, b.verdict)
    };
    verdict.limits.chunk_by(alike).filter_map(limit_line).collect()
}

fn limit_line(same: &[LimitChecked]) -> Option<model::LimitLine> {
    let first = same.first()?;
    let mut found: Vec<&str> = Vec::new();
    let mut reasons: Vec<&str> = Vec::new();
    for limit in same {
        let words = if limit.found.is_empty() { "nothing" } else { &limit.found };
        if !found.contains(&words) {
            found.push(words);
        }
        // The reason of one that is kept says what is in the line already.
        if limit.verdict != Verdict::Pass && !reasons.contains(&limit.reason.as_str()) {
            reasons.push(&limit.reason);
        }
    }
    let times = match same.len() {
        1 => String::new(),
        times => format!(" ({times} conditions)"),
    };
    Some(model::LimitLine {
        title: format!("{}{times}", first.title),
        value: first.value.clone(),
        found: found.join("; "),
        outcome: match first.verdict {
            Verdict::Pass => model::AttemptOutcome::Pass,
            Verdict::Fail => model::AttemptOutcome::Fail,
            Verdict::NotJudged => model::AttemptOutcome::NotJudged,
        },
        reason: reasons.join(" "),
        source: format!("{} ({})", first.source, first.status.words()),
    })
}

/// A text with moments written out, to the second and with their offset, in a form that breaks
/// between day and time.
fn moments_short(text: &str) -> String {
    let word = |word: &str| {
        let bare = word.trim_end_matches([',', ';', '.']);
        match Moment::parse(bare) {
            Ok(moment) if bare.contains('T') => {
                let written = moment.at().format("%Y-%m-%d %H:%M:%S UTC%:z").to_string();
                format!("{}{}", written.replace("UTC-", "UTC−"), word.trim_start_matches(bare))
            }
            _ => word.to_owned(),
        }
    };
    text.split(' ').map(word).collect::<Vec<_>>().join(" ")
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
        value: moments_short(&line.value),
        unit: unit(&line.unit),
        source: line.source.clone().unwrap_or_default(),
    }
}

fn doubt(line: &acceptance::DoubtLine) -> model::DoubtLine {
    model::DoubtLine {
        source: format!("{} ({})", line.source, line.statement),
        size: with_unit(&line.contribution, &line.contribution_unit),
        share: format!("{} %", line.share),
    }
}

/// A text with a capital at its beginning.
fn capital(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or_else(String::new, |first| first.to_uppercase().chain(signs).collect())
}

/// A unit as printed: a number alone has none.
fn unit(unit: &str) -> String {
    if unit == "1" { String::new() } else { unit.to_owned() }
}

/// A value with its unit, as printed.
pub(super) fn with_unit(value: &str, of: &str) -> String {
    format!("{value} {}", unit(of)).trim_end().to_owned()
}

fn finding(finding: &acceptance::Finding) -> model::SheetFinding {
    model::SheetFinding { place: finding.place.clone(), text: capital(&finding.sentence) }
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
