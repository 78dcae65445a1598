//! Compares what was found with each limit that the checklist names.

use ledger::EntryId;
use quantity::{Bound, Decimal, Dimension, Field};

use super::inputs::Run;
use super::{Case, LimitChecked, Verdict, limit_text, shares};
use crate::events::Answer;
use crate::source::{Asks, Compared, DecisionRule, Limit};
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
pub(super) fn check_all(case: &Case<'_>, run: &Run) -> Vec<LimitChecked> {
    case.checklist
        .acceptance
        .iter()
        .filter_map(|condition| {
            let limit = case.criteria.limit(&condition.limit)?;
            let found = match &condition.by {
                Compared::Calculation(_) => of_calculation(run),
                Compared::Hold(step) => of_hold(case, step, limit),
                Compared::Table(step) => of_table(case, step),
                Compared::AtLeast(step) => of_reading(case, step, limit, true),
                Compared::AtMost(step) => of_reading(case, step, limit, false),
                Compared::GaugeShare(share) => shares::of_gauge(case, share, limit),
                Compared::UncertaintyShare(_) => shares::of_uncertainty(run, limit),
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
            Compared::Table(step) | Compared::AtLeast(step) | Compared::AtMost(step) => {
                used.extend(case.answer(step).map(|given| given.stamp.entry));
            }
            Compared::GaugeShare(share) => {
                let steps = [&share.gauge, &share.barometer];
                used.extend(steps.iter().filter_map(|step| Some(case.answer(step)?.stamp.entry)));
            }
            Compared::Calculation(_) | Compared::UncertaintyShare(_) => {}
        }
    }
    used
}

fn of_calculation(run: &Run) -> Found {
    let Some(sheet) = &run.sheet else {
        return Found::not_judged(
            run.refused.clone().unwrap_or_else(|| "The checklist has no calculation.".into()),
        );
    };
    let verdict = match sheet.verdict {
        acceptance::Verdict::Pass => Verdict::Pass,
        acceptance::Verdict::Fail => Verdict::Fail,
        acceptance::Verdict::NotJudged | acceptance::Verdict::Computed => Verdict::NotJudged,
    };
    let words =
        sheet.combined.as_ref().and_then(|all| Some((sheet.result(&all.of)?, all))).map_or_else(
            || "no result".to_owned(),
            |(result, all)| {
                format!("{} {} (U = {} {})", result.value, result.unit, all.expanded, all.unit)
            },
        );
    Found { words, verdict, reason: sheet.reason.clone() }
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
