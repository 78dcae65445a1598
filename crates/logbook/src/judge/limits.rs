//! Compares what was found with each limit that the checklist names.

use acceptance::Sheet;
use ledger::EntryId;
use quantity::{Bound, Decimal, Dimension, Field};

use super::inputs::Run;
use super::{Case, LimitChecked, Verdict, limit_text, shares};
use crate::events::Answer;
use crate::source::{
    Asks, ChosenGood, Compared, DecisionRule, Limit, ResultCompared, Side, WithDoubt,
};
use crate::typed;

/// What was found for one limit.
pub(super) struct Found {
    pub(super) words: String,
    pub(super) verdict: Verdict,
    pub(super) reason: String,
}

impl Found {
    pub(super) fn not_judged(reason: impl Into<String>) -> Self {
        Self { words: "—".into(), verdict: Verdict::NotJudged, reason: reason.into() }
    }

    fn judged(words: String, kept: bool, reason: String) -> Self {
        let verdict = if kept { Verdict::Pass } else { Verdict::Fail };
        Self { words, verdict, reason }
    }
}

/// Checks every condition of acceptance, in the checklist's order.
pub(super) fn check_all(case: &Case<'_>, runs: &[Run]) -> Vec<LimitChecked> {
    let run = |step: &str| runs.iter().find(|run| run.step == step);
    case.checklist
        .acceptance
        .iter()
        .filter_map(|condition| {
            let limit = case.criteria.limit(&condition.limit)?;
            let found = match &condition.by {
                Compared::Calculation(step) => of_calculation(run(step)),
                Compared::Hold(step) => of_hold(case, step, limit),
                Compared::Table(step) => of_table(case, step),
                Compared::AtLeast(step) => of_reading(case, step, limit, true),
                Compared::AtMost(step) => of_reading(case, step, limit, false),
                Compared::GaugeShare(share) => shares::of_gauge(case, share, limit),
                Compared::UncertaintyShare(step) => shares::of_uncertainty(run(step), limit),
                Compared::Chosen(good) => of_choice(case, good),
                Compared::Confirmed(step) => of_confirmation(case, step),
                Compared::Result(asked) => of_result(case, asked, run(&asked.calculation), limit),
                Compared::AtMostWithDoubt(asked) => of_doubtful(case, asked, limit),
            };
            Some(LimitChecked {
                limit: limit.id.clone(),
                title: limit.title.clone(),
                value: limit_text(limit),
                rule: limit.rule,
                status: limit.status,
                source: limit.source.clone(),
                found: found.words,
                verdict: found.verdict,
                reason: found.reason,
            })
        })
        .collect()
}

/// Entries that the conditions look at beyond the calculation's inputs.
pub(super) fn entries_used(case: &Case<'_>) -> Vec<EntryId> {
    let mut used = Vec::new();
    for condition in &case.checklist.acceptance {
        match &condition.by {
            Compared::Hold(step) => {
                if let Some(hold) = case.hold(step) {
                    used.push(hold.start.stamp.entry);
                    used.extend(hold.end.as_ref().map(|end| end.stamp.entry));
                }
            }
            Compared::Table(step)
            | Compared::AtLeast(step)
            | Compared::AtMost(step)
            | Compared::Confirmed(step)
            | Compared::Chosen(ChosenGood { step, .. })
            | Compared::AtMostWithDoubt(WithDoubt { step, .. }) => {
                used.extend(case.answer(step).map(|given| given.stamp.entry));
            }
            Compared::GaugeShare(share) => {
                let steps = [&share.gauge, &share.barometer];
                used.extend(steps.iter().filter_map(|step| Some(case.answer(step)?.stamp.entry)));
            }
            Compared::Calculation(_) | Compared::UncertaintyShare(_) | Compared::Result(_) => {}
        }
    }
    used
}

/// The sheet of a calculation step, or why there is none.
pub(super) fn sheet_of(run: Option<&Run>) -> Result<&Sheet, Found> {
    let Some(run) = run else {
        return Err(Found::not_judged("The checklist has no such calculation."));
    };
    run.sheet.as_ref().ok_or_else(|| {
        let why = run.refused.clone();
        Found::not_judged(why.unwrap_or_else(|| "The calculation could not be done.".into()))
    })
}

fn of_calculation(run: Option<&Run>) -> Found {
    let sheet = match sheet_of(run) {
        Ok(sheet) => sheet,
        Err(found) => return found,
    };
    let verdict = match sheet.verdict {
        acceptance::Verdict::Pass => Verdict::Pass,
        acceptance::Verdict::Fail => Verdict::Fail,
        acceptance::Verdict::NotJudged | acceptance::Verdict::Computed => Verdict::NotJudged,
    };
    // Where nothing is judged with its doubt, the first result is the one that the limit is for.
    let words = match &sheet.combined {
        Some(all) => sheet.result(&all.of).map(|result| {
            let value = with_unit(&result.value, &result.unit);
            format!("{value} (U = {})", with_unit(&all.expanded, &all.unit))
        }),
        None => sheet.results.first().map(|result| with_unit(&result.value, &result.unit)),
    };
    let words = words.unwrap_or_else(|| "no result".to_owned());
    Found { words, verdict, reason: sheet.reason.clone() }
}

