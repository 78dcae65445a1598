//! The flow through the opening.

use libm::{pow, sqrt};

use crate::Gas;
use crate::gas::MOLAR_GAS_CONSTANT;

/// An opening with the air outside.
#[derive(Debug, Clone, Copy)]
pub(super) struct Opening {
    /// Molar mass in kg/mol.
    pub(super) molar_mass: f64,
    /// γ.
    pub(super) ratio: f64,
    pub(super) coefficient: f64,
    /// In m².
    pub(super) area: f64,
    /// Pressure of the air in Pa.
    pub(super) air: f64,
}

impl Opening {
    /// The ratio of pressures from which on the flow is choked.
    pub(super) fn critical(&self) -> f64 {
        let g = self.ratio;
        pow((g + 1.0) / 2.0, g / (g - 1.0))
    }

    /// Whether the flow is choked at a pressure inside.
    pub(super) fn choked(&self, pressure: f64) -> bool {
        pressure >= self.critical() * self.air
    }

    /// Mass flow in kg/s with a compressibility factor `z`, which is 1 by rule.
    pub(super) fn mass_flow_with(&self, pressure: f64, kelvins: f64, z: f64) -> f64 {
        let g = self.ratio;
        let specific = self.molar_mass / (z * MOLAR_GAS_CONSTANT * kelvins);
        let through = self.coefficient * self.area * pressure;
        if pressure <= self.air {
            return 0.0;
        }
        if self.choked(pressure) {
            return through * sqrt(g * specific * pow(2.0 / (g + 1.0), (g + 1.0) / (g - 1.0)));
        }
        let outside = self.air / pressure;
        let fall = 1.0 - pow(outside, (g - 1.0) / g);
        through * pow(outside, 1.0 / g) * sqrt(specific * 2.0 * g / (g - 1.0) * fall)
    }

    /// Mass flow in kg/s with Z = 1.
    pub(super) fn mass_flow(&self, pressure: f64, kelvins: f64) -> f64 {
        self.mass_flow_with(pressure, kelvins, 1.0)
    }
}

/// Ratio of heat capacities at room temperature and low pressure, with its source.
pub(super) const fn heat_capacity_ratio(gas: Gas) -> (f64, &'static str) {
    match gas {
        Gas::Hydrogen => (1.405, "hydrogen at 300 K (CoolProp 8.0.0: 1.4050)"),
        Gas::Helium => (5.0 / 3.0, "monatomic gas"),
        Gas::Nitrogen => (1.4, "nitrogen at 293 K (CoolProp 8.0.0: 1.3996)"),
    }
}

/// By how much the flow with Z = 1 may lie below that of the real gas, as a fraction, at a pressure
/// in Pa and a temperature in K: found by comparison with CoolProp 8.0.0 over 233 to 353 K and 0.3 to 20 MPa.
pub(super) fn allowance(gas: Gas, pressure: f64, kelvins: f64) -> f64 {
    match gas {
        Gas::Hydrogen => 0.007,
        Gas::Helium => 0.0,
        Gas::Nitrogen => 0.004 * pressure / 1e6 * pow(293.0 / kelvins, 3.6),
    }
}
