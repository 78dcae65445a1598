//! `availability`: which share of a period a dish was available, from records of its downtime.
//!
//! Every moment of the period belongs to one class: excluded, when a record of an excluded class
//! covers it; else down, when any record but *unknown* covers it; else not known; else up. An hour
//! that several records cover counts once, for the one that began first. With T the period, X
//! excluded, D down, U not known: operational availability `A_o = (T − X − D − U)/(T − X)`,
//! technical availability the same with the down hours of the classes that its definition names.
//! Hours that are not known are not up; what they would make if they had been is shown beside it.
//! `MTBF = up hours/failures`, `MTTR = hours of forced events/events`: forced records that touch or
//! overlap are one event; one that ran already at the beginning is no failure of the period.
//!
//! No standard says which hours count for a dish. The definition is an input with its source; the
//! way of thinking follows IEC TS 61400-26-1 for wind turbines, whose categories are not
//! standardised for dishes. IEEE Std 762 calls `A` over unexcluded hours the availability factor.

mod input;
mod present;
mod sweep;

pub use input::{Class, Downtime, Input, Kind};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "availability";
const TITLE: &str = "Availability from downtime";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Technical and operational availability over a period by a stated definition, hours by \
              class, mean time between failures and to repair.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("availability", "good-no-downtime"),
        example!("availability", "good-records-missing"),
        example!("availability", "good-still-down"),
        example!("availability", "good-ten-days-of-a-dish"),
        example!("availability", "bad-class-unknown-to-the-list"),
        example!("availability", "bad-kind-unknown"),
        example!("availability", "bad-moment-without-offset"),
        example!("availability", "bad-records-null"),
        example!("availability", "bad-unknown-field"),
        example!("availability", "wrong-excluded-and-down"),
        example!("availability", "wrong-period-ends-before-it-begins"),
        example!("availability", "wrong-record-ends-before-it-begins"),
        example!("availability", "wrong-unknown-excluded"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A moment that can't be read, a period or record that ends before it begins, a class that is both
/// excluded and down.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(log) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    present::sheet(form, &log)
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
