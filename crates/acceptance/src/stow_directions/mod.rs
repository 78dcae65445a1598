//! `stow-directions`: which directions of a parked mirror axis keep the margin to the sun over a
//! window, which is best, and what named candidates come to.
//!
//! A map over azimuth and elevation gives for each direction the smallest angle to the sun while it
//! is up, as seen or without air, whichever is smaller. The sun's path is sampled (every 112.5 s up
//! to eight days, every 450 s beyond), and the angle is taken to the chord between two samples h
//! apart, which the path leaves by at most `6·(15.1°/h·h)²/8`; a direction is said to keep the
//! margin only where the angle less that bound does. The best direction, the proposed one and the
//! candidates are calculated as `parking-window` does. Source of the position: NREL/TP-560-34302.
//! Years 1950 to 2099; windows up to four years, which hold every path that the sun takes, but for
//! some hundredths of a degree. The margin is a limit of the site's criteria.

mod input;
mod map;
mod present;

pub use input::{Candidate, Input, Raster};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::sun::beyond;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "stow-directions";
const TITLE: &str = "Directions to park in";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "The smallest angle to the sun over a window for every direction that a dish can be \
              parked in, with the best one and the verdict on a proposed one.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("stow-directions", "good-today"),
        example!("stow-directions", "good-year-of-candidates"),
        example!("stow-directions", "good-night"),
        example!("stow-directions", "good-margin-missing"),
        example!("stow-directions", "bad-candidate-without-name"),
        example!("stow-directions", "bad-candidates-as-text"),
        example!("stow-directions", "bad-step-without-unit"),
        example!("stow-directions", "bad-unknown-field"),
        example!("stow-directions", "bad-margin-in-metres"),
        example!("stow-directions", "wrong-too-many-cells"),
        example!("stow-directions", "wrong-half-a-proposal"),
        example!("stow-directions", "wrong-elevations-exchanged"),
        example!("stow-directions", "wrong-longer-than-four-years"),
        example!("stow-directions", "wrong-candidate-twice"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a date outside 1950 to 2099, a window of more
/// than four years, a map of more than 60 by 60 directions, half a direction, a name given twice.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(wanted) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let found = map::find(&wanted).map_err(|error| beyond("start", &error))?;
    Ok(present::sheet(form, &wanted, &found))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
