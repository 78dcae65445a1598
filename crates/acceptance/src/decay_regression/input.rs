//! The input as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::pressure_decay::Rule;
use crate::{CircuitPart, Gas, StateRead, Statement, schema, state};

/// What the calculation takes. A reading that is missing is left out; nothing has a default.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas in the circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// Volume of the circuit; left out where parts are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Parts of the circuit with a temperature each; instead of one volume.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<CircuitPart>")]
    pub parts: Vec<CircuitPart>,
    /// The readings in the order of their time, two or more.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<LeakReading>")]
    pub readings: Vec<LeakReading>,
    /// The hold that the procedure asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub required_hold: Option<String>,
    /// The largest leak that is accepted. Left out, nothing is judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "LeakLimit")]
    pub limit: Option<LeakLimit>,
    /// The decision rule, chosen before the test: simple takes the leak, guarded its bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// Probability that the leak lies below its bound. Left out, 95 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub confidence: Option<String>,
    /// What is known of the instruments; needed with a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SlopeDoubt")]
    pub uncertainty: Option<SlopeDoubt>,
}

/// Readings at one moment. Pressure is either gauge with barometer, or absolute.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeakReading {
    /// The moment of the readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub at: Option<String>,
    /// Time since the start of the hold, instead of the moment; the same kind in all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub elapsed: Option<String>,
    /// What the gauge shows above the surrounding air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub gauge_pressure: Option<String>,
    /// What the barometer shows at the same time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Pressure above vacuum, instead of gauge and barometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub absolute_pressure: Option<String>,
    /// Temperature of the gas.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// Where the circuit is made of parts: the temperature in each, in the order of the parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "state::temperatures")]
    pub temperatures: Vec<String>,
    /// Why this reading is left out of the line. A reading without a reason is used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub left_out: Option<String>,
}

impl LeakReading {
    /// The state that was read.
    pub(super) fn state(&self) -> StateRead {
        StateRead {
            gauge_pressure: self.gauge_pressure.clone(),
            barometer: self.barometer.clone(),
            absolute_pressure: self.absolute_pressure.clone(),
            temperature: self.temperature.clone(),
            temperatures: self.temperatures.clone(),
        }
    }
}

/// The largest leak that is accepted: a loss on a time base, or a flow.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeakLimit {
    /// Loss in percent of the contents at the start; together with its time base.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub loss: Option<String>,
    /// Time base of the loss.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub per: Option<String>,
    /// A flow instead of a loss: mass, amount or standard volume with its temperature, or pressure
    /// times volume of a second.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::leak_flow")]
    pub flow: Option<String>,
    /// The temperature that a flow as pressure times volume is meant at; needed for that alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub at_temperature: Option<String>,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// What all readings have in common, from the certificates of the instruments. What differs from
/// reading to reading shows in the scatter and isn't stated here.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlopeDoubt {
    /// Scale of the gauge: one error common to all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub gauge_scale: Option<Statement>,
    /// Drift of the gauge from the first reading to the last, such as that of its zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub gauge_drift: Option<Statement>,
    /// Step of the gauge's display. Left out, the place of the last digit typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::pressure_difference")]
    pub gauge_resolution: Option<String>,
    /// Barometer: one error common to all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub barometer: Option<Statement>,
    /// Thermometer: one error of each probe common to all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub temperature: Option<Statement>,
    /// Change from the first reading to the last of the difference between the gas and what the
    /// probe shows: the probe sits on the wall, and the wall cools first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub temperature_drift: Option<Statement>,
    /// Volume of a circuit without parts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub volume: Option<Statement>,
}
