//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{StatedLimit, Statement, line, schema};

/// How power is carried over to the reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Normalisation {
    /// In proportion to the irradiance.
    IrradianceRatio,
    /// Along the line of power over irradiance, by its slope.
    Line,
    /// In proportion to irradiance and to Carnot's efficiency.
    Carnot,
    /// In proportion to irradiance and inversely to the air's absolute temperature.
    AirTemperature,
    /// In proportion to a linear model of power.
    LinearModel,
}

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The rule, as the test plan fixed it; no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Normalisation")]
    pub rule: Option<Normalisation>,
    /// Where and when the rule was fixed, as “test plan, revision 3, 12 August”.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub fixed_in: Option<String>,
    /// Net power measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub power: Option<String>,
    /// Direct irradiance measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Air temperature measured; the coolant's, if the rule says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub air_temperature: Option<String>,
    /// Reference irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub reference_irradiance: Option<String>,
    /// Reference temperature of the air, or of the coolant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub reference_air_temperature: Option<String>,
    /// Slope of power over irradiance, from `performance-line` or the contract.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "line::schema")]
    pub slope: Option<String>,
    /// Temperature of the hot side, for Carnot's efficiency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub hot_temperature: Option<String>,
    /// The linear model of power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Model")]
    pub model: Option<Model>,
    /// Area of the mirrors, without gaps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub net_area: Option<String>,
    /// Area of the circle around the mirrors.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub gross_area: Option<String>,
    /// Doubt of the power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub power_doubt: Option<Statement>,
    /// Doubt of the irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub irradiance_doubt: Option<Statement>,
    /// Doubt of the air temperature, in K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub air_temperature_doubt: Option<Statement>,
    /// Doubt of the hot side's temperature, in K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub hot_temperature_doubt: Option<Statement>,
    /// Doubt of the slope, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub slope_doubt: Option<Statement>,
    /// Doubt of the areas.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub area_doubt: Option<Statement>,
    /// Power at the reference, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
}

/// A linear model: power = (a₁·irradiance·cleanliness + a₂)·temperature/air − own power.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Model {
    /// a₁, output for each unit of irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "line::schema")]
    pub a1: Option<String>,
    /// a₂, mostly negative: fixed losses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub a2: Option<String>,
    /// Temperature that the model refers to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// χ, cleanliness of the mirrors during the test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub cleanliness: Option<String>,
    /// Cleanliness that the reference asks for; that of the test when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub reference_cleanliness: Option<String>,
    /// Power that the dish uses itself; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub own_power: Option<String>,
    /// Where the model comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}
