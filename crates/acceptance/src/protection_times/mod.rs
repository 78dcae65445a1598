//! `protection-times`: injection tests of a grid relay, loss of the grid and re-connection,
//! against a sheet of settings.
//!
//! The sheet is the utility's own, or the defaults of IEEE Std 1547-2018 for a category (Tables 11
//! to 13 and 18, read in a public transcription), with agreed values within the ranges of the
//! standard. The thresholds of the standard are for 60 Hz; for other networks only a utility's
//! sheet is taken.
//!
//! A point is judged by the thresholds that its injected value is beyond, by more than the accuracy
//! of measurement: the shortest of their clearing times is the latest that the machine may still be
//! connected, `trip time + opening time of the breaker ≤ clearing time`; a trip before its set time
//! less tolerance is too early; a trip within all thresholds is false. A value within the accuracy
//! of a threshold proves nothing. Without a trip a point fails once the clearing time has passed,
//! and says nothing about tripping before. Tolerance of time: a share of it from 5 s, below that
//! cycles.
//!
//! Accuracy by Table 3 of the standard, as quoted: 1 % of the nominal voltage, 10 mHz, 1 % of the
//! time from 5 s; two cycles below 5 s from memory. Unintentional island 2 s, and the conditions to
//! enter service, from memory. Methods that test inverters for islanding do not fit a directly
//! coupled machine.

mod input;
mod judge;
mod lines;
mod present;
mod read;
mod standard;
mod tables;
mod values;

pub use input::{
    Capacitors, Category, EnterService, Input, Island, Kind, SheetLine, Test, Tolerances,
};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "protection-times";
const TITLE: &str = "Trip times of the grid protection";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Settings, pick-up and trip times of a grid relay, loss of the grid and \
              re-connection, each judged by the utility's sheet or by IEEE 1547.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("protection-times", "good-category-ii-at-60-hz"),
        example!("protection-times", "good-one-capacitor-state"),
        example!("protection-times", "good-set-time-missing"),
        example!("protection-times", "good-utility-sheet-at-50-hz"),
        example!("protection-times", "bad-category-unknown"),
        example!("protection-times", "bad-injected-in-amperes"),
        example!("protection-times", "bad-kind-unknown"),
        example!("protection-times", "bad-tests-null"),
        example!("protection-times", "bad-trip-time-without-unit"),
        example!("protection-times", "bad-unknown-field"),
        example!("protection-times", "wrong-function-not-on-the-sheet"),
        example!("protection-times", "wrong-percent-typed-as-pu"),
        example!("protection-times", "wrong-setting-outside-the-range"),
        example!("protection-times", "wrong-standard-at-50-hz"),
        example!("protection-times", "wrong-trip-and-no-trip"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A value that can't be read or is implausible, a function that is not on the sheet, a setting
/// outside of the standard's range, the standard on a network that is not of 60 Hz.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(relay) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &relay))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
