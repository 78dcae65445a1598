//! The doubt of the slope: the scatter about the line, and what all readings have in common.

use quantity::{AbsolutePressure, Temperature};

use super::fit::Leak;
use super::read::{Kind, Sample, Test};
use crate::State;
use crate::doubt::{Budget, Part, Stated, first_order};
use crate::state::PressureReadings;
use crate::stats::line_through;

/// mg/h in one kg/s.
pub(super) const MILLIGRAMS_PER_HOUR: f64 = 3.6e9;

/// A contribution below this part of the whole is none.
const NOISE: f64 = 1e-6;

/// The doubt of the leak.
#[derive(Debug)]
pub(super) struct Doubt {
    /// Of the leak as a flow, in mg/h.
    pub(super) flow: Budget,
    /// The part of it that the readings have in common, in kg/s.
    pub(super) common_flow: f64,
    /// Of the leak in percent of the contents per time base, where the limit is one.
    pub(super) loss: Option<Budget>,
    /// The part of it that the readings have in common, in percent.
    pub(super) common_loss: f64,
}

/// What the readings have in common, with their values in the order that [`model`] takes.
struct Inputs {
    parts: Vec<Part>,
    relative_scale: bool,
    relative_drift: bool,
}

/// Builds the budgets.
pub(super) fn doubt(test: &Test, leak: &Leak) -> Doubt {
    let mut inputs = inputs(test);
    let mut scatter = |standard: f64, unit: &'static str| {
        let one = Part {
            source: "scatter of the readings about the line".to_owned(),
            statement: "s_b = s/√Σ(t − t̄)²".to_owned(),
            value: 0.0,
            standard,
            unit,
        };
        if let Some(first) = inputs.parts.first_mut() {
            *first = one;
        }
        (inputs.parts.clone(), inputs.relative_scale, inputs.relative_drift)
    };
    let (parts, scale, drift) = scatter(leak.slope_standard * MILLIGRAMS_PER_HOUR, "mg/h");
    let flow = first_order(&parts, "mg/h", |values| {
        let (flow, _) = model(test, values, scale, drift);
        flow * MILLIGRAMS_PER_HOUR + values.first().copied().unwrap_or(0.0)
    });
    let common_flow = common(&flow, &parts) / MILLIGRAMS_PER_HOUR;
    let per = match &test.limit {
        Some((limit, _)) => match limit.kind {
            Kind::Loss { per, .. } => Some(per),
            Kind::Flow { .. } => None,
        },
        None => None,
    };
    let loss = per.map(|per| {
        let (parts, scale, drift) = scatter(leak.percent_per(leak.slope_standard, per), "%");
        let budget = first_order(&parts, "%", |values| {
            let (flow, start) = model(test, values, scale, drift);
            100.0 * flow * per / start + values.first().copied().unwrap_or(0.0)
        });
        let common = common(&budget, &parts);
        (budget, common)
    });
    let mut doubt = Doubt {
        flow,
        common_flow,
        common_loss: loss.as_ref().map_or(f64::NAN, |(_, common)| *common),
        loss: loss.map(|(budget, _)| budget),
    };
    for budget in core::iter::once(&mut doubt.flow).chain(&mut doubt.loss) {
        budget.lines.retain(|line| line.standard_uncertainty != "0");
        for line in &mut budget.lines {
            // What cancels leaves the noise of the arithmetic.
            let size = line.contribution.parse::<f64>().unwrap_or(f64::NAN);
            if size < NOISE * budget.standard {
                line.contribution = "0".to_owned();
            }
        }
    }
    doubt
}

/// The root of the sum of squares of all but the first, which is the scatter.
fn common(budget: &Budget, parts: &[Part]) -> f64 {
    let squares = parts.iter().zip(&budget.sensitivities).skip(1).map(|(part, c)| {
        let contribution = part.standard * c;
        contribution * contribution
    });
    libm::sqrt(squares.sum())
}

