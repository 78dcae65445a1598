//! The sheet of a sweep.

use quantity::{Ratio, significant};

use super::CALCULATION;
use super::read::Sweep;
use crate::doubt::{Budget, Part, Stated, first_order};
use crate::form::Form;
use crate::{Axes, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet, Verdict};

const CROWL: &str = "D. A. Crowl, J. F. Louvar, Chemical Process Safety: Fundamentals with \
                     Applications, chapter on inerting (sweep-through)";
/// Measured and computed differ clearly when one is more than twice the other (common practice, no
/// source).
const TIMES: f64 = 2.0;
/// Points of the curve.
const POINTS: u32 = 60;

/// The sheet of a whole sweep.
pub(super) fn sheet(form: Form, sweep: &Sweep) -> Sheet {
    let computed = sweep.time.map(|time| sweep.left(time));
    let judged = sweep.measured.or(computed);
    let budget = budget(sweep);
    let u = budget.as_ref().map(|budget| budget.standard / 100.0);
    let decision = judged
        .and_then(|left| sweep.limit.as_ref().map(|limit| (limit, left)))
        .map(|(limit, left)| limit.judge(Ratio::from_fraction(left), u));
    let mut sentences = Vec::new();
    if let Some(left) = judged {
        sentences.push(format!(
            "{} % is left {}.",
            digits(left, 4),
            if sweep.measured.is_some() { "as measured" } else { "by calculation" }
        ));
    }
    if let Some(level) = sweep.limit.as_ref().map(|limit| limit.value.fraction()) {
        sentences.push(match sweep.volumes(level) {
            Some(volumes) => format!(
                "To {} % it takes {} volumes, {} min at this flow.",
                digits(level, 3),
                significant(volumes, 4),
                significant(volumes * sweep.volume / sweep.inside() / 60.0, 4)
            ),
            None => {
                "The purge gas itself holds as much as the limit or more; change it.".to_owned()
            }
        });
    }
    let verdict = match &decision {
        _ if sweep.dead_ends => {
            sentences.insert(
                0,
                "Not judged: a dead end is not swept; use cycles of pressure, and measure at each \
                 end."
                    .to_owned(),
            );
            Verdict::NotJudged
        }
        Some(decision) => {
            sentences.insert(0, format!("Fraction left {}.", decision.sentence));
            decision.verdict
        }
        None => Verdict::Computed,
    };
    if sentences.is_empty() {
        sentences.push(format!(
            "A volume passes in {} s.",
            significant(sweep.volume / sweep.inside(), 4)
        ));
    }
    Sheet {
        verdict,
        reason: sentences.join(" "),
        results: results(sweep, judged, u),
        working: working(sweep),
        combined: budget.as_ref().map(|budget| budget.combined("residual")),
        doubt: budget.map(|budget| budget.lines).unwrap_or_default(),
        rule: decision.map(|decision| decision.rule),
        validity: format!(
            "Steady flow through a volume that is mixed as K = {} says, at one pressure and \
             temperature. K is an assumption: measure at the far end before hydrogen is let in. Dead \
             ends, long bends and gas dissolved in oil are not swept.",
            significant(sweep.mixing, 3)
        ),
        sources: vec![CROWL.to_owned()],
        flags: flags(sweep, computed),
        figure: Some(figure(sweep)),
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// A fraction in percent.
fn digits(fraction: f64, digits: usize) -> String {
    significant(100.0 * fraction, digits)
}

/// The budget of the judged fraction in percent.
fn budget(sweep: &Sweep) -> Option<Budget> {
    let doubt = &sweep.doubt;
    let part = |source: &str, stated: &Option<Stated>, value: f64, scale: f64, unit| Part {
        source: source.to_owned(),
        statement: stated.as_ref().map_or_else(String::new, |stated| stated.text.clone()),
        value: value * scale,
        standard: stated.as_ref().map_or(0.0, |stated| stated.of(value)) * scale,
        unit,
    };
    if let Some(measured) = sweep.measured {
        doubt.analyser.as_ref()?;
        let parts = [part("analyser", &doubt.analyser, measured, 100.0, "%")];
        return Some(first_order(&parts, "%", |values| values.first().copied().unwrap_or(0.0)));
    }
    let time = sweep.time?;
    if doubt.flow.is_none() && doubt.volume.is_none() && doubt.mixing.is_none() {
        return None;
    }
    let parts = [
        part("flow", &doubt.flow, sweep.flow, 60_000.0, "L/min"),
        part("volume", &doubt.volume, sweep.volume, 1e3, "L"),
        part("mixing factor", &doubt.mixing, sweep.mixing, 1.0, "1"),
    ];
    let mut budget = first_order(&parts, "%", |values| {
        let [flow, volume, mixing] = *values else { return f64::NAN };
        let factor = sweep.inside() / sweep.flow;
        let changes = flow / 60_000.0 * factor * time / (mixing * volume / 1e3);
        100.0 * (sweep.supply + (sweep.start - sweep.supply) * libm::exp(-changes))
    });
    budget.lines.retain(|line| line.standard_uncertainty != "0");
    Some(budget)
}

fn results(sweep: &Sweep, judged: Option<f64>, u: Option<f64>) -> Vec<Outcome> {
    let mut out = Vec::new();
    let mut add = |name: &str, meaning: &str, value: String, unit: &str| {
        out.push(Outcome::new(name, meaning, value, unit));
    };
    if let Some(left) = judged {
        add("residual", "fraction left, as judged", digits(left, 6), "%");
    }
    if let Some(time) = sweep.time {
        let left = digits(sweep.left(time), 6);
        add("residual_computed", "fraction left by calculation", left, "%");
        let volumes = sweep.inside() * time / sweep.volume;
        let meaning = "volumes of purge gas that passed, at the state inside";
        add("volumes", meaning, significant(volumes, 6), "1");
        let litres = significant(sweep.inside() * time * 1e3, 6);
        add("gas_used", "purge gas used, at the state inside", litres, "L");
    }
    if let Some(level) = sweep.limit.as_ref().map(|limit| limit.value.fraction())
        && let Some(volumes) = sweep.volumes(level)
    {
        let meaning = "volumes that bring the fraction to the limit";
        add("volumes_needed", meaning, significant(volumes, 6), "1");
        let litres = significant(volumes * sweep.volume * 1e3, 6);
        add("gas_needed", "purge gas for it, at the state inside", litres, "L");
        let seconds = significant(volumes * sweep.volume / sweep.inside(), 6);
        add("time_needed", "time for it at this flow", seconds, "s");
    }
    if let (Some(first), Some(u), true) = (out.first_mut(), u, judged.is_some()) {
        first.standard_uncertainty = Some(significant(100.0 * u, 3));
    }
    out
}

fn working(sweep: &Sweep) -> Vec<Line> {
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
        Line::new(symbol, meaning, formula, significant(value, 8), unit)
    };
    let mut lines = vec![
        line("V", "volume that is swept", "as typed", 1e3 * sweep.volume, "L"),
        line("K", "mixing factor", "as typed", sweep.mixing, "1"),
        line("C_0", "fraction before", "as typed", 100.0 * sweep.start, "%"),
        line(
            "C_s",
            "fraction in the purge gas",
            "as typed; 0 where nothing is typed",
            100.0 * sweep.supply,
            "%",
        ),
    ];
    let formula = match sweep.states {
        None => "as typed",
        Some([(p_r, t_r), (p, t)]) => {
            lines.extend([
                line("Q_r", "flow as read", "as typed", 60_000.0 * sweep.flow, "L/min"),
                line("p_r", "pressure that the flow is meant at", "as typed", p_r / 1e3, "kPa"),
                line("T_r", "temperature that the flow is meant at", "in kelvin", t_r, "K"),
                line("p", "pressure inside", "as typed", p / 1e3, "kPa"),
                line("T", "temperature inside", "in kelvin", t, "K"),
            ]);
            "Q = Q_r·(p_r/p)·(T/T_r)"
        }
    };
    let flow = sweep.inside();
    lines.push(line("Q", "flow at the state inside", formula, 60_000.0 * flow, "L/min"));
    if let Some(time) = sweep.time {
        lines.push(line("t", "time of the sweep", "as typed", time / 60.0, "min"));
        let volumes = flow * time / sweep.volume;
        lines.push(line("N", "volumes that passed", "N = Q·t/V", volumes, "1"));
        let formula = "C = C_s + (C_0 − C_s)·e^(−N/K)";
        let left = 100.0 * sweep.left(time);
        lines.push(line("C", "fraction left", formula, left, "%").sourced(CROWL));
    }
    if let Some(level) = sweep.limit.as_ref().map(|limit| limit.value.fraction()) {
        lines.push(line("C_t", "fraction wanted, the limit", "as typed", 100.0 * level, "%"));
        if let Some(volumes) = sweep.volumes(level) {
            let formula = "N_t = K·ln[(C_0 − C_s)/(C_t − C_s)]";
            lines.push(line("N_t", "volumes needed", formula, volumes, "1").sourced(CROWL));
            let time = volumes * sweep.volume / flow / 60.0;
            lines.push(line("t_t", "time needed", "t_t = N_t·V/Q", time, "min"));
        }
    }
    lines
}

fn flags(sweep: &Sweep, computed: Option<f64>) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    if sweep.dead_ends {
        flag(
            "dead_ends",
            "What stands in a dead end stays there while the rest is swept clean; cycles of \
             pressure reach it."
                .to_owned(),
        );
    }
    if sweep.measured.is_none() {
        flag(
            "not_measured",
            "Nothing was measured; the mixing factor is an assumption.".to_owned(),
        );
    }
    if let (Some(measured), Some(computed)) = (sweep.measured, computed) {
        if measured > TIMES * computed {
            flag(
                "more_than_computed",
                format!(
                    "Measured {} %, computed {} %: poorer mixing than K says, a dead end, or air \
                     drawn in. Find out which.",
                    digits(measured, 3),
                    digits(computed, 3)
                ),
            );
        } else if computed > TIMES * measured {
            flag(
                "less_than_computed",
                format!(
                    "Measured {} %, computed {} %: better mixing than K says, or the analyser reads \
                     low. Check it in air.",
                    digits(measured, 3),
                    digits(computed, 3)
                ),
            );
        }
    }
    if sweep.mixing <= 1.0 {
        flag("fully_mixed", "K = 1 takes everything for stirred through.".to_owned());
    }
    if sweep.states.is_none() {
        flag(
            "flow_at_the_state_inside",
            "The flow is taken at the state inside. A meter in normal or standard litres, or at \
             another pressure, needs flow_state and inside."
                .to_owned(),
        );
    }
    flags
}

