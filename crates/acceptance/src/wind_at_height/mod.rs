//! `wind-at-height`: a wind reading brought to the height and the averaging time of a limit.
//!
//! Height: power law `v₂ = v₁·(z₂/z₁)^α`, or logarithmic law
//! `v₂ = v₁·ln((z₂ − d)/z₀)/ln((z₁ − d)/z₀)` with roughness z₀ and displacement d. Averaging: the
//! shorter the time, the higher the largest mean; `v₂ = v₁·F` with F from Durst's curve
//! (`F = D(t₂)/D(t₁)`, D over the hourly mean), from a stated gust factor G, or from turbulence
//! intensity and peak factor, `G = 1 + g·I`. `q = ½·ρ·v²`, `ρ = p/(R_a·T)`, R_a = 287.05 J/(kg·K).
//!
//! Durst's curve (C. S. Durst, Meteorol. Mag. 89 (1960) 181, as in the commentary of ASCE 7): the
//! points at 3 s and 45 s from a printed worked example, the others from memory, read off within
//! about ±0.02; open country, 10 m, strong wind, 1 s to 1 h. Outside these times it is refused.
//! Neither law holds in the lee of a building, over a crest, or in calm and thunderstorm.

mod input;
mod model;
mod present;

pub use input::{Curve, Input, Uncertainty};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "wind-at-height";
const TITLE: &str = "Wind at another height and averaging time";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "A wind reading brought to the height and averaging time of a limit, with its \
              pressure and Beaufort number, and judged by the limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("wind-at-height", "good-hand-reading-against-the-stow-order"),
        example!("wind-at-height", "good-logarithmic-law"),
        example!("wind-at-height", "good-mast-at-the-limit-height"),
        example!("wind-at-height", "good-averaging-of-the-limit-missing"),
        example!("wind-at-height", "bad-averaging-in-words"),
        example!("wind-at-height", "bad-curve-unknown"),
        example!("wind-at-height", "bad-height-without-unit"),
        example!("wind-at-height", "bad-speed-in-newtons"),
        example!("wind-at-height", "bad-speed-null"),
        example!("wind-at-height", "bad-unknown-field"),
        example!("wind-at-height", "wrong-beyond-the-curve"),
        example!("wind-at-height", "wrong-height-below-roughness"),
        example!("wind-at-height", "wrong-knots-typed-as-metres"),
        example!("wind-at-height", "wrong-two-profiles"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, two profiles or conversions at once, a height
/// below the roughness, an averaging time outside of the curve.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(wind) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &wind))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
