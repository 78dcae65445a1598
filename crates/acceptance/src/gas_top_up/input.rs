//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{CircuitPart, Gas, InstrumentDoubt, StateRead, StatedLimit, Statement, schema};

/// What the calculation takes: a list of top-ups, with or without their masses.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas; needed where a mass follows from readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// Volume of the circuit; needed where a mass follows from readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Parts of the circuit with a temperature each; instead of one volume.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<CircuitPart>")]
    pub parts: Vec<CircuitPart>,
    /// The top-ups in the order of their time, two or more.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<TopUp>")]
    pub top_ups: Vec<TopUp>,
    /// Days of services, for the rule that counts top-ups since the last one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "days")]
    pub services: Vec<String>,
    /// The rules that raise an alert.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Alerts")]
    pub alerts: Option<Alerts>,
    /// The largest mean consumption, such as 0.5 g/d.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub rate_limit: Option<StatedLimit>,
    /// What is known of the instruments; left out, masses from readings have no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "InstrumentDoubt")]
    pub uncertainty: Option<InstrumentDoubt>,
}

fn days(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
    let one = schema::day(generator);
    schemars::json_schema!({ "type": "array", "items": one })
}

/// Why gas was added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// The pressure had fallen as it does.
    Routine,
    /// The pressure had fallen, and nobody knows why.
    Unexplained,
    /// The circuit had been opened or repaired; the interval before is not counted.
    AfterRepair,
    /// The circuit was filled for the first time; the interval before is not counted.
    FirstFill,
}

/// A top-up. Its mass is weighed, or follows from readings before and after, or is unknown.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TopUp {
    /// The moment of the top-up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub at: Option<String>,
    /// The day of the top-up, where the moment isn't known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::day")]
    pub day: Option<String>,
    /// Readings before the top-up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StateRead")]
    pub before: Option<StateRead>,
    /// Readings after the top-up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StateRead")]
    pub after: Option<StateRead>,
    /// Mass added, as weighed; instead of readings before and after.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::mass")]
    pub mass: Option<String>,
    /// What is stated about the weighing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub mass_uncertainty: Option<Statement>,
    /// Why gas was added. Left out, it counts as consumption.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Reason")]
    pub reason: Option<Reason>,
}

/// The rules that raise an alert; each may be left out.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alerts {
    /// Intervals that are short against those before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "IntervalRule")]
    pub interval: Option<IntervalRule>,
    /// Many top-ups in a time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "CountRule")]
    pub count: Option<CountRule>,
    /// Much gas lost in a time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "LossRule")]
    pub loss: Option<LossRule>,
    /// Where the rules come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// Alert when intervals in a row are at most a share of the median of those before.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IntervalRule {
    /// The share of the median, such as 50 % for a rate twice the usual.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub share: Option<String>,
    /// How many short intervals in a row raise the alert.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub in_a_row: Option<String>,
    /// How many earlier intervals the median needs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub earlier: Option<String>,
    /// How far back the median reaches. Left out, to the beginning of the list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub window: Option<String>,
}

/// Alert at so many top-ups in a time, or since the last service.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CountRule {
    /// How many top-ups raise the alert.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub top_ups: Option<String>,
    /// The time in which they are counted. Left out, since the last of the services.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub within: Option<String>,
}

/// Alert when more gas is lost than stated.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LossRule {
    /// The mass above which the alert is raised.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::mass")]
    pub mass: Option<String>,
    /// The time in which the loss is summed. Left out, since the last repair or the beginning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub within: Option<String>,
}
