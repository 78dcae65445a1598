//! `insulation-resistance`: a winding's insulation resistance brought to 40 °C, and its indices.
//!
//! `R₄₀ = K_T·R_T`, with T the winding's temperature in °C:
//! - thermoplastic: `K_T = 0.5^((40 − T)/10)`;
//! - thermosetting: `K_T = exp(−1245·(1/(T + 273) − 1/313))` from 10 to 40 °C and
//!   `exp(−4230·(1/(T + 273) − 1/313))` from 40 to 85 °C.
//!
//! `PI = R(10 min)/R(1 min)`, `DAR = R(60 s)/R(30 s)`. Source: IEEE Std 43-2013, formulas and
//! minimum values from memory of the standard; they are offered by name and never taken unasked.
//! The class of insulation has no default: it changes the verdict.
//!
//! A reading such as `>550 MΩ` is a bound, and what follows from it is a bound too: it can show
//! that a minimum is reached, and never that it is missed. Outside 10 to 85 °C the formula is
//! carried on as an extrapolation, shown and not judged. `as_measured` corrects nothing, for
//! cables and for limits that are meant at the temperature of the test.
//!
//! The dew point is by Magnus' formula with the constants of O. A. Alduchov, R. E. Eskridge,
//! J. Appl. Meteorol. 35 (1996) 601: below it water settles on the winding, and nothing is judged.

mod bounded;
mod input;
mod judge;
mod present;
mod standard;

pub use input::{Input, Insulation, ThermalClass, Uncertainty, Winding};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "insulation-resistance";
const TITLE: &str = "Insulation resistance";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Insulation resistance of a winding or cable, brought to 40 °C where it is a winding, \
              with polarisation index and absorption ratio, against a minimum.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("insulation-resistance", "good-generator-winding"),
        example!("insulation-resistance", "good-more-than-the-tester-shows"),
        example!("insulation-resistance", "good-polarisation-index"),
        example!("insulation-resistance", "good-cable-as-measured"),
        example!("insulation-resistance", "good-class-missing"),
        example!("insulation-resistance", "bad-resistance-without-unit"),
        example!("insulation-resistance", "bad-resistance-in-volts"),
        example!("insulation-resistance", "bad-class-unknown"),
        example!("insulation-resistance", "bad-temperature-null"),
        example!("insulation-resistance", "bad-unknown-field"),
        example!("insulation-resistance", "wrong-zero-resistance"),
        example!("insulation-resistance", "wrong-temperature-beyond-a-winding"),
        example!("insulation-resistance", "wrong-humidity-above-one"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, or a contradiction between two inputs.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(test) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &test))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
