//! From texts to samples of the error.

use libm::{atan, cos};
use quantity::{Angle, Dimension, Length, Ratio, Speed};

use super::input::{Input, Method, Reading, SunElevation};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::pointing::{self, Computed, Error, Rate, Stamp, SunFrom, Texts};
use crate::sun::{Observation, PlaceTexts};
use crate::{Refusal, StatedLimit};

/// A sample of the error.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    /// Number of the reading, from 1.
    pub(super) number: usize,
    pub(super) run: Option<String>,
    pub(super) at: Option<Stamp>,
    pub(super) error: Error,
    /// Cosine of the elevation: how much an error of azimuth counts; none with a camera.
    pub(super) cosine: Option<f64>,
    /// Of the sun, in rad/s.
    pub(super) rate: Option<Rate>,
    /// Elevation of the sun in rad.
    pub(super) elevation: Option<f64>,
    /// In m/s.
    pub(super) wind: Option<f64>,
}

/// The limits, read.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    pub(super) rms_each_axis: Option<ReadLimit<Angle>>,
    pub(super) rms: Option<ReadLimit<Angle>>,
    pub(super) percentile: Option<ReadLimit<Angle>>,
    pub(super) largest: Option<ReadLimit<Angle>>,
    pub(super) mean: Option<ReadLimit<Angle>>,
    pub(super) share_within: Option<ReadLimit<Ratio>>,
}

/// What is stated of the instruments: standard uncertainties of errors that all samples share.
#[derive(Debug, Clone, Default)]
pub(super) struct Doubts {
    pub(super) azimuth: Option<Stated>,
    pub(super) elevation: Option<Stated>,
    pub(super) offset: Option<Stated>,
    pub(super) focal_length: Option<Stated>,
    pub(super) clock: Option<Stated>,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) method: Method,
    pub(super) sun_elevation_is: Option<SunElevation>,
    pub(super) place: Option<Observation>,
    /// Seconds that the clock is ahead.
    pub(super) ahead: f64,
    /// In m.
    pub(super) focal_length: Option<f64>,
    pub(super) samples: Vec<Sample>,
    /// Share that the percentile holds.
    pub(super) share: f64,
    /// In rad.
    pub(super) within: Option<f64>,
    /// In m/s, with its source.
    pub(super) wind: Option<(f64, Option<String>)>,
    pub(super) limits: Limits,
    pub(super) doubts: Doubts,
}

const FOCAL_LENGTH: Place =
    between("focal_length", "distance of the target", &[Dimension::Length], (0, 100, "m"));
const ACROSS: Place =
    between("offset_across", "offset of the spot to the side", &[Dimension::Length], (-5, 5, "m"));
const UP: Place =
    between("offset_up", "offset of the spot in height", &[Dimension::Length], (-5, 5, "m"));
const WIND: Place = between("wind", "wind speed", &[Dimension::Speed], (0, 80, "m/s"));
const PERCENTILE: Place =
    between("percentile", "share of the percentile", &[Dimension::Ratio], (0, 100, "%"));
const WITHIN: Place =
    between("within", "error that samples are counted within", &[Dimension::Angle], (0, 10, "°"));
/// Share of the percentile where none is asked for. Common practice, no source.
const USUAL_SHARE: f64 = 0.95;
/// Fewest samples that a mean and its scatter are taken of.
const FEWEST: usize = 2;
/// Most samples: five hours of seconds.
const MOST: usize = 20_000;
/// Gaps that are named before the reading of a long list stops.
const GAPS: usize = 20;

