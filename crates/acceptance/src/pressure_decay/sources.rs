//! What is stated about the instruments, as standard uncertainties.

use quantity::{Decimal, Dimension, PressureDifference, Reading, Si, StandardUncertainty};

use super::input::{Distribution, Uncertainty, free};
use crate::Refusal;
use crate::doubt::meant;
use crate::form::{Form, Place};
use crate::state::{PressureReadings, ReadState, last_digit};

/// A statement, read.
#[derive(Debug, Clone)]
pub(super) struct Stated {
    /// In the SI unit, or as a fraction where `relative`.
    pub(super) standard: StandardUncertainty,
    /// Whether the statement is in percent of the reading.
    pub(super) relative: bool,
    /// The statement in words.
    pub(super) text: String,
}

/// Everything stated about the instruments.
#[derive(Debug, Clone)]
pub(super) struct Statements {
    pub(super) gauge_scale: Stated,
    pub(super) gauge_repeatability: Option<Stated>,
    pub(super) gauge_resolution: Option<PressureDifference>,
    pub(super) temperature: Stated,
    /// Absent where pressures were measured from vacuum.
    pub(super) barometer: Option<Stated>,
    pub(super) volume: Stated,
}

const PRESSURE: &[Dimension] = &[Dimension::PressureDifference];
const SCALE: Place = free(
    "uncertainty.gauge_scale",
    "scale uncertainty of the gauge",
    &[Dimension::PressureDifference, Dimension::Ratio],
);
const REPEATABILITY: Place =
    free("uncertainty.gauge_repeatability", "repeatability of the gauge", PRESSURE);
const RESOLUTION: Place =
    free("uncertainty.gauge_resolution", "display step of the gauge", PRESSURE);
const TEMPERATURE: Place = free(
    "uncertainty.temperature",
    "uncertainty of the gas temperature",
    &[Dimension::TemperatureDifference],
);
const BAROMETER: Place = free("uncertainty.barometer", "uncertainty of the barometer", PRESSURE);
const VOLUME: Place =
    free("uncertainty.volume", "uncertainty of the volume", &[Dimension::Volume, Dimension::Ratio]);

type Parts<'a> = (&'a str, Distribution, Option<&'a str>);

impl Statements {
    /// Reads the statements; none when one that is needed is missing.
    ///
    /// A barometer's is needed unless the pressures were measured from vacuum.
    pub(super) fn read(
        form: &mut Form,
        stated: &Uncertainty,
        state: Option<&ReadState>,
    ) -> Result<Option<Self>, Refusal> {
        let from_vacuum =
            state.is_some_and(|s| matches!(s.pressure, PressureReadings::Absolute(_)));
        let scale = needed(form, &SCALE, stated.gauge_scale.as_ref().map(|s| s.parts()))?;
        let gauge_repeatability =
            optional(form, &REPEATABILITY, stated.gauge_repeatability.as_ref().map(|s| s.parts()))?;
        let gauge_resolution = resolution(form, stated.gauge_resolution.as_deref())?;
        let temperature =
            needed(form, &TEMPERATURE, stated.temperature.as_ref().map(|s| s.parts()))?;
        let barometer_parts = stated.barometer.as_ref().map(|s| s.parts());
        let barometer = if from_vacuum {
            optional(form, &BAROMETER, barometer_parts)?
        } else {
            needed(form, &BAROMETER, barometer_parts)?
        };
        let volume = needed(form, &VOLUME, stated.volume.as_ref().map(|s| s.parts()))?;
        let (Some(gauge_scale), Some(temperature), Some(volume)) = (scale, temperature, volume)
        else {
            return Ok(None);
        };
        if barometer.is_none() && !from_vacuum {
            return Ok(None);
        }
        Ok(Some(Self {
            gauge_scale,
            gauge_repeatability,
            gauge_resolution,
            temperature,
            barometer,
            volume,
        }))
    }

    /// The step of the gauge's display: as stated, or the coarser of the two readings.
    pub(super) fn gauge_step(&self, start: &ReadState, end: &ReadState) -> PressureDifference {
        let typed = |state: &ReadState| last_digit(state.pressure.instrument());
        self.gauge_resolution
            .unwrap_or_else(|| PressureDifference::from_pascals(typed(start).max(typed(end))))
    }
}

fn to_float(number: Decimal) -> f64 {
    f64::try_from(number).unwrap_or(f64::NAN)
}

fn needed(
    form: &mut Form,
    place: &Place,
    parts: Option<Parts<'_>>,
) -> Result<Option<Stated>, Refusal> {
    if parts.is_none() {
        form.miss(place.field, place.meaning);
    }
    optional(form, place, parts)
}

fn optional(
    form: &mut Form,
    place: &Place,
    parts: Option<Parts<'_>>,
) -> Result<Option<Stated>, Refusal> {
    let Some((text, distribution, factor)) = parts else { return Ok(None) };
    let Some(reading) = form.optional(place, Some(text))? else { return Ok(None) };
    let size = magnitude(place, &reading)?;
    let (standard, words) =
        meant(place.field, place.meaning, (size, &reading), distribution, factor)?;
    if let Some(shown) = form.inputs.last_mut() {
        shown.typed.clone_from(&words);
    }
    let relative = reading.dimension() == Dimension::Ratio;
    Ok(Some(Stated { standard, relative, text: words }))
}

/// The size of a statement in the SI unit; refuses a negative one and a bound.
fn magnitude(place: &Place, reading: &Reading) -> Result<f64, Refusal> {
    if reading.base().is_sign_negative() || reading.bound() != quantity::Bound::Exact {
        return Err(Refusal::new(
            "out_of_range",
            place.field,
            format!("The {} is not a size: “{}”.", place.meaning, reading.text()),
            "Type the number without sign, such as 0.25 bar for ±0.25 bar.",
        ));
    }
    Ok(to_float(reading.base()))
}

fn resolution(form: &mut Form, text: Option<&str>) -> Result<Option<PressureDifference>, Refusal> {
    let Some(reading) = form.optional(&RESOLUTION, text)? else { return Ok(None) };
    Ok(Some(PressureDifference::from_si(magnitude(&RESOLUTION, &reading)?)))
}
