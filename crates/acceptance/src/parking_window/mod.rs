//! `parking-window`: how near the sun comes to the mirror axis of a parked dish while people are
//! at it, when, and when it first comes nearer than the margin after the planned end.
//!
//! The angle is that between the mirror axis and the middle of the sun, by the arctangent form:
//! as seen, refraction included, or without air, whichever is smaller. It counts while the sun is
//! up: upper edge above a level horizon. Times are instants, so a change of the clocks in between
//! changes nothing. Source of the position: NREL/TP-560-34302, as in `sun-position`. For the years
//! 1950 to 2099 and windows up to thirty years; others are refused. The margin is a limit of the
//! site's criteria.
//!
//! Up to a week the sun is sampled every five minutes. A longer window is searched on the path of
//! `sun::path`, day by day, so that no smaller angle than the stated bound can be missed; the days
//! that may hold the smallest angle are then looked at as a short window is.

mod curve;
mod input;
mod long;
mod present;
mod steps;
mod track;
mod years;

pub use input::{Input, Limit};
pub(crate) use input::{Job, Margin};
pub(crate) use present::{rule, verdict};
pub(crate) use track::{Found, find};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::sun::beyond;
use crate::{Calculation, Refusal, Sheet, schema};

const NAME: &str = "parking-window";
const TITLE: &str = "Sun and mirror axis over a job";
/// 2: says by how much an angle could be missed; windows of more than a week.
const VERSION: u32 = 2;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "The smallest angle between the mirror axis of a parked dish and the sun over a job, \
              judged against a margin.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("parking-window", "good-south-low"),
        example!("parking-window", "good-quick-job-trap"),
        example!("parking-window", "good-night"),
        example!("parking-window", "good-across-the-clock-change"),
        example!("parking-window", "good-padded"),
        example!("parking-window", "good-margin-missing"),
        example!("parking-window", "good-month-of-repair"),
        example!("parking-window", "good-stow-through-a-year"),
        example!("parking-window", "bad-axis-in-metres"),
        example!("parking-window", "bad-length-without-unit"),
        example!("parking-window", "bad-start-without-offset"),
        example!("parking-window", "bad-unknown-field"),
        example!("parking-window", "bad-margin-null"),
        example!("parking-window", "wrong-elevation-beyond-zenith"),
        example!("parking-window", "wrong-length-zero"),
        example!("parking-window", "wrong-length-of-a-century"),
        example!("parking-window", "wrong-margin-zero"),
    ],
};

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a text that is no moment, a date outside 1950
/// to 2099, a length or a margin that is not above zero.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(job) = input::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let found = track::find(&job).map_err(|error| beyond("start", &error))?;
    Ok(present::sheet(form, &job, &found))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
