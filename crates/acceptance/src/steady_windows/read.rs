//! The input as series and limits; and what of it is missing.

use quantity::{
    Dimension, Duration, Irradiance, Power, Ratio, Si, Speed, Temperature, TemperatureDifference,
};

use super::input::{Criteria, Input};
use crate::Refusal;
use crate::form::{Form, Place, between, free};
use crate::performance_run::SeriesInput;
use crate::performance_run::samples::{self, Channel};
use crate::steps::whole;

/// How far the irradiance may be from its mean.
#[derive(Debug, Clone, Copy)]
pub(super) enum Change {
    /// Share of the mean.
    Share(f64),
    /// W/m².
    Size(f64),
}

impl Change {
    /// Whether a distance from a mean is allowed.
    pub(super) fn allows(self, distance: f64, mean: f64) -> bool {
        match self {
            Self::Share(share) => distance <= share * mean,
            Self::Size(size) => distance <= size,
        }
    }
}

/// The limits, in SI units; lengths in seconds.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    pub(super) minimum: f64,
    pub(super) change: Change,
    pub(super) settle: i64,
    pub(super) shortest: i64,
    pub(super) longest: Option<i64>,
    pub(super) ambient: Option<f64>,
    pub(super) wind: Option<f64>,
    pub(super) gap: i64,
    pub(super) missing: f64,
    pub(super) windows: Option<u32>,
}

/// The whole case, read.
#[derive(Debug, Clone)]
pub(super) struct Case {
    pub(super) irradiance: Channel,
    pub(super) power: Channel,
    pub(super) wind: Option<Channel>,
    pub(super) ambient: Option<Channel>,
    pub(super) on_sun: Option<Channel>,
    pub(super) clocks_known: bool,
    /// Step of the grid, in seconds.
    pub(super) grid: i64,
    pub(super) limits: Limits,
    /// The limits as typed, for sentences.
    pub(super) typed: Criteria,
}

const TIME: &[Dimension] = &[Dimension::Duration];
const IRRADIANCE: &[Dimension] = &[Dimension::Irradiance];
const CHANGE: &[Dimension] = &[Dimension::Irradiance, Dimension::Ratio];

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    let clocks = &input.clock_offsets;
    let logger = ahead(form, "clock_offsets.irradiance", clocks.irradiance.as_deref())?;
    let meter = ahead(form, "clock_offsets.power", clocks.power.as_deref())?;
    let at = |field, meaning| free(field, meaning, &[]);
    let (early, late) = (logger.unwrap_or(0), meter.unwrap_or(0));
    let irradiance = samples::read::<Irradiance>(
        form,
        &at("irradiance", "direct irradiance"),
        input.irradiance.as_ref(),
        early,
    )?;
    let power =
        samples::read::<Power>(form, &at("power", "net power"), input.power.as_ref(), late)?;
    let criteria = &input.criteria;
    let wind = at("wind", "wind speed");
    let wind = optional::<Speed>(form, &wind, (&input.wind, early), criteria.wind.is_some())?;
    let ambient = at("ambient", "air temperature");
    let limited = criteria.ambient_change.is_some();
    let ambient = optional::<Temperature>(form, &ambient, (&input.ambient, early), limited)?;
    let on_sun = at("on_sun", "dish on the sun");
    let on_sun = optional::<Ratio>(form, &on_sun, (&input.on_sun, early), false)?;
    let limits = form.within("criteria", |form| limits(form, &input.criteria))?;
    let (Some(irradiance), Some(power), Some(limits)) = (irradiance, power, limits) else {
        return Ok(None);
    };
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let grid = irradiance.step.max(power.step);
    let case = Case {
        irradiance,
        power,
        wind,
        ambient,
        on_sun,
        clocks_known: logger.is_some() && meter.is_some(),
        grid,
        limits,
        typed: input.criteria.clone(),
    };
    fits(&case)?;
    Ok(Some(case))
}

/// A series that may be absent, unless it has a limit.
fn optional<Q: Si>(
    form: &mut Form,
    place: &Place,
    (series, ahead): (&Option<SeriesInput>, i64),
    limited: bool,
) -> Result<Option<Channel>, Refusal> {
    if series.is_none() && !limited {
        return Ok(None);
    }
    samples::read::<Q>(form, place, series.as_ref(), ahead)
}

/// Steps of the series fit the grid.
fn fits(case: &Case) -> Result<(), Refusal> {
    let grid = case.grid;
    let every = [
        ("irradiance.interval", Some(&case.irradiance)),
        ("power.interval", Some(&case.power)),
        ("wind.interval", case.wind.as_ref()),
        ("ambient.interval", case.ambient.as_ref()),
        ("on_sun.interval", case.on_sun.as_ref()),
    ];
    for (field, channel) in every {
        let Some(step) = channel.map(|channel| channel.step) else { continue };
        if grid % step != 0 && step % grid != 0 {
            return Err(Refusal::new(
                "step_does_not_fit",
                field,
                format!("A step of {step} s does not fit a grid of {grid} s."),
                "Export the series in steps of which one divides the other.",
            ));
        }
    }
    Ok(())
}

