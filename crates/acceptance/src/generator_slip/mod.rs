//! `generator-slip`: synchronous speed, slip and electrical output of an induction machine.
//!
//! `n_s = 120·f/p` in r/min, f the frequency of the network in Hz, p the number of poles;
//! `s = (n_s − n)/n_s`, n the speed of the shaft: positive as a motor, negative as a generator. The
//! rotor's currents have the frequency |s|·f. `S = √(P² + Q²)`, `cos φ = P/S`, `I = S/(√3·U)` for
//! three phases, U between lines. Textbook relations of the induction machine; for any frequency
//! and any even number of poles. Shaft and stator are taken as coupled without a gear: with one,
//! the speed is that of the machine's own shaft.
//!
//! A machine that loses its network has no electrical brake; the peak speed of such an event can be
//! judged against a limit of the site.

mod electric;
mod input;
mod present;

pub use input::{Input, Uncertainty};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "generator-slip";
const TITLE: &str = "Slip and output of an induction generator";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Synchronous speed and slip of an induction machine, whether it generates, its \
              apparent power, power factor and current; a peak speed against its limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("generator-slip", "good-from-voltage-and-current"),
        example!("generator-slip", "good-loss-of-grid"),
        example!("generator-slip", "good-on-the-site-network"),
        example!("generator-slip", "good-poles-missing"),
        example!("generator-slip", "bad-frequency-without-unit"),
        example!("generator-slip", "bad-poles-with-fraction"),
        example!("generator-slip", "bad-speed-in-hertz"),
        example!("generator-slip", "bad-speed-null"),
        example!("generator-slip", "bad-unknown-field"),
        example!("generator-slip", "wrong-frequency-zero"),
        example!("generator-slip", "wrong-odd-poles"),
        example!("generator-slip", "wrong-power-above-apparent"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, an odd number of poles, electrical readings that
/// contradict each other.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(machine) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &machine))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
