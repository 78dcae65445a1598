//! `purge`: what is left of the gas that was driven out, after cycles of pressure or vacuum.
//!
//! `y_i = y_s + (y_{i−1} − y_s)·p_Li/p_Hi`, with y the fraction left, y_s the fraction in the purge
//! gas, p_L and p_H the absolute pressures before and after the purge gas is let in. Perfect mixing
//! in every cycle, temperature back where it was before venting; dead ends mix worse than that.
//! Where the purge gas is named, the same with the ratio of real densities ρ(p_L)/ρ(p_H) stands
//! beside it. Source: D. A. Crowl, J. F. Louvar, Chemical Process Safety, chapter on inerting.
//!
//! A measured content, where given, is what is judged; the computed one is shown beside it, and a
//! clear difference is flagged. Without a measurement the larger of the two computed values is
//! judged.

mod cycles;
mod doubt;
mod input;
mod present;

pub use input::{Cycle, Input, Limit, PurgeDoubt};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "purge";
const TITLE: &str = "Purging by cycles of pressure";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "What is left of the gas driven out of a circuit after cycles of pressure or vacuum, \
              judged against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("purge", "good-three-cycles-measured"),
        example!("purge", "good-two-cycles-fail"),
        example!("purge", "good-measured-disagrees"),
        example!("purge", "good-hydrogen-high-pressure"),
        example!("purge", "good-second-low-missing"),
        example!("purge", "good-vacuum-guarded"),
        example!("purge", "bad-absolute-given-as-gauge"),
        example!("purge", "bad-fraction-in-bar"),
        example!("purge", "bad-cycle-without-unit"),
        example!("purge", "bad-unknown-field"),
        example!("purge", "bad-cycles-as-list"),
        example!("purge", "wrong-high-below-low"),
        example!("purge", "wrong-psi-typed-as-bar"),
        example!("purge", "wrong-below-vacuum"),
        example!("purge", "wrong-gauge-and-absolute"),
        example!("purge", "wrong-fraction-above-one"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a cycle whose high pressure is not above its
/// low one, a state outside the range of the purge gas's equation.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(purge) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let course = cycles::run(&purge)?;
    let budget = doubt::budget(&purge, &course);
    Ok(present::sheet(form, &purge, &course, budget))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
