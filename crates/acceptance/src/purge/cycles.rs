//! What is left after every cycle.

use libm::{ceil, log};
use quantity::{AbsolutePressure, Ratio};

use super::input::Purge;
use crate::{Refusal, State};

/// A cycle done.
#[derive(Debug, Clone, Copy)]
pub(super) struct Done {
    /// p_L/p_H.
    pub(super) ratio: f64,
    /// Fraction left, by the ratio of pressures.
    pub(super) left: f64,
    /// Ratio of real densities and the fraction left by it.
    pub(super) real: Option<(f64, f64)>,
}

/// The whole course of a purge.
#[derive(Debug)]
pub(super) struct Course {
    pub(super) cycles: Vec<Done>,
    /// Cycles of the same ratio that would bring the fraction to the limit; none when the purge
    /// gas itself holds more.
    pub(super) needed: Option<f64>,
    /// The same by the ratio of real densities.
    pub(super) needed_real: Option<f64>,
    /// Purge gas used at real densities, in kg for each m³ of the circuit.
    pub(super) mass: Option<f64>,
    /// Purge gas used, in volumes of the circuit at the pressure of the air.
    pub(super) volumes: f64,
}

impl Course {
    /// What is left in the end, by pressures.
    pub(super) fn ideal(&self) -> f64 {
        self.cycles.last().map_or(f64::NAN, |cycle| cycle.left)
    }

    /// What is left in the end, by real densities.
    pub(super) fn real(&self) -> Option<f64> {
        self.cycles.last().and_then(|cycle| cycle.real).map(|(_, left)| left)
    }

    /// The computed value that is judged where nothing was measured: the larger.
    pub(super) fn computed(&self) -> Ratio {
        let ideal = self.ideal();
        Ratio::from_fraction(self.real().map_or(ideal, |real| real.max(ideal)))
    }

    /// Whole cycles that would be needed, by the pressures.
    pub(super) fn whole(&self) -> Option<f64> {
        self.needed.map(ceil)
    }

    /// Whole cycles that would be needed, by the densities.
    pub(super) fn whole_real(&self) -> Option<f64> {
        self.needed_real.map(ceil)
    }
}

/// Runs the cycles.
pub(super) fn run(purge: &Purge) -> Result<Course, Refusal> {
    let supply = purge.supply.fraction();
    let start = purge.start.fraction();
    let (mut ideal, mut real) = (start, start);
    let mut cycles = Vec::new();
    let (mut logarithms, mut volumes) = (0.0, 0.0);
    let (mut real_logarithms, mut mass) = (0.0, 0.0);
    for (index, cycle) in purge.cycles.iter().enumerate() {
        let ratio = cycle.low.pascals() / cycle.high.pascals();
        ideal = supply + (ideal - supply) * ratio;
        let by_density = match purge.real {
            Some((gas, temperature)) => {
                let density = |pressure: AbsolutePressure, part: &str| {
                    let state = State { pressure, temperature };
                    let field = format!("cycles.{}.{part}", index + 1);
                    gas.equation().require(gas, state, &field)?;
                    Ok::<_, Refusal>(gas.equation().density(state).kilograms_per_cubic_metre())
                };
                let (low, high) = (density(cycle.low, "low")?, density(cycle.high, "high")?);
                let ratio = low / high;
                real_logarithms += log(ratio);
                mass += high - low;
                real = supply + (real - supply) * ratio;
                Some((ratio, real))
            }
            None => None,
        };
        logarithms += log(ratio);
        volumes += (cycle.high.pascals() - cycle.low.pascals()) / purge.barometer.pascals();
        cycles.push(Done { ratio, left: ideal, real: by_density });
    }
    let above = purge.limit.fraction() - supply;
    let count = crate::stats::count(cycles.len());
    let needed = |logarithms: f64| {
        let mean = logarithms / count;
        (above > 0.0 && start > supply).then(|| (log(above / (start - supply)) / mean).max(0.0))
    };
    let densities = purge.real.is_some();
    Ok(Course {
        needed: needed(logarithms),
        needed_real: densities.then(|| needed(real_logarithms)).flatten(),
        mass: densities.then_some(mass),
        cycles,
        volumes,
    })
}
