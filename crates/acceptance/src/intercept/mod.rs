//! `intercept`: the share of the reflected light that enters the receiver's aperture, from the rms
//! of every error, and the heat that goes in.
//!
//! **Errors** add up as variances on one axis of the reflected light:
//! σ² = σ_sun² + (2σ_slope)² + σ_spec² + σ_track² + (2σ_align)² + others; an error of the mirror's
//! normal counts twice, one of the light once; a radial rms is divided by √2 first.
//!
//! **Rings.** A ring at angle φ, p from the focus, spreads its light to an ellipse: pσ/cos φ along
//! the radius and pσ across. Seen from the ring in angles, that is an even spread σ against an
//! aperture with the half-axes r·cos φ/p and r/p:
//!
//! - γ(φ) = (1/2π)∮ F(R(ψ)) dψ, R the ellipse's radius in the direction ψ;
//!   F(R) = 1 − exp(−R²/2σ²), or with a fixed pointing error b, which has every direction on a
//!   ring, the non-central chi-square distribution F(R²/σ²; 2, b²/σ²);
//! - γ = ∫ γ(φ)·w dφ/∫ w dφ with w = sin φ/(1 + cos φ)², from the shadowed middle to the rim;
//! - refined: across the plane of incidence an error of the normal counts 2·cos(φ/2);
//! - beside it, for comparison with handbooks: the paraxial form 1 − exp(−r²/(2f²σ²)) and the form
//!   of one dimension 1 − 2Q(n/2), n = (2/σ)·arctan(r·cos φ/p); both are too high;
//! - concentration at the focus: ρ·(sin²φ_r − sin²φ_i)/(2σ²)·exp(−b²/2σ²);
//! - heat into the aperture: G·ρ·A·γ.
//!
//! Sources: W. B. Stine, M. Geyer, Power From The Sun (2001), chapter 9; L. D. Jaffe, J. Energy 7
//! (1983) 304; P. Bendt, A. Rabl, Appl. Opt. 20 (1981) 674 (all from memory), derived again and
//! checked by SciPy and by tracing rays. Doubt: JCGM 101:2008 by trials, because the intercept is
//! not linear in the errors; the lines of the budget by first order.
//!
//! **Validity.** Small Gaussian errors, evenly spread over the dish and without direction; receiver
//! in the focal plane, middle on the axis. The sun's disc is no Gaussian: for a clear sky the
//! intercept is 0.1 to 0.6 points too low, on the careful side. Rims of 85° and more are refused.
//! For single facets, for aim points and for other planes see `ray-trace`.

mod beam;
mod doubt;
mod input;
mod present;
mod rice;
mod rings;
mod working;

pub use input::{Errors, Input, OtherError, Uncertainty};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "intercept";
const TITLE: &str = "Intercept of the receiver";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Share of the reflected light that enters the receiver, from the errors of mirrors, \
              tracking and sun, and the heat that goes in.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("intercept", "good-site-dish"),
    example!("intercept", "good-pointing-off"),
    example!("intercept", "good-handbook-set"),
    example!("intercept", "good-alignment-missing"),
    example!("intercept", "bad-basis-not-stated"),
    example!("intercept", "bad-error-without-unit"),
    example!("intercept", "bad-slope-in-millimetres"),
    example!("intercept", "bad-unknown-error"),
    example!("intercept", "bad-unknown-basis"),
    example!("intercept", "bad-reflectance-in-watts"),
    example!("intercept", "wrong-sun-of-the-normal"),
    example!("intercept", "wrong-middle-outside-rim"),
    example!("intercept", "wrong-slope-typed-in-degrees"),
    example!("intercept", "wrong-rim-too-steep"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; an error stated of what it can't be of; a dish
/// outside of the method's range.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(case) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let doubt = doubt::doubt(&case);
    Ok(present::sheet(form, &case, doubt))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
