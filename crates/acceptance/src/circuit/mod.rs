//! A circuit that holds gas: one volume, or parts under one pressure with a temperature each; its
//! contents, and the doubt of a sum of contents.
//!
//! `m = Σ Vₖ·ρ(p, Tₖ)`. Doubt: JCGM 100:2008 (GUM) 5.1.2. The gauge's scale is one source for all
//! readings; display steps, barometer and temperatures act on each reading alone; a volume acts on
//! every state of its part.

mod budget;
mod lines;

pub(crate) use budget::{Counted, budget, incomplete};
pub(crate) use lines::{lines, volume_lines};

use quantity::{AbsolutePressure, Dimension, Reading, Temperature, Volume};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::doubt::{Stated, Statement, stated};
use crate::form::{Form, Place, between};
use crate::state::{Places, PressureReadings, StateRead, read_pressure, value};
use crate::{Gas, Refusal, State, schema};

/// A part of a circuit with a temperature of its own: engine, line, bottle.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CircuitPart {
    /// What the part is called, such as “bottle”.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// Its volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// What is stated about its volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub volume_uncertainty: Option<Statement>,
}

/// What is known of the instruments, from their certificates. What is left out is not counted, and
/// the sheet says so.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InstrumentDoubt {
    /// Scale of the pressure gauge: one error common to all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub gauge: Option<Statement>,
    /// Barometer: an error of each reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub barometer: Option<Statement>,
    /// Gas temperature: an error of each reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub temperature: Option<Statement>,
    /// Volume of a circuit without parts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub volume: Option<Statement>,
}

/// A part, read.
#[derive(Debug, Clone)]
pub(crate) struct ReadPart {
    /// Its name; empty where the circuit has one part only.
    pub(crate) name: String,
    /// Its volume in m³.
    pub(crate) volume: f64,
    pub(crate) doubt: Option<Stated>,
}

/// What is stated about the instruments, read.
#[derive(Debug, Clone, Default)]
pub(crate) struct Instruments {
    pub(crate) gauge: Option<Stated>,
    pub(crate) barometer: Option<Stated>,
    pub(crate) temperature: Option<Stated>,
}

/// A state of a circuit, with the readings it was made from.
#[derive(Debug, Clone)]
pub(crate) struct CircuitState {
    pub(crate) pressure: AbsolutePressure,
    pub(crate) readings: PressureReadings,
    /// One for each part.
    pub(crate) temperatures: Vec<(Temperature, Reading)>,
}

const VOLUME: Place = between("volume", "volume", &[Dimension::Volume], (0, 10_000, "L"));
const VOLUMES: &[Dimension] = &[Dimension::Volume];
const PRESSURES: &[Dimension] = &[Dimension::PressureDifference];
const TEMPERATURES: &[Dimension] = &[Dimension::TemperatureDifference];
/// More parts than this are a slip of the file.
const MOST_PARTS: usize = 20;

/// Reads the volume of a circuit or of its parts; none when something is missing.
pub(crate) fn read_parts(
    form: &mut Form,
    volume: Option<&str>,
    volume_doubt: Option<&Statement>,
    parts: &[CircuitPart],
) -> Result<Option<Vec<ReadPart>>, Refusal> {
    if parts.is_empty() {
        let volume = positive(form, volume)?;
        let doubt = form.within("uncertainty", |form| {
            stated(form, "volume", "uncertainty of the volume", VOLUMES, volume_doubt)
        })?;
        return Ok(volume.map(|volume| vec![ReadPart { name: String::new(), volume, doubt }]));
    }
    if volume.is_some() || volume_doubt.is_some() {
        return Err(form.refuse(
            "two_volumes",
            "volume",
            "Both a volume of the whole and parts with volumes are given.",
            "Give the volume and its uncertainty in each part, or the whole alone.",
        ));
    }
    if parts.len() > MOST_PARTS {
        return Err(form.refuse(
            "too_many",
            "parts",
            format!("The circuit has {} parts.", parts.len()),
            format!("Up to {MOST_PARTS} parts are taken; put small ones together."),
        ));
    }
    let mut out = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let name = part.name.clone().unwrap_or_else(|| format!("part {}", index + 1));
        let read = form.within(&format!("parts[{index}]"), |form| {
            form.show("name", "part of the circuit", &name);
            let volume = positive(form, part.volume.as_deref())?;
            let statement = part.volume_uncertainty.as_ref();
            let meaning = "uncertainty of the part's volume";
            let doubt = stated(form, "volume_uncertainty", meaning, VOLUMES, statement)?;
            Ok(volume.map(|volume| ReadPart { name: name.clone(), volume, doubt }))
        })?;
        out.push(read);
    }
    Ok(out.into_iter().collect())
}

