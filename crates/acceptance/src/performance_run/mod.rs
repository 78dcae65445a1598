//! `performance-run`: net output of a dish over steady intervals, compared with the output that the
//! contract expects for the irradiance, reflectance and air of the same intervals.
//!
//! Expected output of an interval (the contract's model; its constants are inputs):
//!
//! ```text
//! E = [a·G·(ρ/ρ_ref) − b]·[1 − c·(T_a − T_ref)]      ratio = ΣP/ΣE over the steady intervals
//! ```
//!
//! `G` direct irradiance in W/m², `P` and `b` in kW, `a` in kW/(W/m²), `c` in 1/K, `T_a` air
//! temperature, `ρ` reflectance of the mirrors (mean of the survey). The ratio with `ρ = ρ_ref` is
//! shown beside and judges nothing.
//!
//! Raw samples are put in order by instant: stamps carry their offset from UTC, name the start or
//! the end of their step, and are corrected by the clock's stated offset. An interval counts when it
//! is complete and steady within the limits given; a missing value is missing, never zero. Two
//! checks find a file read in the wrong time zone: the lag between power and irradiance, and the
//! irradiance's peak against solar noon. The run is not judged when a check fails, when too few
//! intervals are steady, or when the mirrors were dirtier than the contract's condition.
//!
//! Sources: steady-state limits and the model are the owner's, given as inputs; cross-correlation as
//! `scipy.signal.correlate` defines it; JCGM 100:2008 (GUM), first order; JCGM 106:2012 for the
//! decision. Valid for one continuous run of less than a day and equal steps within each series.

mod checks;
mod input;
pub(crate) mod intervals;
mod judge;
mod present;
mod read;
pub(crate) mod samples;
mod tables;

pub use input::{
    ClockOffsets, Input, Label, Limits, Model, RatioLimit, RelativeDoubt, SeriesInput, StatedLimit,
    Uncertainty,
};

use serde_json::Value;

use crate::form;
use crate::registry::example;
use crate::{Calculation, Example, Refusal, Sheet, schema};

const NAME: &str = "performance-run";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: "Performance run",
    purpose: "Net output over steady intervals against the output that the contract expects, with \
              lag and noon checks, judged against a limit.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: EXAMPLES,
};

const EXAMPLES: &[Example] = &[
    example!("performance-run", "good-pass"),
    example!("performance-run", "good-dirty-mirrors"),
    example!("performance-run", "good-logger-in-another-zone"),
    example!("performance-run", "good-guarded"),
    example!("performance-run", "good-power-missing"),
    example!("performance-run", "bad-value-is-a-number"),
    example!("performance-run", "bad-label-middle"),
    example!("performance-run", "bad-time-without-offset"),
    example!("performance-run", "bad-reflectance-without-unit"),
    example!("performance-run", "bad-unknown-field"),
    example!("performance-run", "wrong-fewer-values-than-times"),
    example!("performance-run", "wrong-two-values-at-one-time"),
    example!("performance-run", "wrong-unit-of-irradiance"),
    example!("performance-run", "wrong-comma-could-be-either"),
    example!("performance-run", "wrong-step-does-not-fit-the-interval"),
    example!("performance-run", "wrong-reflectance-above-one"),
];

/// Runs the calculation on its typed input.
///
/// # Errors
/// A value that can't be read or is implausible, series whose times and values don't fit each
/// other, a step that doesn't divide the interval.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = form::Form::default();
    let Some(run) = read::read(&mut form, input)? else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let intervals = intervals::intervals(&run);
    let checks = checks::checks(&run)?;
    let judgement = judge::judge(&run, &intervals, &checks);
    Ok(present::sheet(form, &run, &intervals, &checks, &judgement))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}
