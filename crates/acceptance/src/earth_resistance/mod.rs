//! `earth-resistance`: an earth electrode by fall of potential or by a direct reading, the soil by
//! Wenner's method, and what a rod or hemisphere in that soil would have.
//!
//! Fall of potential, x the distance of the potential probe and c that of the current probe: the
//! 61.8 % rule takes R at `x/c = (√5 − 1)/2`, exact for a small electrode whose middle is where the
//! tape begins. G. F. Tagg's slope method for larger ones: `μ = (R₆₀ − R₄₀)/(R₄₀ − R₂₀)`; for a
//! hemisphere whose middle lies the share d of c behind the tape's beginning,
//! `R(x) ∝ K − 1/(x + d) + 1/(1 − x)`, which gives d from μ, and the place of the true reading
//! `x_T/c = 0.618·(1 + d) − d`. This is the model behind Tagg's printed table (0.40 ≤ μ ≤ 1.59), which
//! it gives to its third digit; outside of it nothing is judged. Source: IEEE Std 81, from memory.
//!
//! Soil: Wenner `ρ = 2πaR`, with the depth b of the probes
//! `ρ = 4πaR/(1 + 2a/√(a² + 4b²) − a/√(a² + b²))`. Models in uniform soil: hemisphere `R = ρ/(2πr)`,
//! rod `R = ρ/(2πL)·(ln(4L/a) − 1)` with its radius a (H. B. Dwight, AIEE Trans. 55 (1936) 1319). A
//! model is no measurement: a limit is judged on what was measured.

mod fall;
mod input;
mod present;
mod soil;

pub use input::{
    FallOfPotential, Hemisphere, Input, Method, Probe, Rod, SoilState, Spacing, Uncertainty,
};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "earth-resistance";
const TITLE: &str = "Earth electrode and soil";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Resistance of an earth electrode by fall of potential with slope check, resistivity of \
              the soil, and what a rod or hemisphere would have in it.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("earth-resistance", "good-clamp-reading"),
        example!("earth-resistance", "good-line-of-the-dish"),
        example!("earth-resistance", "good-method-missing"),
        example!("earth-resistance", "good-model-line"),
        example!("earth-resistance", "good-rod-in-measured-soil"),
        example!("earth-resistance", "good-slope-method-of-a-cluster"),
        example!("earth-resistance", "bad-distance-without-unit"),
        example!("earth-resistance", "bad-method-unknown"),
        example!("earth-resistance", "bad-reading-null"),
        example!("earth-resistance", "bad-resistance-in-metres"),
        example!("earth-resistance", "bad-unknown-field"),
        example!("earth-resistance", "wrong-distance-twice"),
        example!("earth-resistance", "wrong-probe-beyond-the-current-probe"),
        example!("earth-resistance", "wrong-rod-thicker-than-long"),
        example!("earth-resistance", "wrong-two-measurements"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read, probes beyond the current probe, one thing given in two ways.
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
