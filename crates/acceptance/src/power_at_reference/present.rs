//! The sheet: results, working, tables, figure.

use quantity::significant;

use super::CALCULATION;
use super::input::Normalisation;
use super::read::{Case, Linear, name};
use super::rules::Found;
use crate::form::Form;
use crate::steps::{flag, step};
use crate::{Bar, Figure, Flag, Line, Outcome, Sheet, Table, Verdict};

const PRACTICE: &str = "normalisation rules: common practice, no source";
const MODEL: &str = "linear model: A. Buscemi et al., Applied Energy (2020), form from memory";
/// Beyond this share of the reference irradiance the fixed losses can't be ignored; common
/// practice, no source.
const NEAR: f64 = 0.10;
/// An efficiency from sunlight to net power beyond this was never reached by such a machine; above
/// it, power, irradiance or area were misread. Common practice, no source.
const MOST_EFFICIENT: f64 = 0.40;

/// The whole sheet.
pub(super) fn sheet(form: Form, case: &Case, found: &Found) -> Sheet {
    let mut tables = vec![rules(case, found)];
    tables.extend(found.rules.clone());
    Sheet {
        verdict: found.judged.as_ref().map_or(Verdict::Computed, |judged| judged.verdict),
        reason: reason(case, found),
        results: results(case, found),
        working: working(case, found),
        doubt: found.budget.lines.clone(),
        combined: found.complete.then(|| found.budget.combined("power_at_reference")),
        rule: found.judged.as_ref().map(|judged| judged.rule.clone()),
        validity: "Steady running near the reference, the rule fixed before the test. The ratio \
                   rules ignore fixed losses; the line holds where the slope was measured; Carnot's \
                   factor takes the machine's share of Carnot's efficiency as constant. Reference \
                   conditions and constants count as exact unless a doubt is stated."
            .to_owned(),
        sources: vec![
            PRACTICE.to_owned(),
            MODEL.to_owned(),
            "JCGM 100:2008 (GUM), first-order propagation".to_owned(),
            "JCGM 106:2012, decision rules".to_owned(),
        ],
        flags: flags(case, found),
        figure: Some(figure(found)),
        tables,
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn reason(case: &Case, found: &Found) -> String {
    let power = match &found.judged {
        Some(judged) => judged.sentence.clone(),
        None => format!("{} kW", significant(found.power, 5)),
    };
    let doubt = if found.complete {
        format!("Expanded uncertainty (k = 2) {} kW.", significant(2.0 * found.budget.standard, 2))
    } else {
        "Without doubts of power and irradiance it has no uncertainty.".to_owned()
    };
    format!(
        "Power at {} W/m² by the rule “{}”: {power}. {doubt}",
        significant(case.reference.irradiance, 5),
        name(case.rule)
    )
}

fn results(case: &Case, found: &Found) -> Vec<Outcome> {
    let result = |name: &str, meaning: &str, value: f64, unit: &str| {
        Outcome::new(name, meaning, significant(value, 7), unit)
    };
    let meaning = format!("power at the reference by the rule “{}”", name(case.rule));
    let power = result("power_at_reference", &meaning, found.power, "kW");
    let u = significant(found.budget.standard, 4);
    let mut out = vec![if found.complete { power.within(u) } else { power }];
    let factor = found.power / case.values.power;
    if factor.is_finite() {
        out.push(result("factor", "power at the reference over power measured", factor, "1"));
    }
    if let Some(spread) = spread(found) {
        let meaning = "spread of all rules that can be computed, over the one that counts";
        out.push(result("spread", meaning, 100.0 * spread, "%"));
    }
    for efficiency in &found.efficiencies {
        let (name, area) = if efficiency.net {
            ("efficiency_net", "net area of the mirrors")
        } else {
            ("efficiency_gross", "gross area")
        };
        let meaning = format!("net power over sunlight on the {area}, as measured");
        let outcome = result(name, &meaning, 100.0 * efficiency.value, "%");
        out.push(match efficiency.relative {
            Some(u) => outcome.within(significant(100.0 * u * efficiency.value, 4)),
            None => outcome,
        });
    }
    out
}

/// Spread of the rules over the one that counts.
fn spread(found: &Found) -> Option<f64> {
    let values: Vec<f64> = found.by_rule.iter().filter_map(|(_, power)| *power).collect();
    let (low, high) = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)));
    let spread = (high - low) / found.power;
    (values.len() > 1 && spread.is_finite()).then_some(spread)
}

