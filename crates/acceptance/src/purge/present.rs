//! The sheet of a purge.

use quantity::{
    Dimension, Measured, Ratio, Reading, Rule, StandardUncertainty, against_limit, decide,
    significant,
};

use super::CALCULATION;
use super::cycles::Course;
use super::input::Purge;
use crate::doubt::Budget;
use crate::form::Form;
use crate::pressure_decay::Rule as Asked;
use crate::{Flag, Line, Outcome, RuleShown, Sheet, Table, Verdict};

const CROWL: &str = "D. A. Crowl, J. F. Louvar, Chemical Process Safety: Fundamentals with \
                     Applications, chapter on inerting";
/// Measured and computed differ clearly when one is more than twice the other …
const TIMES: f64 = 2.0;
/// … and they are more than this part of the limit apart. Common practice, no source.
const PART: f64 = 0.2;

/// The sheet of a whole purge.
pub(super) fn sheet(form: Form, purge: &Purge, course: &Course, budget: Option<Budget>) -> Sheet {
    let judged = purge.measured.unwrap_or_else(|| course.computed());
    let u = budget.as_ref().map(|budget| budget.standard / 100.0);
    let doubt = u.map_or(StandardUncertainty::ZERO, StandardUncertainty::standard);
    let measured = Measured::new(judged, doubt);
    let guarded = purge.rule == Asked::Guarded;
    let rule = if guarded { Rule::Guarded { factor: 2.0 } } else { Rule::Simple };
    let decision = decide(&measured, quantity::Limit::AtMost(purge.limit), rule);
    let verdict = match decision.verdict {
        _ if guarded && u.is_none() => Verdict::NotJudged,
        quantity::Verdict::Pass => Verdict::Pass,
        quantity::Verdict::Fail => Verdict::Fail,
        quantity::Verdict::NotJudged => Verdict::NotJudged,
    };
    Sheet {
        verdict,
        reason: reason(purge, course, judged, verdict),
        results: results(purge, course, judged, u),
        working: working(purge, course),
        rule: Some(rule_shown(purge, u, decision.conformance)),
        combined: budget.as_ref().map(|budget| budget.combined("residual")),
        doubt: budget.map(|budget| budget.lines).unwrap_or_default(),
        validity: validity(purge),
        sources: sources(purge),
        flags: flags(purge, course),
        tables: vec![table(purge, course)],
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn rule_shown(purge: &Purge, u: Option<f64>, conformance: Option<f64>) -> RuleShown {
    let counts =
        "The measured fraction counts where there is one; else the larger of those computed.";
    let guarded = purge.rule == Asked::Guarded;
    let (name, text) = if guarded {
        (
            "guarded",
            "Guarded acceptance (JCGM 106:2012, 8.3): accepted if the fraction left ≤ limit − U, \
             unrounded, U the expanded uncertainty (k = 2).",
        )
    } else {
        (
            "simple",
            "Simple acceptance (JCGM 106:2012, 8.2): accepted if the fraction left ≤ limit, unrounded.",
        )
    };
    let edge = u.filter(|_| guarded).map(|u| 100.0 * (purge.limit.fraction() - 2.0 * u));
    RuleShown {
        name: name.to_owned(),
        text: format!("{text} {counts}"),
        limit: format!("{} %", purge.limit_percent),
        limit_source: purge.source.clone(),
        acceptance_limit: edge.map(|edge| format!("{} %", significant(edge, 5))),
        conformance_probability: u.and(conformance).map(|p| format!("{:.1}", 100.0 * p)),
    }
}

fn percent(purge: &Purge, value: Ratio) -> String {
    against_limit(100.0 * value.fraction(), &purge.limit_percent)
}

/// A fraction in percent with digits enough to go on with.
fn digits(fraction: f64) -> String {
    significant(100.0 * fraction, 6)
}

fn reason(purge: &Purge, course: &Course, judged: Ratio, verdict: Verdict) -> String {
    let side = match (verdict, purge.rule) {
        (Verdict::Pass, _) => "within",
        (Verdict::Fail, Asked::Guarded) => "not by the expanded uncertainty below",
        (Verdict::Fail, Asked::Simple) => "above",
        _ => "not judged without a stated uncertainty by the guarded rule against",
    };
    let limit = purge.limit_percent;
    let count = course.cycles.len();
    let cycles = if count == 1 { "1 cycle".to_owned() } else { format!("{count} cycles") };
    // Three digits, or more where the limit is near.
    let value = 100.0 * course.computed().fraction();
    let mut computed = significant(value, 3);
    if computed.parse::<f64>().is_ok_and(|rounded| {
        (rounded > 100.0 * purge.limit.fraction()) != (value > 100.0 * purge.limit.fraction())
    }) {
        computed = percent(purge, course.computed());
    }
    let mut text = match purge.measured {
        Some(_) => format!(
            "{} % is left as measured, {side} the limit of {limit} %; computed for {cycles}: \
             {computed} %.",
            percent(purge, judged)
        ),
        None => format!(
            "{computed} % is left after {cycles} by calculation, {side} the limit of {limit} %; \
             nothing was measured."
        ),
    };
    if verdict == Verdict::Fail {
        let enough = course.computed().fraction() <= purge.limit.fraction();
        let whole = course.whole().map(|whole| course.whole_real().map_or(whole, |r| r.max(whole)));
        text.push_str(&match whole {
            _ if enough => {
                " By calculation the cycles were enough: look for what holds back or lets \
                            in, then repeat and measure."
                    .to_owned()
            }
            Some(whole) => {
                format!(" Of cycles like these {whole} are needed. Repeat, then measure.")
            }
            None => " The purge gas itself holds more than the limit; change it.".to_owned(),
        });
    }
    text
}

fn results(purge: &Purge, course: &Course, judged: Ratio, u: Option<f64>) -> Vec<Outcome> {
    let residual =
        Outcome::new("residual", "fraction left, as judged", percent(purge, judged), "%");
    let mut out = vec![
        match u {
            Some(u) => residual.within(significant(100.0 * u, 3)),
            None => residual,
        },
        Outcome::new(
            "residual_ideal",
            "fraction left, by the ratio of pressures",
            digits(course.ideal()),
            "%",
        ),
    ];
    if let Some(real) = course.real() {
        let meaning = "fraction left, by the ratio of real densities of the purge gas";
        out.push(Outcome::new("residual_real", meaning, digits(real), "%"));
    }
    if let Some(measured) = purge.measured {
        let value = digits(measured.fraction());
        out.push(Outcome::new("residual_measured", "fraction left, as measured", value, "%"));
    }
    if let Some(whole) = course.whole() {
        let meaning = "cycles like these that bring the fraction to the limit, by calculation";
        out.push(Outcome::new("cycles_needed", meaning, format!("{whole}"), "1"));
    }
    if let Some(whole) = course.whole_real() {
        let meaning = "the same by the ratio of real densities";
        out.push(Outcome::new("cycles_needed_real", meaning, format!("{whole}"), "1"));
    }
    out.extend(used(purge, course));
    out.push(Outcome::new(
        "gas_volumes",
        "purge gas used, in volumes of the circuit at the pressure of the air, ideal gas",
        significant(course.volumes, 5),
        "1",
    ));
    out
}

/// The purge gas used, where the volume is known.
fn used(purge: &Purge, course: &Course) -> Vec<Outcome> {
    let Some(volume) = purge.volume else { return Vec::new() };
    let mut out = Vec::new();
    if let (Some((gas, kelvins)), Some(mass)) = (purge.real, course.mass) {
        let mass = mass * volume;
        let meaning =
            format!("{} used, real gas, at {} K", gas.name(), significant(kelvins.kelvins(), 6));
        out.push(Outcome::new("gas_mass", &meaning, significant(mass, 5), "kg"));
        let amount = mass / gas.equation().molar_mass();
        out.push(Outcome::new("gas_amount", "the same as amount", significant(amount, 5), "mol"));
    }
    let litres = course.volumes * volume * 1e3;
    let meaning = "purge gas used, litres at the pressure of the air and the circuit's temperature";
    out.push(Outcome::new("gas_litres", meaning, significant(litres, 5), "L"));
    out
}

fn working(purge: &Purge, course: &Course) -> Vec<Line> {
    let bar = |pascals: f64| significant(pascals / 1e5, 8);
    let mut lines = vec![
        Line::new(
            "p_b",
            "pressure of the air",
            "as typed",
            bar(purge.barometer.pascals()),
            "bar(a)",
        ),
        Line::new(
            "y_0",
            "fraction before the first cycle",
            "as typed",
            digits(purge.start.fraction()),
            "%",
        ),
        Line::new(
            "y_s",
            "fraction in the purge gas",
            "as typed; 0 where nothing is typed",
            digits(purge.supply.fraction()),
            "%",
        ),
    ];
    for (index, (cycle, done)) in purge.cycles.iter().zip(&course.cycles).enumerate() {
        let n = index + 1;
        let Some([low, high]) = purge.gauges.get(index) else { continue };
        let air = &purge.barometer_reading;
        let formula = |symbol: &str, reading: &Reading| {
            if reading.dimension() == Dimension::AbsolutePressure {
                return format!("{symbol}{n} = {reading}");
            }
            format!("{symbol}{n} = {reading} + {air}")
        };
        lines.extend([
            Line::new(
                &format!("p_L{n}"),
                &format!("absolute pressure before the purge gas, cycle {n}"),
                &formula("p_L", low),
                bar(cycle.low.pascals()),
                "bar(a)",
            ),
            Line::new(
                &format!("p_H{n}"),
                &format!("absolute pressure with the purge gas, cycle {n}"),
                &formula("p_H", high),
                bar(cycle.high.pascals()),
                "bar(a)",
            ),
            Line::new(
                &format!("y_{n}"),
                &format!("fraction left after cycle {n}, perfect mixing"),
                &format!("y_{n} = y_s + (y_{index} − y_s)·p_L{n}/p_H{n}"),
                digits(done.left),
                "%",
            )
            .sourced(CROWL),
        ]);
        if let Some((ratio, left)) = done.real {
            lines.extend(real_lines(purge, n, ratio, left));
        }
    }
    if let Some(needed) = course.needed {
        lines.push(
            Line::new(
                "n",
                "cycles that bring the fraction to the limit y_t, by the mean ratio",
                "n = ln((y_t − y_s)/(y_0 − y_s))/mean of ln(p_L/p_H)",
                significant(needed, 6),
                "1",
            )
            .sourced(CROWL),
        );
    }
    if let Some(needed) = course.needed_real {
        lines.push(Line::new(
            "n_r",
            "the same by the ratios of real densities",
            "n_r = ln((y_t − y_s)/(y_0 − y_s))/mean of ln(q)",
            significant(needed, 6),
            "1",
        ));
    }
    if let (Some(mass), Some(volume)) = (course.mass, purge.volume) {
        let litres = significant(1e3 * volume, 6);
        lines.push(Line::new("V", "volume of the circuit", "as typed", litres, "L"));
        let formula = "m = V·Σ(ρ(p_H, T) − ρ(p_L, T))";
        let value = significant(mass * volume, 7);
        lines.push(Line::new("m", "purge gas used", formula, value, "kg"));
    }
    lines.push(Line::new(
        "N",
        "purge gas used, in volumes of the circuit at p_b",
        "N = Σ(p_H − p_L)/p_b",
        significant(course.volumes, 8),
        "1",
    ));
    lines
}

fn real_lines(purge: &Purge, n: usize, ratio: f64, left: f64) -> Vec<Line> {
    let Some((gas, _)) = purge.real else { return Vec::new() };
    let before = if n == 1 { "y_0".to_owned() } else { format!("y_r{}", n - 1) };
    vec![
        Line::new(
            &format!("q_{n}"),
            &format!("ratio of densities of {}, cycle {n}", gas.name()),
            &format!("q_{n} = ρ(p_L{n}, T)/ρ(p_H{n}, T)"),
            significant(ratio, 7),
            "1",
        )
        .sourced(gas.equation().source()),
        Line::new(
            &format!("y_r{n}"),
            &format!("fraction left after cycle {n}, by densities"),
            &format!("y_r{n} = y_s + ({before} − y_s)·q_{n}"),
            digits(left),
            "%",
        ),
    ]
}

fn validity(purge: &Purge) -> String {
    let mut text = "Perfect mixing in every cycle, and the temperature back where it was before \
                    venting. A dead end, a long narrow line or gas dissolved in oil holds back more: \
                    measure before hydrogen is let in."
        .to_owned();
    if let Some((gas, temperature)) = purge.real {
        text.push_str(&format!(
            " Densities of {} at {} K; {}.",
            gas.name(),
            significant(temperature.kelvins(), 6),
            gas.equation().range()
        ));
    }
    text
}

fn sources(purge: &Purge) -> Vec<String> {
    let mut out = vec![CROWL.to_owned()];
    out.extend(purge.real.map(|(gas, _)| gas.equation().source().to_owned()));
    out
}

fn flags(purge: &Purge, course: &Course) -> Vec<Flag> {
    let mut flags = Vec::new();
    let mut flag = |code: &str, sentence: String| {
        flags.push(Flag { code: code.to_owned(), sentence });
    };
    let computed = course.computed().fraction();
    match purge.measured {
        None => flag(
            "not_measured",
            "Nothing was measured; the calculation takes perfect mixing for granted.".to_owned(),
        ),
        Some(measured) => {
            let (found, apart) = (measured.fraction(), (measured.fraction() - computed).abs());
            let clear = apart > PART * purge.limit.fraction();
            if clear && found > TIMES * computed {
                flag(
                    "more_than_computed",
                    format!(
                        "Measured {} %, computed {} %: poor mixing, a dead end, air drawn in, or a \
                         pressure misread. Find out which.",
                        digits(found),
                        digits(computed)
                    ),
                );
            } else if clear && computed > TIMES * found {
                flag(
                    "less_than_computed",
                    format!(
                        "Measured {} %, computed {} %: less than perfect mixing can leave. Check the \
                         analyser in air and the pressures typed.",
                        digits(found),
                        digits(computed)
                    ),
                );
            }
        }
    }
    if course.real().is_none() && purge.cycles.iter().any(|cycle| cycle.high.pascals() > 2e6) {
        flag(
            "ideal_gas_only",
            "Above 20 bar the ratio of densities differs from that of pressures; name purge gas and \
             temperature to have both."
                .to_owned(),
        );
    }
    flags
}

/// What is left after every cycle, a row each.
fn table(purge: &Purge, course: &Course) -> Table {
    let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
    let rows = purge
        .gauges
        .iter()
        .zip(&course.cycles)
        .enumerate()
        .map(|(index, ([low, high], done))| {
            vec![
                (index + 1).to_string(),
                low.to_string(),
                high.to_string(),
                significant(done.ratio, 5),
                digits(done.left),
                done.real.map_or_else(String::new, |(_, left)| digits(left)),
            ]
        })
        .collect();
    Table {
        name: "cycles".to_owned(),
        title: "What is left after every cycle".to_owned(),
        columns: texts(&["cycle", "low", "high", "p_L/p_H", "left %", "left by densities %"]),
        rows,
    }
}
