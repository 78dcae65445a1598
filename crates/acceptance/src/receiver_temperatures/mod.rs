//! `receiver-temperatures`: what the thermocouples of a receiver say, quadrant by quadrant, and
//! whether they sit where the drawing says.
//!
//! - Means of the quadrants by the channels that count; spread: hottest less coolest mean, or
//!   hottest less coolest channel, whichever the limit is of. Open channels and those that show the
//!   same number in every scan while others moved don't count, and nothing passes while there are
//!   any.
//! - **Warming test.** Each place is warmed in turn; the channels that rise by a stated step are
//!   its answer. Two that answer for each other are exchanged.
//! - **Exchange by the pattern.** Readings against a pattern (expected temperatures or the first
//!   scan, up to level and scale; or all quadrants alike) by least squares; each pair exchanged in
//!   turn; T = 1 − SSQ_exchanged/SSQ of the best, and how often chance alone reaches T over all
//!   pairs, by draws from the fit (parametric bootstrap). See `exchange.rs`.
//! - **Direction of the heat.** The pattern (else one level) + x·sin β + y·cos β by least squares over
//!   the bearings; its size √(x² + y²), its bearing atan2(x, y), and the F test of both parts.
//! - Doubt: type and class of IEC 60584-1, each thermocouple by itself, rectangular; or a statement
//!   in kelvin. For the means u² = Σu²/n² of both ends.
//!
//! **Validity.** Steady sun, one moment. One exchanged pair at a time by the pattern; the warming
//! test finds any. Tolerances only within the ranges of their class; outside it is refused.

mod exchange;
mod input;
mod judge;
mod measure;
mod present;
mod read;
mod tables;
mod thermocouple;

pub use input::{
    Channel, IdentityRule, Input, Limits, Pattern, QuadrantPlace, Scan, SpreadOf, Uncertainty,
    Warmed,
};
pub use thermocouple::{Class, Kind};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "receiver-temperatures";
const TITLE: &str = "Temperatures of the receiver";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Spread of a receiver's quadrants, channels that are open, stuck or exchanged, and the \
              side where the heat lies.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("receiver-temperatures", "good-first-sun"),
    example!("receiver-temperatures", "good-exchanged-pair"),
    example!("receiver-temperatures", "good-warming-test"),
    example!("receiver-temperatures", "good-open-and-stuck"),
    example!("receiver-temperatures", "good-reading-missing"),
    example!("receiver-temperatures", "bad-temperature-without-unit"),
    example!("receiver-temperatures", "bad-class-three"),
    example!("receiver-temperatures", "bad-unknown-pattern"),
    example!("receiver-temperatures", "bad-unknown-field"),
    example!("receiver-temperatures", "bad-rise-in-bar"),
    example!("receiver-temperatures", "wrong-channel-twice"),
    example!("receiver-temperatures", "wrong-unknown-channel"),
    example!("receiver-temperatures", "wrong-doubt-in-percent"),
    example!("receiver-temperatures", "wrong-too-hot-for-the-class"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; a channel that stands twice or is not listed;
/// a temperature outside the range of the thermocouple's class.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let found = measure::measure(&survey);
    Ok(present::sheet(form, &survey, &found))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
