//! `annual-energy`: what a dish would give over a year of direct irradiance.
//!
//! ```text
//! P(G) = clip(a + b·χ·G, 0, P_max)  where χ·G ≥ G₀, else 0
//! E_on = A·ΣP·Δt      E_sb = P_sb·(t_off + (1 − A)·t_on)      E_net = E_on − E_sb
//! capacity factor = E_net/(P_rated·t)   own share = (E_sb + P_run·A·t_on)/(E_on + P_run·A·t_on)
//! efficiency = E_net/(area·ΣG·Δt)
//! ```
//!
//! `G` direct irradiance, `χ` cleanliness, `a` and `b` of the line of `performance-line` (net
//! power), `G₀` the irradiance above which the dish runs (left out: −a/b), `A` availability, `P_sb`
//! the supply drawn while it does not run, `P_run` what the dish itself uses while it runs and the
//! net line already lacks. Irradiance is a list of equal steps or a table of hours for each value.
//!
//! A missing value is missing: the year is not judged unless the input says how gaps are treated.
//! The doubt is of first order (JCGM 100:2008, 5.1.2): irradiance and line are taken to be wrong by
//! one factor over the whole year, which is the larger and the safe assumption. Start and stop
//! losses, clouds shorter than a step and wind stops are not in it.

mod input;
mod present;
mod read;
mod sum;

pub use input::{Bin, GapRule, Input, Model, Uncertainty, Year};

use serde_json::Value;

use crate::form::{self, Form};
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "annual-energy";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Energy of a year",
    purpose: "Net energy, hours, capacity factor and own use of a dish over a year of direct \
              irradiance.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("annual-energy", "good-table-of-hours"),
        example!("annual-energy", "good-one-day"),
        example!("annual-energy", "good-gap-without-rule"),
        example!("annual-energy", "bad-bin-without-unit"),
        example!("annual-energy", "bad-gap-rule-unknown"),
        example!("annual-energy", "bad-power-in-volts"),
        example!("annual-energy", "bad-unknown-field"),
        example!("annual-energy", "bad-value-is-a-number"),
        example!("annual-energy", "wrong-availability-above-one"),
        example!("annual-energy", "wrong-irradiance-of-a-lamp"),
        example!("annual-energy", "wrong-two-years"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// An input that can't be read or is implausible.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = Form::default();
    let Some(case) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &case))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
