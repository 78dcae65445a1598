//! What the calculation takes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{StatedLimit, Statement, schema};

/// What the calculation takes: a year of irradiance or a table of hours, and the dish.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Direct irradiance in equal steps, as a typical year or a logger has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Year")]
    pub year: Option<Year>,
    /// Instead of the year: how long the irradiance was at each of some values.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bins: Vec<Bin>,
    /// What the dish makes of it.
    #[serde(default)]
    pub model: Model,
    /// Net energy that the contract asks for, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is stated about irradiance and line.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// Irradiance in equal steps.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Year {
    /// The values, one a step, without unit; an empty text where one is missing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub values: Vec<String>,
    /// Unit of the values.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub unit: Option<String>,
    /// Length of a step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub step: Option<String>,
    /// When the first step begins. With it the months are shown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub start: Option<String>,
    /// Where the values come from: station, year, file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
    /// How missing values are treated. Without a rule, a year with gaps is not judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "GapRule")]
    pub gaps: Option<GapRule>,
}

/// How missing values are treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum GapRule {
    /// Left out: energy and hours of the known steps alone.
    LeftOut,
    /// The known steps stand for the missing ones: energy and hours are scaled to the whole time.
    Scaled,
}

/// A time at one irradiance.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bin {
    /// The irradiance, as the middle of the bin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// How long it lasted in all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub duration: Option<String>,
}

/// What the dish makes of irradiance.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Model {
    /// The line's net power at no irradiance; below zero for a dish that has to start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub at_zero: Option<String>,
    /// The line's rise of net power for each 1 000 W/m².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub rise_per_1000: Option<String>,
    /// Largest net power; above it the dish sheds light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub largest: Option<String>,
    /// Irradiance from which the dish runs. Left out, where the line meets zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub runs_from: Option<String>,
    /// Supply drawn while the dish does not run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub standby: Option<String>,
    /// What the dish uses for itself while it runs; the net line already lacks it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub own_use: Option<String>,
    /// Mean cleanliness of the mirrors over the year, against that of the line. Left out, as the line's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub cleanliness: Option<String>,
    /// Share of the hours with enough sun in which the dish runs. Left out, all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub availability: Option<String>,
    /// Rated net power, for the capacity factor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub rated: Option<String>,
    /// Mirror area, for the mean efficiency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub mirror_area: Option<String>,
    /// Where the line comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// What is stated, each as one error over the whole year.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the irradiance, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub irradiance: Option<Statement>,
    /// Of the power that the line gives, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub line: Option<Statement>,
}
