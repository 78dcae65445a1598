//! Masses, intervals and the consumption over time.

use super::read::{List, ReadTopUp};
use crate::Flag;
use crate::circuit::{self, Counted, budget};
use crate::doubt::Budget;
use crate::stats::{Median, median, theil_sen};

/// From one top-up to the next.
#[derive(Debug, Clone, Copy)]
pub(super) struct Interval {
    /// Place of the top-up that ends it.
    pub(super) end: usize,
    pub(super) days: f64,
    /// Whether it counts as consumption.
    pub(super) counted: bool,
    /// Gas lost in it, in kg, where it is known.
    pub(super) loss: Option<f64>,
    /// Whether the loss follows from contents after and before, not from the mass added.
    pub(super) by_contents: bool,
}

/// What the whole list says.
#[derive(Debug)]
pub(super) struct Course {
    /// Mass added in each top-up in kg, where it is known.
    pub(super) added: Vec<Option<f64>>,
    /// Its standard uncertainty.
    pub(super) added_doubt: Vec<Option<f64>>,
    pub(super) intervals: Vec<Interval>,
    /// Median of the counted intervals in days.
    pub(super) median: Option<f64>,
    pub(super) total: Option<Total>,
    /// Slope of the summed loss in kg/d, by the median of all pairs.
    pub(super) trend: Option<Median>,
    /// Days since the first top-up and the sum of the losses in kg, for the figure.
    pub(super) sums: Vec<(f64, f64)>,
    pub(super) flags: Vec<Flag>,
}

/// The whole loss.
#[derive(Debug)]
pub(super) struct Total {
    /// In kg.
    pub(super) loss: f64,
    /// Days of the intervals whose loss is known.
    pub(super) days: f64,
    /// Doubt of the loss, where anything is stated.
    pub(super) doubt: Option<Budget>,
    /// The part of the weighing, in kg.
    pub(super) weighing: f64,
    /// Standard uncertainty of the loss, weighing included.
    pub(super) standard: Option<f64>,
}

/// Normal quantile for a one-sided bound of 95 %.
const Z: f64 = 1.644_853_626_951_472_2;
/// Fewest points of the sum for a trend.
const FEWEST: usize = 4;

/// Works the list out.
pub(super) fn course(list: &List) -> Course {
    let added: Vec<Option<f64>> = list.top_ups.iter().map(|one| added(list, one)).collect();
    let added_doubt = list.top_ups.iter().map(|one| added_doubt(list, one)).collect();
    let mut intervals = Vec::new();
    for (index, (last, this)) in list.top_ups.iter().zip(list.top_ups.iter().skip(1)).enumerate() {
        let contents = match (&list.circuit, &last.after, &this.before) {
            (Some((gas, parts)), Some(after), Some(before)) => {
                Some(after.mass(*gas, parts) - before.mass(*gas, parts))
            }
            _ => None,
        };
        let end = index + 1;
        intervals.push(Interval {
            end,
            days: this.days - last.days,
            counted: this.counts(),
            loss: contents.or_else(|| added.get(end).copied().flatten()),
            by_contents: contents.is_some(),
        });
    }
    let counted: Vec<f64> = intervals.iter().filter(|i| i.counted).map(|i| i.days).collect();
    let mut sums = vec![(0.0, 0.0)];
    let mut at_risk = vec![(0.0, 0.0)];
    let start = list.top_ups.first().map_or(0.0, |one| one.days);
    let (mut sum, mut days) = (0.0, 0.0);
    for interval in &intervals {
        let known = interval.loss.filter(|_| interval.counted);
        if let Some(loss) = known {
            sum += loss;
            days += interval.days;
            at_risk.push((days, sum));
        }
        let now = list.top_ups.get(interval.end).map_or(f64::NAN, |one| one.days);
        sums.push((now - start, sum));
    }
    let total = (at_risk.len() > 1).then(|| total(list, &intervals, sum, days));
    Course {
        median: (!counted.is_empty()).then(|| median(&counted)),
        trend: if at_risk.len() >= FEWEST { theil_sen(&at_risk, Z) } else { None },
        flags: flags(list, &intervals),
        added,
        added_doubt,
        intervals,
        total,
        sums,
    }
}

fn added(list: &List, one: &ReadTopUp) -> Option<f64> {
    match (&list.circuit, &one.before, &one.after) {
        (Some((gas, parts)), Some(before), Some(after)) => {
            Some(after.mass(*gas, parts) - before.mass(*gas, parts))
        }
        _ => one.weighed.map(|(mass, _)| mass),
    }
}

