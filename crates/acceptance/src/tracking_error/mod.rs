//! `tracking-error`: how far a dish pointed off the sun, sample by sample, and what the samples say
//! together.
//!
//! **Error of a sample.** From the axes, with A, e the sun's azimuth and elevation *as seen* and
//! A_m, e_m those of the axis (angle between two directions by spherical trigonometry; the
//! arctangent keeps its digits where the arccosine loses half of them):
//!
//! - a = cos e_m·sin(A_m − A), b = cos e·sin e_m − sin e·cos e_m·cos(A_m − A)
//! - σ = atan2(√(a² + b²), sin e·sin e_m + cos e·cos e_m·cos(A_m − A))
//! - across x = σ·a/√(a² + b²), positive to greater azimuth; up y = σ·b/√(a² + b²)
//!
//! From a spot at the distance f: σ = atan(√(dx² + dy²)/f), shared out as dx and dy (a lateral shift
//! is f·tan σ).
//!
//! **The sun** stands beside each reading (as seen, or without air: then refraction is added by the
//! formula of NREL/TP-560-34302), or it is computed for place and moment by that algorithm.
//!
//! **Statistics.** Mean and standard deviation of x and y; RMS about zero of each and of both,
//! RMS² = RMS_x² + RMS_y²; percentile: the ⌈p·n⌉-th error in order of size; largest; share within
//! a stated error. Effective number of samples n_eff = n/(1 + 2·Σ(1 − k/n)·ρ_k) (Bayley and
//! Hammersley 1946, from memory).
//!
//! **Doubt.** Errors that all readings share (zero of an encoder, centre of a target, clock) are
//! drawn from a seed (JCGM 101:2008); the number of samples comes in by n_eff.
//!
//! **Clock.** With a computed sun, the time Δt = Σ(e·v)/Σ|v|² by which the dish leads the sun, that
//! would explain the errors best (v: how fast the sun goes, 15″ a second times cos δ), and its share
//! of the mean square.
//!
//! **Validity.** Any angle, through north and near the zenith. Years 1950 to 2099 for a computed
//! sun; other dates are refused.

mod doubt;
mod figure;
mod input;
mod judge;
mod measure;
mod present;
mod read;

pub use input::{Input, Limits, Method, Reading, SunElevation, Uncertainty, WindCondition};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "tracking-error";
const TITLE: &str = "Tracking error";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "How far a dish points off the sun: mean, RMS, percentile and largest error of a run.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("tracking-error", "good-three-runs"),
    example!("tracking-error", "good-computed-sun-leads"),
    example!("tracking-error", "good-camera"),
    example!("tracking-error", "good-method-missing"),
    example!("tracking-error", "bad-angle-without-unit"),
    example!("tracking-error", "bad-limit-is-a-text"),
    example!("tracking-error", "bad-moment-without-offset"),
    example!("tracking-error", "bad-unknown-field"),
    example!("tracking-error", "bad-unknown-method"),
    example!("tracking-error", "wrong-sun-given-and-computed"),
    example!("tracking-error", "wrong-one-reading"),
    example!("tracking-error", "wrong-spot-with-axes"),
    example!("tracking-error", "wrong-azimuth-doubt-in-percent"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; something that has no part in the method; fewer
/// than two samples; a date outside 1950 to 2099.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let found = measure::measure(&survey);
    let doubt = doubt::doubt(&survey, &found);
    Ok(present::sheet(form, &survey, &found, doubt.as_ref()))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
