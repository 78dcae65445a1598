//! `gas-density`: compressibility and density of hydrogen, helium or nitrogen, and the contents of
//! a volume.

use quantity::{Dimension, Temperature, Volume, significant};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::circuit::{self, CircuitState, Counted, Instruments, ReadPart, read_circuit_state};
use crate::doubt::{self, Budget};
use crate::form::{self, Form, Place, between};
use crate::gas::{MOLAR_GAS_CONSTANT, Slopes};
use crate::registry::example;
use crate::state::{Places, places};
use crate::{
    Calculation, Combined, DoubtLine, Gas, InstrumentDoubt, Line, Outcome, Refusal, Sheet, State,
    StateRead, Verdict, schema,
};

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
    /// What is known of the instruments; left out, the results have no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "InstrumentDoubt")]
    pub uncertainty: Option<InstrumentDoubt>,
}

const PLACES: Places = places!("", "", (0, 700, "bar(g)"), (0, 700, "bar(a)"), (-70, 800, "°C"));

const VOLUME: Place = between("volume", "volume", &[Dimension::Volume], (0, 100, "m³"));

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
    let texts = StateRead {
        gauge_pressure: input.gauge_pressure.clone(),
        barometer: input.barometer.clone(),
        absolute_pressure: input.absolute_pressure.clone(),
        temperature: input.temperature.clone(),
        temperatures: Vec::new(),
    };
    let read = read_circuit_state(&mut form, &PLACES, "", &texts, 1)?;
    let stated = input.uncertainty.as_ref();
    let volume = form.may::<Volume>(&VOLUME, input.volume.as_deref())?;
    let doubt = stated.and_then(|doubt| doubt.volume.as_ref());
    if volume.is_none() && doubt.is_some() {
        form.miss("volume", "volume, whose uncertainty is stated");
    }
    let doubt = form.within("uncertainty", |form| {
        doubt::stated(form, "volume", "uncertainty of the volume", VOLUME.dimensions, doubt)
    })?;
    let part =
        volume.map(|volume| ReadPart { name: String::new(), volume: volume.cubic_metres(), doubt });
    let instruments = InstrumentDoubt::read(&mut form, stated)?;
    let (Some(gas), Some(read), true) = (input.gas, read, form.missing.is_empty()) else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    read.require(gas, PLACES.absolute.field)?;
    Ok(sheet(form, gas, &read, part, &instruments))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

/// A cubic metre, whose contents in kg are the density in kg/m³.
const UNIT: ReadPart = ReadPart { name: String::new(), volume: 1.0, doubt: None };

fn sheet(
    form: Form,
    gas: Gas,
    read: &CircuitState,
    part: Option<ReadPart>,
    instruments: &Instruments,
) -> Sheet {
    let equation = gas.equation();
    let molar = equation.molar_mass();
    let state = State {
        pressure: read.pressure,
        temperature: read.temperatures.first().map_or(Temperature::from_kelvins(f64::NAN), |t| t.0),
    };
    let at = equation.slopes(state);
    let terms = [Counted { sign: 1.0, state: read, when: "" }];
    let doubt = circuit::budget(gas, &[UNIT], &terms, instruments);
    let u = doubt.as_ref().map(|budget| budget.standard);
    let mut working = pressure_lines(read);
    working.extend(density_lines(gas, &at));
    let mut results = vec![
        outcome("compressibility", "compressibility factor Z", at.compressibility, 9, "1"),
        doubted(outcome("density", "density ρ", at.density, 7, "kg/m³"), u),
        doubted(
            outcome("molar_density", "molar density", at.density / molar, 10, "mol/m³"),
            u.map(|u| u / molar),
        ),
    ];
    let parts = part.map(|part| vec![part]);
    if let Some([part]) = parts.as_deref() {
        let volume = Volume::from_cubic_metres(part.volume);
        let of_mass =
            circuit::budget(gas, parts.as_deref().unwrap_or_default(), &terms, instruments);
        let u = of_mass.map(|budget| budget.standard);
        contents(&mut working, &mut results, gas, &at, volume, u);
    }
    let counted = parts.unwrap_or_default();
    let flags = match &doubt {
        Some(_) => circuit::incomplete(&counted, &terms, instruments).into_iter().collect(),
        None => Vec::new(),
    };
    Sheet {
        verdict: Verdict::Computed,
        reason: format!(
            "Density of {} at {} MPa absolute and {} K: {} kg/m³.",
            gas.name(),
            significant(state.pressure.pascals() / 1e6, 7),
            significant(state.temperature.kelvins(), 6),
            significant(at.density, 7)
        ),
        results,
        working,
        combined: doubt
            .as_ref()
            .map(|budget| Combined { unit: "kg/m³".to_owned(), ..budget.combined("density") }),
        doubt: doubt.map(per_cubic_metre).unwrap_or_default(),
        flags,
        validity: format!("{}: {}; {}.", gas.name(), equation.range(), equation.accuracy()),
        sources: vec![equation.source().to_owned()],
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The lines of a budget of a cubic metre's contents, as those of a density.
fn per_cubic_metre(budget: Budget) -> Vec<DoubtLine> {
    let unit = |line| DoubtLine { contribution_unit: "kg/m³".to_owned(), ..line };
    budget.lines.into_iter().map(unit).collect()
}

fn doubted(outcome: Outcome, u: Option<f64>) -> Outcome {
    match u {
        Some(u) => outcome.within(significant(u, 3)),
        None => outcome,
    }
}

/// The steps from readings to absolute pressure and kelvins.
fn pressure_lines(read: &CircuitState) -> Vec<Line> {
    let mut lines = vec![Line::new(
        "p",
        "absolute pressure",
        &read.readings.formula(""),
        significant(read.pressure.pascals() / 1e6, 8),
        "MPa",
    )];
    lines.extend(read.temperatures.iter().map(|(temperature, reading)| {
        Line::new(
            "T",
            "gas temperature",
            &format!("T = {reading} in kelvin"),
            significant(temperature.kelvins(), 7),
            "K",
        )
    }));
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
    u: Option<f64>,
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
    let molar = gas.equation().molar_mass();
    results.push(doubted(outcome("mass", "mass of the contents", mass, 6, "kg"), u));
    let moles = u.map(|u| u / molar);
    results.push(doubted(outcome("amount", "amount of the contents", amount, 6, "mol"), moles));
    results.push(outcome(
        "normal_litres",
        "contents in normal litres (0 °C, 101.325 kPa)",
        litres,
        6,
        "L",
    ));
}

fn outcome(name: &str, meaning: &str, value: f64, digits: usize, unit: &str) -> Outcome {
    Outcome::new(name, meaning, significant(value, digits), unit)
}
