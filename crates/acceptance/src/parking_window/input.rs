//! The input as JSON, and as a job at a parked dish.

use quantity::{Angle, Decimal, Dimension, Duration, Reading, find_unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, exact};
use crate::state::place;
use crate::sun::{Direction, Observation, PlaceTexts, require_years};
use crate::sun_position::{AXIS_AZIMUTH, AXIS_ELEVATION};
use crate::time::Moment;
use crate::{Refusal, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Latitude of the dish, positive north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub latitude: Option<String>,
    /// Longitude of the dish, positive east.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub longitude: Option<String>,
    /// Altitude above sea level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub altitude: Option<String>,
    /// When people go to the dish.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub start: Option<String>,
    /// How long the job is planned to last, up to seven days.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub length: Option<String>,
    /// Time added before the start and after the end, for a clock that is not confirmed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub padding: Option<String>,
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
    /// Air pressure, for refraction. Left out, that of the standard atmosphere at the altitude.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Air temperature, for refraction. Left out, that of the standard atmosphere at the altitude.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
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
#[derive(Debug)]
pub(super) struct Job {
    pub(super) place: Observation,
    pub(super) axis: Direction,
    pub(super) start: Moment,
    /// Planned length in seconds.
    pub(super) length: f64,
    pub(super) length_text: String,
    /// Seconds added before and after.
    pub(super) padding: f64,
    pub(super) padding_text: Option<String>,
    pub(super) margin: Angle,
    /// The margin in degrees, with the digits typed.
    pub(super) margin_degrees: Decimal,
    pub(super) source: Option<String>,
    pub(super) delta_t: f64,
}

const START: (&str, &str) = ("start", "planned start of the job");
const LENGTH: Place =
    place("length", "planned length of the job", &[Dimension::Duration], (0, 168, "h"));
const PADDING: Place = place(
    "padding",
    "padding for a clock that is not confirmed",
    &[Dimension::Duration],
    (0, 24, "h"),
);
const MARGIN: Place = place(
    "limit.margin",
    "smallest angle between mirror axis and sun that is accepted",
    &[Dimension::Angle],
    (0, 90, "°"),
);

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Job>, Refusal> {
    let texts = PlaceTexts {
        latitude: input.latitude.as_deref(),
        longitude: input.longitude.as_deref(),
        altitude: input.altitude.as_deref(),
        barometer: input.barometer.as_deref(),
        temperature: input.temperature.as_deref(),
        delta_t: None,
    };
    let place = Observation::read(form, &texts)?;
    let start = Moment::read(form, START.0, START.1, input.start.as_deref())?;
    if start.is_none() {
        form.miss(START.0, START.1);
    }
    let length = above_zero(form.needed(&LENGTH, input.length.as_deref())?, &LENGTH)?;
    let padding = form.optional(&PADDING, input.padding.as_deref())?;
    let azimuth = form.needed(&AXIS_AZIMUTH, input.axis_azimuth.as_deref())?;
    let elevation = form.needed(&AXIS_ELEVATION, input.axis_elevation.as_deref())?;
    let margin = input.limit.as_ref().map(|limit| limit.margin.as_str());
    let margin = above_zero(form.needed(&MARGIN, margin)?, &MARGIN)?;
    let source = input.limit.as_ref().and_then(|limit| limit.source.clone());
    if let Some(text) = &source {
        form.show("limit.source", "source of the limit", text);
    }
    let (Some(place), Some(start), Some(length)) = (place, start, length) else { return Ok(None) };
    let (Some(azimuth), Some(elevation), Some(margin)) = (azimuth, elevation, margin) else {
        return Ok(None);
    };
    require_years(START.0, start)?;
    let seconds = match &padding {
        Some(reading) => exact::<Duration>(&PADDING, reading)?.seconds(),
        None => 0.0,
    };
    Ok(Some(Job {
        delta_t: place.delta_t(start)?,
        place,
        axis: Direction {
            azimuth: exact(&AXIS_AZIMUTH, &azimuth)?,
            elevation: exact(&AXIS_ELEVATION, &elevation)?,
        },
        start,
        length: exact::<Duration>(&LENGTH, &length)?.seconds(),
        length_text: length.to_string(),
        padding: seconds,
        padding_text: padding.filter(|_| seconds > 0.0).map(|reading| reading.to_string()),
        margin: exact(&MARGIN, &margin)?,
        margin_degrees: in_degrees(&margin),
        source,
    }))
}

/// Refuses zero: a job without length and a margin of nothing would accept anything.
fn above_zero(reading: Option<Reading>, place: &Place) -> Result<Option<Reading>, Refusal> {
    match reading {
        Some(reading) if reading.base() <= Decimal::ZERO => Err(Refusal::new(
            "not_positive",
            place.field,
            format!("The {} is {reading}, and has to be above zero.", place.meaning),
            "Read it again, and type number and unit.",
        )),
        other => Ok(other),
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
