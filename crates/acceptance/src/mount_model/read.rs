//! From texts to equations.

use quantity::{Angle, Dimension, Field};
use rust_decimal::prelude::ToPrimitive as _;

use super::input::{Input, PointingReading, Term};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::pointing::{self, Computed, SunFrom, Texts};
use crate::sun::{Observation, PlaceTexts};
use crate::tracking_error::SunElevation;
use crate::{Refusal, stats};

/// A reading as the model takes it, in rad.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reading {
    /// Number in the list, from 1.
    pub(super) number: usize,
    pub(super) azimuth: f64,
    pub(super) elevation: f64,
    /// A_read − A_sun, within half a turn.
    pub(super) azimuth_error: f64,
    pub(super) elevation_error: f64,
    /// What it counts; 0 is not fitted.
    pub(super) weight: f64,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) readings: Vec<Reading>,
    /// In the order of [`Term::ALL`].
    pub(super) terms: Vec<Term>,
    pub(super) place: Option<(Observation, crate::time::Moment)>,
    /// Axis readings beside a sun of which nothing is said.
    pub(super) refraction_not_stated: bool,
    pub(super) near_zenith: Option<(f64, f64)>,
    pub(super) rms_after: Option<ReadLimit<Angle>>,
    pub(super) largest_after: Option<ReadLimit<Angle>>,
}

const AZIMUTH_ERROR: Place = between(
    "azimuth_error",
    "azimuth read less that of the sun",
    &[Dimension::Angle],
    (-360, 360, "°"),
);
const ELEVATION_ERROR: Place = between(
    "elevation_error",
    "elevation read less that of the sun",
    &[Dimension::Angle],
    (-30, 30, "°"),
);
const ABOVE: Place =
    between("above", "elevation from which the zenith is near", &[Dimension::Angle], (0, 90, "°"));
/// Gaps that are named before the reading of a long list stops.
const GAPS: usize = 20;
/// Most readings.
const MOST: usize = 10_000;

/// Reads the input; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let terms = terms(form, input)?;
    let near_zenith = near_zenith(form, input)?;
    let (from, place) = sun_from(form, input)?;
    let (rms_after, largest_after) = limits(form, input)?;
    if input.readings.is_empty() {
        form.miss("readings", "readings of the axes against the sun");
    }
    if input.readings.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "readings",
            format!("There are more than {MOST} readings."),
            "A model needs a few dozen readings, spread over the sky.",
        ));
    }
    let Some(from) = from else { return Ok(None) };
    let shown = form.inputs.len();
    let (mut readings, mut first, mut axes_read) = (Vec::new(), None, false);
    for (row, given) in input.readings.iter().enumerate() {
        let read = form.within(&format!("readings[{row}]"), |form| one(form, &from, given))?;
        if let Some((reading, at)) = read {
            let near = near_zenith.filter(|(above, _)| reading.elevation > *above);
            let weight = reading.weight * near.map_or(1.0, |(_, weight)| weight);
            readings.push(Reading { number: row + 1, weight, ..reading });
            first = first.or(at);
        }
        axes_read |= given.azimuth.is_some();
        if form.missing.len() > GAPS {
            break;
        }
    }
    form.fold(shown, "readings", "readings of the axes against the sun", input.readings.len());
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let fitted = readings.iter().filter(|reading| reading.weight > 0.0).count();
    if 2 * fitted <= terms.len() {
        return Err(form.refuse(
            "too_few",
            "readings",
            format!(
                "{fitted} readings give {} equations for {} terms; nothing is left to judge the \
                 fit by.",
                2 * fitted,
                terms.len()
            ),
            "Take more readings, spread over the sky, or fit fewer terms.",
        ));
    }
    Ok(Some(Survey {
        readings,
        terms,
        place: place.zip(first),
        refraction_not_stated: axes_read
            && matches!(from, SunFrom::Given)
            && input.sun_elevation_is.is_none(),
        near_zenith,
        rms_after,
        largest_after,
    }))
}

fn terms(form: &mut Form, input: &Input) -> Result<Vec<Term>, Refusal> {
    let Some(given) = &input.terms else { return Ok(Term::ALL.to_vec()) };
    let wanted: Vec<Term> = Term::ALL.into_iter().filter(|term| given.contains(term)).collect();
    if wanted.len() != given.len() || wanted.is_empty() {
        return Err(form.refuse(
            "terms",
            "terms",
            "The list of terms is empty or names a term twice.",
            "Name each term to be fitted once, or leave the list out to fit all seven.",
        ));
    }
    let names: Vec<_> = wanted.iter().map(|term| term.words()).collect();
    form.show("terms", "terms to be fitted", &names.join(", "));
    Ok(wanted)
}

/// A weight: a number from 0 on.
fn weight(form: &mut Form, text: Option<&str>) -> Result<Option<f64>, Refusal> {
    let Some(text) = text else { return Ok(None) };
    form.show("weight", "what the reading counts", text);
    quantity::parse(text, &Field::of(Dimension::Ratio))
        .ok()
        .filter(|reading| matches!(reading.unit().symbol(), "1"))
        .and_then(|reading| reading.base().to_f64())
        .filter(|weight| (0.0..=1e6).contains(weight))
        .map(Some)
        .ok_or_else(|| {
            form.refuse(
                "out_of_range",
                "weight",
                format!("“{text}” is no weight."),
                "Type a number from 0 on; 1 is usual, 0 leaves the reading out.",
            )
        })
}