/// The rule as a formula.
const fn formula(rule: Normalisation) -> &'static str {
    match rule {
        Normalisation::IrradianceRatio => "P·G_ref/G",
        Normalisation::Line => "P + b·(G_ref − G)",
        Normalisation::Carnot => "P·(G_ref/G)·(1 − T_ref/T_h)/(1 − T/T_h)",
        Normalisation::AirTemperature => "P·(G_ref/G)·T/T_ref",
        Normalisation::LinearModel => "P·M_ref/M",
    }
}

fn working(case: &Case, found: &Found) -> Vec<Line> {
    let (v, to) = (&case.values, &case.reference);
    let mut out = vec![
        step("P", "net power", "as typed", v.power, "kW"),
        step("G", "direct irradiance", "as typed", v.irradiance, "W/m²"),
        step("G_ref", "reference irradiance", "as typed", to.irradiance, "W/m²"),
        step("G_ref/G", "ratio of irradiances", "G_ref/G", to.irradiance / v.irradiance, "1"),
    ];
    if let Some(air) = v.air {
        out.push(step("T", "air temperature", "in kelvin", air, "K"));
    }
    if let Some(air) = to.air {
        out.push(step("T_ref", "reference air temperature", "in kelvin", air, "K"));
    }
    if let Some(hot) = v.hot {
        out.push(step("T_h", "temperature of the hot side", "in kelvin", hot, "K"));
        if let Some((air, reference)) = v.air.zip(to.air) {
            let formula = "(1 − T_ref/T_h)/(1 − T/T_h)";
            let factor = (1.0 - reference / hot) / (1.0 - air / hot);
            out.push(step("", "ratio of Carnot's efficiencies", formula, factor, "1"));
        }
    }
    if let Some((air, reference)) = v.air.zip(to.air) {
        out.push(step("T/T_ref", "ratio of air temperatures", "T/T_ref", air / reference, "1"));
    }
    if let Some(slope) = v.slope {
        out.push(step("b", "slope of power over irradiance", "as typed", slope, "kW/(W/m²)"));
    }
    if let Some(model) = &v.model {
        out.extend(model_lines(case, model));
    }
    let formula = format!("P_ref = {}", formula(case.rule));
    out.push(step("P_ref", "power at the reference", &formula, found.power, "kW"));
    for efficiency in &found.efficiencies {
        let area = if efficiency.net { "net mirrors" } else { "gross" };
        let (symbol, of) =
            if efficiency.net { ("A_net", "η_net") } else { ("A_gross", "η_gross") };
        out.push(step(symbol, &format!("area, {area}"), "as typed", efficiency.area, "m²"));
        let formula = format!("{of} = P/({symbol}·G)");
        let meaning = format!("efficiency by the area, {area}");
        out.push(step(of, &meaning, &formula, efficiency.value, "1"));
        if let Some(relative) = efficiency.relative {
            let formula = "√[(u(P)/P)² + (u(G)/G)² + (u(A)/A)²]";
            let meaning = "its relative standard uncertainty";
            out.push(step(&format!("u({of})/{of}"), meaning, formula, relative, "1"));
        }
    }
    out
}

fn model_lines(case: &Case, model: &Linear) -> Vec<Line> {
    let (v, to) = (&case.values, &case.reference);
    let source = case.model_source.as_deref().unwrap_or("no source was given");
    let given = |symbol: &str, meaning: &str, value: f64, unit: &str| {
        step(symbol, meaning, "given", value, unit).sourced(source)
    };
    let mut out = vec![
        given("a₁", "output for each unit of irradiance", model.a1, "kW/(W/m²)"),
        given("a₂", "constant", model.a2, "kW"),
        given("T_m", "temperature of the model", model.temperature, "K"),
        given("χ", "cleanliness during the test", model.chi, "1"),
        given("χ_ref", "reference cleanliness", model.chi_ref, "1"),
        given("P_par", "power used by the dish itself", model.own, "kW"),
    ];
    if let Some((air, reference)) = v.air.zip(to.air) {
        let formula = "M = (a₁·G·χ + a₂)·T_m/T − P_par";
        let measured = model.power(v.irradiance, model.chi, air);
        out.push(step("M", "model as measured", formula, measured, "kW"));
        let formula = "M_ref = (a₁·G_ref·χ_ref + a₂)·T_m/T_ref − P_par";
        let there = model.power(to.irradiance, model.chi_ref, reference);
        out.push(step("M_ref", "model at the reference", formula, there, "kW"));
    }
    out
}

