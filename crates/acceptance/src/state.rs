//! The readings that fix the state of a gas: gauge and barometer, or absolute pressure; temperature.

use quantity::{AbsolutePressure, Dimension, GaugePressure, Reading, Si, Temperature};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, exact};
use crate::{Refusal, State, schema};

/// The four places of a state in an input.
#[derive(Debug)]
pub(crate) struct Places {
    pub(crate) gauge: Place,
    pub(crate) barometer: Place,
    pub(crate) absolute: Place,
    pub(crate) temperature: Place,
}

/// The texts of a state, where given.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Texts<'a> {
    pub(crate) gauge: Option<&'a str>,
    pub(crate) barometer: Option<&'a str>,
    pub(crate) absolute: Option<&'a str>,
    pub(crate) temperature: Option<&'a str>,
}

/// A state with the readings it was made from.
#[derive(Debug, Clone)]
pub(crate) struct ReadState {
    pub(crate) state: State,
    pub(crate) pressure: PressureReadings,
    pub(crate) temperature: Reading,
}

/// How the absolute pressure was measured.
#[derive(Debug, Clone)]
pub(crate) enum PressureReadings {
    /// A gauge and a barometer at the same time.
    Gauge {
        /// The gauge's reading.
        gauge: Reading,
        /// The barometer's reading.
        barometer: Reading,
    },
    /// An instrument that measures from vacuum.
    Absolute(Reading),
}

impl PressureReadings {
    /// The reading of the instrument on the circuit.
    pub(crate) const fn instrument(&self) -> &Reading {
        match self {
            Self::Gauge { gauge, .. } => gauge,
            Self::Absolute(reading) => reading,
        }
    }

    /// How the absolute pressure follows from what was read; `n` tells states apart, as `₁`.
    pub(crate) fn formula(&self, n: &str) -> String {
        match self {
            Self::Gauge { gauge, barometer } => {
                format!("p{n} = p_g{n} + p_b{n} = {gauge} + {barometer}")
            }
            Self::Absolute(reading) => format!("p{n} = {reading}"),
        }
    }
}

/// The lowest and highest air pressure in hPa that a barometer can show anywhere that people work:
/// about 5 500 m of altitude, and above the highest on record. Common practice, no source.
pub(crate) const AIR_PRESSURE: (i64, i64, &str) = (500, 1100, "hPa");

/// Gauge, barometer, absolute pressure and temperature for one state.
macro_rules! places {
    ($prefix:literal, $when:literal, $gauge:expr, $absolute:expr, $temperature:expr) => {
        $crate::state::Places {
            gauge: $crate::state::place(
                concat!($prefix, "gauge_pressure"),
                concat!("gauge pressure", $when),
                &[quantity::Dimension::GaugePressure],
                $gauge,
            ),
            barometer: $crate::state::place(
                concat!($prefix, "barometer"),
                concat!("barometer reading", $when),
                &[quantity::Dimension::AbsolutePressure],
                $crate::state::AIR_PRESSURE,
            ),
            absolute: $crate::state::place(
                concat!($prefix, "absolute_pressure"),
                concat!("absolute pressure", $when),
                &[quantity::Dimension::AbsolutePressure],
                $absolute,
            ),
            temperature: $crate::state::place(
                concat!($prefix, "temperature"),
                concat!("gas temperature", $when),
                &[quantity::Dimension::Temperature],
                $temperature,
            ),
        }
    };
}
pub(crate) use places;

/// A place with a plausible range.
pub(crate) const fn place(
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
    plausible: (i64, i64, &'static str),
) -> Place {
    Place { field, meaning, dimensions, plausible: Some(plausible) }
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
    /// Where the circuit is made of parts: the temperature in each, in the order of the parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "temperatures")]
    pub temperatures: Vec<String>,
}

/// A list of temperatures.
pub(crate) fn temperatures(generator: &mut SchemaGenerator) -> Schema {
    let one = schema::temperature(generator);
    json_schema!({ "type": "array", "items": one })
}

impl StateRead {
    /// The texts of a circuit with one temperature.
    pub(crate) fn texts(&self) -> Texts<'_> {
        Texts {
            gauge: self.gauge_pressure.as_deref(),
            barometer: self.barometer.as_deref(),
            absolute: self.absolute_pressure.as_deref(),
            temperature: self.temperature.as_deref(),
        }
    }
}

/// Reads a pressure: gauge and barometer, or from vacuum; none when something is missing.
pub(crate) fn read_pressure(
    form: &mut Form,
    places: &Places,
    texts: &Texts<'_>,
) -> Result<Option<(AbsolutePressure, PressureReadings)>, Refusal> {
    if texts.absolute.is_some() && (texts.gauge.is_some() || texts.barometer.is_some()) {
        return Err(form.refuse(
            "two_pressures",
            places.absolute.field,
            "Both an absolute pressure and a gauge or barometer reading are given.",
            "Give gauge and barometer, or the absolute pressure alone.",
        ));
    }
    if let Some(reading) = form.optional(&places.absolute, texts.absolute)? {
        let pressure = value::<AbsolutePressure>(form, &places.absolute, &reading)?;
        return Ok(Some((pressure, PressureReadings::Absolute(reading))));
    }
    let gauge = form.needed(&places.gauge, texts.gauge)?;
    let barometer = form.needed(&places.barometer, texts.barometer)?;
    let (Some(gauge), Some(barometer)) = (gauge, barometer) else { return Ok(None) };
    let pressure = value::<GaugePressure>(form, &places.gauge, &gauge)?
        + value::<AbsolutePressure>(form, &places.barometer, &barometer)?;
    Ok(Some((pressure, PressureReadings::Gauge { gauge, barometer })))
}

/// The quantity of a reading of the part that is being read.
pub(crate) fn value<Q: Si>(form: &Form, place: &Place, reading: &Reading) -> Result<Q, Refusal> {
    exact(place, reading).map_err(|refusal| Refusal { field: form.path(place.field), ..refusal })
}

/// Reads a state; none when something is missing, which the form then names.
pub(crate) fn read_state(
    form: &mut Form,
    places: &Places,
    texts: &Texts<'_>,
) -> Result<Option<ReadState>, Refusal> {
    let pressure = read_pressure(form, places, texts)?;
    let temperature = form.needed(&places.temperature, texts.temperature)?;
    let (Some((pressure, readings)), Some(temperature)) = (pressure, temperature) else {
        return Ok(None);
    };
    let kelvins = value::<Temperature>(form, &places.temperature, &temperature)?;
    let state = State { pressure, temperature: kelvins };
    Ok(Some(ReadState { state, pressure: readings, temperature }))
}

/// The place of the last digit typed, in the base unit.
pub(crate) fn last_digit(reading: &Reading) -> f64 {
    f64::try_from(reading.base_resolution()).unwrap_or(f64::NAN)
}
