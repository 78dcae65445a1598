//! The sheet.

use quantity::{Duration, Ratio, significant};

use super::CALCULATION;
use super::estimate::{Tails, expected, freedom, on_demand, split};
use super::input::{Data, Interval, Set};
use crate::form::Form;
use crate::limit::Judged;
use crate::steps::{counted, curve, flag, gravest, outcome, step};
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet};

const NIST: &str = "NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1";
const CLOPPER: &str = "C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404";
const SPLIT: &str = "J. Przyborowski, H. Wilenski, Biometrika 31 (1940) 313";

/// What the sheet gathers.
#[derive(Default)]
struct Gathered {
    results: Vec<Outcome>,
    working: Vec<Line>,
    flags: Vec<Flag>,
    judged: Vec<(&'static str, Judged)>,
    sentences: Vec<String>,
    sources: Vec<String>,
}

pub(super) fn sheet(form: Form, data: &Data) -> Sheet {
    let mut all = Gathered::default();
    all.working.push(step("C", "confidence of the bounds", "as typed", data.confidence, "1"));
    let tails = data.tails();
    if let Some(low) = tails.low {
        all.working.push(step("α_L", "left out below", "α_L = (1 − C)/2", low, "1"));
    }
    let formula = if data.interval == Interval::TwoSided { "(1 − C)/2" } else { "1 − C" };
    all.working.push(step("α_U", "left out above", &format!("α_U = {formula}"), tails.high, "1"));
    let operating = data.operating.as_ref().map(|set| operating(&mut all, data, set, tails));
    if let Some(counts) = data.on_demand {
        demands(&mut all, data, counts, tails);
    }
    if let Some((first, second)) = data.operating.zip(data.compared) {
        compare(&mut all, data, first, second);
    }
    let verdict = gravest(all.judged.iter().map(|(_, judged)| judged.verdict));
    let mut reason: Vec<_> =
        all.judged.iter().map(|(what, judged)| format!("{what} {}.", judged.sentence)).collect();
    reason.append(&mut all.sentences);
    Sheet {
        verdict,
        reason: reason.join(" "),
        results: all.results,
        working: all.working,
        rule: all.judged.first().map(|(_, judged)| judged.rule.clone()),
        validity: "A constant failure rate: neither early failures nor wear, machines alike, \
                   failures independent of each other. Demands alike and independent. The bounds \
                   hold for the time and the conditions that were counted."
            .to_owned(),
        sources: all.sources,
        flags: all.flags,
        figure: operating.or_else(|| data.on_demand.map(|counts| demand_figure(counts, tails))),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn operating(all: &mut Gathered, data: &Data, set: &Set, tails: Tails) -> Figure {
    let failures = f64::from(set.failures);
    let (low, high) = expected(failures, set.at_failure, tails);
    let (rate_low, rate_high) = (low / set.hours, high / set.hours);
    let of_rate = freedom(failures, set.at_failure);
    all.sources.push(NIST.to_owned());
    let w = &mut all.working;
    w.push(step("r", "failures", "as typed", failures, "1"));
    w.push(step("T", "operating time", "as typed", set.hours, "h"));
    w.push(step("λ", "failure rate, estimate", "λ = r/T", failures / set.hours, "1/h"));
    if low > 0.0 {
        w.push(step("χ²_L", "quantile of chi-square", "χ²(α_L; 2r)", 2.0 * low, "1").sourced(NIST));
        w.push(step("λ_L", "lower bound of the rate", "λ_L = χ²_L/(2T)", rate_low, "1/h"));
    }
    w.push(step(
        "ν",
        "degrees of freedom",
        if set.at_failure { "ν = 2r" } else { "ν = 2r + 2" },
        of_rate,
        "1",
    ));
    w.push(step("χ²_U", "quantile of chi-square", "χ²(1 − α_U; ν)", 2.0 * high, "1").sourced(NIST));
    w.push(step("λ_U", "upper bound of the rate", "λ_U = χ²_U/(2T)", rate_high, "1/h"));
    w.push(step(
        "m_L",
        "lower bound of the mean time between failures",
        "m_L = 1/λ_U",
        1.0 / rate_high,
        "h",
    ));
    let r = &mut all.results;
    if set.failures > 0 {
        let meaning = "mean time between failures, estimate";
        r.push(outcome("mean_time", meaning, set.hours / failures, "h"));
    }
    r.push(outcome(
        "mean_time_low",
        "lower bound of the mean time between failures",
        1.0 / rate_high,
        "h",
    ));
    if low > 0.0 {
        let meaning = "upper bound of the mean time between failures";
        r.push(outcome("mean_time_high", meaning, 1.0 / rate_low, "h"));
    }
    let thousand = 1000.0;
    r.push(outcome("rate", "failures in 1000 h, estimate", thousand * failures / set.hours, "1"));
    if tails.low.is_some() {
        r.push(outcome("rate_low", "lower bound of failures in 1000 h", thousand * rate_low, "1"));
    }
    r.push(outcome("rate_high", "upper bound of failures in 1000 h", thousand * rate_high, "1"));
    all.sentences.push(format!(
        "{} in {} h: at {} % confidence the mean time between failures is at least {} h, at \
         most {} failures in 1000 h.",
        counted(set.failures, "failure"),
        significant(set.hours, 5),
        significant(100.0 * data.confidence, 4),
        significant(1.0 / rate_high, 4),
        significant(thousand * rate_high, 4)
    ));
    if set.failures == 0 {
        all.flags.push(flag(
            "no_failures",
            "Without any failure there is no estimate, only a bound: it says how much has been \
             shown, not that nothing will fail.",
        ));
        if tails.low.is_some() {
            all.flags.push(flag(
                "one_side_left_unused",
                "Without any failure the lower bound is zero: half of the doubt is set aside for \
                 nothing. Ask for the upper bound alone if that is what is meant.",
            ));
        }
    }
    if let Some(limit) = &data.limit {
        let judged = limit.judge(Duration::from_seconds(3600.0 / rate_high), None);
        all.judged.push(("Lower bound of the mean time between failures", judged));
        let least = limit.value.seconds() / 3600.0;
        let next = chi_for_more(failures, tails);
        let needed = (next * least - set.hours).max(0.0);
        if set.hours < next * least {
            let meaning = "further hours without failure that would show the limit";
            all.results.push(outcome("hours_needed", meaning, needed, "h"));
            let formula = "T_n = m_limit·χ²(1 − α_U; 2r + 2)/2 − T";
            all.working.push(step("T_n", meaning, formula, needed, "h"));
        }
    }
    time_figure(data, set, tails)
}

/// Expected failures of the upper bound when the count goes on without a failure.
fn chi_for_more(failures: f64, tails: Tails) -> f64 {
    expected(failures, false, tails).1
}

fn demands(all: &mut Gathered, data: &Data, (failures, demands): (u32, u32), tails: Tails) {
    let (r, n) = (f64::from(failures), f64::from(demands));
    let (low, high) = on_demand(r, n, tails);
    all.sources.push(CLOPPER.to_owned());
    let w = &mut all.working;
    w.push(step("r_d", "failures on demand", "as typed", r, "1"));
    w.push(step("n_d", "demands", "as typed", n, "1"));
    w.push(step("p", "probability of failure on demand, estimate", "p = r_d/n_d", r / n, "1"));
    if tails.low.is_some() {
        let formula = "p_L: the share α_L of Beta(r_d, n_d − r_d + 1) lies below; 0 for r_d = 0";
        w.push(step("p_L", "lower bound", formula, low, "1").sourced(CLOPPER));
    }
    let formula = "p_U: the share 1 − α_U of Beta(r_d + 1, n_d − r_d) lies below; 1 for r_d = n_d";
    w.push(step("p_U", "upper bound", formula, high, "1").sourced(CLOPPER));
    let results = &mut all.results;
    results.push(outcome("probability", "probability of failure on demand, estimate", r / n, "1"));
    if tails.low.is_some() {
        results.push(outcome("probability_low", "its lower bound", low, "1"));
    }
    results.push(outcome("probability_high", "its upper bound", high, "1"));
    all.sentences.push(format!(
        "{} in {}: at {} % confidence the probability of failure on \
         demand is at most {}.",
        counted(failures, "failure"),
        counted(demands, "demand"),
        significant(100.0 * data.confidence, 4),
        significant(high, 4)
    ));
    if let Some(limit) = &data.demand_limit {
        let judged = limit.judge(Ratio::from_fraction(high), None);
        all.judged.push(("Upper bound of the probability of failure on demand", judged));
    }
}

fn compare(all: &mut Gathered, data: &Data, first: Set, second: Set) {
    let share = first.hours / (first.hours + second.hours);
    let chance = split(first.failures, second.failures, share);
    all.sources.push(SPLIT.to_owned());
    let meaning = "share of the first set in the time of both";
    all.working.push(step("q", meaning, "q = T₁/(T₁ + T₂)", share, "1"));
    let formula = "sum of the binomial chances of all splits of r₁ + r₂ that are not likelier than \
                   the one seen, with q";
    let meaning = "chance of such a split were both rates the same";
    all.working.push(step("P", meaning, formula, chance, "1").sourced(SPLIT));
    all.results.push(outcome("same_rate", meaning, chance, "1"));
    let differ = chance < 1.0 - data.confidence;
    all.sentences.push(format!(
        "{} in {} h beside {} in {} h: {} (chance of such a split {}).",
        counted(first.failures, "failure"),
        significant(first.hours, 5),
        second.failures,
        significant(second.hours, 5),
        if differ { "the rates differ" } else { "no difference is shown" },
        significant(chance, 3)
    ));
    if first.at_failure || second.at_failure {
        all.flags.push(flag(
            "ended_at_failure",
            "The comparison holds for counts that were ended after a time; one was ended at a \
             failure.",
        ));
    }
}

/// The bound that has been shown against time without a further failure.
fn time_figure(data: &Data, set: &Set, tails: Tails) -> Figure {
    let failures = f64::from(set.failures);
    let next = chi_for_more(failures, tails);
    let least = data.limit.as_ref().map(|limit| limit.value.seconds() / 3600.0);
    let end = (2.0 * set.hours).max(least.map_or(0.0, |least| 1.1 * least * next));
    let now = set.hours / expected(failures, set.at_failure, tails).1;
    let mut series = vec![
        Series::new(
            "onward",
            "lower bound if no further failure comes",
            Drawn::Thin,
            curve(set.hours, end, 40, |hours| hours / next),
        ),
        Series::new("now", "shown so far", Drawn::Points, vec![Point::of(set.hours, now)]),
    ];
    if let Some(least) = least {
        let points = vec![Point::of(set.hours, least), Point::of(end, least)];
        series.push(Series::new("limit", "limit", Drawn::Dashed, points));
    }
    Figure::lines(
        "What is shown of the mean time between failures",
        "operating time in h",
        "lower bound of the mean time between failures in h",
        series,
    )
}

fn demand_figure((failures, demands): (u32, u32), tails: Tails) -> Figure {
    let (r, n) = (f64::from(failures), f64::from(demands));
    let bound = |n: f64| on_demand(r, n, tails).1;
    let series = vec![
        Series::new(
            "onward",
            "upper bound if no further failure comes",
            Drawn::Thin,
            curve(n, 3.0 * n, 40, bound),
        ),
        Series::new("now", "shown so far", Drawn::Points, vec![Point::of(n, bound(n))]),
    ];
    Figure::lines(
        "What is shown of the probability of failure on demand",
        "demands",
        "upper bound of the probability of failure on demand",
        series,
    )
}
