//! `walk-off`: where the sun's image goes when tracking stops while the dish is on sun, and when.
//!
//! The mirror axis stands from the stop on where the sun was seen then. The image lies on the focal
//! plane opposite the sun: with the sun's direction s(t), the axis m and the two directions across
//! it, r to the right of one who looks from the mirror to the sun and u upwards,
//! `x = −f·(s·r)/(s·m)`, `y = −f·(s·u)/(s·m)`, so the image's middle is `d = f·tan σ` from the axis,
//! σ the angle between axis and sun. The sun's motion is the algorithm's (NREL/TP-560-34302), as
//! seen, from the moment of the stop at the place. Beside it stands the plain estimate
//! `v = f·ω·cos δ`, ω = 15°/h, δ the declination. The spot is a disc of constant radius about the
//! middle: its edge reaches a rim of radius R at `d = R − a`, all of it is past at `d = R + a`; a
//! pointing error ε at the stop moves the spot by `f·tan ε`, sooner or later by as much. A dish that
//! moves, sags or is pushed is not in it. While the sun is down it is refused.

mod follow;
mod input;
mod present;

pub use input::{Input, Rim};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::sun::beyond;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "walk-off";
const TITLE: &str = "Walk-off of the sun's image";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "How the sun's image moves over the focal plane when tracking stops, and when it \
              reaches and leaves aperture, shield and other rims.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("walk-off", "good-aperture-and-shield"),
        example!("walk-off", "good-pointing-error"),
        example!("walk-off", "good-before-sunset"),
        example!("walk-off", "good-spot-missing"),
        example!("walk-off", "bad-focal-length-without-unit"),
        example!("walk-off", "bad-rim-without-name"),
        example!("walk-off", "bad-rims-as-text"),
        example!("walk-off", "bad-pointing-error-in-millimetres"),
        example!("walk-off", "bad-unknown-field"),
        example!("walk-off", "wrong-at-night"),
        example!("walk-off", "wrong-rim-twice"),
        example!("walk-off", "wrong-focal-length-in-kilometres"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a date outside 1950 to 2099, the sun below the
/// horizon, a rim without a name of its own.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(stop) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let Some(walk) = follow::follow(&stop).map_err(|error| beyond("at", &error))? else {
        return Err(form.refuse(
            "sun_down",
            "at",
            format!("At {} the sun is below the level horizon.", stop.at.shown()),
            "Give a moment at which the dish is on sun, with its offset from UTC.",
        ));
    };
    Ok(present::sheet(form, &stop, &walk))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
