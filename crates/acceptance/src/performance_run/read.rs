//! The input as readings; and what of it is missing.

use quantity::{
    Decimal, Dimension, Duration, Field, Irradiance, Power, Ratio, Reading, Si, Speed,
    StandardUncertainty, Temperature,
};

use super::input::{Input, RelativeDoubt, StatedLimit};
use super::samples::{self, Channel};
use crate::Refusal;
use crate::doubt::coverage;
use crate::form::{Form, Place, exact};
use crate::pressure_decay::{Distribution, Rule};
use crate::time::Moment;

/// The contract's model, in kW, W/m², K and fractions.
#[derive(Debug, Clone)]
pub(super) struct Model {
    pub(super) a: f64,
    pub(super) b: f64,
    pub(super) c: f64,
    /// Kelvin.
    pub(super) t_ref: f64,
    pub(super) rho_ref: f64,
    pub(super) source: String,
}

impl Model {
    /// What the irradiance gives before fixed losses and temperature, in kW.
    pub(super) fn gained(&self, irradiance: f64, rho: f64) -> f64 {
        self.a * irradiance * rho / self.rho_ref
    }

    /// The factor for the temperature of the air.
    pub(super) fn warmth(&self, kelvins: f64) -> f64 {
        1.0 - self.c * (kelvins - self.t_ref)
    }

    /// The expected output in kW.
    pub(super) fn expected(&self, irradiance: f64, kelvins: f64, rho: f64) -> f64 {
        (self.gained(irradiance, rho) - self.b) * self.warmth(kelvins)
    }
}

/// A statement about an instrument.
#[derive(Debug, Clone)]
pub(super) struct Stated {
    /// As a fraction of the value.
    pub(super) standard: f64,
    pub(super) text: String,
}

/// A limit as read, in the coherent SI unit.
#[derive(Debug, Clone)]
pub(super) struct Limit {
    pub(super) value: f64,
    pub(super) text: String,
    pub(super) source: Option<String>,
}

/// All limits.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    pub(super) ratio: Limit,
    /// With the digits typed, as a number.
    pub(super) ratio_typed: Decimal,
    pub(super) rule: Rule,
    pub(super) reflectance: Limit,
    pub(super) reflectance_points: Limit,
    pub(super) reflectance_age: Limit,
    pub(super) irradiance: Limit,
    pub(super) irradiance_change: Limit,
    pub(super) wind: Limit,
    pub(super) missing: Limit,
    pub(super) intervals: Limit,
    pub(super) interval_length: i64,
    pub(super) lag: Limit,
    pub(super) noon: Limit,
}

/// How noon is known.
#[derive(Debug, Clone, Copy)]
pub(super) enum Noon {
    /// As given.
    Given(Moment),
    /// To be worked out for a longitude, in radians, at a latitude.
    At { latitude: f64, longitude: f64 },
}

/// A whole run, read.
#[derive(Debug, Clone)]
pub(super) struct Run {
    pub(super) irradiance: Channel,
    pub(super) power: Channel,
    pub(super) ambient: Channel,
    pub(super) wind: Channel,
    pub(super) clock_offsets: [i64; 2],
    pub(super) model: Model,
    /// The readings of the survey, as fractions.
    pub(super) reflectance: Vec<f64>,
    pub(super) reflectance_at: Moment,
    pub(super) noon: Noon,
    pub(super) doubt: [Stated; 3],
    pub(super) limits: Limits,
}

const fn place(
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
) -> Place {
    Place { field, meaning, dimensions, plausible: None }
}

