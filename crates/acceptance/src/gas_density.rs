//! `gas-density`: compressibility and density of hydrogen, helium or nitrogen, and the contents of
//! a volume.

use quantity::{Dimension, Reading, Volume, significant};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::form::{self, Form, Place, exact};
use crate::gas::{MOLAR_GAS_CONSTANT, Slopes};
use crate::registry::example;
use crate::state::{Places, PressureReadings, ReadState, Texts, place, places, read_state};
use crate::{Calculation, Gas, Line, Outcome, Refusal, Sheet, Verdict, schema};

const NAME: &str = "gas-density";
const TITLE: &str = "Gas density";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Compressibility and density of hydrogen, helium or nitrogen, and the contents of a \
              volume.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("gas-density", "good-hydrogen-15-mpa"),
        example!("gas-density", "good-circuit-contents"),
        example!("gas-density", "good-barometer-missing"),
        example!("gas-density", "bad-temperature-in-bar"),
        example!("gas-density", "bad-gauge-given-as-absolute"),
        example!("gas-density", "bad-unknown-gas"),
        example!("gas-density", "bad-unknown-field"),
        example!("gas-density", "bad-pressure-without-unit"),
        example!("gas-density", "wrong-outside-helium-equation"),
    ],
};

/// What the calculation takes. Pressure is either gauge with barometer, or absolute.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// What the gauge shows above the surrounding air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub gauge_pressure: Option<String>,
    /// What the barometer shows at the same time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Pressure above vacuum, instead of gauge and barometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub absolute_pressure: Option<String>,
    /// Temperature of the gas.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// Volume whose contents are wanted; may be left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
}

const PLACES: Places = places!("", "", (0, 700, "bar(g)"), (0, 700, "bar(a)"), (-70, 800, "°C"));
const VOLUME: Place = place("volume", "volume", &[Dimension::Volume], (0, 100, "m³"));

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, is implausible, or lies outside the range of the gas's equation.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = Form::default();
    match input.gas {
        Some(gas) => form.show("gas", "gas", gas.name()),
        None => form.miss("gas", "gas"),
    }
    let texts = Texts {
        gauge: input.gauge_pressure.as_deref(),
        barometer: input.barometer.as_deref(),
        absolute: input.absolute_pressure.as_deref(),
        temperature: input.temperature.as_deref(),
    };
    let read = read_state(&mut form, &PLACES, &texts)?;
    let volume = form.optional(&VOLUME, input.volume.as_deref())?;
    let (Some(gas), Some(read)) = (input.gas, read) else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    gas.equation().require(gas, read.state, PLACES.absolute.field)?;
    let volume = match &volume {
        Some(reading) => Some((exact::<Volume>(&VOLUME, reading)?, reading)),
        None => None,
    };
    Ok(sheet(form, gas, &read, volume))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

fn sheet(form: Form, gas: Gas, read: &ReadState, volume: Option<(Volume, &Reading)>) -> Sheet {
    let equation = gas.equation();
    let at = equation.slopes(read.state);
    let mut working = pressure_lines(read);
    working.extend(density_lines(gas, &at));
    let mut results = vec![
        outcome("compressibility", "compressibility factor Z", at.compressibility, 9, "1"),
        outcome("density", "density ρ", at.density, 7, "kg/m³"),
        outcome("molar_density", "molar density", at.density / equation.molar_mass(), 10, "mol/m³"),
    ];
    if let Some((volume, _)) = volume {
        contents(&mut working, &mut results, gas, &at, volume);
    }
    Sheet {
        verdict: Verdict::Computed,
        reason: format!(
            "Density of {} at {} MPa absolute and {} K: {} kg/m³.",
            gas.name(),
            significant(read.state.pressure.pascals() / 1e6, 7),
            significant(read.state.temperature.kelvins(), 6),
            significant(at.density, 7)
        ),
        results,
        working,
        validity: format!("{}: {}; {}.", gas.name(), equation.range(), equation.accuracy()),
        sources: vec![equation.source().to_owned()],
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The steps from readings to absolute pressure and kelvins.
fn pressure_lines(read: &ReadState) -> Vec<Line> {
    let mpa = |pascals: f64| significant(pascals / 1e6, 8);
    let mut lines = Vec::new();
    let formula = match &read.pressure {
        PressureReadings::Gauge { gauge, barometer } => {
            format!("p = p_g + p_b = {gauge} + {barometer}")
        }
        PressureReadings::Absolute(reading) => format!("p = {reading}"),
    };
    lines.push(Line::new(
        "p",
        "absolute pressure",
        &formula,
        mpa(read.state.pressure.pascals()),
        "MPa",
    ));
    lines.push(Line::new(
        "T",
        "gas temperature",
        &format!("T = {} in kelvin", read.temperature),
        significant(read.state.temperature.kelvins(), 7),
        "K",
    ));
    lines
}

fn density_lines(gas: Gas, at: &Slopes) -> Vec<Line> {
    let equation = gas.equation();
    let ideal = at.density * at.compressibility;
    let mut lines = equation.constants();
    lines.extend([
        Line::new(
            "Z",
            "compressibility factor",
            "Z = 1 + Σ aᵢ·(100 K/T)^bᵢ·(p/1 MPa)^cᵢ",
            significant(at.compressibility, 9),
            "1",
        )
        .sourced(equation.source()),
        Line::new("ρ", "density", "ρ = p·M/(Z·R_g·T)", significant(at.density, 7), "kg/m³")
            .sourced(equation.source()),
        Line::new(
            "ρ_ideal",
            "density of an ideal gas, for comparison only",
            "ρ_ideal = p·M/(R_g·T)",
            significant(ideal, 7),
            "kg/m³",
        ),
    ]);
    lines
}

fn contents(
    working: &mut Vec<Line>,
    results: &mut Vec<Outcome>,
    gas: Gas,
    at: &Slopes,
    volume: Volume,
) {
    let cubic_metres = volume.cubic_metres();
    let mass = at.density * cubic_metres;
    let amount = mass / gas.equation().molar_mass();
    let litres = amount * MOLAR_GAS_CONSTANT * 273.15 / 101.325;
    working.push(Line::new("V", "volume", "as typed", significant(cubic_metres, 6), "m³"));
    working.push(Line::new("m", "mass of the contents", "m = ρ·V", significant(mass, 7), "kg"));
    working.push(Line::new(
        "n",
        "amount of the contents",
        "n = m/M",
        significant(amount, 7),
        "mol",
    ));
    working.push(
        Line::new(
            "R",
            "molar gas constant",
            "constant",
            MOLAR_GAS_CONSTANT.to_string(),
            "J/(mol·K)",
        )
        .sourced("SI Brochure, 9th edition (2019), exact"),
    );
    working.push(Line::new(
        "V_n",
        "normal litres of the contents, ideal gas at 0 °C and 101.325 kPa",
        "V_n = n·R·273.15 K/101.325 kPa",
        significant(litres, 6),
        "L",
    ));
    results.push(outcome("mass", "mass of the contents", mass, 6, "kg"));
    results.push(outcome("amount", "amount of the contents", amount, 6, "mol"));
    results.push(outcome(
        "normal_litres",
        "contents in normal litres (0 °C, 101.325 kPa)",
        litres,
        6,
        "L",
    ));
}

fn outcome(name: &str, meaning: &str, value: f64, digits: usize, unit: &str) -> Outcome {
    Outcome {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        value: significant(value, digits),
        unit: unit.to_owned(),
        standard_uncertainty: None,
    }
}