fn rules(case: &Case, found: &Found) -> Table {
    let row = |(rule, power): &(Normalisation, Option<f64>)| {
        let difference = power.map(|power| 100.0 * (power / found.power - 1.0));
        vec![
            name(*rule).to_owned(),
            formula(*rule).to_owned(),
            power.map_or_else(String::new, |power| significant(power, 7)),
            difference.map_or_else(String::new, |d| format!("{d:.2}")),
            match (*rule == case.rule, power) {
                (true, _) => "counts",
                (false, Some(_)) => "beside, judges nothing",
                (false, None) => "not computed, an input is missing",
            }
            .to_owned(),
        ]
    };
    Table {
        name: "rules".to_owned(),
        title: "Power at the reference by the rule that was fixed, and by the others".to_owned(),
        columns: ["rule", "formula", "power kW", "difference %", "part"]
            .map(str::to_owned)
            .to_vec(),
        rows: found.by_rule.iter().map(row).collect(),
    }
}

fn flags(case: &Case, found: &Found) -> Vec<Flag> {
    let (v, to) = (&case.values, &case.reference);
    let mut flags = Vec::new();
    if case.fixed_in.is_none() {
        flags.push(flag(
            "rule_not_recorded",
            "It is not said where and when the rule was fixed; a rule chosen after the test proves \
             nothing.",
        ));
    }
    let away = (v.irradiance / to.irradiance - 1.0).abs();
    if away > NEAR && case.rule != Normalisation::Line {
        flags.push(flag(
            "far_from_reference",
            format!(
                "The irradiance is {} % from the reference, and a ratio ignores fixed losses; the \
                 line does not.",
                significant(100.0 * away, 2)
            ),
        ));
    }
    if let Some(spread) = spread(found) {
        flags.push(flag(
            "rules_differ",
            format!(
                "The rules that can be computed spread by {} %; the one fixed beforehand counts.",
                significant(100.0 * spread, 2)
            ),
        ));
    }
    if !found.silent.is_empty() {
        flags.push(flag(
            "not_in_budget",
            format!("No doubt was stated for: {}.", found.silent.join(", ")),
        ));
    }
    if found.efficiencies.len() > 1 {
        flags.push(flag(
            "which_area",
            "Net and gross area give different efficiencies; say which is meant when one is quoted.",
        ));
    }
    if found.efficiencies.iter().any(|e| e.value > MOST_EFFICIENT) {
        flags.push(flag(
            "efficiency_implausible",
            "The efficiency is above 40 %; check power, irradiance and area and their units.",
        ));
    }
    flags.extend(edition(case, found));
    flags
}

/// The editions of ISO 14253-1 decide differently: a guarded limit has to name which is meant.
fn edition(case: &Case, found: &Found) -> Option<Flag> {
    let guarded = case.limit.is_some();
    let table = found.rules.as_ref().filter(|_| guarded)?;
    let outcome = |word: &str| {
        let row = table.rows.iter().find(|row| row.first().is_some_and(|name| name.contains(word)));
        row.and_then(|row| row.get(3)).cloned()
    };
    let (by_probability, by_expanded) = (outcome("95 %")?, outcome("k = 2")?);
    (by_probability != by_expanded).then(|| {
        flag(
            "edition_decides",
            "Tightened for 95 % conformance the value passes, tightened by U (k = 2) it does not: \
             with ISO 14253-1, the edition decides. Only the rule in the input judges.",
        )
    })
}

fn figure(found: &Found) -> Figure {
    let bars = found
        .by_rule
        .iter()
        .filter_map(|(rule, power)| power.map(|power| (rule, power)))
        .map(|(rule, power)| Bar {
            name: name(*rule).replace(' ', "_"),
            meaning: name(*rule).to_owned(),
            value: significant(power, 6),
            unit: "kW".to_owned(),
        })
        .collect();
    Figure {
        bars,
        ..Figure::lines("Power at the reference by each rule", "rule", "power in kW", Vec::new())
    }
}