/// Reads the input; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let Some(method) = input.method else {
        form.miss("method", "how the error was measured");
        return Ok(None);
    };
    form.show("method", "how the error was measured", method.words());
    fits(form, input, method)?;
    let (from, place, ahead) = sun_from(form, input, method)?;
    let focal_length = match method {
        Method::Camera => focal_length(form, input)?,
        _ => None,
    };
    let share = form.may::<Ratio>(&PERCENTILE, input.percentile.as_deref())?;
    let share = share.map_or(USUAL_SHARE, Ratio::fraction);
    if !(share > 0.0 && share <= 1.0) {
        return Err(form.refuse(
            "out_of_range",
            "percentile",
            "The percentile holds no sample.",
            "Give a share above 0 % and up to 100 %; 95 % is usual.",
        ));
    }
    let within = form.may::<Angle>(&WITHIN, input.within.as_deref())?.map(Angle::radians);
    let limits = limits(form, input)?;
    if limits.share_within.is_some() && within.is_none() {
        form.miss("within", WITHIN.meaning);
    }
    let wind = wind(form, input)?;
    let doubts = doubts(form, input)?;
    if input.readings.is_empty() {
        form.miss("readings", "readings of the error");
    }
    if input.readings.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "readings",
            format!("There are more than {MOST} readings."),
            "Give the runs alone, or every tenth second.",
        ));
    }
    if method != Method::Camera && from.is_none() {
        return Ok(None);
    }
    let shown = form.inputs.len();
    let mut samples = Vec::new();
    for (place, reading) in input.readings.iter().enumerate() {
        let sample = form.within(&format!("readings[{place}]"), |form| {
            let sample = sample(form, from.as_ref(), focal_length, reading)?;
            if wind.is_some() && reading.wind.is_none() {
                form.miss("wind", "wind speed of the reading");
            }
            Ok::<_, Refusal>(sample)
        })?;
        samples.extend(sample.map(|sample| Sample { number: place + 1, ..sample }));
        if form.missing.len() > GAPS {
            break;
        }
    }
    form.fold(shown, "readings", "readings of the error", input.readings.len());
    if !form.missing.is_empty() {
        return Ok(None);
    }
    if samples.len() < FEWEST {
        return Err(form.refuse(
            "too_few",
            "readings",
            "One reading has no scatter.",
            "Give every sample of the run, not its mean.",
        ));
    }
    Ok(Some(Survey {
        method,
        sun_elevation_is: input.sun_elevation_is,
        place,
        ahead,
        focal_length,
        samples,
        share,
        within,
        wind,
        limits,
        doubts,
    }))
}

/// Refuses what does not go with the method.
fn fits(form: &Form, input: &Input, method: Method) -> Result<(), Refusal> {
    let stray = match method {
        Method::Camera => [
            ("sun_elevation_is", input.sun_elevation_is.is_some()),
            ("clock_ahead", input.clock_ahead.is_some()),
            ("uncertainty.azimuth", input.uncertainty.azimuth.is_some()),
            ("uncertainty.elevation", input.uncertainty.elevation.is_some()),
            ("uncertainty.clock", input.uncertainty.clock.is_some()),
        ],
        Method::SunGiven => [
            ("focal_length", input.focal_length.is_some()),
            ("clock_ahead", input.clock_ahead.is_some()),
            ("uncertainty.offset", input.uncertainty.offset.is_some()),
            ("uncertainty.focal_length", input.uncertainty.focal_length.is_some()),
            ("uncertainty.clock", input.uncertainty.clock.is_some()),
        ],
        Method::SunComputed => [
            ("focal_length", input.focal_length.is_some()),
            ("sun_elevation_is", input.sun_elevation_is.is_some()),
            ("uncertainty.offset", input.uncertainty.offset.is_some()),
            ("uncertainty.focal_length", input.uncertainty.focal_length.is_some()),
            ("", false),
        ],
    };
    match stray.into_iter().find(|(_, given)| *given) {
        Some((field, _)) => Err(form.refuse(
            "does_not_belong",
            field,
            format!("“{field}” has no part in this method ({}).", method.words()),
            "Take it out, or choose the method that it belongs to.",
        )),
        None => Ok(()),
    }
}

type From = (Option<SunFrom>, Option<Observation>, f64);

