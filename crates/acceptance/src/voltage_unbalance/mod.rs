//! `voltage-unbalance`: how unequal the three line voltages are, and the three line currents.
//!
//! By NEMA MG 1: `U = 100 %·max|Vᵢ − V̄|/V̄` of the voltages between lines, V̄ their mean. Beside
//! it, and not the same number, the negative-sequence factor of IEC 61000-4-30, from the same
//! three readings: `β = ΣVᵢ⁴/(ΣVᵢ²)²`, `u₂ = √((1 − √(3 − 6β))/(1 + √(3 − 6β)))`. Currents alike;
//! their negative-sequence factor holds without neutral conductor only, where the three add up to
//! zero.
//!
//! Three readings that make no triangle can't be the line voltages of one supply and are refused.
//! Phase-to-neutral voltages give another number in MG 1's formula: they are not for here.
//! Derating curve of MG 1 and its 1 % and 5 % marks: from memory, shown as cautions, never judged.

mod input;
mod present;
mod triangle;

pub use input::{Currents, Input, LineVoltages, Uncertainty};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "voltage-unbalance";
const TITLE: &str = "Voltage and current unbalance";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Unbalance of three line voltages or currents by NEMA MG 1, with the \
              negative-sequence factor beside it.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("voltage-unbalance", "good-negative-sequence-limit"),
        example!("voltage-unbalance", "good-one-voltage-missing"),
        example!("voltage-unbalance", "good-site-supply"),
        example!("voltage-unbalance", "good-voltages-and-currents"),
        example!("voltage-unbalance", "bad-limit-as-number"),
        example!("voltage-unbalance", "bad-phase-to-neutral"),
        example!("voltage-unbalance", "bad-voltage-in-amperes"),
        example!("voltage-unbalance", "bad-voltage-null"),
        example!("voltage-unbalance", "bad-voltage-without-unit"),
        example!("voltage-unbalance", "wrong-limit-in-volts"),
        example!("voltage-unbalance", "wrong-no-triangle"),
        example!("voltage-unbalance", "wrong-zero-voltage"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, or three that make no triangle.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &survey))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
