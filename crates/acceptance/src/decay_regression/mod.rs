//! `decay-regression`: the leak of a closed circuit from many readings, or of a circuit made of
//! parts with a temperature each, by the line through its mass over time.
//!
//! Every reading gives a mass, `m_i = Σ Vₖ·ρ(p_i, Tₖ,i)`, with the real-gas equations of
//! `gas-density`, p absolute (gauge and barometer at the same time), T in kelvin. The leak is the
//! slope of the least-squares line, `ṁ = −Σ(t_i − t̄)·m_i/Σ(t_i − t̄)²`, with the scatter
//! `s = √(Σe_i²/(n − 2))` and `s_b = s/√Σ(t_i − t̄)²`. Where the scatter is smaller than the steps of
//! the displays explain, theirs is taken. Its one-sided bound is `ṁ + t(P, n − 2)·s_b`; what all
//! readings have in common (scale, drifts, volumes) is not in the scatter and is added to it as
//! `z(P)·u_sys`. Two readings give the difference, with the scatter of the displays.
//!
//! Sources: JCGM 100:2008 (GUM) 5.1.2 and H.3; ASTM E2930-13(2021) 5.1 for the ratios of display
//! and accuracy to the limit; JCGM 106:2012 for the decision.
//!
//! Holds for a rigid, closed circuit with one gas under one pressure and a leak that stays the
//! same; a change over the hold shows in the residuals. Outside the range of the gas's equation it
//! is refused. Readings are left out by a person, with a reason, never by the program.

mod doubt;
mod figure;
mod fit;
mod input;
mod judge;
mod present;
mod read;

pub use input::{Input, LeakLimit, LeakReading, SlopeDoubt};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "decay-regression";
const TITLE: &str = "Pressure decay from many readings";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Leak of a closed circuit by the line through its mass over many readings, also of \
              parts with a temperature each, judged against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("decay-regression", "good-night-of-readings"),
    example!("decay-regression", "good-engine-line-bottle"),
    example!("decay-regression", "good-two-readings"),
    example!("decay-regression", "good-drift-not-stated"),
    example!("decay-regression", "bad-elapsed-without-unit"),
    example!("decay-regression", "bad-gas-unknown"),
    example!("decay-regression", "bad-limit-in-bar"),
    example!("decay-regression", "bad-reading-null"),
    example!("decay-regression", "bad-temperature-in-bar"),
    example!("decay-regression", "bad-unknown-field"),
    example!("decay-regression", "wrong-moment-and-elapsed"),
    example!("decay-regression", "wrong-not-in-order"),
    example!("decay-regression", "wrong-psi-typed-as-bar"),
    example!("decay-regression", "wrong-two-limits"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, is implausible, or lies outside the range of the gas's equation;
/// readings that aren't in order; a limit that is stated twice.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(test) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let leak = fit::fit(&test)?;
    let doubt = doubt::doubt(&test, &leak);
    let judgement = judge::judge(&test, &leak, &doubt);
    Ok(present::sheet(form, &test, &leak, &doubt, &judgement))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
