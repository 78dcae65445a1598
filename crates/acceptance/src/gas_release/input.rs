//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Gas, StatedLimit, Statement, schema};

/// What the calculation takes. The pressure inside is gauge or absolute; the opening has an area or
/// a diameter.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// What the gauge shows inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub gauge_pressure: Option<String>,
    /// Pressure inside above vacuum, instead of the gauge's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub absolute_pressure: Option<String>,
    /// Pressure of the air outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Temperature of the gas inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// Temperature of the air outside, at which the volume flow is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub ambient_temperature: Option<String>,
    /// Area of the opening, such as 0.25 mm².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub hole_area: Option<String>,
    /// Diameter of a round opening, instead of the area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub hole_diameter: Option<String>,
    /// Discharge coefficient: 0.5 to 0.75 for sharp edges, 0.95 to 0.99 for rounded ones (from
    /// memory of IEC 60079-10-1; for the worst take 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub discharge_coefficient: Option<String>,
    /// Ratio of heat capacities. Left out, that of the gas at room temperature: 1.405 for hydrogen,
    /// 5/3 for helium, 1.400 for nitrogen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub heat_capacity_ratio: Option<String>,
    /// Volume that empties; together with the pressure at which it is done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Gauge pressure down to which the emptying is followed; 0 for even with the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub final_pressure: Option<String>,
    /// The largest volume flow that is accepted, at the state of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is known of the inputs; left out, the flow has no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "ReleaseDoubt")]
    pub uncertainty: Option<ReleaseDoubt>,
}

/// What is known of the inputs of a release. What is left out is not counted.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReleaseDoubt {
    /// Pressure inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub pressure: Option<Statement>,
    /// Temperature inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub temperature: Option<Statement>,
    /// Area or diameter, whichever is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub hole: Option<Statement>,
    /// Discharge coefficient, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub discharge_coefficient: Option<Statement>,
}
