//! `purge-sweep`: what is left of a gas while purge gas sweeps through a volume, and how much of it
//! is needed.
//!
//! ```text
//! C(t) = C_s + (C_0 − C_s)·e^(−Q·t/(K·V))
//! Q·t/V = K·ln[(C_0 − C_s)/(C_t − C_s)]
//! ```
//!
//! C fractions by volume: C_0 before, C_s in the purge gas, C_t wanted; Q volume flow of the purge
//! gas at the state inside, V volume, K mixing factor: 1 where everything is stirred through, up to
//! 10 where it isn't (values from memory). Source: D. A. Crowl, J. F. Louvar, Chemical Process
//! Safety, chapter on inerting (sweep-through).
//!
//! A flow read at another state, as normal litres, is brought to the state inside:
//! `Q = Q_r·(p_r/p)·(T/T_r)`, ideal gas. It is not the flow at that state that sweeps.
//!
//! A dead end is not swept: with one, nothing is judged, and cycles of pressure (`purge`) are the
//! way. Constant flow, pressure and temperature; the purge gas must leave at the far end.

mod input;
mod present;
mod read;

pub use input::{FlowState, Input, Line as SweptLine, SweepDoubt};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "purge-sweep";
const TITLE: &str = "Purging by sweeping through";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "What is left of a gas after sweeping purge gas through a volume, and the time and gas \
              that are needed, judged against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("purge-sweep", "good-line-swept"),
        example!("purge-sweep", "good-time-wanted"),
        example!("purge-sweep", "good-dead-end"),
        example!("purge-sweep", "good-normal-litres"),
        example!("purge-sweep", "good-mixing-missing"),
        example!("purge-sweep", "bad-flow-in-litres"),
        example!("purge-sweep", "bad-fraction-in-bar"),
        example!("purge-sweep", "bad-line-unknown"),
        example!("purge-sweep", "bad-time-without-unit"),
        example!("purge-sweep", "bad-unknown-field"),
        example!("purge-sweep", "wrong-mixing-below-one"),
        example!("purge-sweep", "wrong-purge-gas-holds-more"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; a mixing factor outside 1 to 10; a purge gas that
/// holds more than what it drives out.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(sweep) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &sweep))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