fn added_doubt(list: &List, one: &ReadTopUp) -> Option<f64> {
    match (&list.circuit, &one.before, &one.after) {
        (Some((gas, parts)), Some(before), Some(after)) => {
            let terms = [
                Counted { sign: -1.0, state: before, when: "before" },
                Counted { sign: 1.0, state: after, when: "after" },
            ];
            budget(*gas, parts, &terms, &list.instruments).map(|budget| budget.standard)
        }
        _ => one.weighed.and_then(|(_, doubt)| doubt),
    }
}

/// The loss of all counted intervals with its doubt.
fn total(list: &List, intervals: &[Interval], loss: f64, days: f64) -> Total {
    let names: Vec<[String; 2]> = (1..=list.top_ups.len())
        .map(|n| [format!("top-up {n} before"), format!("top-up {n} after")])
        .collect();
    let mut terms = Vec::new();
    let (mut weighed, mut weighed_whole, mut any_weighed) = (0.0, true, false);
    for interval in intervals.iter().filter(|interval| interval.counted) {
        let (Some(last), Some(this)) =
            (list.top_ups.get(interval.end - 1), list.top_ups.get(interval.end))
        else {
            continue;
        };
        let name = |place: usize, side: usize| {
            names.get(place).and_then(|pair| pair.get(side)).map_or("", String::as_str)
        };
        let mut count = |sign: f64, state, when| {
            if let Some(state) = state {
                terms.push(Counted { sign, state, when });
            }
        };
        if interval.by_contents {
            count(1.0, last.after.as_ref(), name(interval.end - 1, 1));
            count(-1.0, this.before.as_ref(), name(interval.end, 0));
        } else if let Some((_, doubt)) = this.weighed {
            any_weighed = true;
            weighed_whole = weighed_whole && doubt.is_some();
            weighed += doubt.map_or(0.0, |u| u * u);
        } else if interval.loss.is_some() {
            count(1.0, this.after.as_ref(), name(interval.end, 1));
            count(-1.0, this.before.as_ref(), name(interval.end, 0));
        }
    }
    let doubt = match &list.circuit {
        Some((gas, parts)) if !terms.is_empty() => budget(*gas, parts, &terms, &list.instruments),
        _ => None,
    };
    let read = doubt.as_ref().map(|budget| budget.standard);
    // A sum with a part of unknown doubt has none.
    let standard = match (read, terms.is_empty(), any_weighed) {
        (Some(u), false, _) if weighed_whole => Some(libm::sqrt(u * u + weighed)),
        (None, true, true) if weighed_whole => Some(libm::sqrt(weighed)),
        _ => None,
    };
    Total { loss, days, doubt, weighing: libm::sqrt(weighed), standard }
}

fn flags(list: &List, intervals: &[Interval]) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let counted = || intervals.iter().filter(|interval| interval.counted);
    let unknown = counted().filter(|interval| interval.loss.is_none()).count();
    let known = counted().count() - unknown;
    if unknown > 0 && known > 0 {
        flag(
            "losses_unknown",
            format!(
                "In {unknown} of {} intervals the loss is unknown; neither it nor their time is in \
                 the consumption.",
                unknown + known
            ),
        );
    }
    if counted().any(|interval| interval.loss.is_some() && !interval.by_contents) {
        flag(
            "filled_to_the_same",
            "Where contents after the last and before this top-up were not both read, the mass \
             added is taken for the loss; that is right if the circuit is filled to the same \
             contents each time."
                .to_owned(),
        );
    }
    if counted().any(|interval| interval.loss.is_some_and(|loss| loss < 0.0)) {
        flag(
            "gained_gas",
            "In an interval the contents seem to have grown: a reading is wrong, or a top-up is not \
             in the list."
                .to_owned(),
        );
    }
    let opened = intervals.len() - counted().count();
    if opened > 0 {
        flag(
            "intervals_not_counted",
            format!(
                "{opened} intervals end in a first fill or a fill after a repair; not counted."
            ),
        );
    }
    if list.days_only {
        flag(
            "days_only",
            "Where only the day is known, an interval may be up to a day off at each end."
                .to_owned(),
        );
    }
    if let Some((_, parts)) = &list.circuit {
        let terms: Vec<Counted<'_>> = list
            .top_ups
            .iter()
            .flat_map(|one| one.before.iter().chain(&one.after))
            .map(|state| Counted { sign: 1.0, state, when: "" })
            .collect();
        flags.extend(circuit::incomplete(parts, &terms, &list.instruments));
    }
    flags
}
