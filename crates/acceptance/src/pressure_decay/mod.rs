//! `pressure-decay`: how much of its gas a closed circuit lost between two readings, with the
//! change of temperature taken out, judged against a limit.
//!
//! Pressure is absolute (gauge and barometer at the same time), the gas is real and must be named,
//! and the doubt of both readings is carried to the result (JCGM 100:2008, first order). The test
//! is not judged when a reading is missing, the hold was short, the gauge is too coarse for the
//! time, or the expanded uncertainty is more than a third of the limit. For many readings, and for a
//! circuit made of parts with a temperature each, there is [`crate::decay_regression`].

mod decay;
mod doubt;
mod figure;
mod input;
mod judge;
mod present;
mod sources;

pub(crate) use decay::STANDARD_PRESSURE;
pub use decay::{Decay, decay};
pub use input::{
    Distribution, GaugeDoubt, Input, Limit, PressureDoubt, Readings, Rule, TemperatureDoubt,
    Uncertainty, VolumeDoubt,
};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "pressure-decay";
const TITLE: &str = "Pressure decay leak test";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Loss of gas from a closed circuit between two readings, temperature taken out, judged \
              against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("pressure-decay", "good-helium-pass"),
    example!("pressure-decay", "good-helium-fail"),
    example!("pressure-decay", "good-end-barometer-missing"),
    example!("pressure-decay", "good-hold-short"),
    example!("pressure-decay", "good-guarded-hydrogen"),
    example!("pressure-decay", "wrong-psi-typed-as-bar"),
    example!("pressure-decay", "bad-temperature-in-bar"),
    example!("pressure-decay", "bad-absolute-given-as-gauge"),
    example!("pressure-decay", "wrong-end-before-start"),
    example!("pressure-decay", "bad-unknown-field"),
    example!("pressure-decay", "wrong-comma-could-be-either"),
    example!("pressure-decay", "bad-gas-unknown"),
    example!("pressure-decay", "bad-barometer-null"),
    example!("pressure-decay", "bad-elapsed-without-unit"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, is implausible, or lies outside the range of the gas's equation;
/// an end that is not after the start.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(test) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let decay = decay(test.gas, test.start.state, test.end.state, test.volume, test.elapsed)?;
    let budget = doubt::budget(&test, &decay);
    let judgement = judge::judge(&test, &decay, &budget);
    Ok(present::sheet(form, &test, &decay, &budget, &judgement))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
