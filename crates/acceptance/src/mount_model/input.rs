//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tracking_error::SunElevation;
use crate::{StatedLimit, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The readings, spread over the sky.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<PointingReading>,
    /// Terms to be fitted; those left out are held at zero. Without the list, all seven.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<Term>")]
    pub terms: Option<Vec<Term>>,
    /// What readings near the zenith count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "NearZenith")]
    pub near_zenith: Option<NearZenith>,
    /// Whether the elevations of the sun given beside axis readings are as seen or without air.
    /// Left out, they are taken as seen, and the sheet says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SunElevation")]
    pub sun_elevation_is: Option<SunElevation>,
    /// Latitude of the place, positive north. With it, the sun is computed from the moments.
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
    /// How far the clock of the readings is ahead of true time; negative when it is behind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub clock_ahead: Option<String>,
    /// The limits. Without any the model is computed and not judged.
    #[serde(default)]
    pub limits: Limits,
}

/// A reading of the axes with the sun in the middle, or the errors that follow from one.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PointingReading {
    /// The moment; for a computed sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub at: Option<String>,
    /// Azimuth of the sun, from true north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub sun_azimuth: Option<String>,
    /// Elevation of the sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub sun_elevation: Option<String>,
    /// Azimuth that the axis showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth: Option<String>,
    /// Elevation that the axis showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation: Option<String>,
    /// Azimuth read less azimuth of the sun, instead of the axis readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth_error: Option<String>,
    /// Elevation read less elevation of the sun, instead of the axis readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation_error: Option<String>,
    /// What the reading counts; 1 when it is left out, 0 leaves it out of the fit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub weight: Option<String>,
}

/// A term of the model.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Term {
    /// Zero of the azimuth.
    AzimuthZero,
    /// Zero of the elevation.
    ElevationZero,
    /// The mirror's axis is not square to the elevation axis; positive when it looks to the left.
    Collimation,
    /// The elevation axis is not square to the azimuth axis; positive when its right end is high.
    Squareness,
    /// The top of the azimuth axis leans to the north.
    TiltNorth,
    /// The top of the azimuth axis leans to the east.
    TiltEast,
    /// The structure sags as the cosine of the elevation.
    Sag,
}

impl Term {
    pub(super) const ALL: [Self; 7] = [
        Self::AzimuthZero,
        Self::ElevationZero,
        Self::Collimation,
        Self::Squareness,
        Self::TiltNorth,
        Self::TiltEast,
        Self::Sag,
    ];

    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::AzimuthZero => "azimuth zero",
            Self::ElevationZero => "elevation zero",
            Self::Collimation => "collimation",
            Self::Squareness => "squareness",
            Self::TiltNorth => "tilt to the north",
            Self::TiltEast => "tilt to the east",
            Self::Sag => "sag",
        }
    }

    /// Its symbol, and its name for programs.
    pub(super) const fn symbols(self) -> (&'static str, &'static str) {
        match self {
            Self::AzimuthZero => ("z_A", "azimuth_zero"),
            Self::ElevationZero => ("z_E", "elevation_zero"),
            Self::Collimation => ("c", "collimation"),
            Self::Squareness => ("q", "squareness"),
            Self::TiltNorth => ("t_N", "tilt_north"),
            Self::TiltEast => ("t_E", "tilt_east"),
            Self::Sag => ("g", "sag"),
        }
    }
}

/// What readings near the zenith count, where azimuth turns fast.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NearZenith {
    /// Elevation of the sun above which readings are near the zenith.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub above: Option<String>,
    /// What such a reading counts, times its own weight; 0 leaves it out of the fit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub weight: Option<String>,
}

/// The limits; each may be left out.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// RMS of both axes after the correction, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub rms_after: Option<StatedLimit>,
    /// Largest error after the correction, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub largest_after: Option<StatedLimit>,
}