/// Where the sun comes from; none when something is missing or a camera looks at it.
fn sun_from(form: &mut Form, input: &Input, method: Method) -> Result<From, Refusal> {
    let (barometer, temperature) = (input.barometer.as_deref(), input.temperature.as_deref());
    Ok(match (method, input.sun_elevation_is) {
        (Method::Camera, _) => (None, None, 0.0),
        (Method::SunGiven, Some(SunElevation::Geometric)) => {
            form.show("sun_elevation_is", "elevations of the sun", "without air");
            let air = pointing::air(form, barometer, temperature)?;
            (air.map(SunFrom::Geometric), None, 0.0)
        }
        (Method::SunGiven, seen) => {
            if seen.is_some() {
                form.show("sun_elevation_is", "elevations of the sun", "as seen");
            }
            (Some(SunFrom::Given), None, 0.0)
        }
        (Method::SunComputed, _) => {
            let texts = PlaceTexts {
                latitude: input.latitude.as_deref(),
                longitude: input.longitude.as_deref(),
                altitude: input.altitude.as_deref(),
                barometer,
                temperature,
                delta_t: input.delta_t.as_deref(),
            };
            let computed = Computed::read(form, &texts, input.clock_ahead.as_deref())?;
            let ahead = computed.as_ref().map_or(0.0, |computed| computed.ahead);
            (computed.as_ref().map(Computed::sun), computed.map(|computed| computed.place), ahead)
        }
    })
}

fn focal_length(form: &mut Form, input: &Input) -> Result<Option<f64>, Refusal> {
    let read = form.take::<Length>(&FOCAL_LENGTH, input.focal_length.as_deref())?;
    match read.map(Length::metres) {
        Some(metres) if metres <= 0.0 => Err(form.refuse(
            "out_of_range",
            "focal_length",
            "The target has no distance from the mirror.",
            "Give the distance from the vertex of the mirror to the target.",
        )),
        other => Ok(other),
    }
}

fn wind(form: &mut Form, input: &Input) -> Result<Option<(f64, Option<String>)>, Refusal> {
    let Some(condition) = &input.wind else { return Ok(None) };
    let read = form.within("wind", |form| {
        let place = Place { field: "value", ..WIND };
        form.take::<Speed>(&place, condition.value.as_deref())
    })?;
    Ok(read.map(|speed| (speed.metres_per_second(), condition.source.clone())))
}

fn limits(form: &mut Form, input: &Input) -> Result<Limits, Refusal> {
    let given = &input.limits;
    form.within("limits", |form| {
        let mut at_most = |field, meaning, limit: &Option<StatedLimit>| {
            limit::read::<Angle>(form, field, meaning, Side::AtMost, limit.as_ref())
        };
        Ok(Limits {
            rms_each_axis: at_most(
                "rms_each_axis",
                "limit of the RMS of an axis",
                &given.rms_each_axis,
            )?,
            rms: at_most("rms", "limit of the RMS of both axes", &given.rms)?,
            percentile: at_most("percentile", "limit of the percentile", &given.percentile)?,
            largest: at_most("largest", "limit of the largest error", &given.largest)?,
            mean: at_most("mean", "limit of the mean error", &given.mean)?,
            share_within: limit::read(
                form,
                "share_within",
                "limit of the share",
                Side::AtLeast,
                given.share_within.as_ref(),
            )?,
        })
    })
}

