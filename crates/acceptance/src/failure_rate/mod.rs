//! `failure-rate`: what few failures, or none, say about a failure rate.
//!
//! With r failures in T operating hours and a constant rate: estimate `λ = r/T`, bounds
//! `λ_L = χ²(α_L; 2r)/(2T)` and `λ_U = χ²(1 − α_U; 2r + 2)/(2T)`, with 2r degrees of freedom in the
//! upper bound too where the count was ended at a failure; α_L = α_U = (1 − C)/2 for two sides,
//! α_U = 1 − C for the upper bound alone, C the confidence. Mean time between failures m = 1/λ.
//! With r failures in n demands: Clopper and Pearson's interval (Biometrika 26 (1934) 404), from
//! the beta distribution. Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1 and
//! 7.2.4.1.
//!
//! Judged is the bound, never the estimate: the lower bound of m against a least m, the upper bound
//! of the probability of failure against a largest one. Two sets are compared by the exact test on
//! the split of their failures (J. Przyborowski, H. Wilenski, Biometrika 31 (1940) 313).

mod estimate;
mod input;
mod present;

pub use input::{Demands, Ended, Input, Interval, Operating};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "failure-rate";
const TITLE: &str = "Failure rate with its bounds";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Failure rate and mean time between failures from failures in operating hours, or \
              probability of failure on demand, with confidence bounds, judged on the bound.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("failure-rate", "good-before-and-after-a-change"),
        example!("failure-rate", "good-confidence-missing"),
        example!("failure-rate", "good-defocus-demands"),
        example!("failure-rate", "good-no-failures-so-far"),
        example!("failure-rate", "good-two-failures"),
        example!("failure-rate", "bad-confidence-null"),
        example!("failure-rate", "bad-failures-with-fraction"),
        example!("failure-rate", "bad-interval-unknown"),
        example!("failure-rate", "bad-time-without-unit"),
        example!("failure-rate", "bad-unknown-field"),
        example!("failure-rate", "wrong-confidence-of-one"),
        example!("failure-rate", "wrong-ended-at-no-failure"),
        example!("failure-rate", "wrong-guarded-bound"),
        example!("failure-rate", "wrong-more-failures-than-demands"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A count or time that can't be read, more failures than demands, a confidence that can't be asked
/// for.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(data) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &data))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
