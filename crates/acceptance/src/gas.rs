//! Real-gas density of hydrogen, helium and nitrogen by explicit equations.
//!
//! All three have the form of the hydrogen equation:
//! `Z(p, T) = 1 + Σ aᵢ · (100 K / T)^bᵢ · (p / 1 MPa)^cᵢ` and `ρ = p·M / (Z·R·T)`.

use quantity::{AbsolutePressure, MassDensity, Ratio, Si, Temperature};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Line, Refusal};

/// The molar gas constant in J/(mol·K): exact since 2019 (SI Brochure, 9th edition).
pub(crate) const MOLAR_GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// A gas that circuits are tested or filled with. There is no default: it must be named.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Gas {
    /// Normal hydrogen.
    Hydrogen,
    /// Helium-4.
    Helium,
    /// Nitrogen.
    Nitrogen,
}

/// One term of the sum: coefficient, power of 100 K/T, power of p/1 MPa.
type Term = (f64, f64, f64);

/// The equation of a gas, with its range and source.
#[derive(Debug)]
pub struct Equation {
    terms: &'static [Term],
    molar_mass: f64,
    gas_constant: f64,
    temperatures: (f64, f64),
    highest_pressure: f64,
    source: &'static str,
    accuracy: &'static str,
}

/// A state of a gas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Pressure above vacuum.
    pub pressure: AbsolutePressure,
    /// Temperature of the gas.
    pub temperature: Temperature,
}

/// Lemmon, Huber & Leachman (2008), Table 1; its check values use R = 8.314472 J/(mol·K).
#[expect(clippy::approx_constant, reason = "an exponent of the table, which is not π")]
static HYDROGEN: Equation = Equation {
    terms: &[
        (0.058_884_60, 1.325, 1.0),
        (-0.061_361_11, 1.87, 1.0),
        (-0.002_650_473, 2.5, 2.0),
        (0.002_731_125, 2.8, 2.0),
        (0.001_802_374, 2.938, 2.42),
        (-0.001_150_707, 3.14, 2.63),
        (0.958_852_8e-4, 3.37, 3.0),
        (-0.110_904_0e-6, 3.75, 4.0),
        (0.126_440_3e-9, 4.0, 5.0),
    ],
    molar_mass: 2.015_88e-3,
    gas_constant: 8.314_472,
    temperatures: (220.0, 1000.0),
    highest_pressure: 70e6,
    source: "E. W. Lemmon, M. L. Huber, J. W. Leachman, Revised Standardized Equation for Hydrogen \
             Gas Densities for Fuel Consumption Applications, J. Res. Natl. Inst. Stand. Technol. \
             113 (2008) 341–350",
    accuracy: "within 0.01 % of the full equation of state; density uncertainty (k = 2) 0.04 % from \
               250 to 450 K",
};

/// Fitted to CoolProp 8.0.0 "Helium" (the equation of Ortiz-Vega et al.); molar mass by CIAAW.
static HELIUM: Equation = Equation {
    terms: &[
        (-2.167_053e-3, 0.5, 1.0),
        (1.817_914e-2, 1.0, 1.0),
        (-1.735_717e-3, 3.0, 1.0),
        (-2.896_852e-5, 1.5, 2.0),
        (1.990_930e-8, 0.5, 3.0),
        (4.152_121e-6, 6.0, 3.0),
    ],
    molar_mass: 4.002_602e-3,
    gas_constant: MOLAR_GAS_CONSTANT,
    temperatures: (230.0, 400.0),
    highest_pressure: 25e6,
    source: "explicit fit to CoolProp 8.0.0 “Helium” (Helmholtz equation of Ortiz-Vega et al.), in \
             the form of Lemmon, Huber & Leachman (2008)",
    accuracy: "within 0.001 % of CoolProp (worst 7.3e-6)",
};

/// Fitted to CoolProp 8.0.0 "Nitrogen" (Span et al. 2000); molar mass as in that equation.
static NITROGEN: Equation = Equation {
    terms: &[
        (9.062_274_260e-3, 0.5, 1.0),
        (5.495_287_970e-2, 1.5, 1.0),
        (-2.816_646_925e-1, 2.5, 1.0),
        (1.069_965_041e-1, 5.0, 1.0),
        (2.974_606_759e-3, 3.0, 1.5),
        (-1.478_709_808e-1, 6.5, 1.5),
        (7.293_290_211e-3, 3.0, 2.0),
        (-3.113_578_266e-5, 1.5, 2.5),
        (-1.280_807_547e-2, 5.5, 2.5),
        (7.783_517_108e-3, 6.0, 3.0),
        (-4.784_472_520e-4, 6.0, 3.5),
        (-1.580_341_689e-7, 4.0, 5.0),
        (-2.880_752_961e-6, 6.0, 5.0),
        (3.000_054_311e-8, 5.0, 6.0),
    ],
    molar_mass: 28.013_48e-3,
    gas_constant: MOLAR_GAS_CONSTANT,
    temperatures: (230.0, 400.0),
    highest_pressure: 25e6,
    source: "explicit fit to CoolProp 8.0.0 “Nitrogen” (R. Span et al., J. Phys. Chem. Ref. Data 29 \
             (2000) 1361–1433), in the form of Lemmon, Huber & Leachman (2008)",
    accuracy: "within 0.01 % of CoolProp (worst 5.7e-5)",
};

