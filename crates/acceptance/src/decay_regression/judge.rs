//! The verdict: first whether the test can be judged, then the decision rule.

use quantity::{Decimal, against_limit, significant};

use super::doubt::{Doubt, MILLIGRAMS_PER_HOUR};
use super::fit::Leak;
use super::read::{Kind, Test};
use crate::pressure_decay::Rule;
use crate::{Flag, Verdict};

/// The expanded uncertainty may be this part of the limit (the procedure's own rule, as in
/// `pressure-decay`).
const PART: f64 = 3.0;
/// Largest change of absolute pressure without a warning (ASTM E2930-13(2021) 5.1).
const LARGEST_CHANGE: f64 = 0.10;
/// A reading this many standard deviations off the line is pointed at. Common practice, no source.
const FAR: f64 = 3.0;
/// Fewest readings among which one can be called far.
const FEWEST: usize = 8;

/// A leak, in the unit in which it is judged.
#[derive(Debug, Clone)]
pub(super) struct Judged {
    pub(super) value: f64,
    /// Standard uncertainty by the scatter.
    pub(super) scatter: f64,
    /// Standard uncertainty of what the readings have in common.
    pub(super) common: f64,
    /// The bound that the guarded rule takes.
    pub(super) bound: f64,
    /// The bound if the residuals hang together, where they do.
    pub(super) correlated: Option<f64>,
    pub(super) limit: f64,
    pub(super) unit: String,
    /// The limit as a flow in kg/s.
    pub(super) limit_flow: f64,
}

/// What was decided, and on what.
#[derive(Debug)]
pub(super) struct Judgement {
    pub(super) verdict: Verdict,
    pub(super) reason: String,
    pub(super) flags: Vec<Flag>,
    /// None where no limit is given.
    pub(super) judged: Option<Judged>,
    /// The bound of the flow in kg/s: by the scatter alone, and with what is common.
    pub(super) bounds: (f64, f64),
    /// The factor by which the scatter of the slope grows if residuals hang together.
    pub(super) growth: Option<f64>,
}

/// Judges a test.
pub(super) fn judge(test: &Test, leak: &Leak, doubt: &Doubt) -> Judgement {
    let statistical = leak.flow + leak.quantile * leak.slope_standard;
    let growth = growth(leak);
    let bounds = (statistical, statistical + test.quantile * doubt.common_flow);
    let judged = judged(test, leak, doubt, growth);
    let flags = flags(test, leak, growth);
    let flow = significant(leak.flow * MILLIGRAMS_PER_HOUR, 4);
    let (verdict, reason) = match (&judged, &test.limit) {
        (Some(judged), Some((limit, rule))) => {
            let obstacles = obstacles(test, leak, judged, *rule);
            let shown = shown(judged, &limit.digits, *rule);
            if obstacles.is_empty() {
                decided(judged, *rule, &limit.digits, &shown)
            } else {
                let text = format!(
                    "Not judged: {}. The leak computed is {} {}, against a limit of {} {}.",
                    obstacles.join("; "),
                    shown.0,
                    judged.unit,
                    limit.digits,
                    judged.unit
                );
                (Verdict::NotJudged, text)
            }
        }
        _ => {
            let text = format!(
                "Leak of {flow} mg/h by {} readings over {} h; below {} mg/h with a probability of \
                 {} %. No limit was given.",
                leak.used.len(),
                hours(leak.hold),
                significant(bounds.1 * MILLIGRAMS_PER_HOUR, 4),
                percent(test.confidence)
            );
            (Verdict::Computed, text)
        }
    };
    Judgement { verdict, reason, flags, judged, bounds, growth }
}

