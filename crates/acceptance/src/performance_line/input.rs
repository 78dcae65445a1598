//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{StatedLimit, Statement, line, schema};

/// How the line is laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Ordinary least squares: the irradiance counts as exact.
    Ols,
    /// Both uncertain, with the same ratio of doubts at every point.
    Deming,
    /// Both uncertain, each point as stated.
    York,
}

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The points: means of steady windows, at least three.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<PointInput>,
    /// How the line is laid; fixed in the test plan, no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Method")]
    pub method: Option<Method>,
    /// Doubt of a point's irradiance, independent from point to point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub irradiance_doubt: Option<Statement>,
    /// Doubt of a point's power, independent from point to point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub power_doubt: Option<Statement>,
    /// Correlation of the errors of irradiance and power of a point; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::signed_number")]
    pub correlation: Option<String>,
    /// For Deming's line when the doubts are unknown: doubt of power over doubt of irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "line::schema")]
    pub doubt_ratio: Option<String>,
    /// Doubt that all irradiances share, as the calibration of the instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub irradiance_common: Option<Statement>,
    /// Doubt that all powers share, as the calibration of the meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub power_common: Option<Statement>,
    /// Irradiance at which the power is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub reference_irradiance: Option<String>,
    /// Level of the intervals; 95 % when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub level: Option<String>,
    /// Power at the reference irradiance, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
}

/// A point: the means of a steady window.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PointInput {
    /// Name, as the beginning of the window.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// Direct irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Net power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub power: Option<String>,
    /// Doubt of this irradiance, instead of the one for all points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub irradiance_doubt: Option<Statement>,
    /// Doubt of this power, instead of the one for all points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub power_doubt: Option<Statement>,
    /// Correlation of this point's errors, instead of the one for all points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::signed_number")]
    pub correlation: Option<String>,
    /// Why the point is left out; only a point with a reason is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub left_out: Option<String>,
}
