//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{StatedLimit, Statement, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// How the error was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Method")]
    pub method: Option<Method>,
    /// The readings, in the order of time.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// Whether the elevations of the sun given beside are as seen or without air. Left out, they
    /// are taken as seen, and the sheet says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SunElevation")]
    pub sun_elevation_is: Option<SunElevation>,
    /// Distance from the mirror to the target or chip that the spot was read on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Latitude of the place, positive north; for a computed sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub latitude: Option<String>,
    /// Longitude of the place, positive east; for a computed sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub longitude: Option<String>,
    /// Altitude above sea level; for a computed sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::altitude")]
    pub altitude: Option<String>,
    /// Air pressure, for refraction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Air temperature, for refraction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// Terrestrial time less universal time. Left out, estimated for the date.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub delta_t: Option<String>,
    /// How far the clock of the readings is ahead of true time; negative when it is behind. Left
    /// out, nothing is corrected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub clock_ahead: Option<String>,
    /// Share of the samples that the percentile holds; 95 % when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub percentile: Option<String>,
    /// Error within which samples are counted. Common practice, no source: 0.03°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub within: Option<String>,
    /// Readings at more wind than this are shown and not judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WindCondition")]
    pub wind: Option<WindCondition>,
    /// The limits. Without any the error is computed and not judged.
    #[serde(default)]
    pub limits: Limits,
    /// What is known of the instruments: errors that all readings share.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// How an error was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Axes read, with the direction of the sun beside each reading.
    SunGiven,
    /// Axes read at known moments; the sun is computed for the place.
    SunComputed,
    /// Offset of the sun's spot on a target or a camera's chip.
    Camera,
}

impl Method {
    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::SunGiven => "axes against a given sun",
            Self::SunComputed => "axes against the computed sun",
            Self::Camera => "spot on a target",
        }
    }
}

/// What an elevation of the sun is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SunElevation {
    /// As the sun is seen, lifted by refraction.
    Seen,
    /// Without air; refraction is added from air pressure and temperature.
    Geometric,
}

/// One reading.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Name of the run, as `morning`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub run: Option<String>,
    /// The moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub at: Option<String>,
    /// Azimuth that the axis showed, from true north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth: Option<String>,
    /// Elevation that the axis showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation: Option<String>,
    /// Azimuth of the sun, from true north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub sun_azimuth: Option<String>,
    /// Elevation of the sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub sun_elevation: Option<String>,
    /// Offset of the spot to the side, positive when the dish points to a greater azimuth than the
    /// sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub offset_across: Option<String>,
    /// Offset of the spot in height, positive when the dish points higher than the sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub offset_up: Option<String>,
    /// Wind speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::speed")]
    pub wind: Option<String>,
}

/// Wind up to which readings are judged.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindCondition {
    /// The speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::speed")]
    pub value: Option<String>,
    /// Where it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// The limits; each may be left out.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// RMS of the worse axis, about zero, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub rms_each_axis: Option<StatedLimit>,
    /// RMS of both axes together, about zero, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub rms: Option<StatedLimit>,
    /// Error that the stated share of the samples does not exceed, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub percentile: Option<StatedLimit>,
    /// Largest error, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub largest: Option<StatedLimit>,
    /// Size of the mean error, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub mean: Option<StatedLimit>,
    /// Share of the samples with an error no larger than `within`, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub share_within: Option<StatedLimit>,
}

/// What is known of the instruments. Each statement is of an error that all readings share.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the azimuth read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub azimuth: Option<Statement>,
    /// Of the elevation read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub elevation: Option<Statement>,
    /// Of the place of the target's centre, on each axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub offset: Option<Statement>,
    /// Of the distance of the target.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub focal_length: Option<Statement>,
    /// Of the clock of the readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub clock: Option<Statement>,
}
