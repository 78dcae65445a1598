//! The sheet of a test.

use quantity::{scientific, significant};

use super::CALCULATION;
use super::doubt::{Doubt, MILLIGRAMS_PER_HOUR};
use super::figure::{figure, table};
use super::fit::Leak;
use super::judge::{Judgement, hours, percent};
use super::read::{Kind, Test};
use crate::circuit::volume_lines;
use crate::form::Form;
use crate::gas::MOLAR_GAS_CONSTANT;
use crate::pressure_decay::{Rule, STANDARD_PRESSURE};
use crate::{Combined, Line, Outcome, RuleShown, Sheet};

const GUM: &str = "JCGM 100:2008 (GUM) 5.1.2";
const REGRESSION: &str = "JCGM 100:2008 (GUM) H.3, least squares";
const E2930: &str = "ASTM E2930-13(2021) 5.1";
/// States that standard flows are given at, with the names of the results.
const STATES: [(f64, &str, &str); 4] = [
    (273.15, "0 °C", "0_c"),
    (288.15, "15 °C", "15_c"),
    (293.15, "20 °C", "20_c"),
    (298.15, "25 °C", "25_c"),
];
/// The factor 4 of accuracy to limit (ASTM E2930-13(2021) 5.1).
const ACCURACY: f64 = 4.0;

