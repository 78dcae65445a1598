//! `facet-alignment`: where each facet sends its light, from the shift of its spot on a board, and
//! whether a whole rack moved.
//!
//! **Axes.** Seen from the focus looking at the mirror: x to the right, y up (towards the top of
//! the dish), z from the mirror to the focus; bearings clockwise from up. A shift on the board is
//! counted in the same x and y, from the centre of the board, which stands on the dish axis. The
//! lit side of the board is seen from the dish, where x points to the *left*: boards carry their
//! axes in print. An error is positive where the light goes: a facet with +x sends it to +x.
//!
//! **Formulas**, paraboloid of focal length f, facet at radius r and bearing β:
//!
//! - z = r²/(4f), p = f + z, cos φ = 2f/p − 1 (p from facet to focus, φ between its light and the
//!   axis, which is also twice the incidence);
//! - shift less the place where a correctly set facet puts its spot, split into Δ_r (along the
//!   radius, outward) and Δ_t (along increasing bearing);
//! - tilt of the facet's normal: δ_r = Δ_r·cos φ/(2p), δ_t = Δ_t/(2p·cos(φ/2)), less the same of the
//!   facet's own aim point, turned into x and y;
//! - RMS = √mean(δ_x² + δ_y²), over all measured facets, about zero.
//!
//! With a lamp at distance s from the vertex instead of light parallel to the axis, the light of
//! radius r crosses the axis Δ = p²/(s − f) beyond the focus; p, φ and the incidence are then those
//! of the ray that truly runs from lamp to facet to board.
//!
//! **Rack.** A rack that turns by a small ω takes its facets along: δ_r = −ω·e_t,
//! δ_t = ω·(e_z·sin(φ/2) + e_r·cos(φ/2)). The three components of ω are fitted by least squares; the
//! rack counts as moved when the fit explains at least a stated share of the sum of squares and the
//! common turn (the part of ω that tilts the rack's mean normal) is above the limit for one axis.
//!
//! Sources: mirror geometry of the paraboloid and first-order reflection, derived here and checked
//! by exact reflection (`tests/oracle/facets.py`); A. Rabl, Active Solar Collectors (1985), and
//! Stine and Geyer, Power From The Sun, chapter 9, for the frame, from memory.
//!
//! **Validity.** First order in the tilt: at a tilt δ the radial part is off by about 2δ·tan φ of
//! itself (0.2 % at 1 mrad and φ = 45°). Facets at a radius of 2f and more are refused. Shifts of
//! the facet itself are neglected against its tilt.
//!
//! The site's quick rule θ = d/(2L) drops the cosines and the facet's own distance. It is shown
//! beside where L is given, and never judged.

mod fit;
mod geometry;
mod input;
mod judge;
mod measure;
mod present;
mod read;
mod tables;

pub use input::{
    AngleLimit, FacetPlace, FacetReading, FacetState, Input, Limits, Method, RackLimit,
    ReadingDoubt, SurveyState, Uncertainty,
};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "facet-alignment";
const TITLE: &str = "Facet alignment";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Error of each facet's normal from the shift of its spot on a board, their RMS, and \
              racks that moved as a whole.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("facet-alignment", "good-as-left"),
    example!("facet-alignment", "good-rack-moved"),
    example!("facet-alignment", "good-distant-light"),
    example!("facet-alignment", "good-exceptions-only"),
    example!("facet-alignment", "bad-shift-without-unit"),
    example!("facet-alignment", "bad-shift-in-degrees"),
    example!("facet-alignment", "bad-unknown-state"),
    example!("facet-alignment", "bad-unknown-field"),
    example!("facet-alignment", "bad-facet-without-bearing"),
    example!("facet-alignment", "bad-limit-in-millimetres"),
    example!("facet-alignment", "wrong-facet-not-in-design"),
    example!("facet-alignment", "wrong-facet-twice"),
    example!("facet-alignment", "wrong-number-for-facet-within"),
    example!("facet-alignment", "wrong-lamp-inside-focus"),
    example!("facet-alignment", "wrong-shift-in-metres"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; a facet that the design does not have, or that
/// stands twice; a number beside a state that has none; a lamp that is not beyond the focus.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let measured = measure::measure(&survey);
    let judgement = judge::judge(&form, &survey, &measured);
    Ok(present::sheet(form, &survey, &measured, judgement))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
