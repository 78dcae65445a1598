//! `soiling-rate`: how fast mirrors get dirty between rains, and when they are to be washed.
//!
//! - Rain and washes cut the readings into dry periods. The rate b is the median of the slopes of
//!   all pairs within a period (Theil 1950, Sen 1968), over one period or over all together
//!   (pooled as Hirsch, Slack and Smith 1982 pool seasons). It stands a third of bad readings.
//! - Its interval is Sen's: with N slopes and σ_S² = Σ(n(n − 1)(2n + 5) − ties)/18, the slopes number
//!   (N ∓ z·σ_S)/2, as `scipy.stats.theilslopes` takes them.
//! - The line of the last period: a = median χ − b·median t. It reaches the threshold χ₀ at
//!   t_w = (χ₀ − a)/b, which is not linear: its interval comes from lines with residuals drawn anew
//!   (bootstrap, scaled by √(n/(n − terms))) and the shared error drawn (JCGM 101:2008), from a seed.
//! - Washing at T days costs C/T a day, dirt costs r·V·T/2 a day; the least is at T = √(2C/(r·V))
//!   (derived; the square-root rule for lots).
//!
//! **Validity.** Even dirt between events; a straight line beyond the readings. Readings on the day
//! of an event are refused unless both carry their moments. With fewer than three readings more than
//! the lines need, no interval of the date is given.

mod figure;
mod input;
mod measure;
mod present;
mod read;

pub use input::{
    CleaningEvent, CleanlinessPoint, Economics, EventKind, Input, RateFrom, Uncertainty,
};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "soiling-rate";
const TITLE: &str = "Soiling of the mirrors";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "How fast mirrors get dirty between rains, and the date of the next wash.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("soiling-rate", "good-three-periods"),
    example!("soiling-rate", "good-one-period"),
    example!("soiling-rate", "good-washed-today"),
    example!("soiling-rate", "good-value-missing"),
    example!("soiling-rate", "bad-day-first"),
    example!("soiling-rate", "bad-value-is-a-number"),
    example!("soiling-rate", "bad-unknown-event"),
    example!("soiling-rate", "bad-unknown-field"),
    example!("soiling-rate", "bad-threshold-in-days"),
    example!("soiling-rate", "wrong-wash-on-the-day-of-a-reading"),
    example!("soiling-rate", "wrong-day-that-is-not"),
    example!("soiling-rate", "wrong-free-wash"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is no cleanliness; a text that is no day; a reading on the day
/// of an event without the moments of both.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(match measure::measure(&survey) {
        Some(found) => present::sheet(form, &survey, &found),
        None => present::without(form, &survey),
    })
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
