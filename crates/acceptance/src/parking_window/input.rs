//! The input as JSON, and as a job at a parked dish.

use quantity::{Angle, Decimal, Dimension, Reading, find_unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, exact};
use crate::state::place;
use crate::sun::{Direction, Observation, Window, above_zero, axis, sun_input};
use crate::{Refusal, schema};

sun_input! {
    /// What the calculation takes.
    pub struct Input over a window {
        /// Azimuth in which the mirror axis is parked, clockwise from true north.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub axis_azimuth: Option<String>,
        /// Elevation in which the mirror axis is parked.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub axis_elevation: Option<String>,
        /// The limit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Limit")]
        pub limit: Option<Limit>,
    }
}

/// The smallest angle that is accepted.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Angle between mirror axis and sun, at least.
    #[schemars(schema_with = "schema::angle")]
    pub margin: String,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// A job at a parked dish, read.
#[derive(Debug, Clone)]
pub(crate) struct Job {
    pub(crate) place: Observation,
    pub(crate) axis: Direction,
    pub(crate) window: Window,
    pub(crate) margin: Margin,
    pub(crate) delta_t: f64,
}

/// The smallest angle that is accepted, read.
#[derive(Debug, Clone)]
pub(crate) struct Margin {
    pub(crate) angle: Angle,
    /// In degrees, with the digits typed.
    pub(crate) degrees: Decimal,
    pub(crate) source: Option<String>,
}

const MARGIN: Place = place(
    "limit.margin",
    "smallest angle between mirror axis and sun that is accepted",
    &[Dimension::Angle],
    (0, 90, "°"),
);

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Job>, Refusal> {
    let place = Observation::read(form, &input.place())?;
    let window = Window::read(form, &input.window())?;
    let (azimuth, elevation) = (input.axis_azimuth.as_deref(), input.axis_elevation.as_deref());
    let axis = axis(form, azimuth, elevation)?;
    let margin = Margin::read(form, input.limit.as_ref())?;
    let (Some(place), Some(window)) = (place, window) else { return Ok(None) };
    let (Some(axis), Some(margin)) = (axis, margin) else { return Ok(None) };
    Ok(Some(Job { delta_t: place.delta_t(window.start)?, place, axis, window, margin }))
}

impl Margin {
    /// Reads the limit; none when it is missing, which the form then names.
    pub(crate) fn read(form: &mut Form, limit: Option<&Limit>) -> Result<Option<Self>, Refusal> {
        let text = limit.map(|limit| limit.margin.as_str());
        let reading = above_zero(form.needed(&MARGIN, text)?, &MARGIN)?;
        let source = limit.and_then(|limit| limit.source.clone());
        if let Some(text) = &source {
            form.show("limit.source", "source of the limit", text);
        }
        let Some(reading) = reading else { return Ok(None) };
        let angle = exact(&MARGIN, &reading)?;
        Ok(Some(Self { angle, degrees: in_degrees(&reading), source }))
    }
}

/// An angle in degrees, with the digits typed where it was typed so.
fn in_degrees(reading: &Reading) -> Decimal {
    if reading.unit().symbol() == "°" {
        return reading.value();
    }
    find_unit(Dimension::Angle, "°")
        .and_then(|unit| unit.from_base(reading.base()))
        .map_or_else(|| reading.value(), |degrees| degrees.round_dp(6).normalize())
}