/// A volume above zero, in m³.
fn positive(form: &mut Form, text: Option<&str>) -> Result<Option<f64>, Refusal> {
    let volume = form.take::<Volume>(&VOLUME, text)?.map(Volume::cubic_metres);
    if volume.is_some_and(|volume| volume.is_nan() || volume <= 0.0) {
        return Err(form.refuse(
            "out_of_range",
            "volume",
            "The volume is not more than zero.",
            "Give the volume that holds the gas.",
        ));
    }
    Ok(volume)
}

/// Reads pressure and temperatures of a circuit with `parts` parts; none when something is missing.
///
/// Texts of the input are named by `places`; the list of temperatures by `prefix`.
pub(crate) fn read_circuit_state(
    form: &mut Form,
    places: &Places,
    prefix: &str,
    texts: &StateRead,
    parts: usize,
) -> Result<Option<CircuitState>, Refusal> {
    let pressure = read_pressure(form, places, &texts.texts())?;
    let mut temperatures = Vec::new();
    if texts.temperatures.is_empty() && parts <= 1 {
        if let Some(reading) = form.needed(&places.temperature, texts.temperature.as_deref())? {
            temperatures.push((value(form, &places.temperature, &reading)?, reading));
        }
    } else {
        let field = format!("{prefix}temperatures");
        if texts.temperatures.is_empty() {
            form.miss(&field, "gas temperature in each part, in their order");
        } else if texts.temperatures.len() != parts || texts.temperature.is_some() {
            return Err(form.refuse(
                "temperatures_do_not_fit",
                &field,
                format!(
                    "{} temperatures are given for {parts} parts.",
                    texts.temperatures.len() + usize::from(texts.temperature.is_some())
                ),
                "Give one temperature for each part, in the order of the parts.",
            ));
        }
        for (index, text) in texts.temperatures.iter().enumerate() {
            // Read under the place's own name, then shown under its number in the list.
            let named = format!("{field}[{index}]");
            let shown = form.inputs.len();
            let reading = form.optional(&places.temperature, Some(text));
            form.inputs.truncate(shown);
            form.show(&named, places.temperature.meaning, text);
            let named = |refusal: Refusal| Refusal { field: form.path(&named), ..refusal };
            if let Some(reading) = reading.map_err(named)? {
                let kelvins = value(form, &places.temperature, &reading).map_err(named)?;
                temperatures.push((kelvins, reading));
            }
        }
    }
    let Some((pressure, readings)) = pressure else { return Ok(None) };
    Ok((temperatures.len() == parts.max(1)).then_some(CircuitState {
        pressure,
        readings,
        temperatures,
    }))
}

impl InstrumentDoubt {
    /// Reads what is stated about gauge, barometer and thermometer.
    pub(crate) fn read(form: &mut Form, doubt: Option<&Self>) -> Result<Instruments, Refusal> {
        let Some(doubt) = doubt else { return Ok(Instruments::default()) };
        form.within("uncertainty", |form| {
            Ok(Instruments {
                gauge: stated(
                    form,
                    "gauge",
                    "scale of the gauge",
                    PRESSURES,
                    doubt.gauge.as_ref(),
                )?,
                barometer: stated(
                    form,
                    "barometer",
                    "uncertainty of the barometer",
                    PRESSURES,
                    doubt.barometer.as_ref(),
                )?,
                temperature: stated(
                    form,
                    "temperature",
                    "uncertainty of the gas temperature",
                    TEMPERATURES,
                    doubt.temperature.as_ref(),
                )?,
            })
        })
    }
}

impl CircuitState {
    /// The state of each part.
    pub(crate) fn states(&self) -> impl Iterator<Item = State> + '_ {
        let pressure = self.pressure;
        self.temperatures
            .iter()
            .map(move |(temperature, _)| State { pressure, temperature: *temperature })
    }

    /// Lets states within the range of the gas's equation pass.
    pub(crate) fn require(&self, gas: Gas, field: &str) -> Result<(), Refusal> {
        self.states().try_for_each(|state| gas.equation().require(gas, state, field))
    }

    /// Contents in kg.
    pub(crate) fn mass(&self, gas: Gas, parts: &[ReadPart]) -> f64 {
        let density = |state| gas.equation().density(state).kilograms_per_cubic_metre();
        parts.iter().zip(self.states()).map(|(part, state)| part.volume * density(state)).sum()
    }
}
