//! The alert rules, tried at every top-up with what was known on that day.

use quantity::significant;

use super::course::{Course, Interval};
use super::input::Reason;
use super::read::{List, Many, Much, Short};
use crate::stats::{count, median};

/// An alert.
#[derive(Debug, Clone)]
pub(super) struct Alert {
    /// Place of the top-up that raised it.
    pub(super) place: usize,
    /// Code of the rule.
    pub(super) rule: &'static str,
    pub(super) sentence: String,
}

/// All alerts, and what could not be said.
#[derive(Debug)]
pub(super) struct Raised {
    pub(super) alerts: Vec<Alert>,
    /// Place of the last fill after a repair.
    pub(super) repaired: Option<usize>,
    /// Rules that never had enough to say anything, with what they lack.
    pub(super) silent: Vec<String>,
}

impl Raised {
    /// Whether an alert still stands at the end of the list.
    pub(super) fn stands(&self, alert: &Alert) -> bool {
        self.repaired.is_none_or(|repaired| alert.place > repaired)
    }
}

/// Tries every rule at every top-up.
pub(super) fn raise(list: &List, course: &Course) -> Raised {
    let mut alerts = Vec::new();
    let mut silent = Vec::new();
    let (mut short_spoke, mut much_spoke) = (false, false);
    for place in 0..list.top_ups.len() {
        if let Some(rule) = list.short {
            let said = short(list, course, rule, place);
            short_spoke = short_spoke || said.is_some();
            alerts.extend(said.flatten());
        }
        if let Some(rule) = list.many {
            alerts.extend(many(list, rule, place));
        }
        if let Some(rule) = list.much {
            let said = much(list, course, rule, place);
            much_spoke = much_spoke || said.is_some();
            alerts.extend(said.flatten());
        }
    }
    if let Some(rule) = list.short.filter(|_| !short_spoke) {
        silent.push(format!(
            "the rule of short intervals needs {} earlier intervals and {} after them",
            rule.earlier, rule.in_a_row
        ));
    }
    if list.much.is_some() && !much_spoke {
        silent.push("the rule of the loss needs masses".to_owned());
    }
    Raised { alerts, repaired: last_repair(list, list.top_ups.len()), silent }
}

/// The last fill after a repair before a place.
fn last_repair(list: &List, before: usize) -> Option<usize> {
    list.top_ups.iter().take(before).rposition(|one| one.reason == Some(Reason::AfterRepair))
}

fn days(list: &List, place: usize) -> f64 {
    list.top_ups.get(place).map_or(f64::NAN, |one| one.days)
}

/// None when there isn't enough to say anything.
fn short(list: &List, course: &Course, rule: Short, place: usize) -> Option<Option<Alert>> {
    let first = place.checked_sub(rule.in_a_row)?;
    let run: Vec<&Interval> =
        course.intervals.iter().filter(|i| i.end > first && i.end <= place).collect();
    let from = rule.window.map(|window| days(list, first) - window);
    let earlier: Vec<f64> = course
        .intervals
        .iter()
        .filter(|i| i.counted && i.end <= first)
        .filter(|i| from.is_none_or(|from| days(list, i.end) >= from))
        .map(|i| i.days)
        .collect();
    if earlier.len() < rule.earlier {
        return None;
    }
    let usual = median(&earlier);
    let raised = run.iter().all(|i| i.counted && i.days <= rule.share * usual);
    Some(raised.then(|| Alert {
        place,
        rule: "short_intervals",
        sentence: format!(
            "{} of {} d against a median of {} d before: at most {} % of it, {} in a row.",
            if run.len() == 1 { "interval" } else { "intervals" },
            run.iter().map(|i| significant(i.days, 3)).collect::<Vec<_>>().join(", "),
            significant(usual, 3),
            significant(100.0 * rule.share, 3),
            rule.in_a_row
        ),
    }))
}

fn many(list: &List, rule: Many, place: usize) -> Option<Alert> {
    let now = days(list, place);
    let service = list.services.iter().rfind(|service| **service <= now);
    let from = match rule.within {
        Some(within) => now - within,
        // Before the first service of the list nobody knows when the last one was.
        None => *service?,
    };
    let since = last_repair(list, place + 1).map_or(0, |repaired| repaired + 1);
    let counted = list
        .top_ups
        .iter()
        .enumerate()
        .filter(|(at, one)| *at >= since && *at <= place && one.counts() && one.days >= from)
        .count();
    let here = list.top_ups.get(place)?;
    (here.counts() && counted >= rule.top_ups).then(|| Alert {
        place,
        rule: "many_top_ups",
        sentence: match rule.within {
            Some(within) => format!("{counted} top-ups within {} d.", significant(within, 3)),
            None => format!("{counted} top-ups since the last service."),
        },
    })
}

/// None when no mass is known.
fn much(list: &List, course: &Course, rule: Much, place: usize) -> Option<Option<Alert>> {
    let now = days(list, place);
    let since = last_repair(list, place + 1).unwrap_or(0);
    let losses: Vec<f64> = course
        .intervals
        .iter()
        .filter(|i| i.counted && i.end > since && i.end <= place)
        .filter(|i| rule.within.is_none_or(|within| now - days(list, i.end) <= within))
        .filter_map(|i| i.loss)
        .collect();
    if losses.is_empty() {
        return None;
    }
    let sum = losses.iter().sum::<f64>();
    Some((sum > rule.mass).then(|| Alert {
        place,
        rule: "much_lost",
        sentence: format!(
            "{} kg lost in {} intervals, above {} kg.",
            significant(sum, 4),
            significant(count(losses.len()), 3),
            significant(rule.mass, 4)
        ),
    }))
}