/// A value with its unit; a ratio has none.
fn with_unit(value: &str, unit: &str) -> String {
    match unit {
        "" | "1" => value.to_owned(),
        unit => format!("{value} {unit}"),
    }
}

/// A span for people: "11 min", "12 h 00 min", with seconds where there are any.
fn span(seconds: u64) -> String {
    let (hours, minutes, left) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    match (hours, left) {
        (0, 0) => format!("{minutes} min"),
        (0, _) => format!("{minutes} min {left:02} s"),
        (_, 0) => format!("{hours} h {minutes:02} min"),
        _ => format!("{hours} h {minutes:02} min {left:02} s"),
    }
}

fn number_of<'c>(case: &Case<'c>, step: &str) -> &'c str {
    case.checklist.step(step).map_or("?", |step| step.number.as_str())
}

fn of_hold(case: &Case<'_>, step: &str, limit: &Limit) -> Found {
    let number = number_of(case, step);
    let Some(hold) = case.hold(step) else {
        return Found::not_judged(format!("The hold of step {number} was not begun."));
    };
    let Some(elapsed) = &hold.elapsed else {
        return Found::not_judged(format!("The hold of step {number} was begun and not ended."));
    };
    let Some(seconds) = elapsed.counted() else {
        return Found::not_judged(format!("The hold of step {number} ends before its start."));
    };
    let Ok(least) = quantity::parse(&limit.value, &Field::of(Dimension::Duration)) else {
        return Found::not_judged(format!("The limit “{}” is no span of time.", limit.value));
    };
    let words = format!("{} {}", span(seconds), elapsed.means());
    if Decimal::from(seconds) >= least.base() {
        Found::judged(words, true, format!("The hold of step {number} lasted {}.", span(seconds)))
    } else {
        // A hold that is too short shows nothing either way.
        Found {
            reason: format!(
                "The hold of step {number} lasted {}, shorter than {}.",
                span(seconds),
                limit.value
            ),
            words,
            verdict: Verdict::NotJudged,
        }
    }
}

fn of_table(case: &Case<'_>, step: &str) -> Found {
    let number = number_of(case, step);
    let Some(Asks::Table(asked)) = case.checklist.step(step).map(|step| &step.asks) else {
        return Found::not_judged(format!("Step {number} is no table."));
    };
    let Some(Answer::Tabulated { others, count, rows }) =
        case.answer(step).map(|given| &given.answer)
    else {
        return Found::not_judged(format!("The table of step {number} was not filled."));
    };
    let listed = case.record.lists.get(&asked.list);
    let bad: Vec<&str> =
        rows.iter().filter(|row| row.choice != asked.good).map(|row| row.row.as_str()).collect();
    if !bad.is_empty() || *others != asked.good {
        let words =
            if *others == asked.good { bad.join(", ") } else { format!("others: {others}") };
        let reason = format!("Step {number}: not every line is “{}”: {words}.", asked.good);
        return Found::judged(words, false, reason);
    }
    let lines = usize::try_from(*count).unwrap_or(usize::MAX);
    if let Some(listed) = listed
        && listed.len() != lines
    {
        return Found::not_judged(format!(
            "Step {number} covers {lines} lines; the position lists {}.",
            listed.len()
        ));
    }
    Found::judged(
        format!("{lines} lines, all “{}”", asked.good),
        true,
        format!("Step {number}: all {lines} lines are “{}”.", asked.good),
    )
}

fn of_choice(case: &Case<'_>, asked: &ChosenGood) -> Found {
    let number = number_of(case, &asked.step);
    let Some(Answer::Chosen { option }) = case.answer(&asked.step).map(|given| &given.answer)
    else {
        return Found::not_judged(format!("Nothing was chosen at step {number}."));
    };
    let words = match case.checklist.step(&asked.step).map(|step| &step.asks) {
        Some(Asks::Choice(choice)) => choice.options.iter().find(|one| one.id == *option),
        _ => None,
    };
    let words = words.map_or_else(|| option.clone(), |one| one.text.clone());
    let kept = asked.good.contains(option);
    let reason = format!("Step {number}: “{words}”.");
    Found::judged(words, kept, reason)
}

fn of_confirmation(case: &Case<'_>, step: &str) -> Found {
    let number = number_of(case, step);
    match case.answer(step).map(|given| &given.answer) {
        Some(Answer::Confirmed {}) => {
            Found::judged("confirmed".to_owned(), true, format!("Step {number} was confirmed."))
        }
        _ => Found::not_judged(format!("Step {number} was not confirmed.")),
    }
}

