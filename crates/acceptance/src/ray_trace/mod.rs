//! `ray-trace`: rays of the sun by way of every facet to a plane near the focus: intercept, map of
//! the light, and the share of each facet and rack.
//!
//! **Axes.** Seen from the focus looking at the mirror: x to the right, y up, z from the mirror to
//! the focus; bearings clockwise from up, as in `facet-alignment`. Tilts and pointing errors are
//! positive where the light goes.
//!
//! **A ray.** A facet in proportion to its area as the sun sees it, and a place on it; a place of the
//! sun's disc (even, or darker at its limb: radiance 1 − u + u·√(1 − θ²/θ_s²); around the disc
//! radiance ∝ θ⁻²); the mirror's normal there, turned by two normal draws of the slope error;
//! reflection d − 2(d·n)n; the light turned by two normal draws of its scatter; the place where it
//! meets the plane. Facets lie on the paraboloid z = r²/(4f), their normal halves the angle between
//! sun and aim point, then tilts by their own error; they are spherical or pieces of the paraboloid.
//! Exact reflection, no small angles.
//!
//! **Numbers.** Each of N rays carries A/N of the mirrors' area as the sun sees it. Intercept = rays
//! through the aperture/rays reflected, standard error √(Σ n_i·γ_i(1 − γ_i))/n over the facets i,
//! because every facet has its due number of rays. Concentration of a cell of area a: ρ·(A/N)·n/a.
//! Draws: ChaCha8, one stream for each block of 8192 rays, so that the result is the same bits on any
//! number of threads.
//!
//! Sources: law of reflection; areas and shapes as in `dish-geometry`; θ⁻² near the sun: D. Buie et
//! al., Solar Energy 74 (2003) 113 (exponents about −2, from memory); limb darkening, linear law.
//!
//! **Validity.** Facets don't shade or block each other, and all reflect alike; the receiver's body
//! shades the way to the mirror, if given, but not the way back. Slope errors without structure. No
//! sag. The standard error is that of the draws alone, not of what is known of the mirrors.
//!
//! The caller decides on threads: [`prepare`] gives a [`Trace`], whose blocks may be run anywhere and
//! merged in any order.

mod disc;
mod input;
mod list;
mod mirror;
mod present;
mod read;
mod sun;
mod tables;
mod tally;
mod trace;
mod vector;
mod working;

pub use input::{
    FacetUse, Input, MirrorErrors, MirrorFacet, Offset, Pointing, ReceiverBody, Sun, Uncertainty,
    WholeDish,
};
pub use tally::Tally;

use serde_json::Value;

use crate::form::{self, Form};
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "ray-trace";
const TITLE: &str = "Light in the focus, ray by ray";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Intercept, map of the light and share of each facet, by tracing rays from the sun over \
              the facets as they are set.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("ray-trace", "good-whole-dish"),
    example!("ray-trace", "good-facets-as-left"),
    example!("ray-trace", "good-beyond-focus"),
    example!("ray-trace", "good-slope-missing"),
    example!("ray-trace", "bad-facet-without-bearing"),
    example!("ray-trace", "bad-tilt-in-millimetres"),
    example!("ray-trace", "bad-rays-not-whole"),
    example!("ray-trace", "bad-unknown-field"),
    example!("ray-trace", "bad-unknown-use"),
    example!("ray-trace", "wrong-dish-and-facets"),
    example!("ray-trace", "wrong-too-many-rays"),
    example!("ray-trace", "wrong-facet-twice"),
    example!("ray-trace", "wrong-two-curvatures"),
    example!("ray-trace", "wrong-plane-inside-mirror"),
];

/// Rays made ready, to be traced block by block.
#[derive(Debug)]
pub struct Trace {
    form: Form,
    case: read::Case,
}

/// What an input leads to.
#[derive(Debug)]
pub enum Prepared {
    /// Rays can be traced.
    Ready(Box<Trace>),
    /// Something is missing, which the sheet names.
    Unready(Box<Sheet>),
}

impl Trace {
    /// How many blocks there are.
    pub const fn blocks(&self) -> u32 {
        self.case.scene.blocks()
    }

    /// An empty tally.
    pub fn blank(&self) -> Tally {
        Tally::blank(self.case.scene.parts(), self.blocks())
    }

    /// Traces a block, from 0, into a tally.
    pub fn run(&self, block: u32, tally: &mut Tally) {
        self.case.scene.trace(block, tally);
    }

    /// The sheet of a tally. One that doesn't hold every block once gives a sheet that is
    /// not judged.
    pub fn sheet(self, tally: &Tally) -> Sheet {
        present::sheet(self.form, &self.case, tally)
    }
}

/// Reads an input and makes its rays ready.
///
/// # Errors
/// A reading that can't be read or is implausible; facets that contradict each other; more rays
/// than are traced in bearable time.
pub fn prepare(input: &Input) -> Result<Prepared, Refusal> {
    let mut form = Form::default();
    Ok(match read::read(&mut form, input)? {
        Some(case) => Prepared::Ready(Box::new(Trace { form, case })),
        None => Prepared::Unready(Box::new(Sheet::blank(&CALCULATION, form))),
    })
}

/// Runs the calculation on its typed input, one block after the other.
///
/// # Errors
/// As [`prepare`].
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    Ok(match prepare(input)? {
        Prepared::Ready(trace) => {
            let mut tally = trace.blank();
            for block in 0..trace.blocks() {
                trace.run(block, &mut tally);
            }
            trace.sheet(&tally)
        }
        Prepared::Unready(sheet) => *sheet,
    })
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
