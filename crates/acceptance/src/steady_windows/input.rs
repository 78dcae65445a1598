//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::performance_run::{ClockOffsets, SeriesInput};
use crate::schema;

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Direct irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub irradiance: Option<SeriesInput>,
    /// Net electrical power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub power: Option<SeriesInput>,
    /// Wind speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub wind: Option<SeriesInput>,
    /// Air temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub ambient: Option<SeriesInput>,
    /// Whether the dish is on the sun: 1 is on it, 0 is not, in unit 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub on_sun: Option<SeriesInput>,
    /// By how much the clocks that stamped the series are ahead of true time.
    #[serde(default)]
    pub clock_offsets: ClockOffsets,
    /// What counts as steady.
    #[serde(default)]
    pub criteria: Criteria,
}

/// What counts as steady. None of it is built in.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Criteria {
    /// Irradiance of every step, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub minimum_irradiance: Option<String>,
    /// Distance of the irradiance from the window's mean, at most: in percent or in W/m².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance_change")]
    pub irradiance_change: Option<String>,
    /// Time that the dish runs undisturbed before a window begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub settle: Option<String>,
    /// Shortest window.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub minimum_length: Option<String>,
    /// Longest window; as long as it stays steady when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub maximum_length: Option<String>,
    /// Distance of the air temperature from the window's mean, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature_difference")]
    pub ambient_change: Option<String>,
    /// Mean wind of a window, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::speed")]
    pub wind: Option<String>,
    /// Longest gap of missing values that is bridged; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub longest_gap: Option<String>,
    /// Share of a window that may be missing; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub missing: Option<String>,
    /// Windows asked for; with fewer, the sheet is not judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub windows: Option<String>,
    /// Where the limits come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}
