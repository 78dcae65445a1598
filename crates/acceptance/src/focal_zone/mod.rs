//! `focal-zone`: the irradiance about the focal point of a dish on sun, by distance, and the
//! distances at which it falls below stated levels.
//!
//! Paraboloid of aperture diameter D and focal length f; rim angle `φ_r = 2·arctan(D/4f)`, distance
//! from mirror to focus `p = f + r²/4f`, at the rim p_r. Reflectance ρ, direct irradiance G.
//!
//! - **On the axis**, on a surface square to it, at distance x from the focus:
//!   `E = ρ·G·(f/x)²`, or by rings of the mirror with blurred rays where that is more.
//! - **Anywhere in the cone**, on a surface square to the rays, at distance R from the focus:
//!   `E ≤ ρ·G·(p_r/R)²`. Each ring's light spreads from the focus as `(p/R)²`; so the edge of the
//!   cone has more than the axis at the same distance from the focus, by `(p_r/f)²`. Blur only mixes
//!   rings. Facets that have one focal length, not that of their place, make a focus of their own in
//!   the cone; then the larger of both counts. This is the figure that is given first.
//! - **A single facet** whose own focus is at distance p from it, wherever it points: at distance d
//!   from the facet `E ≤ ρ·G·min(1/(1 − d/p)², c·A/(π·θ²·d²))`, A its area, θ the sun's radius, c
//!   the brightness of the middle of its disc: no point sees more of the facet alight than the
//!   facet, nor than the part that shows it the sun.
//! - Never above `c·ρ·G·sin²φ_r/sin²θ`, what no mirror exceeds.
//!
//! Sources: L. D. Jaffe, J. Energy 7 (1983) 304; A. Rabl, Active Solar Collectors (1985); derived
//! anew and checked by quadrature over the mirror. Rim angle up to 90°; beyond it is refused. The
//! levels come with how they are known; none is judged here, and no distance is called safe.

mod input;
mod levels;
mod optics;
mod present;
mod tables;

pub use input::{Facet, Input, OwnLevel, Spot};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "focal-zone";
const TITLE: &str = "Irradiance about the focal point";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Irradiance by distance from the focal point of a dish on sun, and the distances at \
              which it falls below stated levels, for the whole dish and for one stray facet.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("focal-zone", "good-whole-dish"),
        example!("focal-zone", "good-facets-and-places"),
        example!("focal-zone", "good-own-level"),
        example!("focal-zone", "good-reflectance-missing"),
        example!("focal-zone", "bad-diameter-without-unit"),
        example!("focal-zone", "bad-irradiance-in-watts"),
        example!("focal-zone", "bad-level-without-name"),
        example!("focal-zone", "bad-places-as-text"),
        example!("focal-zone", "bad-unknown-field"),
        example!("focal-zone", "wrong-deeper-than-its-focus"),
        example!("focal-zone", "wrong-reflectance-above-one"),
        example!("focal-zone", "wrong-ray-error-below-the-suns"),
        example!("focal-zone", "wrong-level-twice"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a dish deeper than its focus, a name given twice.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(zone) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    Ok(present::sheet(form, &zone))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
