//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{StatedLimit, Statement, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Volume that is swept through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Whether the purge gas flows through everything, or there are dead ends.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Line")]
    pub line: Option<Line>,
    /// Flow of the purge gas, at the state inside unless `flow_state` says otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume_flow")]
    pub flow: Option<String>,
    /// The state that the flow meter's reading is meant at, such as 0 °C and 101.325 kPa for normal
    /// litres. Left out, the state inside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FlowState")]
    pub flow_state: Option<FlowState>,
    /// The state inside; needed with the state of the flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FlowState")]
    pub inside: Option<FlowState>,
    /// How long it is swept. Left out, only the time that is needed is worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub time: Option<String>,
    /// Mixing factor K: 1 where everything is stirred through, up to 10 where it isn't.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub mixing_factor: Option<String>,
    /// Fraction of what is driven out before the sweep, such as 20.9 % of oxygen in air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub start_fraction: Option<String>,
    /// Fraction of the same in the purge gas, from its certificate. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub supply_fraction: Option<String>,
    /// The content that an analyser shows at the far end after the sweep.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub measured: Option<String>,
    /// The largest fraction left that is accepted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is known of the inputs; left out, the fraction has no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SweepDoubt")]
    pub uncertainty: Option<SweepDoubt>,
}

/// What is swept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    /// The purge gas comes in at one end and leaves at the other.
    Through,
    /// Some branch or chamber has no way out.
    DeadEnds,
}

/// A state of a gas.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FlowState {
    /// Pressure above vacuum.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub absolute_pressure: Option<String>,
    /// Temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
}

/// What is known of the inputs of a sweep. What is left out is not counted.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SweepDoubt {
    /// Flow, in percent of it or as a flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub flow: Option<Statement>,
    /// Volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub volume: Option<Statement>,
    /// Mixing factor, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub mixing_factor: Option<Statement>,
    /// Analyser, in percent of its reading or as a fraction without unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub analyser: Option<Statement>,
}
