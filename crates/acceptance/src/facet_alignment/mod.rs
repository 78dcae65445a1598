//! `facet-alignment`: where each facet sends its light, from the shift of its spot on a board,
//! whether a whole rack moved, what to turn in which order, and what the errors cost in light.
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
//! **Turns** (optional). A facet stands on three studs along the normal of its design, at distance d
//! and bearing ψ in its own plane: clockwise from outward seen from the focus, so that 90° is along
//! increasing bearing of the dish. Its tilt ε follows exactly from the way to the light and the way
//! to its spot, whose bisector is the normal; ε* is that of sunlight to its aim point. The stud has to
//! come w = d·((ε_r − ε_r*)·cos ψ + (ε_t − ε_t*)·sin ψ) towards the focus, more than the middle does:
//! the outer edge is raised to bring light back in. Turns are w over the pitch, in whole steps such
//! that the tilt left over is the smallest that steps can leave; then all three are moved alike so
//! that the fixed stud, the middle, or the stud in between stays. *In* is clockwise seen from behind
//! the mirror; the design says whether that raises. The facet's middle is taken to stay where it
//! is; a millimetre along the normal moves a spot by less than two. Order of work: see `work`.
//!
//! **Light** (optional). The spot of a facet is an elliptical Gaussian in the focal plane,
//! σ_r = pσ/cos φ along the radius and σ_t = pσ across, about the place where exact reflection of
//! sunlight puts its middle; γ is its share through a round aperture, and a facet loses
//! ρ·G·A·cos(φ/2)·(γ* − γ) against its own aim point.
//!
//! Sources: mirror geometry of the paraboloid and first-order reflection, derived here and checked
//! by exact reflection (`tests/oracle/facets.py`), turns by a crew in three dimensions
//! (`tests/oracle/turns.py`), light by SciPy and by rays (`tests/oracle/light.py`); A. Rabl, Active Solar Collectors (1985), and
//! Stine and Geyer, Power From The Sun, chapter 9, for the frame, from memory.
//!
//! **Validity.** First order in the tilt: at a tilt δ the radial part is off by about 2δ·tan φ of
//! itself (0.2 % at 1 mrad and φ = 45°). Facets at a radius of 2f and more are refused. Shifts of
//! the facet itself are neglected against its tilt.
//!
//! The site's quick rule θ = d/(2L) drops the cosines and the facet's own distance. It is shown
//! beside where L is given, and never judged.

mod advice;
mod crew;
mod exact;
mod fit;
mod geometry;
mod input;
mod judge;
mod light;
mod measure;
mod present;
mod read;
mod results;
mod spill;
mod studs;
mod tables;
mod turns;
mod work;
mod worked;

pub use input::{
    AngleLimit, FacetPlace, FacetReading, FacetState, Input, Limits, Method, RackLimit,
    ReadingDoubt, SurveyState, Uncertainty,
};
pub use light::Light;
pub use studs::{Adjusters, Hand, Keeps, Stud};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "facet-alignment";
const TITLE: &str = "Facet alignment";
const VERSION: u32 = 2;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Error of each facet's normal from the shift of its spot on a board, their RMS, racks \
              that moved as a whole, what to turn in which order, and what it costs in light.",
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
    example!("facet-alignment", "good-what-to-turn"),
    example!("facet-alignment", "good-bolts-before-facets"),
    example!("facet-alignment", "bad-shift-without-unit"),
    example!("facet-alignment", "bad-shift-in-degrees"),
    example!("facet-alignment", "bad-unknown-state"),
    example!("facet-alignment", "bad-unknown-field"),
    example!("facet-alignment", "bad-facet-without-bearing"),
    example!("facet-alignment", "bad-limit-in-millimetres"),
    example!("facet-alignment", "bad-thread-turned-left"),
    example!("facet-alignment", "bad-pitch-in-turns"),
    example!("facet-alignment", "wrong-facet-not-in-design"),
    example!("facet-alignment", "wrong-facet-twice"),
    example!("facet-alignment", "wrong-number-for-facet-within"),
    example!("facet-alignment", "wrong-lamp-inside-focus"),
    example!("facet-alignment", "wrong-shift-in-metres"),
    example!("facet-alignment", "wrong-studs-in-a-line"),
    example!("facet-alignment", "wrong-fixed-stud-and-centre"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible; a facet that the design does not have, or that
/// stands twice; a number beside a state that has none; a lamp that is not beyond the focus; studs
/// that hold no plane.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(survey) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let measured = measure::measure(&survey);
    let plan = work::plan(&survey, &measured);
    let judgement = judge::judge(&form, &survey, &measured, &plan);
    Ok(present::sheet(form, &survey, (&measured, &plan), judgement))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
