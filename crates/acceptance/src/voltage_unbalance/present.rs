//! The sheet.

use quantity::{Ratio, significant};

use super::input::{Survey, Three};
use super::{CALCULATION, triangle};
use crate::doubt::{Budget, Part, first_order};
use crate::form::Form;
use crate::limit::{Judged, ReadLimit};
use crate::stats::mean;
use crate::steps::{flag, gravest, step};
use crate::{Axes, Drawn, Figure, Flag, Line, Outcome, Point, Series, Sheet};

const MG1: &str = "NEMA MG 1, unbalance by the largest deviation from the mean";
const IEC: &str = "IEC 61000-4-30, negative-sequence factor from three line voltages";

/// One of the two measures, in percent with its doubt.
struct Measure {
    name: &'static str,
    meaning: &'static str,
    value: f64,
    budget: Option<Budget>,
}

fn measure(
    three: &Three,
    unit: &'static str,
    (name, meaning): (&'static str, &'static str),
    result: impl Fn(&[f64; 3]) -> f64,
) -> Measure {
    let of = |values: &[f64]| match values {
        [a, b, c] => 100.0 * result(&[*a, *b, *c]),
        _ => f64::NAN,
    };
    let budget = three.doubt.as_ref().map(|stated| {
        let parts: Vec<_> = three
            .sides
            .iter()
            .zip(["first", "second", "third"])
            .map(|(side, ordinal)| Part {
                source: format!("{ordinal} reading in {unit}"),
                statement: stated.text.clone(),
                value: *side,
                standard: stated.of(*side),
                unit,
            })
            .collect();
        first_order(&parts, "%", of)
    });
    Measure { name, meaning, value: of(&three.sides), budget }
}

impl Measure {
    fn judge(&self, limit: &ReadLimit<Ratio>) -> Judged {
        let standard = self.budget.as_ref().map(|budget| budget.standard / 100.0);
        limit.judge(Ratio::from_fraction(self.value / 100.0), standard)
    }

    fn outcome(&self) -> Outcome {
        let outcome = Outcome::new(self.name, self.meaning, significant(self.value, 5), "%");
        match &self.budget {
            Some(budget) => outcome.within(significant(budget.standard, 3)),
            None => outcome,
        }
    }
}

fn negative(sides: &[f64; 3]) -> f64 {
    triangle::negative_sequence(sides).unwrap_or(f64::NAN)
}

