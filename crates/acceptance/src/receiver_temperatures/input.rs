//! The input as JSON.

use std::collections::BTreeMap;

use quantity::Dimension;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use super::thermocouple::{Class, Kind};
use crate::{StatedLimit, Statement, schema};

/// What the calculation takes: readings, a warming test, or both.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Every thermocouple of the receiver.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub channels: Vec<Channel>,
    /// Where the middle of each quadrant lies, for the direction of the heat.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub quadrants: Vec<QuadrantPlace>,
    /// Readings of all channels, scan by scan; the last is judged, earlier ones show what is stuck.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub scans: Vec<Scan>,
    /// What the channels are compared with, to find two that are exchanged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Pattern")]
    pub pattern: Option<Pattern>,
    /// The temperature expected at each channel, as of an accepted run; with `expected` only.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(schema_with = "temperatures")]
    pub expected: BTreeMap<String, String>,
    /// Probability of a false alarm at which an exchange is suspected; 1 % when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub false_alarm: Option<String>,
    /// The warming test: each place warmed in turn, and by how much each channel rose.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub warming: Vec<Warmed>,
    /// Rise from which a channel answers; needed with a warming test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature_difference")]
    pub answer_at_least: Option<String>,
    /// Temperature that the recorder shows for an open circuit; such readings and higher ones count
    /// as open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub open_at: Option<String>,
    /// Set point of the receiver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub set_point: Option<String>,
    /// The limits; each may be left out.
    #[serde(default)]
    pub limits: Limits,
    /// What is known of the thermocouples.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

fn temperatures(generator: &mut SchemaGenerator) -> Schema {
    let reading = schema::temperature(generator);
    json_schema!({ "type": "object", "additionalProperties": reading })
}

fn rises(generator: &mut SchemaGenerator) -> Schema {
    let reading = schema::temperature_difference(generator);
    json_schema!({ "type": "object", "additionalProperties": reading })
}

/// A temperature, or the word that says that there is none.
fn readings(_: &mut SchemaGenerator) -> Schema {
    let pattern = format!("{}|^open$", quantity::pattern(Dimension::Temperature));
    json_schema!({
        "type": "object",
        "additionalProperties": {
            "type": "string",
            "description": "A temperature with its unit, or the word open.",
            "pattern": pattern,
            "examples": ["684 °C"],
        },
    })
}

/// A thermocouple.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Channel {
    /// Its name, as `Q2-3`.
    pub channel: String,
    /// The quadrant that it belongs to, as `Q2`.
    pub quadrant: String,
    /// Its place within the quadrant, alike in all quadrants, as `3`; for a symmetrical pattern.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub place: Option<String>,
    /// Its bearing, clockwise from up, seen from the mirror. Left out, that of its quadrant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub bearing: Option<String>,
}

/// Where a quadrant lies.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuadrantPlace {
    /// Its name.
    pub quadrant: String,
    /// Bearing of its middle, clockwise from up, seen from the mirror.
    #[schemars(schema_with = "schema::angle")]
    pub bearing: String,
}

/// All channels at one time.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Scan {
    /// The moment, or what the scan was of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// The readings by channel; a thermocouple without contact reads `open`.
    #[schemars(schema_with = "readings")]
    pub readings: BTreeMap<String, String>,
}

/// What the channels are compared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Pattern {
    /// The temperatures given as expected, up to a common level and scale.
    Expected,
    /// The first scan, up to a common level and scale.
    FirstScan,
    /// Every quadrant alike: a level for each quadrant and a step for each place.
    Symmetrical,
}

/// A place that was warmed.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Warmed {
    /// The channel that belongs to the place by the drawing.
    pub warmed: String,
    /// By how much each channel rose; those that did not move may be left out.
    #[schemars(schema_with = "rises")]
    pub rises: BTreeMap<String, String>,
}

/// Which spread is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SpreadOf {
    /// Hottest less coolest mean of a quadrant.
    QuadrantMeans,
    /// Hottest less coolest channel.
    Channels,
}

/// The limits; each may be left out.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Which spread the two limits of spread are of; needed with either.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SpreadOf")]
    pub spread_of: Option<SpreadOf>,
    /// Spread at which the alarm comes, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub spread_alarm: Option<StatedLimit>,
    /// Spread at which the receiver trips, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub spread_trip: Option<StatedLimit>,
    /// Temperature at which the receiver trips: the hottest channel, at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub highest: Option<StatedLimit>,
    /// With this, every thermocouple has to answer on its own channel in the warming test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "IdentityRule")]
    pub identity: Option<IdentityRule>,
}

/// Asks that every thermocouple is known to be on its own channel.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IdentityRule {
    /// Where the rule comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// What is known of the thermocouples: type and class, or a statement in kelvin.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Type, as stamped on it; together with its class.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Kind")]
    pub thermocouple: Option<Kind>,
    /// Tolerance class of IEC 60584-1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Class")]
    pub class: Option<Class>,
    /// Of each channel by itself, in kelvin, instead of type and class.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub channel: Option<Statement>,
}
