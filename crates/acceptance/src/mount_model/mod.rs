//! `mount-model`: what the mount of a two-axis dish does to its pointing, in seven terms.
//!
//! With A, E the sun's azimuth and elevation and ΔA, ΔE what the axes show more than those:
//!
//! - ΔA = z_A + c/cos E + q·tan E + (t_N·sin A − t_E·cos A)·tan E
//! - ΔE = z_E + t_N·cos A + t_E·sin A + g·cos E
//!
//! z_A, z_E zeros of azimuth and elevation; c collimation (positive: the mirror's axis looks to the
//! left of where the axes point); q squareness (positive: the right end of the elevation axis is
//! high, seen along the view of the dish); t_N, t_E tilt of the top of the azimuth axis to the north
//! and to the east; g sag.
//!
//! **Fit.** Weighted linear least squares of the rows ΔA·cos E and ΔE (so that both are true angles
//! and nothing grows without bound at the zenith), by singular values; s² = Σw·r²/(2n − m),
//! covariance s²·(MᵀWM)⁻¹. Terms may be left out, which holds them at zero. Readings near the zenith
//! may count less, by a stated weight.
//!
//! **What can be told apart.** Condition number, correlations; condition indices of the scaled
//! columns with the share of each term's variance (Belsley, Kuh and Welsch 1980). Readings that
//! can't tell terms apart at all are refused, with the terms named.
//!
//! Sources: M. L. Meeks, J. A. Ball, A. B. Hull, The pointing calibration of the Haystack antenna,
//! IEEE Trans. Antennas Propag. 16 (1968); P. Stumpff (1972); for sun trackers K. K. Chong, C. W.
//! Wong, Solar Energy 83 (2009) 298; all from memory. The signs are checked against exact rotations
//! (`tests/oracle/mount.py`).
//!
//! **Validity.** First order in the terms. At least one equation more than terms.

mod fit;
mod input;
mod present;
mod read;
mod tables;

pub use input::{Input, Limits, NearZenith, PointingReading, Term};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "mount-model";
const TITLE: &str = "Model of the mount";
const VERSION: u32 = 1;

/// Where the terms come from.
const MODEL: &str = "pointing terms of antennas and telescopes: M. L. Meeks, J. A. Ball, A. B. Hull, \
                     IEEE Trans. Antennas Propag. 16 (1968); K. K. Chong, C. W. Wong, Solar Energy 83 \
                     (2009) 298, from memory; signs checked against exact rotations";

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Zeros, collimation, squareness, tilt and sag of a mount from pointing readings, with \
              the correction they give.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("mount-model", "good-seven-terms"),
    example!("mount-model", "good-four-terms-from-axes"),
    example!("mount-model", "good-computed-sun"),
    example!("mount-model", "good-elevation-missing"),
    example!("mount-model", "bad-error-without-unit"),
    example!("mount-model", "bad-unknown-term"),
    example!("mount-model", "bad-weight-with-unit"),
    example!("mount-model", "bad-unknown-field"),
    example!("mount-model", "bad-elevation-null"),
    example!("mount-model", "wrong-three-readings"),
    example!("mount-model", "wrong-one-elevation"),
    example!("mount-model", "wrong-errors-and-axes"),
    example!("mount-model", "wrong-term-twice"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; fewer equations than terms; terms that the
/// readings can't tell apart; a date outside 1950 to 2099.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let model = fit::fit(&survey)?;
    Ok(present::sheet(form, &survey, &model))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
