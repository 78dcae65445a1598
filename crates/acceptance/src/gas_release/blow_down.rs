//! How long a volume takes to empty: by the flow at every pressure on the way.

use libm::{pow, sqrt};
use quantity::{AbsolutePressure, Temperature};

use super::read::Release;
use crate::gas::MOLAR_GAS_CONSTANT;
use crate::{Refusal, State};

/// Pressure and time on the way down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    /// In Pa.
    pub(super) pressure: f64,
    /// Seconds since the start, the gas always as warm.
    pub(super) isothermal: f64,
    /// Seconds since the start, no heat from the walls.
    pub(super) adiabatic: f64,
}

/// The emptying of a volume.
#[derive(Debug)]
pub(super) struct Emptying {
    pub(super) course: Vec<Moment>,
    /// Contents at the start, real gas, in kg.
    pub(super) contents: f64,
    /// What leaves, isothermal, real gas, in kg.
    pub(super) leaves: f64,
    /// Temperature at the end without heat from the walls, in K.
    pub(super) coldest: f64,
    /// Z at the start.
    pub(super) compressibility: f64,
}

/// Pressures on the way; with the points below enough for seven digits.
const STEPS: u32 = 60;
/// Gauss and Legendre's places and weights for five points on −1 … 1 (DLMF 3.5, table).
const POINTS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

/// Follows the emptying; none where no volume is given.
pub(super) fn empty(release: &Release) -> Result<Option<Emptying>, Refusal> {
    let Some((volume, end)) = release.emptied else { return Ok(None) };
    let (start, kelvins) = (release.pressure, release.kelvins);
    let gas = release.gas;
    let state = |pressure: f64| State {
        pressure: AbsolutePressure::from_pascals(pressure),
        temperature: Temperature::from_kelvins(kelvins),
    };
    gas.equation().require(gas, state(start), "volume")?;
    gas.equation().require(gas, state(end), "final_pressure")?;
    let opening = &release.opening;
    let g = opening.ratio;
    // The contents are those of the real gas; how they fall is taken from the ideal one.
    let compressed = gas.equation().compressibility(state(start)).fraction();
    // p = p_a + x²: near the end the flow goes with the root of what is left, and the sum is smooth.
    let root = |pressure: f64| sqrt((pressure - opening.air).max(0.0));
    let mut places: Vec<f64> = (0..=STEPS)
        .map(|step| {
            let share = f64::from(step) / f64::from(STEPS);
            root(start) + (root(end) - root(start)) * share
        })
        .collect();
    let edge = root(opening.critical() * opening.air);
    if edge < root(start) && edge > root(end) {
        places.push(edge);
        places.sort_by(|one, other| other.total_cmp(one));
    }
    let rates = |x: f64| {
        let pressure = opening.air + x * x;
        let warm = gas.equation().slopes(state(pressure)).by_pressure;
        let cold = kelvins * pow(pressure / start, (g - 1.0) / g);
        let ideal = opening.molar_mass / (compressed * g * MOLAR_GAS_CONSTANT * cold);
        let time = |slope: f64, kelvins: f64| {
            2.0 * x * volume * slope / opening.mass_flow(pressure, kelvins)
        };
        (time(warm, kelvins), time(ideal, cold))
    };
    let (mut isothermal, mut adiabatic) = (0.0, 0.0);
    let mut course = vec![Moment { pressure: start, isothermal, adiabatic }];
    for (from, to) in places.iter().zip(places.iter().skip(1)) {
        let (middle, half) = (0.5 * (from + to), 0.5 * (from - to));
        for (place, weight) in POINTS {
            let (warm, cold) = rates(middle + half * place);
            isothermal += half * weight * warm;
            adiabatic += half * weight * cold;
        }
        let pressure = opening.air + to * to;
        course.push(Moment { pressure, isothermal, adiabatic });
    }
    let mass = |pressure: f64| {
        volume * gas.equation().density(state(pressure)).kilograms_per_cubic_metre()
    };
    Ok(Some(Emptying {
        course,
        contents: mass(start),
        leaves: mass(start) - mass(end),
        coldest: kelvins * pow(end / start, (g - 1.0) / g),
        compressibility: compressed,
    }))
}

impl Emptying {
    /// The end of it.
    pub(super) fn end(&self) -> Option<Moment> {
        self.course.last().copied()
    }
}