impl Gas {
    /// The name in sentences.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hydrogen => "hydrogen",
            Self::Helium => "helium",
            Self::Nitrogen => "nitrogen",
        }
    }

    /// The gas's equation.
    pub fn equation(self) -> &'static Equation {
        match self {
            Self::Hydrogen => &HYDROGEN,
            Self::Helium => &HELIUM,
            Self::Nitrogen => &NITROGEN,
        }
    }
}

impl Equation {
    /// Where the equation comes from.
    pub const fn source(&self) -> &'static str {
        self.source
    }

    /// How near the equation is to what it stands for.
    pub const fn accuracy(&self) -> &'static str {
        self.accuracy
    }

    /// The range in words.
    pub fn range(&self) -> String {
        let (low, high) = self.temperatures;
        format!("{low} to {high} K and up to {} MPa", self.highest_pressure / 1e6)
    }

    /// Whether a state is in the range of the equation.
    pub fn holds(&self, state: State) -> bool {
        let (t, p) = (state.temperature.kelvins(), state.pressure.pascals());
        t >= self.temperatures.0
            && t <= self.temperatures.1
            && p > 0.0
            && p <= self.highest_pressure
    }

    /// Lets a state within the range pass.
    pub(crate) fn require(&self, gas: Gas, state: State, field: &str) -> Result<(), Refusal> {
        if self.holds(state) {
            return Ok(());
        }
        Err(Refusal::new(
            "outside_validity",
            field,
            format!(
                "{:.2} K and {:.4} MPa absolute lie outside the range of the {} equation, {}.",
                state.temperature.kelvins(),
                state.pressure.pascals() / 1e6,
                gas.name(),
                self.range()
            ),
            "Check reading and unit; outside this range the program does not calculate.",
        ))
    }

    /// Molar mass in kg/mol.
    pub(crate) const fn molar_mass(&self) -> f64 {
        self.molar_mass
    }

    /// The constants of the equation, as steps of a working.
    pub(crate) fn constants(&self) -> Vec<Line> {
        let constant = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
            Line::new(symbol, meaning, formula, value, unit).sourced(self.source)
        };
        let mut lines = vec![
            constant("M", "molar mass", "constant", self.molar_mass.to_string(), "kg/mol"),
            constant(
                "R_g",
                "molar gas constant that goes with the equation",
                "constant",
                self.gas_constant.to_string(),
                "J/(mol·K)",
            ),
        ];
        for (index, (a, b, c)) in self.terms.iter().enumerate() {
            let n = index + 1;
            lines.push(constant(
                &format!("a{n}"),
                &format!("coefficient {n} of the equation for Z"),
                &format!("with b{n} = {b}, c{n} = {c}"),
                a.to_string(),
                "1",
            ));
        }
        lines
    }

    /// Compressibility factor Z.
    pub fn compressibility(&self, state: State) -> Ratio {
        Ratio::from_fraction(self.sums(state).0)
    }

    /// Mass density.
    pub fn density(&self, state: State) -> MassDensity {
        MassDensity::from_kilograms_per_cubic_metre(self.slopes(state).density)
    }

    /// Density with its slopes in pressure and temperature.
    pub(crate) fn slopes(&self, state: State) -> Slopes {
        let (t, p) = (state.temperature.kelvins(), state.pressure.pascals());
        let (z, dz_dp, dz_dt) = self.sums(state);
        let density = p * self.molar_mass / (z * self.gas_constant * t);
        Slopes {
            compressibility: z,
            density,
            by_pressure: density * (1.0 / p - dz_dp / z),
            by_temperature: -density * (1.0 / t + dz_dt / z),
        }
    }

    /// Z and its slopes in 1/Pa and 1/K.
    fn sums(&self, state: State) -> (f64, f64, f64) {
        let (t, p) = (state.temperature.kelvins(), state.pressure.pascals());
        let (mut z, mut dz_dp, mut dz_dt) = (1.0, 0.0, 0.0);
        for (a, b, c) in self.terms {
            let term = a * libm::pow(100.0 / t, *b) * libm::pow(p / 1e6, *c);
            z += term;
            dz_dp += term * c / p;
            dz_dt -= term * b / t;
        }
        (z, dz_dp, dz_dt)
    }

    /// The pressure at which the gas has a density at a temperature, by Newton's steps from the
    /// ideal-gas value; none where they don't settle within the range of the equation.
    pub fn pressure_at(
        &self,
        density: MassDensity,
        temperature: Temperature,
    ) -> Option<AbsolutePressure> {
        let wanted = density.kilograms_per_cubic_metre();
        let ideal = wanted * self.gas_constant * temperature.kelvins() / self.molar_mass;
        let mut state = State { pressure: AbsolutePressure::from_pascals(ideal), temperature };
        for _ in 0..50 {
            let at = self.slopes(state);
            let step = (at.density - wanted) / at.by_pressure;
            state.pressure = AbsolutePressure::from_pascals(state.pressure.pascals() - step);
            if step.is_nan() || state.pressure.si() <= 0.0 {
                return None;
            }
            if step.abs() < 1e-12 * state.pressure.si() {
                return Some(state.pressure);
            }
        }
        None
    }
}

/// Density of a state, and how it changes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Slopes {
    /// Z.
    pub(crate) compressibility: f64,
    /// ρ in kg/m³.
    pub(crate) density: f64,
    /// ∂ρ/∂p at constant temperature, in kg/m³/Pa.
    pub(crate) by_pressure: f64,
    /// ∂ρ/∂T at constant pressure, in kg/m³/K.
    pub(crate) by_temperature: f64,
}
