//! `performance-line`: the straight line of net power over irradiance, its threshold, and the power
//! at a stated irradiance with confidence and prediction interval.
//!
//! ```text
//! P = a + b·G        G₀ = −a/b        P_ref = a + b·G_ref
//! ```
//!
//! `P` net power in kW, `G` direct irradiance in W/m². Three ways to lay the line, of which the input
//! names the one that counts; what the others would give stands beside:
//!
//! * `ols`, ordinary least squares: the irradiance counts as exact.
//! * `deming`: both are uncertain, with one ratio of their standard uncertainties for all points.
//! * `york`: both are uncertain, each point as stated, and may be correlated.
//!
//! Formulas and sources of the lines: [`crate::line`]. Uncertainty of the line at `G`:
//! `u² = c²·[1/ΣW + (G − x̄)²·u_b²]`; OLS and Deming take `c = √(S/(n − 2))` from the scatter found,
//! York the larger of that and 1, so that a scatter larger than the doubts stated widens everything
//! and a smaller one narrows nothing. Interval: Student's t with n − 2 degrees of freedom where the
//! scatter was found, the normal distribution where it was stated. A further point measured with the
//! same instruments: `u² + c²/W`. Threshold: first order, and Fieller's interval, which is not
//! symmetric (E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175). What all points share, as the
//! calibration of the pyrheliometer, does not average out: it is stated apart and added.
//!
//! Valid where power is a straight line of irradiance and over the irradiances measured; beyond them
//! a flag says so. Outliers are flagged (externally studentised residual, Bonferroni's bound at 5 %)
//! and never left out by the program; a point is left out only with a reason in the input.

mod input;
mod judge;
mod present;
mod read;

pub use input::{Input, Method, PointInput};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "performance-line";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Line of power over irradiance",
    purpose: "Straight line of net power over direct irradiance with its doubt: threshold, power at \
              a stated irradiance, interval for a further point, and an optional limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("performance-line", "good-twelve-points"),
    example!("performance-line", "good-both-uncertain"),
    example!("performance-line", "good-guarded-with-calibration"),
    example!("performance-line", "good-one-point-left-out"),
    example!("performance-line", "good-doubt-missing"),
    example!("performance-line", "bad-irradiance-without-unit"),
    example!("performance-line", "bad-power-in-kwh"),
    example!("performance-line", "bad-method-unknown"),
    example!("performance-line", "bad-reference-is-a-number"),
    example!("performance-line", "bad-unknown-field"),
    example!("performance-line", "wrong-two-points"),
    example!("performance-line", "wrong-one-irradiance"),
    example!("performance-line", "wrong-irradiance-in-kw-typed-as-w"),
    example!("performance-line", "wrong-deming-with-changing-ratio"),
    example!("performance-line", "wrong-correlation-above-one"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, fewer than three points, points at one
/// irradiance, a method whose statements contradict it.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(case) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let judged = judge::judge(&case)?;
    Ok(present::sheet(form, &case, &judged))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
