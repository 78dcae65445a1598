//! `power-at-reference`: a measured net power carried over to reference conditions by a rule that
//! was fixed before the test, its doubt, and the efficiency by a named area.
//!
//! ```text
//! irradiance_ratio   P_ref = P·G_ref/G
//! line               P_ref = P + b·(G_ref − G)
//! carnot             P_ref = P·(G_ref/G)·(1 − T_ref/T_h)/(1 − T/T_h)
//! air_temperature    P_ref = P·(G_ref/G)·T/T_ref
//! linear_model       P_ref = P·M(G_ref, χ_ref, T_ref)/M(G, χ, T)
//!                    M(G, χ, T) = (a₁·G·χ + a₂)·T_m/T − P_par
//! efficiency         η = P/(A·G)
//! ```
//!
//! `P` net power, `G` direct irradiance, `T` air temperature in kelvin (or the coolant's, where the
//! rule says so), `T_h` temperature of the hot side, `b` slope of the line of power over irradiance,
//! `χ` cleanliness, `P_par` own consumption, `T_m` the model's temperature, `A` the area named.
//!
//! The rules differ by some percent, so one has to be fixed beforehand. The input names it; what the
//! others would give stands beside and judges nothing. Sources: the rules are common practice,
//! without one source; the linear model is of the kind of Stine's, as A. Buscemi et al., Applied
//! Energy (2020) use it (form from memory). Valid near the reference: the ratio rules ignore fixed
//! losses, and more than a tenth away from the reference irradiance a flag says so. Doubt: first
//! order; what no statement was given for is named, and not in the budget.

mod input;
mod present;
mod read;
mod rules;

pub use input::{Input, Model, Normalisation};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "power-at-reference";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Power at reference conditions",
    purpose: "Measured net power carried over to reference irradiance and air by a rule fixed \
              beforehand, with its doubt, the efficiency by a named area, and an optional limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("power-at-reference", "good-line"),
    example!("power-at-reference", "good-all-rules-beside"),
    example!("power-at-reference", "good-guarded-edition-of-2017"),
    example!("power-at-reference", "good-guarded-twice-u"),
    example!("power-at-reference", "good-slope-missing"),
    example!("power-at-reference", "bad-power-in-kwh"),
    example!("power-at-reference", "bad-rule-unknown"),
    example!("power-at-reference", "bad-slope-in-kw"),
    example!("power-at-reference", "bad-area-without-unit"),
    example!("power-at-reference", "bad-unknown-field"),
    example!("power-at-reference", "wrong-air-hotter-than-receiver"),
    example!("power-at-reference", "wrong-net-area-above-gross"),
    example!("power-at-reference", "wrong-irradiance-zero"),
    example!("power-at-reference", "wrong-slope-doubt-without-percent"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a hot side colder than the air, a net area above
/// the gross one, a model that gives no power at the conditions measured.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(case) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let found = rules::find(&case)?;
    Ok(present::sheet(form, &case, &found))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
