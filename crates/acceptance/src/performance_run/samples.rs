//! A series as samples at instants, in order of time.

use std::collections::BTreeMap;

use quantity::{Bound, Dimension, Field, Si};

use super::input::{Label, SeriesInput};
use crate::Refusal;
use crate::form::{Form, Place};
use crate::time::Moment;

/// A value over a step; none when it is missing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sample {
    /// Beginning of the step, in Unix seconds by true time.
    pub(crate) start: i64,
    /// In the coherent SI unit.
    pub(crate) value: Option<f64>,
}

/// A series, read.
#[derive(Debug, Clone)]
pub(crate) struct Channel {
    pub(crate) samples: Vec<Sample>,
    /// Seconds.
    pub(crate) step: i64,
    /// What it was called, for sentences.
    pub(crate) file: String,
    /// Seconds that the wall clock of the first stamp is ahead of UTC.
    pub(crate) offset: i64,
}

impl Channel {
    /// The slot of a sample on a grid of steps, by the sample's middle.
    pub(crate) const fn slot(&self, sample: &Sample, grid: i64) -> i64 {
        (2 * sample.start + self.step).div_euclid(2 * grid)
    }
}

/// The most samples of a series: a day of seconds.
const MOST: usize = 86_400;

fn refuse<T>(code: &str, field: &str, sentence: String, next: &str) -> Result<T, Refusal> {
    Err(Refusal::new(code, field, sentence, next))
}

/// Seconds of a length of time, whole and positive.
pub(crate) fn whole_seconds(place: &Place, seconds: f64) -> Result<i64, Refusal> {
    let whole = libm::round(seconds);
    if (seconds - whole).abs() > 1e-6 || !(1.0..=86_400.0).contains(&whole) {
        return refuse(
            "out_of_range",
            place.field,
            format!("The {} is no whole number of seconds within a day.", place.meaning),
            "Type it as 1 min or 10 min.",
        );
    }
    #[expect(clippy::cast_possible_truncation, reason = "between 1 and 86 400")]
    Ok(whole as i64)
}

/// Reads a series; `ahead` seconds are taken off its stamps.
pub(crate) fn read<Q: Si>(
    form: &mut Form,
    place: &Place,
    series: Option<&SeriesInput>,
    ahead: i64,
) -> Result<Option<Channel>, Refusal> {
    let Some(series) = series else {
        form.miss(place.field, place.meaning);
        return Ok(None);
    };
    let (times, values) = (&series.times, &series.values);
    if times.len() != values.len() {
        return refuse(
            "length_differs",
            place.field,
            format!("The {} has {} times and {} values.", place.meaning, times.len(), values.len()),
            "Give one value a time; an empty text stands for a missing value.",
        );
    }
    if times.len() > MOST {
        return refuse(
            "too_many",
            place.field,
            format!("The {} has more than {MOST} values.", place.meaning),
            "Give the hours of the run alone.",
        );
    }
    if quantity::find_unit(Q::DIMENSION, &series.unit).is_none() {
        return refuse(
            "wrong_unit",
            place.field,
            format!("“{}” is no unit of {}.", series.unit, Q::DIMENSION.name()),
            "Check that this is the right column, and give its unit.",
        );
    }
    let step = step(place, &series.interval)?;
    let early = if series.label == Label::End { step } else { 0 };
    let mut by_start: BTreeMap<i64, Option<f64>> = BTreeMap::new();
    for (time, text) in times.iter().zip(values) {
        let Some(moment) = Moment::parse(time) else {
            return refuse(
                "malformed",
                place.field,
                format!("“{time}” in the {} is no moment.", place.meaning),
                "Write it as 2026-08-25T18:10:00-04:00, with the offset from UTC.",
            );
        };
        let value = value::<Q>(place, text, &series.unit)?;
        let start = moment.seconds - early - ahead;
        match by_start.insert(start, value) {
            Some(before) if !same(before, value) => {
                return refuse(
                    "two_values",
                    place.field,
                    format!("The {} has two values at {time}.", place.meaning),
                    "Find out which clock was set, and give the stretch with the true time.",
                );
            }
            _ => {}
        }
    }
    let samples: Vec<Sample> =
        by_start.into_iter().map(|(start, value)| Sample { start, value }).collect();
    let offset = times.first().and_then(|time| Moment::parse(time)).map_or(0, |m| m.offset);
    show(form, place, series, &samples, offset);
    let file = series.file.clone().unwrap_or_else(|| format!("the series of {}", place.meaning));
    Ok(Some(Channel { samples, step, file, offset }))
}

fn same(one: Option<f64>, other: Option<f64>) -> bool {
    match (one, other) {
        (None, None) => true,
        (Some(one), Some(other)) => one.total_cmp(&other).is_eq(),
        _ => false,
    }
}

fn step(place: &Place, text: &str) -> Result<i64, Refusal> {
    let reading = quantity::parse(text, &Field::of(Dimension::Duration)).map_err(|error| {
        Refusal::new(
            error.code(),
            place.field,
            format!("The step of the {} can't be read: {error}.", place.meaning),
            "Give it as 1 min.",
        )
    })?;
    let step = crate::form::exact::<quantity::Duration>(place, &reading)?;
    whole_seconds(place, step.seconds())
}

/// A value in the coherent SI unit. An empty text is missing; so is a bound, which is no value.
fn value<Q: Si>(place: &Place, text: &str, unit: &str) -> Result<Option<f64>, Refusal> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    // After a number, the unit 1 would read as another digit.
    let typed = match unit.trim() {
        "1" => text.trim().to_owned(),
        unit => format!("{} {unit}", text.trim()),
    };
    let reading = quantity::parse(&typed, &Field::of(Q::DIMENSION)).map_err(|error| {
        Refusal::new(
            error.code(),
            place.field,
            format!("A value of the {} can't be read: {error}.", place.meaning),
            "Give values with a decimal point and without groups, and a missing one as an empty \
             text.",
        )
    })?;
    if reading.bound() != Bound::Exact {
        return Ok(None);
    }
    Ok(Q::from_reading(&reading).ok().map(Q::si).filter(|value| value.is_finite()))
}

/// Notes the series among the inputs by its ends and counts; the values stand with the file.
fn show(form: &mut Form, place: &Place, series: &SeriesInput, samples: &[Sample], offset: i64) {
    let missing = samples.iter().filter(|sample| sample.value.is_none()).count();
    let shown = |sample: Option<&Sample>| {
        sample.map_or_else(String::new, |sample| Moment { seconds: sample.start, offset }.text())
    };
    let label = if series.label == Label::Start { "start" } else { "end" };
    let file = series.file.as_ref().map_or_else(String::new, |file| format!(", file {file}"));
    form.show(
        place.field,
        place.meaning,
        &format!(
            "{} values in {} each {}, {missing} missing, steps beginning {} to {}, stamps name the \
             {label}{file}",
            samples.len(),
            series.unit,
            series.interval,
            shown(samples.first()),
            shown(samples.last()),
        ),
    );
}
