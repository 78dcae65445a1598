//! `reflectance`: mean reflectance of a survey with its interval, cleanliness, and what a wash
//! gained.
//!
//! - mean ρ̄ = Σρ/n, s = √(Σ(ρ − ρ̄)²/(n − 1)), interval ρ̄ ± t·s/√n with Student's t for n − 1 degrees
//!   of freedom (JCGM 100:2008, G.3). Several spots of one facet are a cluster: the standard error
//!   then comes from the m facets, u² = m/(m − 1)·Σ(Σ(ρ − ρ̄))²/n², and t has m − 1 degrees of freedom
//!   (Cochran 1977, from memory).
//! - readings needed: the smallest n with t·s/√n ≤ E, by trying (the formula with 1.96 instead of t
//!   gives two or three too few).
//! - cleanliness χ = ρ̄/ρ_c, u_χ/χ = √((u_ρ/ρ̄)² + (u_c/ρ_c)²), clean and dirty under the same
//!   conditions.
//! - gain: the mean difference of the same spots before and after, else the difference of the means
//!   (Welch 1947).
//!
//! **What has to be stated** with a reflectance: specular or hemispherical, wavelength, incidence,
//! acceptance half-angle (Meyen et al., SolarPACES guideline 2.5 (2013), from memory). The sheet
//! carries it, and names what is not stated. One wavelength is not the sun's spectrum.
//!
//! **Validity.** Reflectances from 0 to 1; one reading has a mean and no interval. Normal scatter.

mod input;
mod measure;
mod present;
mod read;

pub use input::{Input, Kind, Limits, MirrorReading, Tile, Uncertainty};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "reflectance";
const TITLE: &str = "Reflectance of the mirrors";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Mean reflectance of a survey with its interval, cleanliness, and the gain of a wash.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("reflectance", "good-before-the-wash"),
    example!("reflectance", "good-washed"),
    example!("reflectance", "good-clean-spots"),
    example!("reflectance", "good-no-readings"),
    example!("reflectance", "bad-percent-as-number"),
    example!("reflectance", "bad-unknown-kind"),
    example!("reflectance", "bad-unknown-field"),
    example!("reflectance", "bad-wavelength-in-words"),
    example!("reflectance", "bad-incidence-in-metres"),
    example!("reflectance", "wrong-above-one"),
    example!("reflectance", "wrong-two-references"),
    example!("reflectance", "wrong-certain"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is no reflectance; two references; a confidence of 100 %.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let found = measure::measure(&survey);
    Ok(present::sheet(form, &survey, &found))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
