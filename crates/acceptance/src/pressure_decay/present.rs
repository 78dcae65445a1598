//! The sheet of a test: every step with symbol, formula, value, unit and source.

use quantity::{Duration, Temperature, scientific, significant};

use super::CALCULATION;
use super::decay::{Decay, STANDARD_PRESSURE};
use super::doubt::{Budget, Unit};
use super::figure::{figure, parts};
use super::input::{Rule, Test};
use super::judge::{Judgement, hours, percent, shown_loss};
use crate::form::Form;
use crate::gas::{MOLAR_GAS_CONSTANT, Slopes};
use crate::state::ReadState;
use crate::{Combined, DoubtLine, Line, Outcome, RuleShown, Sheet};

const GUM: &str = "JCGM 100:2008 (GUM) 5.1.2";
const CFR: &str = "form of 40 CFR 1065.644";
const GAS_CONSTANT: &str = "SI Brochure, 9th edition (2019), exact";
const E2930: &str = "ASTM E2930-13(2021) 5.1";
/// 0 °C and 20 °C in K, the two states that standard flows are given at.
const STATES: [(f64, &str); 2] = [(273.15, "0 °C"), (293.15, "20 °C")];

/// The sheet of a whole test.
pub(super) fn sheet(
    form: Form,
    test: &Test,
    decay: &Decay,
    budget: &Budget,
    judgement: &Judgement,
) -> Sheet {
    let equation = test.gas.equation();
    Sheet {
        verdict: judgement.verdict,
        reason: judgement.reason.clone(),
        results: results(test, decay, budget, judgement),
        working: working(test, decay, budget, judgement),
        doubt: doubt(budget),
        combined: Some(combined(judgement)),
        rule: Some(rule(test, judgement)),
        validity: format!(
            "A rigid, closed circuit with one gas at one temperature. Equation of {}: {}; {}. Its own \
             error is much the same at both readings and is not in the budget; it can't reach 0.02 % of \
             the contents.",
            test.gas.name(),
            equation.range(),
            equation.accuracy()
        ),
        sources: vec![
            equation.source().to_owned(),
            "40 CFR 1065.644 (loss from p/(Z·T) before and after)".to_owned(),
            "ASTM E2930-13(2021), pressure-decay leak test by mass (ratio of display to limit, change \
             of pressure)"
                .to_owned(),
            "JCGM 100:2008 (GUM), first-order propagation".to_owned(),
            "JCGM 106:2012, decision rules".to_owned(),
        ],
        flags: judgement.flags.clone(),
        figure: figure(test, decay),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn working(test: &Test, decay: &Decay, budget: &Budget, judgement: &Judgement) -> Vec<Line> {
    let mut lines = test.gas.equation().constants();
    lines.extend(state_lines(test, "₁", "start", &test.start, &decay.before));
    lines.extend(state_lines(test, "₂", "end", &test.end, &decay.after));
    lines.extend(loss_lines(test, decay));
    lines.extend(leak_lines(decay));
    lines.extend(drop_lines(decay));
    lines.extend(doubt_lines(budget, judgement));
    lines
}

/// Absolute pressure, kelvins, Z, density of one of the two states.
fn state_lines(test: &Test, n: &str, when: &str, read: &ReadState, at: &Slopes) -> Vec<Line> {
    let gas = test.gas.equation().source();
    let formula = read.pressure.formula(n);
    let bar = read.state.pressure.pascals() / 1e5;
    let kelvins = read.state.temperature.kelvins();
    vec![
        Line::new(
            &format!("p{n}"),
            &format!("absolute pressure at the {when}"),
            &formula,
            significant(bar, 8),
            "bar(a)",
        ),
        Line::new(
            &format!("T{n}"),
            &format!("gas temperature at the {when}"),
            &format!("T{n} = {} in kelvin", read.temperature),
            significant(kelvins, 7),
            "K",
        ),
        Line::new(
            &format!("Z{n}"),
            &format!("compressibility factor at the {when}"),
            &format!("Z{n} = 1 + Σ aᵢ·(100 K/T{n})^bᵢ·(p{n}/1 MPa)^cᵢ"),
            significant(at.compressibility, 9),
            "1",
        )
        .sourced(gas),
        Line::new(
            &format!("ρ{n}"),
            &format!("density at the {when}"),
            &format!("ρ{n} = p{n}·M/(Z{n}·R_g·T{n})"),
            significant(at.density, 8),
            "kg/m³",
        )
        .sourced(gas),
    ]
}

fn loss_lines(test: &Test, decay: &Decay) -> Vec<Line> {
    let in_percent = |fraction: f64| significant(100.0 * fraction, 6);
    vec![
        Line::new(
            "f",
            "part of the contents that is left",
            "f = (p₂/(Z₂·T₂))/(p₁/(Z₁·T₁)) = ρ₂/ρ₁",
            significant(decay.remaining().fraction(), 9),
            "1",
        )
        .sourced(CFR),
        Line::new(
            "L",
            "loss over the hold",
            "L = 100 %·(1 − f)",
            in_percent(decay.loss().fraction()),
            "%",
        ),
        Line::new(
            "L_ideal",
            "loss that an ideal gas would show, for comparison only",
            "L_ideal = 100 %·(1 − (p₂/T₂)/(p₁/T₁))",
            in_percent(decay.ideal_loss().fraction()),
            "%",
        ),
        Line::new(
            "Δt",
            "elapsed time",
            "end less start, elapsed",
            hours_exact(decay.elapsed()),
            "h",
        ),
        Line::new(
            "L_t",
            &format!("loss per {}", test.limit_per_text),
            &format!("L_t = L·({})/Δt", test.limit_per_text),
            in_percent(decay.loss_per(test.limit_per).fraction()),
            "%",
        ),
    ]
}

fn hours_exact(time: Duration) -> String {
    let hours = time.seconds() / 3600.0;
    significant(hours, 8).trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn leak_lines(decay: &Decay) -> Vec<Line> {
    let mut lines = vec![
        Line::new(
            "V",
            "volume of the circuit",
            "as typed",
            significant(decay.volume().cubic_metres(), 6),
            "m³",
        ),
        Line::new(
            "m₁",
            "contents at the start",
            "m₁ = V·ρ₁",
            significant(decay.mass_before().kilograms(), 8),
            "kg",
        ),
        Line::new(
            "m₂",
            "contents at the end",
            "m₂ = V·ρ₂",
            significant(decay.mass_after().kilograms(), 8),
            "kg",
        ),
        Line::new(
            "Δm",
            "mass lost",
            "Δm = V·(ρ₁ − ρ₂)",
            scientific(decay.mass_lost().kilograms(), 7),
            "kg",
        ),
        Line::new(
            "ṁ",
            "mass flow",
            "ṁ = Δm/Δt",
            scientific(decay.mass_flow().kilograms_per_second(), 7),
            "kg/s",
        ),
        Line::new(
            "ṅ",
            "molar flow",
            "ṅ = ṁ/M",
            scientific(decay.molar_flow().moles_per_second(), 7),
            "mol/s",
        ),
        Line::new(
            "R",
            "molar gas constant",
            "constant",
            MOLAR_GAS_CONSTANT.to_string(),
            "J/(mol·K)",
        )
        .sourced(GAS_CONSTANT),
    ];
    for (kelvins, state) in STATES {
        lines.push(Line::new(
            &format!("q({state})"),
            &format!("leak as pressure times volume of a second, at {state}"),
            &format!("q = ṅ·R·{kelvins} K"),
            scientific(leak(decay, kelvins), 7),
            "Pa·m³/s",
        ));
        lines.push(Line::new(
            &format!("q_std({state})"),
            &format!("leak in standard volume, ideal gas at {state} and 101 325 Pa"),
            &format!("q_std = ṅ·R·{kelvins} K/101 325 Pa·10⁶"),
            scientific(standard_flow(decay, kelvins), 7),
            "std cm³/s",
        ));
    }
    lines.push(Line::new(
        "V_n",
        "gas lost in normal litres, ideal gas at 0 °C and 101.325 kPa",
        "V_n = (Δm/M)·R·273.15 K/101.325 kPa",
        significant(normal_litres(decay), 5),
        "L",
    ));
    lines
}

fn leak(decay: &Decay, kelvins: f64) -> f64 {
    decay.leak(Temperature::from_kelvins(kelvins)).pascal_cubic_metres_per_second()
}

/// Standard flow in cm³/s at a temperature and one atmosphere.
fn standard_flow(decay: &Decay, kelvins: f64) -> f64 {
    leak(decay, kelvins) / STANDARD_PRESSURE * 1e6
}

fn normal_litres(decay: &Decay) -> f64 {
    decay.amount_lost().moles() * MOLAR_GAS_CONSTANT * 273.15 / (STANDARD_PRESSURE / 1e3)
}

fn drop_lines(decay: &Decay) -> Vec<Line> {
    let Some(parts) = parts(decay) else { return Vec::new() };
    let bar = |pascals: f64| significant(pascals / 1e5, 5);
    vec![
        Line::new(
            "p_tight",
            "absolute pressure that a tight circuit would show at T₂",
            "ρ(p_tight, T₂) = ρ₁, solved for p_tight",
            significant(parts.tight.pascals() / 1e5, 8),
            "bar(a)",
        ),
        Line::new("Δp", "drop as read", "Δp = p₁ − p₂", bar(parts.drop.pascals()), "bar"),
        Line::new(
            "Δp_T",
            "drop explained by the change of temperature",
            "Δp_T = p₁ − p_tight",
            bar(parts.by_temperature.pascals()),
            "bar",
        ),
        Line::new(
            "Δp_m",
            "drop by gas that left",
            "Δp_m = p_tight − p₂",
            bar(parts.by_leak.pascals()),
            "bar",
        ),
    ]
}

fn doubt_lines(budget: &Budget, judgement: &Judgement) -> Vec<Line> {
    vec![
        Line::new(
            "u(L)",
            "standard uncertainty of the loss over the hold",
            "u = √Σ(∂L/∂xᵢ·uᵢ)², see the budget",
            significant(100.0 * budget.loss.value(), 4),
            "%",
        )
        .sourced(GUM),
        Line::new(
            "U(L_t)",
            "expanded uncertainty of the loss on the limit's time base",
            "U = 2·u(L)·L_t/L",
            significant(100.0 * judgement.loss.expanded(2.0), 4),
            "%",
        ),
        Line::new(
            "u(Δm)",
            "standard uncertainty of the mass lost",
            "u = √Σ(∂Δm/∂xᵢ·uᵢ)²",
            scientific(budget.mass_lost().kilograms(), 4),
            "kg",
        )
        .sourced(GUM),
        Line::new(
            "t_min",
            "shortest hold by the gauge's display step δ",
            "t_min = 10·V·(∂ρ/∂p)₁·δ/ṁ_limit",
            hours(judgement.by_display),
            "h",
        )
        .sourced(E2930),
        Line::new(
            "t_u",
            "hold at which U(L_t) is a third of the limit, if u(L) stays as it is",
            "t_u = 3·2·u(L)·t_base/L_limit",
            hours(judgement.by_doubt),
            "h",
        ),
        Line::new(
            "t_4U",
            "hold in which the limit moves four times the expanded uncertainty of the mass lost",
            "t_4U = 4·2·u(Δm)/ṁ_limit",
            hours(judgement.by_accuracy),
            "h",
        )
        .sourced(E2930),
    ]
}

fn results(test: &Test, decay: &Decay, budget: &Budget, judgement: &Judgement) -> Vec<Outcome> {
    let u_loss = budget.loss.value();
    let relative = budget.mass_lost().kilograms() / decay.mass_lost().kilograms().abs();
    let flow = |value: f64| (scientific(value, 4), Some(scientific(relative * value.abs(), 2)));
    let mut out = Vec::new();
    let mut add = |name: &str, meaning: String, value: (String, Option<String>), unit: &str| {
        out.push(Outcome {
            name: name.to_owned(),
            meaning,
            value: value.0,
            unit: unit.to_owned(),
            standard_uncertainty: value.1,
        });
    };
    let in_percent = |fraction: f64| significant(100.0 * fraction, 2);
    add(
        "loss_scaled",
        format!("loss of contents per {}", test.limit_per_text),
        (shown_loss(test, judgement), Some(in_percent(judgement.loss.uncertainty.value()))),
        "%",
    );
    add(
        "loss",
        "loss of contents over the hold".to_owned(),
        (percent(decay.loss(), test), Some(in_percent(u_loss))),
        "%",
    );
    add(
        "drop",
        "drop of absolute pressure as read, for comparison only".to_owned(),
        (significant(100.0 * decay.drop().pascals() / decay.start().pressure.pascals(), 2), None),
        "%",
    );
    let u_mass = Some(scientific(budget.mass_lost().kilograms(), 4));
    add(
        "mass_lost",
        "mass lost".to_owned(),
        (scientific(decay.mass_lost().kilograms(), 4), u_mass),
        "kg",
    );
    add(
        "normal_litres",
        "gas lost in normal litres (0 °C, 101.325 kPa)".to_owned(),
        (significant(normal_litres(decay), 3), None),
        "L",
    );
    add(
        "mass_flow",
        "mass flow of the leak".to_owned(),
        flow(decay.mass_flow().kilograms_per_second()),
        "kg/s",
    );
    for (kelvins, state, name) in [(293.15, "20 °C", "20_c"), (273.15, "0 °C", "0_c")] {
        add(
            &format!("leak_{name}"),
            format!("leak at {state}"),
            flow(leak(decay, kelvins)),
            "Pa·m³/s",
        );
        add(
            &format!("standard_flow_{name}"),
            format!("leak in standard volume at {state} and 101 325 Pa"),
            flow(standard_flow(decay, kelvins)),
            &format!("std cm³/s ({state})"),
        );
    }
    for (name, meaning, time) in [
        (
            "shortest_hold_display",
            "shortest hold in which the limit moves the gauge by ten steps of its display",
            judgement.by_display,
        ),
        (
            "shortest_hold_accuracy",
            "hold in which the limit moves four times the expanded uncertainty (k = 2)",
            judgement.by_accuracy,
        ),
    ] {
        add(name, meaning.to_owned(), (hours(time), None), "h");
    }
    out
}

fn doubt(budget: &Budget) -> Vec<DoubtLine> {
    budget
        .sources
        .iter()
        .map(|source| {
            let u = source.standard.value();
            let (value, unit) = match source.unit {
                Unit::Pressure => (u / 1e5, "bar"),
                Unit::Temperature => (u, "K"),
                Unit::Volume => (u * 1e3, "L"),
                Unit::Relative => (u * 100.0, "%"),
            };
            DoubtLine {
                source: source.name.clone(),
                statement: source.statement.clone(),
                standard_uncertainty: significant(value, 3),
                unit: unit.to_owned(),
                contribution: significant(100.0 * source.loss.value(), 3),
                contribution_unit: "% of contents over the hold".to_owned(),
                share: format!("{:.1}", budget.share(source)),
                share_of_mass: Some(format!("{:.1}", budget.share_of_mass(source))),
            }
        })
        .collect()
}

fn combined(judgement: &Judgement) -> Combined {
    Combined {
        of: "loss_scaled".to_owned(),
        standard: significant(100.0 * judgement.loss.uncertainty.value(), 3),
        coverage_factor: "2".to_owned(),
        expanded: significant(100.0 * judgement.loss.expanded(2.0), 3),
        unit: "%".to_owned(),
    }
}

fn rule(test: &Test, judgement: &Judgement) -> RuleShown {
    let unit = format!("% of contents per {}", test.limit_per_text);
    let (name, text) = match (&test.rule, &test.guard) {
        (Rule::Guarded, Some((_, why))) => (
            "guarded",
            format!(
                "Guarded acceptance (JCGM 106:2012, 8.3): accepted if loss ≤ limit − w; {why}."
            ),
        ),
        _ => (
            "simple",
            "Simple acceptance (JCGM 106:2012, 8.2): accepted if loss ≤ limit, unrounded."
                .to_owned(),
        ),
    };
    RuleShown {
        name: name.to_owned(),
        text: format!(
            "{text} Not judged if the expanded uncertainty (k = 2) is more than a third of the limit."
        ),
        limit: format!("{} {unit}", test.limit_percent),
        limit_source: test.limit_source.clone(),
        acceptance_limit: test
            .guard
            .as_ref()
            .map(|_| format!("{} {unit}", significant(100.0 * judgement.acceptance.fraction(), 4))),
        conformance_probability: judgement.conformance.map(|p| probability(p.fraction())),
    }
}

/// A probability in percent, never rounded to certainty.
fn probability(p: f64) -> String {
    match p {
        p if p > 0.9999 => "more than 99.99".to_owned(),
        p if p < 0.0001 => "less than 0.01".to_owned(),
        p => format!("{:.2}", 100.0 * p),
    }
}