/// A probability in percent, without zeros behind.
pub(super) fn percent(p: f64) -> String {
    significant(100.0 * p, 6).trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A time in hours, for sentences.
pub(super) fn hours(seconds: f64) -> String {
    significant(seconds / 3600.0, 4)
}

fn judged(test: &Test, leak: &Leak, doubt: &Doubt, growth: Option<f64>) -> Option<Judged> {
    let (limit, _) = test.limit.as_ref()?;
    let (per_flow, unit, common) = match &limit.kind {
        Kind::Loss { per, per_text } => (
            leak.percent_per(1.0, *per),
            format!("% of contents per {per_text}"),
            doubt.common_loss,
        ),
        Kind::Flow { unit, kilograms_per_second } => {
            let factor = 1.0 / kilograms_per_second;
            (factor, unit.clone(), doubt.common_flow * factor)
        }
    };
    let (value, scatter) = (leak.flow * per_flow, leak.slope_standard * per_flow);
    let bound = |growth: f64| value + leak.quantile * scatter * growth + test.quantile * common;
    Some(Judged {
        value,
        scatter,
        common,
        bound: bound(1.0),
        correlated: growth.map(bound),
        limit: limit.value,
        unit,
        limit_flow: limit.value / per_flow,
    })
}

/// How much larger the slope's scatter is if each residual pulls the next one along.
fn growth(leak: &Leak) -> Option<f64> {
    let r = leak.correlation?;
    let n = crate::stats::count(leak.used.len());
    (r > 2.0 / libm::sqrt(n)).then(|| libm::sqrt((1.0 + r) / (1.0 - r).max(1e-3)))
}

impl Judged {
    /// Expanded uncertainty, k = 2.
    pub(super) fn expanded(&self) -> f64 {
        2.0 * libm::hypot(self.scatter, self.common)
    }
}

fn obstacles(test: &Test, leak: &Leak, judged: &Judged, rule: Rule) -> Vec<String> {
    let mut out = Vec::new();
    if -judged.value > judged.expanded() {
        out.push(format!(
            "the circuit seems to have gained {} {}, more than the doubt explains, and a closed \
             circuit can't; check that the right gas is named, that the source is isolated and its \
             hose off, and where the temperature was taken",
            significant(-judged.value, 2),
            judged.unit
        ));
    }
    if let Some(asked) = test.required_hold
        && leak.hold < asked
    {
        let (mut lasted, asked) = (hours(leak.hold), hours(asked));
        if lasted == asked {
            lasted = significant(leak.hold / 3600.0, 7);
        }
        out.push(format!(
            "the readings used span {lasted} h, and the procedure asks for {asked} h"
        ));
    }
    let by_display = leak.by_display(judged.limit_flow);
    if leak.hold < by_display {
        out.push(format!(
            "a gauge that steps by {} bar needs at least {} h to show the limit in ten steps, and \
             the readings used span {} h; go on or use a finer gauge",
            significant(leak.gauge_step / 1e5, 3),
            hours(by_display),
            hours(leak.hold)
        ));
    }
    let expanded = judged.expanded();
    if PART * expanded > judged.limit {
        out.push(format!(
            "the expanded uncertainty (k = 2) is {} {}, more than a third of the limit, {}; go on \
             for longer or use better instruments",
            significant(expanded, 3),
            judged.unit,
            significant(judged.limit / PART, 3)
        ));
    }
    if let (Rule::Guarded, Some(wider)) = (rule, judged.correlated)
        && judged.bound <= judged.limit
        && wider > judged.limit
    {
        out.push(format!(
            "the residuals hang together, and with that the bound is {} {}, above the limit; find \
             out what moved them, often a temperature that runs ahead of the gas",
            significant(wider, 4),
            judged.unit
        ));
    }
    out
}

/// Value and bound with digits that show on which side of the limit they lie.
fn shown(judged: &Judged, digits: &Decimal, rule: Rule) -> (String, String) {
    let one = |value: f64| {
        // A limit of many or few digits: four digits at least, or more where they are needed.
        let text = significant(value, 4);
        let same = text
            .parse::<f64>()
            .is_ok_and(|rounded| (rounded > judged.limit) == (value > judged.limit));
        if same { text } else { against_limit(value, digits) }
    };
    let bound = if rule == Rule::Guarded { one(judged.bound) } else { String::new() };
    (one(judged.value), bound)
}

fn decided(
    judged: &Judged,
    rule: Rule,
    digits: &Decimal,
    shown: &(String, String),
) -> (Verdict, String) {
    let compared = match rule {
        Rule::Simple => judged.value,
        Rule::Guarded => judged.bound,
    };
    let within = compared <= judged.limit;
    let side = if within { "not above" } else { "above" };
    let limit = format!("the limit of {digits} {}", judged.unit);
    let uncertainty = significant(judged.expanded(), 2);
    let text = match rule {
        Rule::Simple => format!(
            "Leak of {} {}, {side} {limit}. Expanded uncertainty (k = 2) {uncertainty}.",
            shown.0, judged.unit
        ),
        Rule::Guarded => format!(
            "Leak of {} {}; its bound of {} is {side} {limit}. Expanded uncertainty (k = 2) \
             {uncertainty}.",
            shown.0, judged.unit, shown.1
        ),
    };
    (if within { Verdict::Pass } else { Verdict::Fail }, text)
}

fn flags(test: &Test, leak: &Leak, growth: Option<f64>) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let left: Vec<usize> = (0..test.samples.len()).filter(|at| !leak.used.contains(at)).collect();
    if let Some(with_all) = leak.with_all {
        flag(
            "readings_left_out",
            format!(
                "{} of {} readings are left out by a person; with all of them the leak would be {} \
                 mg/h instead of {}.",
                left.len(),
                test.samples.len(),
                significant(with_all * MILLIGRAMS_PER_HOUR, 4),
                significant(leak.flow * MILLIGRAMS_PER_HOUR, 4)
            ),
        );
    }
    if leak.used.len() == 2 {
        flag(
            "two_readings",
            "Two readings show no scatter; only the steps of the displays are counted.".to_owned(),
        );
    } else if leak.scatter > leak.fit.scatter.unwrap_or(0.0) {
        flag(
            "scatter_of_the_displays",
            "The residuals are smaller than the steps of the displays explain; theirs are counted."
                .to_owned(),
        );
    }
    if let (Some(r), Some(growth)) = (leak.correlation, growth) {
        flag(
            "residuals_hang_together",
            format!(
                "Each residual resembles the next (correlation {}): something moved slowly. Counted \
                 so, the scatter of the leak would be {} times as large.",
                significant(r, 2),
                significant(growth, 3)
            ),
        );
    }
    if let Some((place, far)) =
        leak.furthest.filter(|(_, far)| *far > FAR && leak.used.len() >= FEWEST)
    {
        flag(
            "reading_far_off",
            format!(
                "Reading {} lies {} standard deviations off the line. Nothing is left out without a \
                 person's reason: look at it.",
                place + 1,
                significant(far, 2)
            ),
        );
    }
    let pressures = || {
        leak.used.iter().filter_map(|at| test.samples.get(*at)).map(|s| s.state.pressure.pascals())
    };
    if let (Some(first), Some(last)) = (pressures().next(), pressures().next_back())
        && ((first - last) / first).abs() > LARGEST_CHANGE
    {
        flag(
            "pressure_change",
            format!(
                "The absolute pressure changed by {} % of the starting pressure, more than 10 %; \
                 the method is meant for smaller changes.",
                significant(100.0 * (first - last) / first, 3)
            ),
        );
    }
    if !test.doubted {
        flag(
            "systematic_not_stated",
            "Nothing is stated about the instruments; the bound holds the scatter alone."
                .to_owned(),
        );
    } else if test.common.gauge_drift.is_none() {
        flag(
            "gauge_drift_not_stated",
            "No drift of the gauge is stated; none is in the budget, and the scatter can't show it."
                .to_owned(),
        );
    }
    if test.by_moments {
        flag(
            "elapsed_from_moments",
            "The times are differences of claimed moments, not of a clock that ran through the hold."
                .to_owned(),
        );
    }
    flags
}