/// The sheet of a whole test.
pub(super) fn sheet(
    form: Form,
    test: &Test,
    leak: &Leak,
    doubt: &Doubt,
    judgement: &Judgement,
) -> Sheet {
    let equation = test.gas.equation();
    let budget = doubt.loss.as_ref().unwrap_or(&doubt.flow);
    let of = if doubt.loss.is_some() { "loss_scaled" } else { "flow" };
    Sheet {
        verdict: judgement.verdict,
        reason: judgement.reason.clone(),
        results: results(test, leak, doubt, judgement),
        working: working(test, leak, doubt, judgement),
        doubt: budget.lines.clone(),
        combined: Some(Combined { of: of.to_owned(), ..budget.combined(of) }),
        rule: rule(test, judgement),
        validity: format!(
            "A rigid, closed circuit with one gas under one pressure, {}, and a leak that stays the \
             same over the hold. Equation of {}: {}; {}. Its own error is much the same at all \
             readings and is not in the budget.",
            if test.parts.len() > 1 {
                "each part at its own temperature"
            } else {
                "at one temperature"
            },
            test.gas.name(),
            equation.range(),
            equation.accuracy()
        ),
        sources: vec![
            equation.source().to_owned(),
            "ASTM E2930-13(2021), pressure-decay leak test by mass (ratios of display and accuracy \
             to the limit)"
                .to_owned(),
            "JCGM 100:2008 (GUM), first-order propagation and least squares (H.3)".to_owned(),
            "JCGM 106:2012, decision rules".to_owned(),
        ],
        flags: judgement.flags.clone(),
        figure: Some(figure(test, leak)),
        tables: vec![table(test, leak)],
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn results(test: &Test, leak: &Leak, doubt: &Doubt, judgement: &Judgement) -> Vec<Outcome> {
    let relative = doubt.flow.standard / MILLIGRAMS_PER_HOUR / leak.flow.abs();
    let mut out = Vec::new();
    if let (Some(budget), Some((limit, _)), Some(judged)) =
        (&doubt.loss, &test.limit, &judgement.judged)
        && let Kind::Loss { per_text, .. } = &limit.kind
    {
        let meaning = format!("loss of contents per {per_text}");
        let value = significant(judged.value, 4);
        let outcome = Outcome::new("loss_scaled", &meaning, value, "%");
        out.push(outcome.within(significant(budget.standard, 2)));
        let meaning = format!("bound of the loss of contents per {per_text}");
        out.push(Outcome::new("loss_bound", &meaning, significant(judged.bound, 4), "%"));
    }
    let milligrams = |value: f64| significant(value * MILLIGRAMS_PER_HOUR, 5);
    let p = percent(test.confidence);
    out.push(
        Outcome::new("flow", "leak by the line", milligrams(leak.flow), "mg/h")
            .within(significant(doubt.flow.standard, 3)),
    );
    out.push(Outcome::new(
        "flow_bound_scatter",
        &format!("leak below which the true one lies with {p} % by the scatter alone"),
        milligrams(judgement.bounds.0),
        "mg/h",
    ));
    out.push(Outcome::new(
        "flow_bound",
        &format!("the same, with what the readings have in common added ({p} % each)"),
        milligrams(judgement.bounds.1),
        "mg/h",
    ));
    if let Some(growth) = judgement.growth {
        let bound = judgement.bounds.1 + (growth - 1.0) * leak.quantile * leak.slope_standard;
        let meaning = "the same, if each residual pulls the next one along";
        out.push(Outcome::new("flow_bound_correlated", meaning, milligrams(bound), "mg/h"));
    }
    let mut flow = |name: &str, meaning: String, value: f64, unit: &str| {
        let u = scientific(relative * value.abs(), 2);
        out.push(Outcome::new(name, &meaning, scientific(value, 5), unit).within(u));
    };
    flow("mass_flow", "leak by the line".to_owned(), leak.flow, "kg/s");
    let molar = leak.flow / test.gas.equation().molar_mass();
    flow("molar_flow", "leak as amount".to_owned(), molar, "mol/s");
    for (kelvins, state, name) in STATES {
        let pressure_volume = molar * MOLAR_GAS_CONSTANT * kelvins;
        flow(&format!("leak_{name}"), format!("leak at {state}"), pressure_volume, "Pa·m³/s");
        flow(
            &format!("standard_flow_{name}"),
            format!("leak in standard volume at {state} and 101 325 Pa"),
            pressure_volume / STANDARD_PRESSURE * 1e6,
            &format!("std cm³/s ({state})"),
        );
    }
    let start = significant(leak.start, 7);
    out.push(Outcome::new("mass", "contents at the first reading by the line", start, "kg"));
    let used = leak.used.len().to_string();
    out.push(Outcome::new("readings_used", "readings used", used, "1"));
    if let Some(judged) = &judgement.judged {
        for (name, meaning, seconds) in [
            (
                "shortest_hold_display",
                "shortest hold in which the limit moves the gauge by ten steps of its display",
                leak.by_display(judged.limit_flow),
            ),
            (
                "shortest_hold_accuracy",
                "hold in which the limit moves four times the expanded uncertainty (k = 2), as many \
                 readings taken",
                leak.hold * ACCURACY * judged.expanded() / judged.limit,
            ),
        ] {
            out.push(Outcome::new(name, meaning, hours(seconds), "h"));
        }
    }
    out
}

fn working(test: &Test, leak: &Leak, doubt: &Doubt, judgement: &Judgement) -> Vec<Line> {
    let mut lines = test.gas.equation().constants();
    lines.extend(volume_lines(&test.parts));
    let origin = leak.used.first().and_then(|first| leak.masses.get(*first)).copied();
    let origin = origin.unwrap_or(f64::NAN);
    let mut add = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
        lines.push(Line::new(symbol, meaning, formula, value, unit));
    };
    add(
        "m_i",
        "mass at each reading, see the table",
        "m_i = Σ Vₖ·p_i·M/(Zₖ,i·R_g·Tₖ,i)",
        format!("{} values", leak.masses.len()),
        "kg",
    );
    add("n", "readings used", "count", leak.used.len().to_string(), "1");
    add("t̄", "mean time", "t̄ = Σt_i/n", significant(leak.fit.mean_x / 3600.0, 8), "h");
    add("m̄", "mean mass", "m̄ = Σm_i/n", significant(origin + leak.fit.mean_y, 10), "kg");
    add(
        "S",
        "spread of the times",
        "S = Σ(t_i − t̄)²",
        significant(leak.fit.spread / 3600.0 / 3600.0, 8),
        "h²",
    );
    add(
        "ṁ",
        "leak by the line",
        "ṁ = −Σ(t_i − t̄)·(m_i − m̄)/S",
        significant(leak.flow * MILLIGRAMS_PER_HOUR, 8),
        "mg/h",
    );
    add(
        "m₀",
        "contents at the first reading used, by the line",
        "m₀ = m̄ + ṁ·(t̄ − t₁)",
        significant(leak.start, 9),
        "kg",
    );
    let milligrams = |kilograms: f64| significant(kilograms * 1e6, 6);
    if let Some(scatter) = leak.fit.scatter {
        add("s", "scatter about the line", "s = √(Σe_i²/(n − 2))", milligrams(scatter), "mg");
    }
    add(
        "s_δ",
        "scatter that the steps δ of the displays explain",
        "s_δ = √(mean of Σ(∂m/∂x·δ_x)²/12)",
        milligrams(leak.display),
        "mg",
    );
    add(
        "s_b",
        "standard uncertainty of the leak by the scatter",
        "s_b = max(s, s_δ)/√S",
        significant(leak.slope_standard * MILLIGRAMS_PER_HOUR, 6),
        "mg/h",
    );
    let p = percent(test.confidence);
    let (symbol, formula) = if leak.fit.scatter.is_some() {
        ("t", format!("t({p} %, n − 2), one-sided"))
    } else {
        ("t", format!("z({p} %): two readings have no scatter of their own"))
    };
    add(symbol, "quantile for the scatter", &formula, significant(leak.quantile, 7), "1");
    add(
        "ṁ_s",
        "bound of the leak by the scatter alone",
        "ṁ_s = ṁ + t·s_b",
        significant(judgement.bounds.0 * MILLIGRAMS_PER_HOUR, 7),
        "mg/h",
    );
    add(
        "u_sys",
        "standard uncertainty of what the readings have in common",
        "u_sys = √Σ(∂ṁ/∂xᵢ·uᵢ)², see the budget, without the scatter",
        significant(doubt.common_flow * MILLIGRAMS_PER_HOUR, 5),
        "mg/h",
    );
    add(
        "z",
        "quantile for what is common",
        &format!("z({p} %), one-sided"),
        significant(test.quantile, 7),
        "1",
    );
    add(
        "ṁ_U",
        "bound of the leak, scatter and common part added",
        "ṁ_U = ṁ_s + z·u_sys",
        significant(judgement.bounds.1 * MILLIGRAMS_PER_HOUR, 7),
        "mg/h",
    );
    for line in &mut lines {
        match line.symbol.as_str() {
            "ṁ" | "s" | "s_b" => line.source = Some(REGRESSION.to_owned()),
            "u_sys" => line.source = Some(GUM.to_owned()),
            _ => {}
        }
    }
    lines.extend(state_lines(test, leak));
    lines.extend(limit_lines(test, leak, judgement));
    lines
}

fn state_lines(test: &Test, leak: &Leak) -> Vec<Line> {
    let molar = leak.flow / test.gas.equation().molar_mass();
    let mut lines = vec![
        Line::new("ṅ", "leak as amount", "ṅ = ṁ/M", scientific(molar, 7), "mol/s"),
        Line::new(
            "R",
            "molar gas constant",
            "constant",
            MOLAR_GAS_CONSTANT.to_string(),
            "J/(mol·K)",
        )
        .sourced("SI Brochure, 9th edition (2019), exact"),
    ];
    for (kelvins, state, _) in STATES {
        lines.push(Line::new(
            &format!("q_std({state})"),
            &format!("leak in standard volume, ideal gas at {state} and 101 325 Pa"),
            &format!("q_std = ṅ·R·{kelvins} K/101 325 Pa·10⁶"),
            scientific(molar * MOLAR_GAS_CONSTANT * kelvins / STANDARD_PRESSURE * 1e6, 7),
            "std cm³/s",
        ));
    }
    lines
}

fn limit_lines(test: &Test, leak: &Leak, judgement: &Judgement) -> Vec<Line> {
    let (Some(judged), Some((limit, _))) = (&judgement.judged, &test.limit) else {
        return Vec::new();
    };
    let formula = match &limit.kind {
        Kind::Loss { per_text, .. } => format!("L = 100 %·ṁ·({per_text})/m₀"),
        Kind::Flow { unit, .. } => format!("ṁ in {unit}"),
    };
    let unit = &judged.unit;
    vec![
        Line::new("L", "leak as it is judged", &formula, significant(judged.value, 7), unit),
        Line::new(
            "U(L)",
            "expanded uncertainty of the leak as judged",
            "U = 2·√(s_b² + u_sys²), on the limit's scale",
            significant(judged.expanded(), 5),
            unit,
        ),
        Line::new(
            "ṁ_limit",
            "the limit as a flow",
            "the limit, in mg/h",
            significant(judged.limit_flow * MILLIGRAMS_PER_HOUR, 7),
            "mg/h",
        ),
        Line::new(
            "t_min",
            "shortest hold by the gauge's display step δ",
            "t_min = 10·Σ Vₖ·(∂ρ/∂p)ₖ·δ/ṁ_limit",
            hours(leak.by_display(judged.limit_flow)),
            "h",
        )
        .sourced(E2930),
        Line::new(
            "t_4U",
            "hold in which the limit moves four times the expanded uncertainty",
            "t_4U = 4·U(L)·D/L_limit, D from the first reading used to the last",
            hours(leak.hold * ACCURACY * judged.expanded() / judged.limit),
            "h",
        )
        .sourced(E2930),
    ]
}

fn rule(test: &Test, judgement: &Judgement) -> Option<RuleShown> {
    let ((limit, rule), judged) = (test.limit.as_ref()?, judgement.judged.as_ref()?);
    let p = percent(test.confidence);
    let (name, text) = match rule {
        Rule::Simple => (
            "simple",
            "Simple acceptance (JCGM 106:2012, 8.2): accepted if leak ≤ limit, unrounded."
                .to_owned(),
        ),
        Rule::Guarded => (
            "guarded",
            format!(
                "Guarded acceptance (JCGM 106:2012, 8.3): accepted if leak + t·s_b + z·u_sys ≤ limit, \
                 both quantiles for {p} %, one-sided."
            ),
        ),
    };
    let band = judged.bound - judged.value;
    Some(RuleShown {
        name: name.to_owned(),
        text: format!(
            "{text} Not judged if the expanded uncertainty (k = 2) is more than a third of the limit."
        ),
        limit: format!("{} {}", limit.digits, judged.unit),
        limit_source: limit.source.clone(),
        acceptance_limit: (*rule == Rule::Guarded)
            .then(|| format!("{} {}", significant(judged.limit - band, 5), judged.unit)),
        conformance_probability: None,
    })
}
