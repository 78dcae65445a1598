//! What the calculation takes, and reading it.

use quantity::{
    AbsolutePressure, Dimension, Duration, Length, MassDensity, Ratio, Speed, Temperature,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::model::{Averaging, Profile, durst, same};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::steps::plain;
use crate::{Refusal, Statement, limit, schema};

/// A published curve of averaging times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Curve {
    /// Durst's curve: open country, 10 m, strong wind, 1 s to 1 h.
    Durst,
}

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// What the wind instrument shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::speed")]
    pub speed: Option<String>,
    /// Height of the instrument above ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub height: Option<String>,
    /// Time over which the instrument averages: 3 s for a gust, 10 min for a mean.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub averaging: Option<String>,
    /// Height that the limit is stated for, or that the speed is wanted at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub at_height: Option<String>,
    /// Averaging time that the limit is stated for, or that the speed is wanted over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub at_averaging: Option<String>,
    /// Largest wind speed, at that height and over that time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// Exponent of the power law, such as 0.143 over open ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::signed_number")]
    pub exponent: Option<String>,
    /// Roughness length for the logarithmic law instead, such as 0.03 m over short grass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub roughness: Option<String>,
    /// Displacement height of the logarithmic law; none over open ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub displacement: Option<String>,
    /// Published curve for the averaging time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Curve")]
    pub averaging_curve: Option<Curve>,
    /// Or the site's own gust factor: the shorter averaging over the longer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub gust_factor: Option<String>,
    /// Or turbulence intensity, with the peak factor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub turbulence_intensity: Option<String>,
    /// Peak factor beside the turbulence intensity, such as 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub peak_factor: Option<String>,
    /// Density of the air, for the pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::mass_density")]
    pub air_density: Option<String>,
    /// Or the barometer reading of the site, with the air temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Air temperature beside the barometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub air_temperature: Option<String>,
    /// What is stated about reading and model.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// What is stated about reading and model.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the wind instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub speed: Option<Statement>,
    /// Of the exponent, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub exponent: Option<Statement>,
    /// Of the roughness length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub roughness: Option<Statement>,
    /// Of the factor between the averaging times, in percent of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub averaging: Option<Statement>,
}

/// A place and averaging time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stand {
    /// In m.
    pub(super) height: f64,
    /// In s.
    pub(super) averaging: f64,
}

/// How the air's density came about, in kg/m³.
#[derive(Debug, Clone, Copy)]
pub(super) enum Air {
    Stated(f64),
    /// Density, from pressure in Pa and temperature in K.
    From(f64, f64, f64),
}

impl Air {
    pub(super) const fn density(self) -> f64 {
        match self {
            Self::Stated(density) | Self::From(density, ..) => density,
        }
    }
}

/// Gas constant of dry air in J/(kg·K): ISO 2533.
pub(super) const R_AIR: f64 = 287.05;

/// What was read.
#[derive(Debug)]
pub(super) struct Wind {
    pub(super) speed: f64,
    pub(super) from: Stand,
    pub(super) to: Stand,
    pub(super) profile: Option<Profile>,
    pub(super) averaging: Averaging,
    /// Peak factor and turbulence intensity, where the gust factor was made of them.
    pub(super) gust: Option<(f64, f64)>,
    pub(super) limit: Option<ReadLimit<Speed>>,
    pub(super) air: Option<Air>,
    pub(super) doubt_speed: Option<Stated>,
    pub(super) doubt_profile: Option<Stated>,
    pub(super) doubt_averaging: Option<Stated>,
}

const LENGTH: &[Dimension] = &[Dimension::Length];
const SPEED: Place = between("speed", "wind speed", &[Dimension::Speed], (0, 120, "m/s"));
const HEIGHTS: (i64, i64, &str) = (0, 300, "m");
const HEIGHT: Place = between("height", "height of the instrument", LENGTH, HEIGHTS);
const AT_HEIGHT: Place = between("at_height", "height of the limit", LENGTH, HEIGHTS);
const TIME: &[Dimension] = &[Dimension::Duration];
const AVERAGING: Place = free("averaging", "averaging time of the instrument", TIME);
const AT_AVERAGING: Place = free("at_averaging", "averaging time of the limit", TIME);
const ROUGHNESS: Place = between("roughness", "roughness length", LENGTH, (0, 5, "m"));
const DISPLACEMENT: Place = between("displacement", "displacement height", LENGTH, (0, 50, "m"));
const INTENSITY: Place =
    between("turbulence_intensity", "turbulence intensity", &[Dimension::Ratio], (0, 100, "%"));
