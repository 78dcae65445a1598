//! `gas-mass`: the mass of gas in a volume, and the mass admitted between two states of it.
//!
//! `m = V·ρ(p, T)` with the real-gas equations of `gas-density`; admitted `Δm = V·(ρ₂ − ρ₁)`,
//! negative when gas was let out. Pressure is absolute: gauge and barometer at the same time. The
//! volume is rigid and holds one gas. Outside the range of the gas's equation it is refused.

use quantity::{Dimension, Volume, significant};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::form::{self, Form, Place, exact};
use crate::registry::example;
use crate::state::{Places, PressureReadings, ReadState, Texts, place, places, read_state};
use crate::{Calculation, Flag, Gas, Line, Outcome, Refusal, Sheet, Verdict, schema};

const NAME: &str = "gas-mass";
const TITLE: &str = "Gas in a circuit";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Mass of hydrogen, helium or nitrogen in a volume, and the mass admitted between two \
              states.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("gas-mass", "good-contents"),
        example!("gas-mass", "good-fill"),
        example!("gas-mass", "good-volume-missing"),
        example!("gas-mass", "bad-volume-in-kg"),
        example!("gas-mass", "bad-gas-unknown"),
        example!("gas-mass", "bad-unknown-field"),
        example!("gas-mass", "bad-temperature-null"),
        example!("gas-mass", "bad-pressure-without-unit"),
        example!("gas-mass", "wrong-psi-typed-as-bar"),
        example!("gas-mass", "wrong-too-cold-for-the-equation"),
    ],
};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// The volume that holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Readings after the filling, or the only ones.
    #[serde(default)]
    pub after: StateRead,
    /// Readings before the filling. Left out, only the contents are computed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StateRead")]
    pub before: Option<StateRead>,
}

/// Readings at one moment. Pressure is either gauge with barometer, or absolute.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StateRead {
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
}

const PRESSURE: (i64, i64, &str) = (0, 300, "bar(g)");
const ABSOLUTE: (i64, i64, &str) = (0, 300, "bar(a)");
const TEMPERATURE: (i64, i64, &str) = (-60, 130, "°C");
const AFTER: Places = places!("after.", " after", PRESSURE, ABSOLUTE, TEMPERATURE);
const BEFORE: Places = places!("before.", " before", PRESSURE, ABSOLUTE, TEMPERATURE);
const VOLUME: Place = place("volume", "volume", &[Dimension::Volume], (0, 10_000, "L"));

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
    let volume = form.needed(&VOLUME, input.volume.as_deref())?;
    let before = match &input.before {
        Some(readings) => Some(read_state(&mut form, &BEFORE, &texts(readings))?),
        None => None,
    };
    let after = read_state(&mut form, &AFTER, &texts(&input.after))?;
    let (Some(gas), Some(volume), Some(after)) = (input.gas, volume, after) else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let before = match before {
        Some(None) => return Ok(Sheet::blank(&CALCULATION, form)),
        Some(Some(read)) => {
            gas.equation().require(gas, read.state, BEFORE.absolute.field)?;
            Some(read)
        }
        None => None,
    };
    gas.equation().require(gas, after.state, AFTER.absolute.field)?;
    Ok(sheet(form, gas, exact(&VOLUME, &volume)?, before.as_ref(), &after))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

fn texts(readings: &StateRead) -> Texts<'_> {
    Texts {
        gauge: readings.gauge_pressure.as_deref(),
        barometer: readings.barometer.as_deref(),
        absolute: readings.absolute_pressure.as_deref(),
        temperature: readings.temperature.as_deref(),
    }
}

/// Mass in kg and amount in mol of a state in a volume.
fn contents(gas: Gas, volume: Volume, read: &ReadState) -> (f64, f64) {
    let density = gas.equation().density(read.state).kilograms_per_cubic_metre();
    let mass = density * volume.cubic_metres();
    (mass, mass / gas.equation().molar_mass())
}

