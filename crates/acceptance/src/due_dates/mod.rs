//! `due-dates`: when recurring tasks are due by calendar and by operating hours, whichever is
//! first, and how long holds lasted.
//!
//! Calendar: from the day last done, by days, weeks, months or years; a month later is the same day
//! of the month, or its last day. Hours: `h = hours now − hours when last done`, due at the
//! interval. Window: the share w of the interval before and after, whole days rounded to the
//! inside. Forecast: `(I − h)/m` days from the moment asked for, m the hours a day as stated or as
//! run since last done. A task counts from when it was done, so that doing it early brings the
//! next one forward. A hold is the difference of two moments with their offsets, so that a change
//! of the clocks shows. No clock is read: the moment asked for is an input. Common practice, no
//! source.

mod input;
mod present;
mod task;

pub use input::{Every, Hold, Input, Task, Unit};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "due-dates";
const TITLE: &str = "Due dates and holds";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Which recurring tasks are due or overdue at a moment, by calendar or operating \
              hours, and whether holds were long enough across a change of the clocks.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("due-dates", "good-night-of-the-clock-change"),
        example!("due-dates", "good-tasks-of-a-dish"),
        example!("due-dates", "good-last-day-unknown"),
        example!("due-dates", "bad-day-without-year"),
        example!("due-dates", "bad-hours-without-unit"),
        example!("due-dates", "bad-moment-without-offset"),
        example!("due-dates", "bad-month-as-number"),
        example!("due-dates", "bad-unit-unknown"),
        example!("due-dates", "bad-unknown-field"),
        example!("due-dates", "wrong-counter-runs-backwards"),
        example!("due-dates", "wrong-day-that-is-none"),
        example!("due-dates", "wrong-done-in-the-future"),
        example!("due-dates", "wrong-hold-ends-before-it-begins"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A day, moment or counter that can't be read, a task done after the moment asked for, a counter
/// that runs backwards.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let plan = input::read(&mut form, input)?;
    Ok(match plan {
        Some(plan) => present::sheet(form, &plan),
        None => Sheet::blank(&CALCULATION, form),
    })
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
