//! `enclosure-ventilation`: how much gas stands in the air of an enclosure while it leaks, when it
//! reaches alarm levels and the lower flammable limit, what ventilation would be needed, and how
//! long it takes to clear.
//!
//! ```text
//! X_b = f·Q_g/(Q_g + Q_1)            C = (Q_g + Q_1)/V
//! X(t) = X_b − (X_b − X_0)·e^(−C·t)
//! t(X_c) = −ln[(X_b − X_c)/(X_b − X_0)]/C        never where X_b ≤ X_c
//! after the release stops: X(t) = X_s·e^(−C_1·t/f),  C_1 = Q_1/V,  t(X_c) = (f/C_1)·ln(X_s/X_c)
//! needed: Q_1 = f·Q_g/X_c − Q_g
//! ```
//!
//! X fractions by volume, Q_g release at the state of the air, Q_1 fresh air let in, V volume of air
//! in the enclosure, f mixing factor. Form: IEC 60079-10-1:2015, Annex C (from memory, as are the
//! values of f from 1 to 5).
//!
//! **f** is how many times more gas stands where it stands longest than on the mean, 1 for air that
//! is stirred through, up to 5 where much hangs in the way. It is an assumption, not a measurement.
//! It is not the factor K of ventilation handbooks, by which the air flow is divided, and which
//! slows everything down as well. A detector may hang where the mean is: alarm times are given for
//! both.
//!
//! Near the release the gas is richer than all of this. Holding the mean at or below a quarter of
//! the limit meets the aim for many enclosures, but the mixing at the source has to be judged apart
//! (HSE Research Report RR993, 2013, abstract).

mod course;
mod input;
mod present;
mod read;

pub use input::{Alarm, FlammableLimit, Input, LimitStatus, VentilationDoubt};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "enclosure-ventilation";
const TITLE: &str = "Gas in a ventilated enclosure";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Concentration of leaking gas in an enclosure over time, times to alarm and flammable \
              limit, ventilation needed, judged against a share of the limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("enclosure-ventilation", "good-engine-hood"),
        example!("enclosure-ventilation", "good-fan-too-small"),
        example!("enclosure-ventilation", "good-burst-and-clearing"),
        example!("enclosure-ventilation", "good-mixing-missing"),
        example!("enclosure-ventilation", "bad-air-changes-with-unit"),
        example!("enclosure-ventilation", "bad-flow-in-bar"),
        example!("enclosure-ventilation", "bad-status-unknown"),
        example!("enclosure-ventilation", "bad-unknown-field"),
        example!("enclosure-ventilation", "bad-volume-without-unit"),
        example!("enclosure-ventilation", "wrong-fan-and-air-changes"),
        example!("enclosure-ventilation", "wrong-mixing-below-one"),
        example!("enclosure-ventilation", "wrong-flammable-limit-above-one"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; a flow that is given twice; a mixing factor below
/// 1.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(enclosure) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &enclosure))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
