//! The input as JSON.

use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use crate::pressure_decay::{Distribution, Rule};
use crate::schema;

/// What the calculation takes. What is missing is left out; nothing has a default.
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
    /// Air temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub ambient: Option<SeriesInput>,
    /// Wind speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SeriesInput")]
    pub wind: Option<SeriesInput>,
    /// By how much the clocks that stamped the series are ahead of true time.
    #[serde(default)]
    pub clock_offsets: ClockOffsets,
    /// The contract's model of the expected output.
    #[serde(default)]
    pub model: Model,
    /// Reflectance of the mirrors: the readings of the survey by the name of the place.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(schema_with = "readings_by_place")]
    pub reflectance: BTreeMap<String, String>,
    /// When the survey was taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub reflectance_at: Option<String>,
    /// Solar noon of the day. Left out, it is worked out from the longitude.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub noon: Option<String>,
    /// Latitude, positive north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub latitude: Option<String>,
    /// Longitude, positive east.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub longitude: Option<String>,
    /// What is known of the instruments, from their certificates.
    #[serde(default)]
    pub uncertainty: Uncertainty,
    /// The limits.
    #[serde(default)]
    pub limits: Limits,
}

fn readings_by_place(generator: &mut SchemaGenerator) -> Schema {
    let reading = schema::ratio(generator);
    json_schema!({ "type": "object", "additionalProperties": reading })
}

/// Which end of its step a stamp names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Label {
    /// The beginning.
    Start,
    /// The end.
    End,
}

/// Samples in equal steps.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeriesInput {
    /// Unit of the values.
    pub unit: String,
    /// The step, over which each value is a mean.
    #[schemars(schema_with = "schema::duration")]
    pub interval: String,
    /// Which end of its step a stamp names.
    pub label: Label,
    /// The stamps.
    #[schemars(schema_with = "moments")]
    pub times: Vec<String>,
    /// The values, one a stamp; an empty text is a missing value.
    pub values: Vec<String>,
    /// The file that it came from, for sentences.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub file: Option<String>,
}

fn moments(generator: &mut SchemaGenerator) -> Schema {
    let moment = schema::moment(generator);
    json_schema!({ "type": "array", "items": moment })
}

/// By how much a clock is ahead of true time; negative when it is behind.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClockOffsets {
    /// The clock that stamped irradiance, air and wind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub irradiance: Option<String>,
    /// The clock that stamped power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub power: Option<String>,
}

/// The contract's model of the expected output.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Model {
    /// Output gained for each unit of irradiance, in kW/(W/m²).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub a: Option<String>,
    /// Fixed losses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub b: Option<String>,
    /// Share of output lost for each kelvin of warmer air, in 1/K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub c: Option<String>,
    /// Air temperature that the guarantee refers to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub t_ref: Option<String>,
    /// Reflectance that the guarantee refers to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub rho_ref: Option<String>,
    /// Where the model comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// A statement about an instrument in percent of what it shows.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RelativeDoubt {
    /// The number with its unit, without sign.
    #[schemars(schema_with = "schema::ratio")]
    pub value: String,
    /// How the number is meant.
    pub distribution: Distribution,
    /// Coverage factor; needed for `expanded` and for nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub coverage_factor: Option<String>,
}

/// What is known of the instruments.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "RelativeDoubt")]
    pub irradiance: Option<RelativeDoubt>,
    /// Of the power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "RelativeDoubt")]
    pub power: Option<RelativeDoubt>,
    /// Of the mean reflectance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "RelativeDoubt")]
    pub reflectance: Option<RelativeDoubt>,
}

/// A limit with its source.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatedLimit {
    /// The limit with its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub value: Option<String>,
    /// Where it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// The limit of the ratio.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RatioLimit {
    /// The limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub value: Option<String>,
    /// The decision rule, chosen before the run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// Where it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// The limits. One that is missing is named, and the run is not judged.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Ratio of measured to expected output, at least.
    #[serde(default)]
    pub ratio: RatioLimit,
    /// Reflectance that the contract asks for, at least.
    #[serde(default)]
    pub reflectance: StatedLimit,
    /// Readings of reflectance, at least.
    #[serde(default)]
    pub reflectance_points: StatedLimit,
    /// Time between survey and run, at most.
    #[serde(default)]
    pub reflectance_age: StatedLimit,
    /// Irradiance within an interval, at least.
    #[serde(default)]
    pub irradiance: StatedLimit,
    /// Change of irradiance within an interval, from its mean, at most.
    #[serde(default)]
    pub irradiance_change: StatedLimit,
    /// Mean wind of an interval, at most.
    #[serde(default)]
    pub wind: StatedLimit,
    /// Missing values of an interval and of the run, at most.
    #[serde(default)]
    pub missing: StatedLimit,
    /// Steady intervals of a run, at least.
    #[serde(default)]
    pub intervals: StatedLimit,
    /// Length of an interval.
    #[serde(default)]
    pub interval_length: StatedLimit,
    /// Lag between power and irradiance, at most, either way.
    #[serde(default)]
    pub lag: StatedLimit,
    /// Distance of the irradiance's peak from solar noon, at most, either way.
    #[serde(default)]
    pub noon: StatedLimit,
}