fn figure(sweep: &Sweep) -> Figure {
    let level = sweep.limit.as_ref().map(|limit| limit.value.fraction());
    let needed = level.and_then(|level| sweep.volumes(level));
    let passed = sweep.time.map(|time| sweep.inside() * time / sweep.volume);
    let end = 1.2 * needed.unwrap_or(0.0).max(passed.unwrap_or(0.0)).max(sweep.mixing);
    let at = |volumes: f64| {
        let left = sweep.left(volumes * sweep.volume / sweep.inside());
        Point::of(volumes, 100.0 * left)
    };
    let curve = (0..=POINTS).map(|step| at(end * f64::from(step) / f64::from(POINTS))).collect();
    let mut series = vec![Series::new("left", "fraction left", Drawn::Thick, curve)];
    if let Some(level) = level {
        let height = 100.0 * level;
        let points = vec![Point::of(0.0, height), Point::of(end, height)];
        series.push(Series::new("limit", "limit", Drawn::Dashed, points));
    }
    if let Some(passed) = passed {
        series.push(Series::new("here", "this sweep", Drawn::Points, vec![at(passed)]));
    }
    if let (Some(measured), Some(passed)) = (sweep.measured, passed) {
        let point = Point::of(passed, 100.0 * measured);
        series.push(Series::new("measured", "as measured", Drawn::Points, vec![point]));
    }
    Figure {
        axes: Some(Axes::LogY),
        ..Figure::lines(
            "What is left over the volumes that pass",
            "volumes of purge gas at the state inside",
            "fraction left in %",
            series,
        )
    }
}