const DENSITY: Place = free("air_density", "density of the air", &[Dimension::MassDensity]);
const BAROMETER: Place =
    between("barometer", "barometer reading", &[Dimension::AbsolutePressure], (500, 1100, "hPa"));
const WARMTH: Place =
    between("air_temperature", "air temperature", &[Dimension::Temperature], (-40, 60, "°C"));

fn stand(
    form: &mut Form,
    (height, averaging): (&Place, &Place),
    texts: (Option<&str>, Option<&str>),
) -> Result<Option<Stand>, Refusal> {
    let z = form.take_above_zero::<Length>(height, texts.0)?;
    let t = form.take_above_zero::<Duration>(averaging, texts.1)?;
    Ok(z.zip(t).map(|(height, averaging)| Stand { height, averaging }))
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Wind>, Refusal> {
    let speed = form.take::<Speed>(&SPEED, input.speed.as_deref())?;
    let texts = (input.height.as_deref(), input.averaging.as_deref());
    let from = stand(form, (&HEIGHT, &AVERAGING), texts)?;
    let texts = (input.at_height.as_deref(), input.at_averaging.as_deref());
    let to = stand(form, (&AT_HEIGHT, &AT_AVERAGING), texts)?;
    let profile = profile(form, input, from.zip(to))?;
    let (averaging, gust) = conversion(form, input, from.zip(to))?;
    let limit =
        limit::read(form, "limit", "largest wind speed", Side::AtMost, input.limit.as_ref())?;
    let air = air(form, input)?;
    let doubt = &input.uncertainty;
    let speeds = &[Dimension::Speed];
    let doubt_speed = stated(
        form,
        "uncertainty.speed",
        "uncertainty of the speed",
        speeds,
        doubt.speed.as_ref(),
    )?;
    let of_exponent = stated(
        form,
        "uncertainty.exponent",
        "uncertainty of the exponent",
        &[Dimension::Ratio],
        doubt.exponent.as_ref(),
    )?;
    let of_roughness = stated(
        form,
        "uncertainty.roughness",
        "uncertainty of the roughness length",
        LENGTH,
        doubt.roughness.as_ref(),
    )?;
    let doubt_averaging = stated(
        form,
        "uncertainty.averaging",
        "uncertainty of the averaging factor",
        &[Dimension::Ratio],
        doubt.averaging.as_ref(),
    )?;
    let (Some(speed), Some(from), Some(to), true) = (speed, from, to, form.missing.is_empty())
    else {
        return Ok(None);
    };
    let doubt_profile = match profile {
        Some(Profile::Power(_)) => of_exponent,
        Some(Profile::Logarithmic(..)) => of_roughness,
        None => None,
    };
    Ok(Some(Wind {
        speed: speed.metres_per_second(),
        from,
        to,
        profile,
        averaging,
        gust,
        limit,
        air,
        doubt_speed,
        doubt_profile,
        doubt_averaging,
    }))
}

fn profile(
    form: &mut Form,
    input: &Input,
    stands: Option<(Stand, Stand)>,
) -> Result<Option<Profile>, Refusal> {
    let exponent = plain(
        form,
        "exponent",
        "exponent of the power law",
        (-0.2, 1.0),
        input.exponent.as_deref(),
    )?;
    let roughness = form.may_above_zero::<Length>(&ROUGHNESS, input.roughness.as_deref())?;
    let displacement = form.may::<Length>(&DISPLACEMENT, input.displacement.as_deref())?;
    let profile = match (exponent, roughness) {
        (Some(_), Some(_)) => {
            return Err(form.refuse(
                "two_profiles",
                "roughness",
                "Both an exponent and a roughness length are given.",
                "Give one of them: the exponent for the power law, the roughness for the \
                 logarithmic one.",
            ));
        }
        (Some(exponent), None) => Some(Profile::Power(exponent)),
        (None, Some(z0)) => {
            Some(Profile::Logarithmic(z0, displacement.map_or(0.0, Length::metres)))
        }
        (None, None) => None,
    };
    if let (Some((from, to)), Some(Profile::Logarithmic(z0, d))) = (stands, profile) {
        for (stand, field) in [(from, "height"), (to, "at_height")] {
            if stand.height - d <= 2.0 * z0 {
                return Err(form.refuse(
                    "below_the_profile",
                    field,
                    "The height is not well above displacement and roughness: the logarithmic law \
                     says nothing there.",
                    "Check heights, displacement and roughness length.",
                ));
            }
        }
    }
    if profile.is_none() && stands.is_some_and(|(from, to)| !same(from.height, to.height)) {
        form.miss("exponent", "exponent or roughness length, as the heights differ");
    }
    Ok(profile)
}

type Conversion = (Averaging, Option<(f64, f64)>);

fn conversion(
    form: &mut Form,
    input: &Input,
    stands: Option<(Stand, Stand)>,
) -> Result<Conversion, Refusal> {
    let factor =
        plain(form, "gust_factor", "gust factor", (1.0, 4.0), input.gust_factor.as_deref())?;
    let intensity = form.may::<Ratio>(&INTENSITY, input.turbulence_intensity.as_deref())?;
    let peak = plain(form, "peak_factor", "peak factor", (0.0, 6.0), input.peak_factor.as_deref())?;
    match (intensity, peak) {
        (Some(_), None) => form.miss("peak_factor", "peak factor"),
        (None, Some(_)) => form.miss("turbulence_intensity", "turbulence intensity"),
        _ => {}
    }
    if let Some(Curve::Durst) = input.averaging_curve {
        form.show("averaging_curve", "curve of averaging times", "Durst");
    }
    let made = intensity.zip(peak).map(|(i, g)| (g, i.fraction()));
    let ways =
        [factor.is_some(), intensity.is_some() || peak.is_some(), input.averaging_curve.is_some()];
    if ways.iter().filter(|given| **given).count() > 1 {
        return Err(form.refuse(
            "two_conversions",
            "gust_factor",
            "The averaging times are to be converted in more than one way.",
            "Give one: the curve, the gust factor, or turbulence intensity with peak factor.",
        ));
    }
    let averaging = match (factor, made, input.averaging_curve) {
        (Some(factor), ..) => Averaging::Factor(factor),
        (_, Some((peak, intensity)), _) => Averaging::Factor(1.0 + peak * intensity),
        (.., Some(Curve::Durst)) => Averaging::Durst,
        _ => Averaging::Same,
    };
    let Some((from, to)) = stands else { return Ok((averaging, made)) };
    let differ = !same(from.averaging, to.averaging);
    if matches!(averaging, Averaging::Same) && differ && intensity.is_none() && peak.is_none() {
        form.miss(
            "averaging_curve",
            "curve, gust factor or turbulence intensity, as the averaging times differ",
        );
    }
    if matches!(averaging, Averaging::Durst) && differ {
        for (seconds, field) in [(from.averaging, "averaging"), (to.averaging, "at_averaging")] {
            if durst(seconds).is_none() {
                return Err(form.refuse(
                    "outside_the_curve",
                    field,
                    "The averaging time is not between 1 s and 1 h, where Durst's curve ends.",
                    "State a gust factor of the site instead.",
                ));
            }
        }
    }
    Ok((averaging, made))
}

fn air(form: &mut Form, input: &Input) -> Result<Option<Air>, Refusal> {
    let density = form.may_above_zero::<MassDensity>(&DENSITY, input.air_density.as_deref())?;
    if let Some(density) = density
        && density > 2.0
    {
        return Err(form.refuse(
            "implausible",
            DENSITY.field,
            "Air is never as dense as that.",
            "Sea level is near 1.2 kg/m³; check digits and unit.",
        ));
    }
    let pressure = form.may::<AbsolutePressure>(&BAROMETER, input.barometer.as_deref())?;
    let warmth = form.may::<Temperature>(&WARMTH, input.air_temperature.as_deref())?;
    match (pressure, warmth) {
        (Some(_), None) => form.miss(WARMTH.field, WARMTH.meaning),
        (None, Some(_)) => form.miss(BAROMETER.field, BAROMETER.meaning),
        _ => {}
    }
    match (density, pressure.zip(warmth)) {
        (Some(_), Some(_)) => Err(form.refuse(
            "two_densities",
            DENSITY.field,
            "Both the density and what it follows from are given.",
            "Give the density, or barometer and air temperature.",
        )),
        (Some(density), None) => Ok(Some(Air::Stated(density))),
        (None, Some((pressure, warmth))) => {
            let (p, t) = (pressure.pascals(), warmth.kelvins());
            Ok(Some(Air::From(p / (R_AIR * t), p, t)))
        }
        (None, None) => Ok(None),
    }
}
