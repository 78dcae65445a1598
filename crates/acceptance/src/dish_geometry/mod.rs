//! `dish-geometry`: the shape of a paraboloid dish, how far it concentrates, what bounds that, and
//! how hot a black plate could get.
//!
//! Paraboloid z = r²/(4f) with aperture diameter D and focal length f; any two of D, f, rim angle
//! φ_r and depth h give the rest:
//!
//! - tan(φ_r/2) = D/(4f), h = D²/(16f), A = πD²/4,
//!   A_s = (8πf²/3)·[(1 + (D/4f)²)^{3/2} − 1];
//! - at a radius r: z = r²/(4f), p = f + z, tan(φ/2) = r/(2f), slope of the surface φ/2, radii of
//!   curvature 2f/cos³(φ/2) in the plane through the axis and 2f/cos(φ/2) across it;
//! - C_g = A/A_r, with the area of the opening (gross) and of the mirrors as the sun sees them
//!   (net);
//! - sun of half-angle θ: paraxial image 2f·tan θ; a flat receiver in the focal plane catches the
//!   whole disc from everywhere from d = 2p·sin θ/cos(φ_r + θ), p at the rim; a sphere from
//!   2p·sin θ;
//! - limits: 1/sin²θ, and sin²φ_r/sin²θ for this rim;
//! - black plate without any loss but radiation: T = (C·G/σ)^{1/4}; with optical efficiency η,
//!   absorptance α, emittance ε and surroundings T_a: T⁴ = η·α·C·G/(ε·σ) + T_a⁴.
//!
//! Sources: W. B. Stine, M. Geyer, Power From The Sun (2001), chapters 8 and 9; A. Rabl, Active
//! Solar Collectors (1985); J. A. Duffie, W. A. Beckman, chapter 7 (all from memory), derived again
//! and checked by numbers. σ: SI, exact (CODATA 2018).
//!
//! **Validity.** An ideal surface without errors. No flat receiver catches everything where φ_r + θ
//! reaches 90°; then that size is not given. The temperature is a bound for plausibility, never a
//! prediction.

mod input;
mod present;

pub use input::{Input, Uncertainty};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "dish-geometry";
const TITLE: &str = "Shape and concentration of a dish";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Rim angle, depth, areas, image of the sun, concentration and its limits of a \
              paraboloid dish.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("dish-geometry", "good-site-dish"),
    example!("dish-geometry", "good-rim-angle-and-depth"),
    example!("dish-geometry", "good-eleven-metres"),
    example!("dish-geometry", "good-focal-length-missing"),
    example!("dish-geometry", "bad-diameter-without-unit"),
    example!("dish-geometry", "bad-area-in-metres"),
    example!("dish-geometry", "bad-rim-angle-in-percent"),
    example!("dish-geometry", "bad-unknown-field"),
    example!("dish-geometry", "bad-focal-length-null"),
    example!("dish-geometry", "wrong-three-of-the-shape"),
    example!("dish-geometry", "wrong-net-area-above-opening"),
    example!("dish-geometry", "wrong-radius-outside-rim"),
    example!("dish-geometry", "wrong-diameter-in-millimetres"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; more than two of the four that fix the shape;
/// areas or radii that the dish does not have.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(dish) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &dish))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
