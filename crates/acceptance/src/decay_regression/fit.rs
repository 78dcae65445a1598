//! The line through the masses.

use super::read::{Sample, Test};
use crate::gas::Slopes;
use crate::state::PressureReadings;
use crate::state::last_digit;
use crate::stats::{Line, count, line_through, student_t_quantile};
use crate::{Gas, Refusal};

/// The line and what it says.
#[derive(Debug)]
pub(super) struct Leak {
    /// Mass of every reading in kg, used or not.
    pub(super) masses: Vec<f64>,
    /// Places of the readings that are used.
    pub(super) used: Vec<usize>,
    /// The line through mass less the first mass, so that no digits are lost.
    pub(super) fit: Line,
    /// Leak in kg/s, positive for a loss.
    pub(super) flow: f64,
    /// Contents at the first used reading by the line, in kg.
    pub(super) start: f64,
    /// From the first used reading to the last, in s.
    pub(super) hold: f64,
    /// The leak with the readings that are left out, where there are any.
    pub(super) with_all: Option<f64>,
    /// Scatter in kg that the steps of the displays alone explain.
    pub(super) display: f64,
    /// The scatter that counts: of the residuals or of the displays, whichever is larger.
    pub(super) scatter: f64,
    /// Standard uncertainty of the leak by the scatter, in kg/s.
    pub(super) slope_standard: f64,
    /// Student's t for the bound, or the normal quantile for two readings.
    pub(super) quantile: f64,
    /// Correlation of each residual with the next, where there are enough of them.
    pub(super) correlation: Option<f64>,
    /// The reading that lies off furthest, with its distance in standard deviations.
    pub(super) furthest: Option<(usize, f64)>,
    /// Slope of the contents in the pressure at the first used reading, in kg/Pa.
    pub(super) by_pressure: f64,
    /// Step of the gauge's display in Pa, the coarsest of the readings used.
    pub(super) gauge_step: f64,
}

/// Fewest residuals whose correlation says anything.
const FEWEST: usize = 6;

/// Fits the line.
pub(super) fn fit(test: &Test) -> Result<Leak, Refusal> {
    let masses: Vec<f64> =
        test.samples.iter().map(|sample| sample.state.mass(test.gas, &test.parts)).collect();
    let used: Vec<usize> = test
        .samples
        .iter()
        .enumerate()
        .filter(|(_, sample)| sample.left_out.is_none())
        .map(|(place, _)| place)
        .collect();
    let origin = used.first().and_then(|place| masses.get(*place)).copied().unwrap_or(0.0);
    let points: Vec<(f64, f64)> =
        test.samples.iter().zip(&masses).map(|(s, m)| (s.time, m - origin)).collect();
    let taken: Vec<(f64, f64)> =
        used.iter().filter_map(|place| points.get(*place)).copied().collect();
    let (Some(fit), Some(first), Some(last)) = (line_through(&taken), taken.first(), taken.last())
    else {
        return Err(Refusal::new(
            "no_line",
            "readings",
            "The readings used don't lie at two times or more.",
            "Give readings at different times.",
        ));
    };
    let with_all =
        (used.len() < points.len()).then(|| line_through(&points).map(|all| -all.slope)).flatten();
    let samples: Vec<&Sample> = used.iter().filter_map(|place| test.samples.get(*place)).collect();
    let display = libm::sqrt(
        samples.iter().map(|sample| display_variance(test, sample)).sum::<f64>()
            / count(samples.len()),
    );
    let scatter = fit.scatter.unwrap_or(0.0).max(display);
    let slope_standard = scatter / libm::sqrt(fit.spread);
    let quantile = student_t_quantile(test.confidence, fit.freedom).unwrap_or(test.quantile);
    Ok(Leak {
        flow: -fit.slope,
        start: origin + fit.at(first.0),
        hold: last.0 - first.0,
        with_all,
        display,
        scatter,
        slope_standard,
        quantile,
        correlation: correlation(&fit.residuals),
        furthest: furthest(&fit, &taken, &used),
        by_pressure: samples.first().map_or(f64::NAN, |sample| slopes(test, sample).0),
        gauge_step: samples.iter().map(|sample| gauge_step(test, sample)).fold(0.0, f64::max),
        masses,
        used,
        fit,
    })
}

/// How the contents change with the pressure, in kg/Pa, and with each part's temperature, in kg/K.
fn slopes(test: &Test, sample: &Sample) -> (f64, Vec<f64>) {
    let gas: Gas = test.gas;
    let at: Vec<(f64, Slopes)> = test
        .parts
        .iter()
        .zip(sample.state.states())
        .map(|(part, state)| (part.volume, gas.equation().slopes(state)))
        .collect();
    let by_pressure = at.iter().map(|(volume, slopes)| volume * slopes.by_pressure).sum();
    (by_pressure, at.iter().map(|(volume, slopes)| volume * slopes.by_temperature).collect())
}

/// Step of the gauge's display at a reading, in Pa.
fn gauge_step(test: &Test, sample: &Sample) -> f64 {
    test.common.gauge_step.unwrap_or_else(|| last_digit(sample.state.readings.instrument()))
}

/// The variance of the mass that the steps of the displays explain: δ²/12 of each.
fn display_variance(test: &Test, sample: &Sample) -> f64 {
    let (by_pressure, by_temperatures) = slopes(test, sample);
    let squared = |slope: f64, step: f64| slope * step * slope * step / 12.0;
    let air = match &sample.state.readings {
        PressureReadings::Gauge { barometer, .. } => last_digit(barometer),
        PressureReadings::Absolute(_) => 0.0,
    };
    let temperatures: f64 = by_temperatures
        .iter()
        .zip(&sample.state.temperatures)
        .map(|(slope, (_, reading))| squared(*slope, last_digit(reading)))
        .sum();
    squared(by_pressure, gauge_step(test, sample)) + squared(by_pressure, air) + temperatures
}

/// The correlation of each residual with the next.
fn correlation(residuals: &[f64]) -> Option<f64> {
    let squares: f64 = residuals.iter().map(|e| e * e).sum();
    if residuals.len() < FEWEST || squares <= 0.0 {
        return None;
    }
    let products: f64 =
        residuals.iter().zip(residuals.iter().skip(1)).map(|(one, next)| one * next).sum();
    Some(products / squares)
}

/// The furthest reading, in standard deviations of its own residual.
fn furthest(fit: &Line, points: &[(f64, f64)], used: &[usize]) -> Option<(usize, f64)> {
    let scatter = fit.scatter.filter(|scatter| *scatter > 0.0)?;
    fit.residuals
        .iter()
        .zip(points)
        .zip(used)
        .map(|((residual, (time, _)), place)| {
            let own = scatter * libm::sqrt((1.0 - fit.leverage(*time)).max(1e-9));
            (*place, residual.abs() / own)
        })
        .max_by(|one, other| one.1.total_cmp(&other.1))
}

impl Leak {
    /// A mass flow in percent of the contents at the start per a time base in s.
    pub(super) fn percent_per(&self, flow: f64, base: f64) -> f64 {
        100.0 * flow * base / self.start
    }

    /// The time in s in which a leak moves the gauge by ten steps of its display.
    pub(super) fn by_display(&self, flow: f64) -> f64 {
        10.0 * self.by_pressure * self.gauge_step / flow
    }
}