fn sheet(
    form: Form,
    gas: Gas,
    volume: Volume,
    before: Option<&ReadState>,
    after: &ReadState,
) -> Sheet {
    let equation = gas.equation();
    let mut working = equation.constants();
    let litres = significant(volume.cubic_metres() * 1e3, 6);
    working.push(Line::new("V", "volume", "as typed", litres, "L"));
    let (mass, amount) = contents(gas, volume, after);
    let mut results = vec![
        Outcome::new("mass", "mass of the contents after", significant(mass, 5), "kg"),
        Outcome::new("amount", "amount of the contents after", significant(amount, 5), "mol"),
    ];
    let mut flags = Vec::new();
    let reason = match before {
        None => {
            working.extend(state_lines(gas, volume, "", after));
            format!(
                "{} kg of {} ({} mol).",
                significant(mass, 4),
                gas.name(),
                significant(amount, 4)
            )
        }
        Some(before) => {
            working.extend(state_lines(gas, volume, "₁", before));
            working.extend(state_lines(gas, volume, "₂", after));
            let (first, first_amount) = contents(gas, volume, before);
            let (admitted, moles) = (mass - first, amount - first_amount);
            let line = |symbol: &str, meaning: &str, formula: &str, value: f64, unit: &str| {
                Line::new(symbol, meaning, formula, significant(value, 6), unit)
            };
            working.push(line("Δm", "mass admitted", "Δm = m₂ − m₁", admitted, "kg"));
            working.push(line("Δn", "amount admitted", "Δn = n₂ − n₁", moles, "mol"));
            let value = significant(admitted, 5);
            results.insert(0, Outcome::new("admitted", "mass admitted", value, "kg"));
            let value = significant(moles, 5);
            results.insert(1, Outcome::new("admitted_amount", "amount admitted", value, "mol"));
            let value = significant(first, 5);
            results.push(Outcome::new("mass_before", "mass of the contents before", value, "kg"));
            if admitted < 0.0 {
                flags.push(Flag {
                    code: "gas_let_out".to_owned(),
                    sentence: "There was more gas before than after: gas was let out, or readings \
                               are exchanged."
                        .to_owned(),
                });
            }
            format!(
                "{} kg of {} admitted ({} mol); {} kg in the circuit afterwards.",
                significant(admitted, 4),
                gas.name(),
                significant(moles, 4),
                significant(mass, 4)
            )
        }
    };
    Sheet {
        verdict: Verdict::Computed,
        reason,
        results,
        working,
        validity: format!(
            "A rigid volume with one gas at one temperature; right after a filling the gas is warmer \
             than the wall. {}: {}; {}.",
            gas.name(),
            equation.range(),
            equation.accuracy()
        ),
        sources: vec![equation.source().to_owned()],
        flags,
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn state_lines(gas: Gas, volume: Volume, n: &str, read: &ReadState) -> Vec<Line> {
    let equation = gas.equation();
    let formula = match &read.pressure {
        PressureReadings::Gauge { gauge, barometer } => {
            format!("p{n} = p_g{n} + p_b{n} = {gauge} + {barometer}")
        }
        PressureReadings::Absolute(reading) => format!("p{n} = {reading}"),
    };
    let (mass, amount) = contents(gas, volume, read);
    let density = equation.density(read.state).kilograms_per_cubic_metre();
    let line = |symbol: &str, meaning: &str, formula: &str, value: f64, digits, unit: &str| {
        let symbol = format!("{symbol}{n}");
        Line::new(&symbol, meaning, formula, significant(value, digits), unit)
    };
    let pascals = read.state.pressure.pascals();
    let kelvins = read.state.temperature.kelvins();
    let compressibility = equation.compressibility(read.state).fraction();
    vec![
        line("p", "absolute pressure", &formula, pascals / 1e6, 8, "MPa"),
        line(
            "T",
            "gas temperature",
            &format!("T{n} = {} in kelvin", read.temperature),
            kelvins,
            7,
            "K",
        ),
        line(
            "Z",
            "compressibility factor",
            &format!("Z{n} = 1 + Σ aᵢ·(100 K/T{n})^bᵢ·(p{n}/1 MPa)^cᵢ"),
            compressibility,
            9,
            "1",
        )
        .sourced(equation.source()),
        line("ρ", "density", &format!("ρ{n} = p{n}·M/(Z{n}·R_g·T{n})"), density, 8, "kg/m³")
            .sourced(equation.source()),
        line("m", "mass of the contents", &format!("m{n} = V·ρ{n}"), mass, 7, "kg"),
        line("n", "amount of the contents", &format!("n{n} = m{n}/M"), amount, 7, "mol"),
    ]
}