/// A named result of a calculation against a limit of the same kind.
fn of_result(case: &Case<'_>, asked: &ResultCompared, run: Option<&Run>, limit: &Limit) -> Found {
    let number = number_of(case, &asked.calculation);
    let sheet = match sheet_of(run) {
        Ok(sheet) => sheet,
        Err(found) => return found,
    };
    let Some(result) = sheet.result(&asked.name) else {
        return Found::not_judged(format!(
            "The calculation of step {number} gave no such result. {}",
            sheet.reason
        ));
    };
    if limit.rule == DecisionRule::Guarded {
        return Found::not_judged(
            "A guarded decision needs a calculation with its uncertainty; none is named.",
        );
    }
    let words = format!("{} {}", result.value, result.unit).trim().to_owned();
    let Some((found, edge)) = alike(&words, &limit.value) else {
        return Found::not_judged(format!("“{words}” can't be compared with “{}”.", limit.value));
    };
    let kept = match asked.side {
        Side::AtMost => found <= edge,
        Side::AtLeast => found >= edge,
    };
    let reason = format!(
        "Step {number}: {} is {words}, where {} {} is wanted.",
        result.meaning,
        asked.side.words(),
        limit.value
    );
    Found::judged(words, kept, reason)
}

/// Two texts as numbers of one kind: counts without a unit, or quantities of one dimension.
fn alike(found: &str, edge: &str) -> Option<(Decimal, Decimal)> {
    let count = |text: &str| text.replace('\u{2212}', "-").parse::<Decimal>().ok();
    if let (Some(found), Some(edge)) = (count(found), count(edge)) {
        return Some((found, edge));
    }
    Dimension::ALL.into_iter().find_map(|dimension| {
        let read = |text: &str| quantity::parse(text, &Field::of(dimension)).ok();
        let (found, edge) = (read(found)?, read(edge)?);
        Some((found.base(), edge.base()))
    })
}

/// A reading with the stated uncertainty of its instrument added.
fn of_doubtful(case: &Case<'_>, asked: &WithDoubt, limit: &Limit) -> Found {
    let number = number_of(case, &asked.step);
    let Some(given) = case.answer(&asked.step) else {
        return Found::not_judged(format!("The reading of step {number} is missing."));
    };
    let Answer::Read { reading } = &given.answer else {
        return Found::not_judged(format!("The reading of step {number} is missing."));
    };
    let stated = given
        .instrument
        .as_ref()
        .and_then(|used| used.calibration.as_ref())
        .and_then(|known| known.components.iter().find(|one| one.name == asked.component))
        .map(|component| component.value.as_str());
    let Some(stated) = stated else {
        return Found::not_judged(format!(
            "The uncertainty of the instrument of step {number} is not known from a calibration."
        ));
    };
    let difference = match reading.dimension {
        Dimension::GaugePressure | Dimension::AbsolutePressure => Dimension::PressureDifference,
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    };
    let (Ok(value), Ok(doubt), Ok(edge)) = (
        typed::reread(reading),
        quantity::parse(stated, &Field::of(difference)),
        quantity::parse(&limit.value, &Field::of(reading.dimension)),
    ) else {
        return Found::not_judged(format!(
            "Step {number} can't be compared with “{}”.",
            limit.value
        ));
    };
    if value.bound() != Bound::Exact {
        return Found::not_judged(format!("Step {number}: {value} is only a bound."));
    }
    let kept = value.base() + doubt.base().abs() <= edge.base();
    let words = format!("{value} + {stated}");
    let reason = format!("Step {number}: {words}, where at most {} is wanted.", limit.value);
    Found::judged(words, kept, reason)
}

fn of_reading(case: &Case<'_>, step: &str, limit: &Limit, at_least: bool) -> Found {
    let number = number_of(case, step);
    if limit.rule == DecisionRule::Guarded {
        return Found::not_judged(
            "A guarded decision needs a calculation with its uncertainty; none is named.",
        );
    }
    let Some(Answer::Read { reading }) = case.answer(step).map(|given| &given.answer) else {
        return Found::not_judged(format!("The reading of step {number} is missing."));
    };
    let (Ok(value), Ok(edge)) =
        (typed::reread(reading), quantity::parse(&limit.value, &Field::of(reading.dimension)))
    else {
        return Found::not_judged(format!(
            "Step {number} can't be compared with “{}”.",
            limit.value
        ));
    };
    let (value_base, edge_base) = (value.base(), edge.base());
    let bound_tells = match value.bound() {
        Bound::Exact => true,
        Bound::Above | Bound::AtLeast if at_least => value_base >= edge_base,
        Bound::Above | Bound::AtLeast => value_base > edge_base,
        Bound::Below | Bound::AtMost if at_least => value_base < edge_base,
        Bound::Below | Bound::AtMost => value_base <= edge_base,
    };
    if !bound_tells {
        return Found::not_judged(format!(
            "Step {number}: {value} is only a bound and leaves it open."
        ));
    }
    let kept = if at_least { value_base >= edge_base } else { value_base <= edge_base };
    let side = if at_least { "at least" } else { "at most" };
    Found::judged(
        value.to_string(),
        kept,
        format!("Step {number}: {value}, where {side} {} is wanted.", limit.value),
    )
}