fn inputs(test: &Test) -> Inputs {
    let common = &test.common;
    let pressure = |source: &str, stated: Option<&Stated>| {
        let (text, u, unit) = match stated {
            Some(stated) if stated.relative() => (stated.text.clone(), 100.0 * stated.of(1.0), "%"),
            Some(stated) => (stated.text.clone(), stated.of(0.0) / 1e5, "bar"),
            None => (String::new(), 0.0, "bar"),
        };
        Part { source: source.to_owned(), statement: text, value: 0.0, standard: u, unit }
    };
    // Its place is taken by the scatter.
    let mut parts = vec![pressure("scatter", None)];
    parts.push(pressure("gauge scale, common to all readings", common.gauge_scale.as_ref()));
    parts.push(pressure("drift of the gauge over the hold", common.gauge_drift.as_ref()));
    let air = test.samples.iter().find_map(|sample| match &sample.state.readings {
        PressureReadings::Gauge { barometer, .. } => f64::try_from(barometer.base()).ok(),
        PressureReadings::Absolute(_) => None,
    });
    let (text, u) = match (&common.barometer, air) {
        (Some(stated), Some(shown)) => (stated.text.clone(), stated.of(shown) / 1e5),
        _ => (String::new(), 0.0),
    };
    parts.push(Part {
        source: "barometer, common to all readings".to_owned(),
        statement: text,
        value: 0.0,
        standard: u,
        unit: "bar",
    });
    for (place, part) in test.parts.iter().enumerate() {
        let named = |name: &str| {
            if part.name.is_empty() { name.to_owned() } else { format!("{name}, {}", part.name) }
        };
        let shown = test.samples.first().and_then(|sample| sample.state.temperatures.get(place));
        let shown = shown.map_or(f64::NAN, |(temperature, _)| temperature.kelvins());
        let mut one = |source: &str, stated: Option<&Stated>, of: f64, value: f64, unit| {
            let (statement, standard) =
                stated.map_or_else(|| (String::new(), 0.0), |s| (s.text.clone(), s.of(of)));
            parts.push(Part { source: named(source), statement, value, standard, unit });
        };
        let drift = common.temperature_drift.as_ref();
        one("thermometer, common to all readings", common.temperature.as_ref(), shown, 0.0, "K");
        one("change of gas against probe over the hold", drift, shown, 0.0, "K");
        let litres = 1e3 * part.volume;
        let volume = part.doubt.as_ref();
        let source = "volume";
        let (statement, standard) = volume
            .map_or_else(|| (String::new(), 0.0), |s| (s.text.clone(), 1e3 * s.of(part.volume)));
        parts.push(Part { source: named(source), statement, value: litres, standard, unit: "L" });
    }
    Inputs {
        parts,
        relative_scale: common.gauge_scale.as_ref().is_some_and(Stated::relative),
        relative_drift: common.gauge_drift.as_ref().is_some_and(Stated::relative),
    }
}

/// Leak in kg/s and contents at the start in kg, with the common errors taken as `values`.
fn model(test: &Test, values: &[f64], relative_scale: bool, relative_drift: bool) -> (f64, f64) {
    let used: Vec<&Sample> = test.samples.iter().filter(|s| s.left_out.is_none()).collect();
    let (Some(first), Some(last)) = (used.first(), used.last()) else {
        return (f64::NAN, f64::NAN);
    };
    let hold = last.time - first.time;
    let at = |place: usize| values.get(place).copied().unwrap_or(0.0);
    let (scale, drift, air) = (at(1), at(2), at(3));
    let points: Vec<(f64, f64)> = used
        .iter()
        .map(|sample| {
            let along = (sample.time - first.time) / hold;
            let shown =
                f64::try_from(sample.state.readings.instrument().base()).unwrap_or(f64::NAN);
            let error = |size: f64, relative: bool| {
                if relative { size / 100.0 * shown } else { 1e5 * size }
            };
            let gauge = matches!(sample.state.readings, PressureReadings::Gauge { .. });
            let pressure = sample.state.pressure.pascals()
                + error(scale, relative_scale)
                + error(drift, relative_drift) * along
                + if gauge { 1e5 * air } else { 0.0 };
            let mass: f64 = sample
                .state
                .temperatures
                .iter()
                .enumerate()
                .map(|(place, (temperature, _))| {
                    let from = 4 + 3 * place;
                    let kelvins = temperature.kelvins() + at(from) + at(from + 1) * along;
                    let state = State {
                        pressure: AbsolutePressure::from_pascals(pressure),
                        temperature: Temperature::from_kelvins(kelvins),
                    };
                    let density = test.gas.equation().density(state);
                    at(from + 2) / 1e3 * density.kilograms_per_cubic_metre()
                })
                .sum();
            (sample.time, mass)
        })
        .collect();
    line_through(&points).map_or((f64::NAN, f64::NAN), |line| (-line.slope, line.at(first.time)))
}
