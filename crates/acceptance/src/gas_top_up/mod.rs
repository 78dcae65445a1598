//! `gas-top-up`: what a list of top-ups says about the gas that a circuit uses: mass of each, the
//! intervals with their median, the consumption with its trend, and whether a stated rule raises
//! an alert.
//!
//! Mass of a top-up: as weighed, or `Δm = Σ Vₖ·(ρ(p, T) after − before)` with the real-gas equations
//! of `gas-density`. Loss in an interval: contents after the last top-up less contents before this
//! one where both states were read, else the mass of this top-up, which is right where the circuit
//! is filled to the same contents each time. An interval that ends in a first fill or in a fill
//! after a repair is not counted: the gas was let out.
//!
//! Rate: total loss over total time of the counted intervals. Trend: the median of the slopes of
//! the summed loss between all pairs of top-ups (P. K. Sen, J. Am. Stat. Assoc. 63 (1968) 1379).
//!
//! Alert rules are inputs with a source: intervals of at most a share of the median of those
//! before, so many top-ups in a time, or a loss above a mass. An alert stands until a fill after a
//! repair.

mod alert;
mod course;
mod input;
mod present;
mod read;

pub use input::{Alerts, CountRule, Input, IntervalRule, LossRule, Reason, TopUp};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "gas-top-up";
const TITLE: &str = "Gas top-ups";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Mass, intervals and consumption of a circuit from its top-ups, and whether a stated \
              rule raises an alert.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("gas-top-up", "good-dates-only"),
        example!("gas-top-up", "good-states-and-masses"),
        example!("gas-top-up", "good-repaired"),
        example!("gas-top-up", "good-volume-missing"),
        example!("gas-top-up", "bad-day-written-out"),
        example!("gas-top-up", "bad-mass-in-bar"),
        example!("gas-top-up", "bad-moment-without-offset"),
        example!("gas-top-up", "bad-reason-unknown"),
        example!("gas-top-up", "bad-unknown-field"),
        example!("gas-top-up", "wrong-day-and-moment"),
        example!("gas-top-up", "wrong-mass-and-states"),
        example!("gas-top-up", "wrong-not-in-order"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, is implausible, or lies outside the range of the gas's equation;
/// top-ups that aren't in order or have two masses or two times.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(list) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let course = course::course(&list);
    let alerts = alert::raise(&list, &course);
    Ok(present::sheet(form, &list, &course, &alerts))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
