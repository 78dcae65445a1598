//! `reading-margin`: earlier readings of an instrument that was found to be wrong, each with the
//! error taken out, against its limit.
//!
//! `x_c = x + c`, x the reading and c the correction: what the instrument showed too little. The
//! correction is the same everywhere, or in proportion to the reading (`c = x·(r/s − 1)`, r the
//! reference and s what was shown), or is interpolated by straight lines between the points of the
//! certificate; beyond its points nothing is judged. `margin = limit − x_c`, or `x_c − limit` for a
//! lower limit. All in exact decimals, in the base unit, so that a value on its limit is on it.
//!
//! Guarded rule: the limit is tightened by twice the stated standard uncertainty (JCGM 106:2012,
//! 8.3). Any kind of quantity; the kind is named once, for all texts. Duty to look back: ISO
//! 9001:2015, 7.1.5.2.

mod correct;
mod input;
mod present;

pub use input::{Applies, Input, PastReading, Point};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "reading-margin";
const TITLE: &str = "Earlier readings of a wrong instrument";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Readings of an instrument that was later found to be wrong, each corrected by that \
              error and judged again, with its margin to the limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("reading-margin", "good-gauge-found-low"),
        example!("reading-margin", "good-points-of-a-certificate"),
        example!("reading-margin", "good-thermometer-guarded"),
        example!("reading-margin", "good-error-missing"),
        example!("reading-margin", "bad-error-in-words"),
        example!("reading-margin", "bad-kind-unknown"),
        example!("reading-margin", "bad-readings-as-text"),
        example!("reading-margin", "bad-unknown-field"),
        example!("reading-margin", "bad-value-null"),
        example!("reading-margin", "wrong-error-in-kelvin"),
        example!("reading-margin", "wrong-error-with-sign"),
        example!("reading-margin", "wrong-limits-exchanged"),
        example!("reading-margin", "wrong-two-errors"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, an error stated in two ways, points of a certificate that
/// contradict each other.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(review) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    present::sheet(form, &review)
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