fn near_zenith(form: &mut Form, input: &Input) -> Result<Option<(f64, f64)>, Refusal> {
    let Some(given) = &input.near_zenith else { return Ok(None) };
    form.within("near_zenith", |form| {
        let above = form.take::<Angle>(&ABOVE, given.above.as_deref())?;
        if given.weight.is_none() {
            form.miss("weight", "what a reading near the zenith counts");
        }
        let weight = weight(form, given.weight.as_deref())?;
        Ok(above.map(Angle::radians).zip(weight))
    })
}

type From = (Option<SunFrom>, Option<Observation>);

fn sun_from(form: &mut Form, input: &Input) -> Result<From, Refusal> {
    let (barometer, temperature) = (input.barometer.as_deref(), input.temperature.as_deref());
    let computed = input.latitude.is_some() || input.longitude.is_some();
    Ok(match (computed, input.sun_elevation_is) {
        (true, Some(_)) => {
            return Err(form.refuse(
                "two_suns",
                "sun_elevation_is",
                "The sun is computed for the place, and its given elevations are described beside.",
                "Give the direction of the sun with every reading, or place and moments alone.",
            ));
        }
        (true, None) => {
            let texts = PlaceTexts {
                latitude: input.latitude.as_deref(),
                longitude: input.longitude.as_deref(),
                altitude: input.altitude.as_deref(),
                barometer,
                temperature,
                delta_t: input.delta_t.as_deref(),
            };
            let computed = Computed::read(form, &texts, input.clock_ahead.as_deref())?;
            (computed.as_ref().map(Computed::sun), computed.map(|computed| computed.place))
        }
        (false, Some(SunElevation::Geometric)) => {
            form.show("sun_elevation_is", "elevations of the sun", "without air");
            (pointing::air(form, barometer, temperature)?.map(SunFrom::Geometric), None)
        }
        (false, _) => (Some(SunFrom::Given), None),
    })
}

type Edges = (Option<ReadLimit<Angle>>, Option<ReadLimit<Angle>>);

fn limits(form: &mut Form, input: &Input) -> Result<Edges, Refusal> {
    let given = &input.limits;
    form.within("limits", |form| {
        let mut read = |field, meaning, limit: &Option<crate::StatedLimit>| {
            limit::read::<Angle>(form, field, meaning, Side::AtMost, limit.as_ref())
        };
        Ok((
            read("rms_after", "limit of the RMS after correction", &given.rms_after)?,
            read("largest_after", "limit of the largest error", &given.largest_after)?,
        ))
    })
}

type Row = (Reading, Option<crate::time::Moment>);

fn one(form: &mut Form, from: &SunFrom, given: &PointingReading) -> Result<Option<Row>, Refusal> {
    let weight = weight(form, given.weight.as_deref())?.unwrap_or(1.0);
    let at = pointing::stamp(form, given.at.as_deref())?;
    let texts = Texts {
        azimuth: given.azimuth.as_deref(),
        elevation: given.elevation.as_deref(),
        sun_azimuth: given.sun_azimuth.as_deref(),
        sun_elevation: given.sun_elevation.as_deref(),
    };
    let sun = pointing::sun(form, from, &texts, at)?;
    let by_error = given.azimuth_error.is_some() || given.elevation_error.is_some();
    let by_axis = given.azimuth.is_some() || given.elevation.is_some();
    let errors = if by_error && by_axis {
        return Err(form.refuse(
            "two_errors",
            "azimuth_error",
            "Both axis readings and errors are given.",
            "Give what the axes showed, or the errors that follow from it.",
        ));
    } else if by_error {
        let azimuth = form.take::<Angle>(&AZIMUTH_ERROR, given.azimuth_error.as_deref())?;
        let elevation = form.take::<Angle>(&ELEVATION_ERROR, given.elevation_error.as_deref())?;
        azimuth.zip(elevation).map(|(a, e)| (a.radians(), e.radians()))
    } else {
        pointing::axis(form, &texts)?.zip(sun).map(|(axis, sun)| {
            (
                axis.azimuth.radians() - sun.direction.azimuth.radians(),
                axis.elevation.radians() - sun.direction.elevation.radians(),
            )
        })
    };
    Ok(errors.zip(sun).map(|((azimuth_error, elevation_error), sun)| {
        let reading = Reading {
            number: 0,
            azimuth: sun.direction.azimuth.radians(),
            elevation: sun.direction.elevation.radians(),
            azimuth_error: half_turn(azimuth_error),
            elevation_error,
            weight,
        };
        (reading, at.map(|at| at.moment))
    }))
}

/// The same angle within half a turn, −180° excluded.
fn half_turn(angle: f64) -> f64 {
    let turn = 2.0 * core::f64::consts::PI;
    angle - turn * libm::ceil((angle - core::f64::consts::PI) / turn)
}

impl Survey {
    /// Readings that are fitted.
    pub(super) fn fitted(&self) -> impl Iterator<Item = &Reading> + Clone {
        self.readings.iter().filter(|reading| reading.weight > 0.0)
    }

    /// How many are fitted.
    pub(super) fn count(&self) -> f64 {
        stats::count(self.fitted().count())
    }
}