/// Whole seconds that a clock is ahead; none when nothing is said.
fn ahead(form: &mut Form, field: &'static str, text: Option<&str>) -> Result<Option<i64>, Refusal> {
    let place = between(field, "clock ahead of true time by", TIME, (-3600, 3600, "s"));
    let Some(length) = form.may::<Duration>(&place, text)? else { return Ok(None) };
    #[expect(clippy::cast_possible_truncation, reason = "at most an hour")]
    Ok(Some(libm::round(length.seconds()) as i64))
}

/// A length of time in whole seconds.
fn seconds(form: &mut Form, place: &Place, text: Option<&str>) -> Result<Option<i64>, Refusal> {
    let Some(length) = form.may::<Duration>(place, text)? else { return Ok(None) };
    #[expect(clippy::cast_possible_truncation, reason = "the place keeps it within a day")]
    Ok(Some(libm::round(length.seconds()) as i64))
}

fn limits(form: &mut Form, typed: &Criteria) -> Result<Option<Limits>, Refusal> {
    const MINIMUM: Place =
        between("minimum_irradiance", "irradiance asked for", IRRADIANCE, (1, 1400, "W/m²"));
    const SETTLE: Place = between("settle", "settling time", TIME, (0, 24, "h"));
    const SHORTEST: Place = between("minimum_length", "shortest window", TIME, (1, 86_400, "s"));
    const LONGEST: Place = between("maximum_length", "longest window", TIME, (1, 86_400, "s"));
    const GAP: Place = between("longest_gap", "longest gap bridged", TIME, (0, 3600, "s"));
    const AIR: Place = between(
        "ambient_change",
        "change of air temperature allowed",
        &[Dimension::TemperatureDifference],
        (0, 50, "K"),
    );
    const WIND: Place = between("wind", "wind allowed", &[Dimension::Speed], (0, 60, "m/s"));
    const MISSING: Place =
        between("missing", "missing share allowed", &[Dimension::Ratio], (0, 90, "%"));
    let minimum = form.take::<Irradiance>(&MINIMUM, typed.minimum_irradiance.as_deref())?;
    let change = change(form, typed.irradiance_change.as_deref())?;
    for (place, text) in [(SETTLE, &typed.settle), (SHORTEST, &typed.minimum_length)] {
        if text.is_none() {
            form.miss(place.field, place.meaning);
        }
    }
    let settle = seconds(form, &SETTLE, typed.settle.as_deref())?;
    let shortest = seconds(form, &SHORTEST, typed.minimum_length.as_deref())?;
    let longest = seconds(form, &LONGEST, typed.maximum_length.as_deref())?;
    let ambient = form.may::<TemperatureDifference>(&AIR, typed.ambient_change.as_deref())?;
    let wind = form.may::<Speed>(&WIND, typed.wind.as_deref())?;
    let gap = seconds(form, &GAP, typed.longest_gap.as_deref())?;
    let missing = form.may::<Ratio>(&MISSING, typed.missing.as_deref())?;
    let windows = whole(form, "windows", "number of windows", (1, 1000), typed.windows.as_deref())?;
    if let Some(source) = &typed.source {
        form.show("source", "source of the limits", source);
    }
    if let (Some(shortest), Some(longest)) = (shortest, longest)
        && longest < shortest
    {
        return Err(form.refuse(
            "contradiction",
            LONGEST.field,
            "The longest window is shorter than the shortest.",
            "Exchange them if they are mixed up; give both the same for windows of one length.",
        ));
    }
    let (Some(minimum), Some(change), Some(settle), Some(shortest)) =
        (minimum, change, settle, shortest)
    else {
        return Ok(None);
    };
    Ok(Some(Limits {
        minimum: minimum.watts_per_square_metre(),
        change,
        settle,
        shortest,
        longest,
        ambient: ambient.map(TemperatureDifference::kelvins),
        wind: wind.map(Speed::metres_per_second),
        gap: gap.unwrap_or(0),
        missing: missing.map_or(0.0, Ratio::fraction),
        windows,
    }))
}

fn change(form: &mut Form, text: Option<&str>) -> Result<Option<Change>, Refusal> {
    let place = free("irradiance_change", "change of irradiance allowed", CHANGE);
    let Some(reading) = form.needed(&place, text)? else { return Ok(None) };
    let found = match reading.dimension() {
        Dimension::Ratio => Ratio::from_reading(&reading).ok().map(|r| Change::Share(r.fraction())),
        _ => Irradiance::from_reading(&reading)
            .ok()
            .map(|size| Change::Size(size.watts_per_square_metre())),
    };
    match found {
        Some(Change::Share(share)) if share > 0.0 && share < 1.0 => Ok(found),
        Some(Change::Size(size)) if size > 0.0 && size < 1500.0 => Ok(found),
        _ => Err(form.refuse(
            "out_of_range",
            place.field,
            format!("The {} can't be “{}”.", place.meaning, text.unwrap_or_default()),
            "Give it as 5 % or as 50 W/m², above zero.",
        )),
    }
}
