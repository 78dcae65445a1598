//! `steady-windows`: windows of steady running in raw series, by limits that the input gives, and
//! every stretch that was rejected with its reason.
//!
//! A grid of equal steps, the longer of the steps of irradiance and power. A step is broken when
//! irradiance or power (or wind or air, where they have a limit) is missing, irradiance is below its
//! minimum, or the dish is not on the sun; missing steps are bridged where they are no longer than
//! the gap allowed. After a break the settling time is left out. From there on a window is tried at
//! every step, with the shortest length allowed:
//!
//! ```text
//! |G − Ḡ| ≤ change (of Ḡ, or in W/m²)    |T − T̄| ≤ change of air    mean wind ≤ limit
//! ```
//!
//! The first that holds is lengthened step by step as long as it holds, up to the longest length; the
//! next is tried where it ends. So windows don't overlap, and the same input gives the same windows.
//! Nothing is filled in: means are over the values there are, and what is missing is counted.
//!
//! The limits are the owner's or a standard's (common practice: irradiance ≥ 700 to 800 W/m² within
//! ±50 W/m² or ±2 to ±5 % over 10 min and more, air within ±1.5 K, no source), and none is built in.
//!
//! The table `points` has the fields of the points of `performance-line` as its columns: every row is
//! a point of its input.

mod grid;
mod input;
mod present;
mod read;
mod select;

pub use input::{Criteria, Input};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "steady-windows";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Steady windows",
    purpose: "Windows of steady running in raw series of irradiance and power, by stated limits, with \
              the reason for every stretch left out.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("steady-windows", "good-morning-with-cloud"),
    example!("steady-windows", "good-too-few"),
    example!("steady-windows", "good-wind-missing"),
    example!("steady-windows", "bad-minimum-in-kw"),
    example!("steady-windows", "bad-settle-without-unit"),
    example!("steady-windows", "bad-label-middle"),
    example!("steady-windows", "bad-time-without-offset"),
    example!("steady-windows", "bad-unknown-field"),
    example!("steady-windows", "wrong-longest-below-shortest"),
    example!("steady-windows", "wrong-steps-do-not-fit"),
    example!("steady-windows", "wrong-fewer-values-than-times"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A value that can't be read, series whose times and values or steps don't fit, limits that
/// contradict each other.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(case) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let steps = grid::steps(&case)?;
    let selection = select::select(&case, &steps);
    Ok(present::sheet(form, &case, &steps, &selection))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