fn doubts(form: &mut Form, input: &Input) -> Result<Doubts, Refusal> {
    const ANGLE: &[Dimension] = &[Dimension::Angle];
    const LENGTH: &[Dimension] = &[Dimension::Length];
    let given = &input.uncertainty;
    form.within("uncertainty", |form| {
        let mut read = |field, meaning, dimensions, statement: &Option<_>| {
            let read = stated(form, field, meaning, dimensions, statement.as_ref())?;
            // A share of an azimuth says nothing: it depends on where north is.
            let share = statement.as_ref().is_some_and(|s: &crate::Statement| {
                field != "focal_length" && s.value.contains('%')
            });
            if share {
                return Err(form.refuse(
                    "wrong_unit",
                    field,
                    format!("The {meaning} is given in percent, but of what?"),
                    "Give it in its own unit, such as 0.01° or 0.5 s.",
                ));
            }
            Ok(read)
        };
        Ok(Doubts {
            azimuth: read("azimuth", "uncertainty of the azimuth", ANGLE, &given.azimuth)?,
            elevation: read("elevation", "uncertainty of the elevation", ANGLE, &given.elevation)?,
            offset: read("offset", "uncertainty of the target's centre", LENGTH, &given.offset)?,
            focal_length: read(
                "focal_length",
                "uncertainty of the target's distance",
                LENGTH,
                &given.focal_length,
            )?,
            clock: read("clock", "uncertainty of the clock", &[Dimension::Duration], &given.clock)?,
        })
    })
}

fn sample(
    form: &mut Form,
    from: Option<&SunFrom>,
    focal_length: Option<f64>,
    reading: &Reading,
) -> Result<Option<Sample>, Refusal> {
    if let Some(run) = &reading.run {
        form.show("run", "run", run);
    }
    let at = pointing::stamp(form, reading.at.as_deref())?;
    let wind = form.may::<Speed>(&WIND, reading.wind.as_deref())?.map(Speed::metres_per_second);
    let blank = |error| Sample {
        number: 0,
        run: reading.run.clone(),
        at,
        error,
        cosine: None,
        rate: None,
        elevation: None,
        wind,
    };
    let Some(from) = from else {
        return Ok(camera(form, focal_length, reading)?.map(blank));
    };
    if reading.offset_across.is_some() || reading.offset_up.is_some() {
        return Err(form.refuse(
            "does_not_belong",
            "offset_across",
            "An offset of the spot stands beside readings of the axes.",
            "Choose the method camera for spots, or take the offsets out.",
        ));
    }
    let texts = Texts {
        azimuth: reading.azimuth.as_deref(),
        elevation: reading.elevation.as_deref(),
        sun_azimuth: reading.sun_azimuth.as_deref(),
        sun_elevation: reading.sun_elevation.as_deref(),
    };
    let axis = pointing::axis(form, &texts)?;
    let sun = pointing::sun(form, from, &texts, at)?;
    Ok(axis.zip(sun).map(|(axis, sun)| Sample {
        cosine: Some(cos(sun.direction.elevation.radians())),
        rate: sun.rate,
        elevation: Some(sun.direction.elevation.radians()),
        ..blank(pointing::error(axis, sun.direction))
    }))
}

/// The error that a spot shows: its angle is atan(√(dx² + dy²)/f), shared out as the offsets are.
fn camera(
    form: &mut Form,
    focal_length: Option<f64>,
    reading: &Reading,
) -> Result<Option<Error>, Refusal> {
    let axes = [&reading.azimuth, &reading.elevation, &reading.sun_azimuth, &reading.sun_elevation];
    if axes.into_iter().any(Option::is_some) {
        return Err(form.refuse(
            "does_not_belong",
            "azimuth",
            "A reading of the axes or of the sun stands beside an offset of the spot.",
            "Choose the method sun-given or sun-computed for axes, or take the directions out.",
        ));
    }
    let across = form.take::<Length>(&ACROSS, reading.offset_across.as_deref())?;
    let up = form.take::<Length>(&UP, reading.offset_up.as_deref())?;
    let (Some(across), Some(up), Some(f)) = (across, up, focal_length) else { return Ok(None) };
    let (x, y) = (across.metres(), up.metres());
    let length = libm::sqrt(x * x + y * y);
    let scale = if length > 0.0 { atan(length / f) / length } else { 0.0 };
    Ok(Some(Error { across: scale * x, up: scale * y }))
}
