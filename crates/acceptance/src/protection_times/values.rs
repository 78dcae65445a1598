//! Values as people type them: voltages in pu, percent or volts, frequencies, times.

use quantity::{Dimension, Duration, Reading};
use rust_decimal::prelude::ToPrimitive;

use super::input::Kind;
use crate::Refusal;
use crate::form::{Form, Place, between, free};

pub(super) const TIME: &[Dimension] = &[Dimension::Duration];
pub(super) const NOMINAL_VOLTAGE: Place =
    between("nominal_voltage", "nominal voltage", &[Dimension::Voltage], (1, 50_000, "V"));
pub(super) const SET_TIME: Place = free("set_time", "set time", TIME);

impl Kind {
    /// Whether it watches voltage; frequency otherwise.
    pub(super) const fn of_voltage(self) -> bool {
        matches!(self, Self::OverVoltage | Self::UnderVoltage)
    }

    /// How far a value is beyond the threshold; negative within.
    pub(super) fn beyond(self, value: f64, threshold: f64) -> f64 {
        match self {
            Self::OverVoltage | Self::OverFrequency => value - threshold,
            Self::UnderVoltage | Self::UnderFrequency => threshold - value,
        }
    }

    pub(super) const fn unit(self) -> &'static str {
        if self.of_voltage() { "pu" } else { "Hz" }
    }

    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::OverVoltage => "over-voltage",
            Self::UnderVoltage => "under-voltage",
            Self::OverFrequency => "over-frequency",
            Self::UnderFrequency => "under-frequency",
        }
    }
}

/// A value with half of its last typed digit, in pu, Hz or s.
#[derive(Debug, Clone, Copy)]
pub(super) struct Typed {
    pub(super) value: f64,
    pub(super) half_digit: f64,
}

pub(super) fn seconds(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    match form.may::<Duration>(place, text)?.map(Duration::seconds) {
        Some(time) if time < 0.0 => Err(form.refuse(
            "negative",
            place.field,
            format!("The {} is below zero.", place.meaning),
            "Type the time without sign.",
        )),
        time => Ok(time),
    }
}

/// Reads a voltage in pu, percent or volts, or a frequency.
pub(super) fn relay_value(
    form: &mut Form,
    (field, meaning): (&'static str, &'static str),
    voltage: bool,
    volts: Option<f64>,
    text: Option<&str>,
) -> Result<Option<Typed>, Refusal> {
    let Some(text) = text else { return Ok(None) };
    let dimensions: &'static [Dimension] =
        if voltage { &[Dimension::Ratio, Dimension::Voltage] } else { &[Dimension::Frequency] };
    let bare = text.trim().trim_end_matches("p.u.").trim_end_matches("pu").trim_end();
    let unitless = bare.len() < text.trim().len();
    let place =
        free(field, meaning, if unitless && voltage { &[Dimension::Ratio] } else { dimensions });
    let shown = if unitless && voltage { bare } else { text };
    let reading = form.optional(&place, Some(shown))?;
    if let Some(last) = form.inputs.last_mut() {
        text.clone_into(&mut last.typed);
    }
    let Some(reading) = reading else { return Ok(None) };
    if reading.bound() != quantity::Bound::Exact {
        return Err(form.refuse(
            "not_a_value",
            field,
            format!("The {meaning} “{text}” is only a bound."),
            "Give the value itself.",
        ));
    }
    let number = |decimal: quantity::Decimal| decimal.to_f64().unwrap_or(f64::NAN);
    let (mut value, mut half) = (number(reading.base()), 0.5 * number(reading.base_resolution()));
    if reading.dimension() == Dimension::Voltage {
        let Some(nominal) = volts else {
            let known = form.missing.iter().any(|missing| missing.field == NOMINAL_VOLTAGE.field);
            if !known {
                form.missing.push(crate::Missing {
                    field: NOMINAL_VOLTAGE.field.to_owned(),
                    meaning: NOMINAL_VOLTAGE.meaning.to_owned(),
                });
            }
            return Ok(None);
        };
        value /= nominal;
        half /= nominal;
    }
    plausible(form, field, voltage, value, &reading)?;
    Ok(Some(Typed { value, half_digit: half }))
}

fn plausible(
    form: &Form,
    field: &str,
    voltage: bool,
    value: f64,
    reading: &Reading,
) -> Result<(), Refusal> {
    let (low, high, unit) = if voltage { (0.0, 2.0, "pu") } else { (5.0, 1100.0, "Hz") };
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(form.refuse(
        "implausible",
        field,
        format!("“{}” is not from {low} to {high} {unit}.", reading.text()),
        "Is it in percent, or in volts? Type the unit; 0.88 pu is 88 %.",
    ))
}
