//! The readings that fix the state of a gas: gauge and barometer, or absolute pressure; temperature.

use quantity::{AbsolutePressure, Dimension, GaugePressure, Reading, Temperature};

use crate::form::{Form, Place, exact};
use crate::{Refusal, State};

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

/// Reads a state; none when something is missing, which the form then names.
pub(crate) fn read_state(
    form: &mut Form,
    places: &Places,
    texts: &Texts<'_>,
) -> Result<Option<ReadState>, Refusal> {
    if texts.absolute.is_some() && (texts.gauge.is_some() || texts.barometer.is_some()) {
        return Err(Refusal::new(
            "two_pressures",
            places.absolute.field,
            "Both an absolute pressure and a gauge or barometer reading are given.",
            "Give gauge and barometer, or the absolute pressure alone.",
        ));
    }
    let pressure = if let Some(reading) = form.optional(&places.absolute, texts.absolute)? {
        let pressure = exact::<AbsolutePressure>(&places.absolute, &reading)?;
        Some((pressure, PressureReadings::Absolute(reading)))
    } else {
        let gauge = form.needed(&places.gauge, texts.gauge)?;
        let barometer = form.needed(&places.barometer, texts.barometer)?;
        match (gauge, barometer) {
            (Some(gauge), Some(barometer)) => {
                let pressure = exact::<GaugePressure>(&places.gauge, &gauge)?
                    + exact::<AbsolutePressure>(&places.barometer, &barometer)?;
                Some((pressure, PressureReadings::Gauge { gauge, barometer }))
            }
            _ => None,
        }
    };
    let temperature = form.needed(&places.temperature, texts.temperature)?;
    let (Some((pressure, readings)), Some(temperature)) = (pressure, temperature) else {
        return Ok(None);
    };
    let kelvins = exact::<Temperature>(&places.temperature, &temperature)?;
    let state = State { pressure, temperature: kelvins };
    Ok(Some(ReadState { state, pressure: readings, temperature }))
}