const fn within(at: Place, range: (i64, i64, &'static str)) -> Place {
    Place { plausible: Some(range), ..at }
}

const RATIO: &[Dimension] = &[Dimension::Ratio];
const TIME: &[Dimension] = &[Dimension::Duration];
const ANGLE: &[Dimension] = &[Dimension::Angle];
const PERCENT: (i64, i64, &str) = (0, 100, "%");

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Run>, Refusal> {
    let logger = clock(
        form,
        ("clock_offsets.irradiance", "logger's clock ahead of true time by"),
        &input.clock_offsets.irradiance,
    )?;
    let meter = clock(
        form,
        ("clock_offsets.power", "meter's clock ahead of true time by"),
        &input.clock_offsets.power,
    )?;
    let (of_logger, of_meter) = (logger.unwrap_or(0), meter.unwrap_or(0));
    let at = |field, meaning| place(field, meaning, &[]);
    let irradiance = samples::read::<Irradiance>(
        form,
        &at("irradiance", "direct irradiance"),
        input.irradiance.as_ref(),
        of_logger,
    )?;
    let power =
        samples::read::<Power>(form, &at("power", "net power"), input.power.as_ref(), of_meter)?;
    let ambient = samples::read::<Temperature>(
        form,
        &at("ambient", "air temperature"),
        input.ambient.as_ref(),
        of_logger,
    )?;
    let wind =
        samples::read::<Speed>(form, &at("wind", "wind speed"), input.wind.as_ref(), of_logger)?;
    let model = model(form, input)?;
    let reflectance = reflectance(form, input)?;
    let survey = "moment of the reflectance survey";
    let reflectance_at =
        Moment::read(form, "reflectance_at", survey, input.reflectance_at.as_deref())?;
    if reflectance_at.is_none() {
        form.miss("reflectance_at", survey);
    }
    let noon = noon(form, input)?;
    let doubt = doubts(form, input)?;
    let limits = limits(form, input)?;
    let (Some(irradiance), Some(power), Some(ambient), Some(wind)) =
        (irradiance, power, ambient, wind)
    else {
        return Ok(None);
    };
    let (Some(model), Some(reflectance_at), Some(noon), Some(doubt), Some(limits)) =
        (model, reflectance_at, noon, doubt, limits)
    else {
        return Ok(None);
    };
    let (Some(logger), Some(meter), false) = (logger, meter, reflectance.is_empty()) else {
        return Ok(None);
    };
    for (channel, field) in [
        (&irradiance, "irradiance.interval"),
        (&power, "power.interval"),
        (&ambient, "ambient.interval"),
        (&wind, "wind.interval"),
    ] {
        fits(channel, field, limits.interval_length)?;
    }
    Ok(Some(Run {
        irradiance,
        power,
        ambient,
        wind,
        clock_offsets: [logger, meter],
        model,
        reflectance,
        reflectance_at,
        noon,
        doubt,
        limits,
    }))
}

/// The step of a series divides the interval.
fn fits(channel: &Channel, field: &str, interval: i64) -> Result<(), Refusal> {
    if interval % channel.step == 0 {
        return Ok(());
    }
    Err(Refusal::new(
        "step_does_not_fit",
        field,
        format!("A step of {} s does not divide an interval of {interval} s.", channel.step),
        "Log in steps that divide the interval, or take another interval into the criteria.",
    ))
}

/// The whole seconds that a clock is ahead.
fn clock(
    form: &mut Form,
    (field, meaning): (&'static str, &'static str),
    text: &Option<String>,
) -> Result<Option<i64>, Refusal> {
    let place = within(place(field, meaning, TIME), (-3600, 3600, "s"));
    let Some(reading) = form.needed(&place, text.as_deref())? else { return Ok(None) };
    let seconds = exact::<Duration>(&place, &reading)?.seconds();
    #[expect(clippy::cast_possible_truncation, reason = "at most an hour")]
    Ok(Some(libm::round(seconds) as i64))
}

fn model(form: &mut Form, input: &Input) -> Result<Option<Model>, Refusal> {
    let typed = &input.model;
    let a = constant(
        form,
        ("model.a", "output for each unit of irradiance"),
        typed.a.as_deref(),
        (&["kW/(W/m²)", "kW/(W/m2)", "kW·m²/W"], "0.02415 kW/(W/m²)"),
    )?;
    let b = place("model.b", "fixed losses", &[Dimension::Power]);
    let b = quantity_of::<Power>(form, &b, typed.b.as_deref())?;
    let c = constant(
        form,
        ("model.c", "share lost for each kelvin"),
        typed.c.as_deref(),
        (&["1/K", "/K", "K⁻¹"], "0.0025 1/K"),
    )?;
    let t_ref = place("model.t_ref", "reference air temperature", &[Dimension::Temperature]);
    let t_ref = quantity_of::<Temperature>(form, &t_ref, typed.t_ref.as_deref())?;
    let rho_ref = within(place("model.rho_ref", "reference reflectance", RATIO), PERCENT);
    let rho_ref = positive(form, &rho_ref, typed.rho_ref.as_deref())?;
    let source = typed.source.clone().unwrap_or_else(|| "no source was given".to_owned());
    form.show("model.source", "source of the model", &source);
    let (Some(a), Some(b), Some(c), Some(t_ref), Some(rho_ref)) = (a, b, c, t_ref, rho_ref) else {
        return Ok(None);
    };
    Ok(Some(Model { a, b: b / 1e3, c, t_ref, rho_ref, source }))
}

/// A constant in a unit that has no table: the unit is one of the spellings given.
fn constant(
    form: &mut Form,
    (field, meaning): (&str, &str),
    text: Option<&str>,
    (units, example): (&[&str], &str),
) -> Result<Option<f64>, Refusal> {
    let Some(text) = text else {
        form.miss(field, meaning);
        return Ok(None);
    };
    form.show(field, meaning, text);
    let trimmed = text.trim();
    let number = units.iter().find_map(|unit| trimmed.strip_suffix(unit)).map(str::trim);
    let value = number
        .and_then(|number| quantity::parse(number, &Field::of(Dimension::Ratio)).ok())
        .filter(|reading| reading.unit().symbol() == "1")
        .and_then(|reading| Ratio::from_reading(&reading).ok())
        .map(Ratio::fraction)
        .filter(|value| *value >= 0.0);
    value.map(Some).ok_or_else(|| {
        Refusal::new(
            "malformed",
            field,
            format!("The {meaning} can't be read: “{text}”."),
            format!("Type it as {example}."),
        )
    })
}

fn quantity_of<Q: Si>(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    let Some(reading) = form.needed(place, text)? else { return Ok(None) };
    Ok(Some(exact::<Q>(place, &reading)?.si()))
}

/// A fraction above zero.
fn positive(form: &mut Form, place: &Place, text: Option<&str>) -> Result<Option<f64>, Refusal> {
    let value = quantity_of::<Ratio>(form, place, text)?;
    form.above_zero(place, value)
}

fn reflectance(form: &mut Form, input: &Input) -> Result<Vec<f64>, Refusal> {
    let place = within(place("reflectance", "reflectance of the mirrors", RATIO), PERCENT);
    let mut readings = Vec::new();
    for (name, text) in &input.reflectance {
        let value = positive(form, &place, Some(text))?;
        if let Some(shown) = form.inputs.last_mut() {
            shown.field = format!("reflectance.{name}");
        }
        readings.extend(value);
    }
    if readings.is_empty() {
        form.miss(place.field, place.meaning);
    }
    Ok(readings)
}

fn noon(form: &mut Form, input: &Input) -> Result<Option<Noon>, Refusal> {
    let given = Moment::read(form, "noon", "solar noon", input.noon.as_deref())?;
    if let Some(given) = given {
        return Ok(Some(Noon::Given(given)));
    }
    if input.latitude.is_none() && input.longitude.is_none() {
        form.miss("noon", "solar noon, or latitude and longitude");
        return Ok(None);
    }
    let latitude = within(place("latitude", "latitude", ANGLE), (-90, 90, "°"));
    let latitude = quantity_of::<quantity::Angle>(form, &latitude, input.latitude.as_deref())?;
    let longitude = within(place("longitude", "longitude", ANGLE), (-180, 180, "°"));
    let longitude = quantity_of::<quantity::Angle>(form, &longitude, input.longitude.as_deref())?;
    Ok(latitude.zip(longitude).map(|(latitude, longitude)| Noon::At { latitude, longitude }))
}

fn doubts(form: &mut Form, input: &Input) -> Result<Option<[Stated; 3]>, Refusal> {
    let typed = &input.uncertainty;
    let of = |form: &mut Form, field, meaning, doubt: &Option<RelativeDoubt>| {
        doubt_of(form, &within(place(field, meaning, RATIO), PERCENT), doubt.as_ref())
    };
    let irradiance =
        of(form, "uncertainty.irradiance", "uncertainty of the irradiance", &typed.irradiance)?;
    let power = of(form, "uncertainty.power", "uncertainty of the power", &typed.power)?;
    let reflectance =
        of(form, "uncertainty.reflectance", "uncertainty of the reflectance", &typed.reflectance)?;
    let (Some(irradiance), Some(power), Some(reflectance)) = (irradiance, power, reflectance)
    else {
        return Ok(None);
    };
    Ok(Some([irradiance, power, reflectance]))
}

fn doubt_of(
    form: &mut Form,
    place: &Place,
    doubt: Option<&RelativeDoubt>,
) -> Result<Option<Stated>, Refusal> {
    let Some(reading) = form.needed(place, doubt.map(|doubt| doubt.value.as_str()))? else {
        return Ok(None);
    };
    let Some(doubt) = doubt else { return Ok(None) };
    let size = exact::<Ratio>(place, &reading)?.fraction();
    let factor = doubt.coverage_factor.as_deref();
    let k = coverage(place.field, place.meaning, doubt.distribution, factor)?;
    let (standard, words) = match doubt.distribution {
        Distribution::Rectangular => (StandardUncertainty::rectangular(size), "rectangular (/√3)"),
        Distribution::Triangular => (StandardUncertainty::triangular(size), "triangular (/√6)"),
        Distribution::Standard => (StandardUncertainty::standard(size), "standard uncertainty"),
        Distribution::Expanded => (StandardUncertainty::expanded(size, k), "expanded"),
    };
    let text = match doubt.distribution {
        Distribution::Expanded => format!("±{reading}, {words} with k = {k}"),
        _ => format!("±{reading}, {words}"),
    };
    Ok(Some(Stated { standard: standard.value(), text }))
}

/// A limit; its absence is noted.
fn limit<Q: Si>(
    form: &mut Form,
    place: &Place,
    limit: &StatedLimit,
) -> Result<Option<(Limit, Reading)>, Refusal> {
    let Some(reading) = form.needed(place, limit.value.as_deref())? else { return Ok(None) };
    let value = exact::<Q>(place, &reading)?.si();
    if value < 0.0 {
        return Err(Refusal::new(
            "out_of_range",
            place.field,
            format!("The {} is negative.", place.meaning),
            "Type the limit without sign.",
        ));
    }
    let text = limit.value.clone().unwrap_or_default().trim().to_owned();
    Ok(Some((Limit { value, text, source: limit.source.clone() }, reading)))
}

fn limits(form: &mut Form, input: &Input) -> Result<Option<Limits>, Refusal> {
    let typed = &input.limits;
    let ratio_place =
        within(place("limits.ratio.value", "limit of the ratio", RATIO), (0, 200, "%"));
    let stated =
        StatedLimit { value: typed.ratio.value.clone(), source: typed.ratio.source.clone() };
    let ratio = limit::<Ratio>(form, &ratio_place, &stated)?;
    match typed.ratio.rule {
        Some(Rule::Simple) => form.show("limits.ratio.rule", "decision rule", "simple"),
        Some(Rule::Guarded) => form.show("limits.ratio.rule", "decision rule", "guarded"),
        None => form.miss("limits.ratio.rule", "decision rule, simple or guarded"),
    }
    let mut fraction = |field, meaning, range, stated| {
        limit::<Ratio>(form, &within(place(field, meaning, RATIO), range), stated)
    };
    let reflectance =
        fraction("limits.reflectance", "reflectance asked for", PERCENT, &typed.reflectance)?;
    let change = fraction(
        "limits.irradiance_change",
        "change of irradiance allowed",
        PERCENT,
        &typed.irradiance_change,
    )?;
    let missing = fraction("limits.missing", "missing share allowed", PERCENT, &typed.missing)?;
    let count = (1, 1000, "1");
    let points = fraction(
        "limits.reflectance_points",
        "readings of reflectance asked for",
        count,
        &typed.reflectance_points,
    )?;
    let intervals =
        fraction("limits.intervals", "steady intervals asked for", count, &typed.intervals)?;
    let mut time =
        |field, meaning, stated| limit::<Duration>(form, &place(field, meaning, TIME), stated);
    let age = time("limits.reflectance_age", "age of the survey allowed", &typed.reflectance_age)?;
    let length = time("limits.interval_length", "length of an interval", &typed.interval_length)?;
    let lag = time("limits.lag", "lag allowed", &typed.lag)?;
    let noon = time("limits.noon", "distance from solar noon allowed", &typed.noon)?;
    let irradiance = place("limits.irradiance", "irradiance asked for", &[Dimension::Irradiance]);
    let irradiance = limit::<Irradiance>(form, &irradiance, &typed.irradiance)?;
    let wind = place("limits.wind", "wind allowed", &[Dimension::Speed]);
    let wind = limit::<Speed>(form, &wind, &typed.wind)?;
    let (Some(ratio), Some(rule), Some(reflectance), Some(points), Some(age)) =
        (ratio, typed.ratio.rule, reflectance, points, age)
    else {
        return Ok(None);
    };
    let (Some(irradiance), Some(change), Some(wind), Some(missing), Some(intervals)) =
        (irradiance, change, wind, missing, intervals)
    else {
        return Ok(None);
    };
    let (Some(length), Some(lag), Some(noon)) = (length, lag, noon) else { return Ok(None) };
    let length_place = place("limits.interval_length", "length of an interval", TIME);
    Ok(Some(Limits {
        ratio_typed: ratio.1.base(),
        ratio: ratio.0,
        rule,
        reflectance: reflectance.0,
        reflectance_points: points.0,
        reflectance_age: age.0,
        irradiance: irradiance.0,
        irradiance_change: change.0,
        wind: wind.0,
        missing: missing.0,
        intervals: intervals.0,
        interval_length: samples::whole_seconds(&length_place, length.0.value)?,
        lag: lag.0,
        noon: noon.0,
    }))
}
