//! What the calculation takes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::limit::StatedLimit;
use crate::schema;

/// Category of abnormal performance of IEEE Std 1547-2018.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Category {
    /// Category I.
    I,
    /// Category II.
    Ii,
    /// Category III.
    Iii,
}

/// What a function of the relay watches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Voltage above a threshold.
    OverVoltage,
    /// Voltage below a threshold.
    UnderVoltage,
    /// Frequency above a threshold.
    OverFrequency,
    /// Frequency below a threshold.
    UnderFrequency,
}

/// State of the capacitor bank when the grid was opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Capacitors {
    /// Connected.
    In,
    /// Disconnected.
    Out,
    /// There are none.
    NoneFitted,
}

/// What the calculation takes: injection tests, loss of the grid, re-connection, or several of
/// them.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Nominal frequency of the network.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::frequency")]
    pub nominal_frequency: Option<String>,
    /// Nominal voltage of what the relay measures; needed where voltages are typed in volts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub nominal_voltage: Option<String>,
    /// Category of IEEE 1547-2018 whose settings apply; only at 60 Hz.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Category")]
    pub ieee_1547: Option<Category>,
    /// The utility's sheet; beside a category, values agreed on within the standard's ranges.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sheet: Vec<SheetLine>,
    /// Which sheet it is, with its revision.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub sheet_source: Option<String>,
    /// Opening time of the breaker, where trip times were taken at the relay's contact. Left out,
    /// the times are taken to hold the breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub breaker_time: Option<String>,
    /// Tolerances; those of IEEE 1547 Table 3 where left out.
    #[serde(default)]
    pub tolerances: Tolerances,
    /// Injection tests, one for each injected value.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tests: Vec<Test>,
    /// Loss of the grid under load.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub islands: Vec<Island>,
    /// Longest time to trip after loss of the grid; 2 s with IEEE 1547.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub island_limit: Option<StatedLimit>,
    /// Re-connection after the grid came back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "EnterService")]
    pub enter_service: Option<EnterService>,
    /// Shortest wait before re-connection; 300 s with IEEE 1547.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub enter_service_limit: Option<StatedLimit>,
}

/// A line of the sheet of settings.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetLine {
    /// Name of the function, such as UV1 or 27-1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub function: Option<String>,
    /// What it watches; known of the functions of IEEE 1547.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Kind")]
    pub kind: Option<Kind>,
    /// Threshold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::relay_value")]
    pub threshold: Option<String>,
    /// Longest time until the machine is disconnected, breaker included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub clearing_time: Option<String>,
    /// Delay that the relay is to be set to, where the sheet says that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub set_time: Option<String>,
}

/// Tolerances of measurement.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tolerances {
    /// Of voltage, of the nominal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub voltage: Option<String>,
    /// Of frequency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::frequency")]
    pub frequency: Option<String>,
    /// Of a time from 5 s, as a share of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub long_time: Option<String>,
    /// Of a time below 5 s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub short_time: Option<String>,
}

/// An injection test.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Test {
    /// Function that is tested, as on the sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub function: Option<String>,
    /// Threshold that the relay is set to; once for each function is enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::relay_value")]
    pub set_value: Option<String>,
    /// Delay that the relay is set to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub set_time: Option<String>,
    /// Value at which it was found to pick up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::relay_value")]
    pub pickup: Option<String>,
    /// Value that was injected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::relay_value")]
    pub injected: Option<String>,
    /// Time to trip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub trip_time: Option<String>,
    /// Or how long it was held without a trip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub no_trip_for: Option<String>,
    /// Whether the test was meant to show that it does not trip too early.
    #[serde(default)]
    pub must_not_trip: bool,
    /// Whether all other functions were blocked.
    #[serde(default)]
    pub others_blocked: bool,
}

/// A loss of the grid under load.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Island {
    /// State of the capacitor bank.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Capacitors")]
    pub capacitors: Option<Capacitors>,
    /// From the opening of the upstream breaker to disconnection.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub trip_time: Option<String>,
    /// Or how long it stayed connected until the test was ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub no_trip_for: Option<String>,
}

/// A re-connection.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EnterService {
    /// From the grid being healthy to connection.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub delay: Option<String>,
    /// Voltage when it connected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::relay_value")]
    pub voltage: Option<String>,
    /// Frequency when it connected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::relay_value")]
    pub frequency: Option<String>,
}
