//! The rules, the budget of the one that counts, and the efficiency.

use quantity::Power;

use super::input::Normalisation;
use super::read::{Case, Linear, Reference, Values};
use crate::doubt::{Budget, Part, Stated, first_order};
use crate::limit::Judged;
use crate::{Refusal, Table};

/// Every rule, in the order of the sheet.
pub(super) const ALL: [Normalisation; 5] = [
    Normalisation::IrradianceRatio,
    Normalisation::Line,
    Normalisation::Carnot,
    Normalisation::AirTemperature,
    Normalisation::LinearModel,
];

/// An efficiency by one area.
#[derive(Debug, Clone)]
pub(super) struct Efficiency {
    pub(super) net: bool,
    pub(super) area: f64,
    pub(super) value: f64,
    /// Relative standard uncertainty, where every doubt is stated.
    pub(super) relative: Option<f64>,
}

/// Everything found.
#[derive(Debug)]
pub(super) struct Found {
    /// kW.
    pub(super) power: f64,
    /// What each rule gives, where its inputs are there.
    pub(super) by_rule: Vec<(Normalisation, Option<f64>)>,
    pub(super) budget: Budget,
    /// Whether power and irradiance have their doubts, without which there is no budget.
    pub(super) complete: bool,
    /// Inputs of the rule without a doubt.
    pub(super) silent: Vec<&'static str>,
    pub(super) efficiencies: Vec<Efficiency>,
    pub(super) judged: Option<Judged>,
    pub(super) rules: Option<Table>,
}

impl Linear {
    /// The model's power in kW.
    pub(super) fn power(&self, irradiance: f64, chi: f64, air: f64) -> f64 {
        (self.a1 * irradiance * chi + self.a2) * self.temperature / air - self.own
    }
}

/// Power at the reference by a rule; none where the rule lacks an input.
pub(super) fn corrected(rule: Normalisation, v: &Values, to: &Reference) -> Option<f64> {
    let by_ratio = v.power * to.irradiance / v.irradiance;
    let temperatures = v.air.zip(to.air);
    match rule {
        Normalisation::IrradianceRatio => Some(by_ratio),
        Normalisation::Line => Some(v.power + v.slope? * (to.irradiance - v.irradiance)),
        Normalisation::Carnot => {
            let ((air, reference), hot) = temperatures.zip(v.hot)?;
            Some(by_ratio * (1.0 - reference / hot) / (1.0 - air / hot))
        }
        Normalisation::AirTemperature => {
            temperatures.map(|(air, reference)| by_ratio * air / reference)
        }
        Normalisation::LinearModel => {
            let ((air, reference), model) = temperatures.zip(v.model)?;
            let measured = model.power(v.irradiance, model.chi, air);
            let there = model.power(to.irradiance, model.chi_ref, reference);
            (measured > 0.0 && there > 0.0).then(|| v.power * there / measured)
        }
    }
}

/// An input of a rule that has a doubt.
#[derive(Debug, Clone, Copy)]
enum Kind {
    Power,
    Irradiance,
    Air,
    Hot,
    Slope,
}

fn set(values: &mut Values, kind: Kind, to: f64) {
    match kind {
        Kind::Power => values.power = to,
        Kind::Irradiance => values.irradiance = to,
        Kind::Air => values.air = Some(to),
        Kind::Hot => values.hot = Some(to),
        Kind::Slope => values.slope = Some(to),
    }
}

/// Normalises and judges.
pub(super) fn find(case: &Case) -> Result<Found, Refusal> {
    let by_rule: Vec<_> =
        ALL.iter().map(|rule| (*rule, corrected(*rule, &case.values, &case.reference))).collect();
    let power = corrected(case.rule, &case.values, &case.reference)
        .filter(|power| power.is_finite())
        .ok_or_else(|| {
            Refusal::new(
                "no_power",
                "model",
                "The model gives no power at the conditions measured or at the reference.",
                "Check the model's constants and their units.",
            )
        })?;
    let (parts, kinds, silent) = parts(case);
    let budget = first_order(&parts, "kW", |moved| {
        let mut values = case.values;
        for (kind, value) in kinds.iter().zip(moved) {
            set(&mut values, *kind, *value);
        }
        corrected(case.rule, &values, &case.reference).unwrap_or(f64::NAN)
    });
    let complete = case.doubts.power.is_some() && case.doubts.irradiance.is_some();
    let value = Power::from_watts(1e3 * power);
    let standard = complete.then_some(1e3 * budget.standard);
    Ok(Found {
        power,
        by_rule,
        complete,
        silent,
        efficiencies: efficiencies(case),
        judged: case.limit.as_ref().map(|limit| limit.judge(value, standard)),
        rules: case.limit.as_ref().zip(standard).map(|(limit, u)| limit.beside(value, u)),
        budget,
    })
}

fn parts(case: &Case) -> (Vec<Part>, Vec<Kind>, Vec<&'static str>) {
    let (v, d) = (&case.values, &case.doubts);
    let (mut parts, mut kinds, mut silent) = (Vec::new(), Vec::new(), Vec::new());
    let mut push =
        |kind, source: &'static str, value: Option<f64>, doubt: &Option<Stated>, unit| {
            let Some(value) = value else { return };
            let Some(stated) = doubt else { return silent.push(source) };
            let scale = if matches!(kind, Kind::Power) { 1e3 } else { 1.0 };
            parts.push(Part {
                source: source.to_owned(),
                statement: stated.text.clone(),
                value,
                standard: stated.of(scale * value) / scale,
                unit,
            });
            kinds.push(kind);
        };
    push(Kind::Power, "net power", Some(v.power), &d.power, "kW");
    push(Kind::Irradiance, "direct irradiance", Some(v.irradiance), &d.irradiance, "W/m²");
    let rule = case.rule;
    if !matches!(rule, Normalisation::IrradianceRatio | Normalisation::Line) {
        push(Kind::Air, "air temperature", v.air, &d.air, "K");
    }
    if rule == Normalisation::Carnot {
        push(Kind::Hot, "temperature of the hot side", v.hot, &d.hot, "K");
    }
    if rule == Normalisation::Line {
        push(Kind::Slope, "slope of power over irradiance", v.slope, &d.slope, "kW/(W/m²)");
    }
    (parts, kinds, silent)
}

fn efficiencies(case: &Case) -> Vec<Efficiency> {
    let (v, d) = (&case.values, &case.doubts);
    [(true, case.net), (false, case.gross)]
        .into_iter()
        .filter_map(|(net, area)| area.map(|area| (net, area)))
        .map(|(net, area)| {
            let relative = match (&d.power, &d.irradiance, &d.area) {
                (Some(power), Some(irradiance), Some(stated)) => {
                    let parts = [
                        power.of(1e3 * v.power) / (1e3 * v.power),
                        irradiance.of(v.irradiance) / v.irradiance,
                        stated.of(area) / area,
                    ];
                    Some(libm::sqrt(parts.iter().map(|part| part * part).sum()))
                }
                _ => None,
            };
            let value = 1e3 * v.power / (area * v.irradiance);
            Efficiency { net, area, value, relative: relative.filter(|r| r.is_finite()) }
        })
        .collect()
}