pub(super) fn sheet(form: Form, survey: &Survey) -> Sheet {
    let mut measures = Vec::new();
    let mut working = Vec::new();
    let mut judged = Vec::new();
    let mut flags = Vec::new();
    if let Some(three) = &survey.voltages {
        let names = ("unbalance", "voltage unbalance by NEMA MG 1");
        let unbalance = measure(three, "V", names, triangle::unbalance);
        let names = ("negative_sequence", "negative-sequence factor, which is another measure");
        let factor = measure(three, "V", names, negative);
        working.extend(lines(
            three,
            ["V_ab", "V_bc", "V_ca"],
            ("V̄", "V", "U"),
            &unbalance,
            &factor,
        ));
        flags.extend(cautions(&unbalance, &factor, &mut working));
        judged.extend(survey.limit.as_ref().map(|l| ("Voltage unbalance", unbalance.judge(l))));
        judged.extend(
            survey
                .negative_sequence_limit
                .as_ref()
                .map(|l| ("Negative-sequence factor", factor.judge(l))),
        );
        measures.extend([unbalance, factor]);
    }
    if let Some(three) = &survey.currents {
        let names = ("current_unbalance", "current unbalance by NEMA's formula");
        let unbalance = measure(three, "A", names, triangle::unbalance);
        let names = ("current_negative_sequence", "negative-sequence factor of the currents");
        let factor = measure(three, "A", names, negative);
        working.extend(lines(three, ["I_a", "I_b", "I_c"], ("Ī", "A", "U_I"), &unbalance, &factor));
        judged.extend(
            survey.current_limit.as_ref().map(|l| ("Current unbalance", unbalance.judge(l))),
        );
        measures.push(unbalance);
        if factor.value.is_nan() {
            flags.push(flag(
                "currents_make_no_triangle",
                "The three currents can't add up to zero: there is a neutral current, or one was \
                 misread; no negative-sequence factor is given.",
            ));
        } else {
            measures.push(factor);
        }
    }
    let verdict = gravest(judged.iter().map(|(_, judged)| judged.verdict));
    let judged_name = match judged.first() {
        Some((what, _)) if what.starts_with("Neg") => "negative_sequence",
        Some((what, _)) if what.starts_with("Cur") => "current_unbalance",
        _ => measures.first().map_or("", |measure| measure.name),
    };
    let budget = measures
        .iter()
        .find(|measure| measure.name == judged_name)
        .and_then(|measure| measure.budget.as_ref());
    Sheet {
        verdict,
        reason: reason(&judged, &measures),
        results: measures.iter().map(Measure::outcome).collect(),
        working,
        doubt: budget.map(|budget| budget.lines.clone()).unwrap_or_default(),
        combined: budget.map(|budget| budget.combined(judged_name)),
        rule: judged.first().map(|(_, judged)| judged.rule.clone()),
        validity:
            "Three simultaneous r.m.s. readings between lines at the machine's terminals, of \
                   one frequency; harmonics and slow changes between the readings are not seen. An \
                   error that all three readings share cancels."
                .to_owned(),
        sources: vec![MG1.to_owned(), IEC.to_owned()],
        flags,
        figure: survey.voltages.as_ref().map(figure),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn reason(judged: &[(&str, Judged)], measures: &[Measure]) -> String {
    if judged.is_empty() {
        let all: Vec<_> = measures
            .iter()
            .map(|m| format!("{} {} %", m.meaning, significant(m.value, 3)))
            .collect();
        return format!("Computed, not judged, as no limit is given: {}.", all.join("; "));
    }
    let sentences: Vec<_> =
        judged.iter().map(|(what, judged)| format!("{what} {}.", judged.sentence)).collect();
    sentences.join(" ")
}

fn lines(
    three: &Three,
    symbols: [&str; 3],
    (mean_symbol, unit, unbalance_symbol): (&str, &str, &str),
    unbalance: &Measure,
    factor: &Measure,
) -> Vec<Line> {
    let mut lines: Vec<_> = symbols
        .iter()
        .zip(three.sides)
        .map(|(symbol, side)| step(symbol, "reading", "as typed", side, unit))
        .collect();
    let all = symbols.join(" + ");
    let middle = mean(&three.sides);
    lines.push(step(mean_symbol, "mean", &format!("{mean_symbol} = ({all})/3"), middle, unit));
    let deviation = three.sides.iter().map(|s| (s - middle).abs()).fold(0.0, f64::max);
    let letter = unit_letter(unit);
    let delta = format!("Δ_{letter}");
    let formula = format!("{delta} = max|{letter} − {mean_symbol}|");
    lines.push(step(&delta, "largest deviation from the mean", &formula, deviation, unit));
    let formula = format!("{unbalance_symbol} = 100 %·{delta}/{mean_symbol}");
    lines.push(
        step(unbalance_symbol, unbalance.meaning, &formula, unbalance.value, "%").sourced(MG1),
    );
    let beta = format!("β_{letter}");
    let formula = format!("{beta} = Σ{letter}⁴/(Σ{letter}²)²");
    lines.push(step(&beta, "sum of fourth powers", &formula, triangle::beta(&three.sides), "1"));
    if !factor.value.is_nan() {
        let symbol = if unit == "V" { "u₂" } else { "i₂" };
        let formula = format!("{symbol} = 100 %·√((1 − √(3 − 6{beta}))/(1 + √(3 − 6{beta})))");
        lines.push(step(symbol, factor.meaning, &formula, factor.value, "%").sourced(IEC));
    }
    lines
}

fn unit_letter(unit: &str) -> &'static str {
    if unit == "V" { "V" } else { "I" }
}

/// What MG 1 says of motors at such an unbalance, from memory.
fn cautions(unbalance: &Measure, factor: &Measure, working: &mut Vec<Line>) -> Vec<Flag> {
    let mut flags = vec![flag(
        "two_measures",
        format!(
            "NEMA's unbalance of {} % is not the negative-sequence factor of {} %: a limit holds \
             for the one that its source means.",
            significant(unbalance.value, 3),
            significant(factor.value, 3)
        ),
    )];
    let rise = 2.0 * unbalance.value * unbalance.value;
    let meaning = "further temperature rise of a loaded motor, roughly";
    working.push(step("Δθ", meaning, "Δθ = 2·U²", rise, "%").sourced("NEMA MG 1, from memory"));
    match triangle::derating(unbalance.value / 100.0) {
        None => flags.push(flag(
            "above_5_percent",
            "Above 5 % unbalance MG 1 advises against running a machine at all (from memory).",
        )),
        Some(share) if unbalance.value > 1.0 => {
            let meaning = "share of the rated power that a motor carries";
            let formula = "MG 1's derating curve, read off at whole percent, between them by line";
            working
                .push(step("k_d", meaning, formula, share, "1").sourced("NEMA MG 1, from memory"));
            flags.push(flag(
                "above_1_percent",
                format!(
                    "Above 1 % unbalance MG 1 derates a motor, here to about {} of its rated power \
                     (from memory); a machine that generates heats alike.",
                    significant(share, 2)
                ),
            ));
        }
        Some(_) => {}
    }
    flags
}

/// The triangle of the line voltages, beside that of equal ones with the same mean.
fn figure(three: &Three) -> Figure {
    let triangle = |[ab, bc, ca]: [f64; 3]| {
        let x = (ab * ab + ca * ca - bc * bc) / (2.0 * ab);
        let y = libm::sqrt((ca * ca - x * x).max(0.0));
        vec![Point::of(0.0, 0.0), Point::of(ab, 0.0), Point::of(x, y), Point::of(0.0, 0.0)]
    };
    let equal = [mean(&three.sides); 3];
    let mut figure = Figure::lines(
        "Triangle of the line voltages",
        "voltage in V, along the first line voltage",
        "voltage in V, across it",
        vec![
            Series::new(
                "balanced",
                "equal voltages of the same mean",
                Drawn::Dashed,
                triangle(equal),
            ),
            Series::new("measured", "as measured", Drawn::Thick, triangle(three.sides)),
        ],
    );
    figure.axes = Some(Axes::Equal);
    figure
}
