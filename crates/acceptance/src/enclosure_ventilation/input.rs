//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Gas, StatedLimit, Statement, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Volume of the air in the enclosure, without what stands in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Fresh air let in, by fan or openings; 0 for a closed enclosure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume_flow")]
    pub ventilation: Option<String>,
    /// Air changes per hour, instead of the flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub air_changes: Option<String>,
    /// Release as a volume flow at the state of the air in the enclosure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume_flow")]
    pub release: Option<String>,
    /// Release as a mass flow, instead; needs gas, air temperature and barometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::mass_flow")]
    pub release_mass: Option<String>,
    /// The gas; needed with a release as a mass flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// Temperature of the air in the enclosure; needed with a release as a mass flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub ambient_temperature: Option<String>,
    /// Pressure of the air; needed with a release as a mass flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Mixing factor f: 1 for air that is stirred through, up to 5 where much hangs in the way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub mixing_factor: Option<String>,
    /// Fraction of gas in the air at the beginning. Left out, clean air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub start_fraction: Option<String>,
    /// How long the release lasts. Left out, it does not stop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub release_duration: Option<String>,
    /// A time after the beginning for which the fraction is wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub at: Option<String>,
    /// Lower flammable limit of the gas in air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FlammableLimit")]
    pub flammable_limit: Option<FlammableLimit>,
    /// The largest fraction accepted, as a share of the lower flammable limit, such as 25 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// Levels at which the detector acts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<Alarm>")]
    pub alarms: Vec<Alarm>,
    /// Time from the level at the sensor to the alarm; needed with alarms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub detector_delay: Option<String>,
    /// What is known of the inputs; left out, the fraction has no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "VentilationDoubt")]
    pub uncertainty: Option<VentilationDoubt>,
}

/// How well a flammable limit is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LimitStatus {
    /// Read in the standard or the data sheet itself.
    Read,
    /// Read as somebody else quotes it.
    Quoted,
    /// Known by heart.
    Remembered,
}

/// The lower flammable limit.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FlammableLimit {
    /// Fraction by volume, such as 4 % for hydrogen in air at room temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub value: Option<String>,
    /// How well it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "LimitStatus")]
    pub status: Option<LimitStatus>,
    /// Where it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// A level at which the detector acts.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alarm {
    /// What it is called, such as “alarm 1”.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// The level as a share of the lower flammable limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub level: Option<String>,
}

/// What is known of the flows and the volume. What is left out is not counted.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct VentilationDoubt {
    /// Release, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub release: Option<Statement>,
    /// Fresh air, in percent of it or as a flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub ventilation: Option<Statement>,
    /// Volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub volume: Option<Statement>,
}
