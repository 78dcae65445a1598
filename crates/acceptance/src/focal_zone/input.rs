//! The input as JSON, and read.

use quantity::{Angle, Area, Dimension, Duration, Irradiance, Length, Ratio};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::levels::{self, Level};
use super::optics::{Beam, Dish};
use crate::form::{Form, Place, between};
use crate::{Refusal, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Diameter of the dish from rim to rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aperture_diameter: Option<String>,
    /// Focal length of the dish.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Reflectance of the mirrors, clean.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub reflectance: Option<String>,
    /// Direct irradiance, the most that is expected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Standard deviation of a reflected ray along one axis, sun included. Left out, the worst of a
    /// list is taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub ray_error: Option<String>,
    /// Peak concentration, where it is known; nothing is printed above it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub peak_concentration: Option<String>,
    /// A single facet, for its own beam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Facet")]
    pub facet: Option<Facet>,
    /// Levels of the site's own; up to 8.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub levels: Vec<OwnLevel>,
    /// How long skin and eye may be in the light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub exposure: Option<String>,
    /// Places by their distance from the focal point; up to 12.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<Spot>,
}

/// A facet of the mirror.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Facet {
    /// Its area. Left out, its beam is not limited by it, and more is printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub area: Option<String>,
    /// Its focal length, where all facets have the same. Left out, each focuses at the dish's focal
    /// point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Blur of its beam: standard deviation of a ray along one axis, without the sun. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub blur: Option<String>,
}

/// A level of the site's own.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OwnLevel {
    /// What it is for.
    pub name: String,
    /// The irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Where it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// A place.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// What it is called.
    pub name: String,
    /// Its distance from the focal point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub distance: Option<String>,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Zone {
    pub(super) dish: Dish,
    pub(super) facet: ReadFacet,
    /// Built-in, by exposure, and own, from the highest.
    pub(super) levels: Vec<Level>,
    /// Name, and metres from the focal point.
    pub(super) places: Vec<(String, f64)>,
    /// Seconds.
    pub(super) exposure: Option<f64>,
}

/// A facet, read: m², m, rad.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct ReadFacet {
    pub(super) area: Option<f64>,
    pub(super) focal: Option<f64>,
    pub(super) blur: f64,
}

const LENGTH: &[Dimension] = &[Dimension::Length];
const ANGLE: &[Dimension] = &[Dimension::Angle];
const DIAMETER: Place = between("aperture_diameter", "diameter of the dish", LENGTH, (0, 200, "m"));
const FOCAL: Place = between("focal_length", "focal length", LENGTH, (0, 200, "m"));
const REFLECTANCE: Place =
    between("reflectance", "reflectance", &[Dimension::Ratio], (0, 100, "%"));
const IRRADIANCE: Place =
    between("irradiance", "direct irradiance", &[Dimension::Irradiance], (0, 1500, "W/m²"));
const RAY_ERROR: Place = between("ray_error", "error of a reflected ray", ANGLE, (0, 100, "mrad"));
const PEAK: Place =
    between("peak_concentration", "peak concentration", &[Dimension::Ratio], (1, 50_000, "1"));
const FACET_AREA: Place =
    between("facet.area", "area of a facet", &[Dimension::Area], (0, 1000, "m²"));
const FACET_FOCAL: Place =
    between("facet.focal_length", "focal length of a facet", LENGTH, (0, 200, "m"));
const BLUR: Place = between("facet.blur", "blur of a facet", ANGLE, (0, 100, "mrad"));
const LEVEL: Place =
    between("irradiance", "level", &[Dimension::Irradiance], (0, 100_000, "kW/m²"));
const DISTANCE: Place =
    between("distance", "distance from the focal point", LENGTH, (0, 1000, "m"));
const EXPOSURE: Place =
    between("exposure", "time of exposure", &[Dimension::Duration], (0, 24, "h"));
/// The most levels of the site's own, and the most places.
const LEVELS: usize = 8;
const PLACES: usize = 12;

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Zone>, Refusal> {
    let diameter = form.take::<Length>(&DIAMETER, input.aperture_diameter.as_deref())?;
    let focal = form.take::<Length>(&FOCAL, input.focal_length.as_deref())?;
    let reflectance = form.take::<Ratio>(&REFLECTANCE, input.reflectance.as_deref())?;
    let irradiance = form.take::<Irradiance>(&IRRADIANCE, input.irradiance.as_deref())?;
    let diameter = form.above_zero(&DIAMETER, diameter.map(Length::metres))?;
    let focal = form.above_zero(&FOCAL, focal.map(Length::metres))?;
    let reflectance = form.above_zero(&REFLECTANCE, reflectance.map(Ratio::fraction))?;
    let irradiance =
        form.above_zero(&IRRADIANCE, irradiance.map(Irradiance::watts_per_square_metre))?;
    let ray_error = ray_error(form, input)?;
    let peak = form.may::<Ratio>(&PEAK, input.peak_concentration.as_deref())?;
    let facet = facet(form, input.facet.as_ref())?;
    let exposure = form.may::<Duration>(&EXPOSURE, input.exposure.as_deref())?;
    let exposure = form.above_zero(&EXPOSURE, exposure.map(Duration::seconds))?;
    let own = own_levels(form, &input.levels)?;
    let places = places(form, &input.places)?;
    let (Some(diameter), Some(focal), Some(reflectance), Some(irradiance)) =
        (diameter, focal, reflectance, irradiance)
    else {
        return Ok(None);
    };
    let (Some(own), Some(places)) = (own, places) else { return Ok(None) };
    if diameter > 4.0 * focal {
        return Err(form.refuse(
            "outside_validity",
            "aperture_diameter",
            "The rim lies farther out than the focal point: the rim angle is above 90°.",
            "Check diameter and focal length; beyond 90° the program does not calculate.",
        ));
    }
    let mut levels = levels::all(exposure);
    levels.extend(own);
    levels.sort_by(|one, other| other.irradiance.total_cmp(&one.irradiance));
    let beam = |focus: f64| Beam {
        reflected: reflectance * irradiance,
        focus,
        area: facet.area,
        blur: facet.blur,
    };
    let dish = Dish {
        facet: facet.focal.map(beam),
        diameter,
        focal,
        reflectance,
        irradiance,
        ray_error,
        peak: peak.map(Ratio::fraction),
    };
    Ok(Some(Zone { dish, facet, levels, places, exposure }))
}

/// In radians; not below what the sun's disc alone makes.
fn ray_error(form: &mut Form, input: &Input) -> Result<Option<f64>, Refusal> {
    let Some(error) = form.may::<Angle>(&RAY_ERROR, input.ray_error.as_deref())? else {
        return Ok(None);
    };
    if error.radians() >= levels::SUN / 2.0 {
        return Ok(Some(error.radians()));
    }
    Err(form.refuse(
        "below_the_sun",
        "ray_error",
        "The error of a reflected ray is below the 2.3 mrad that the sun's disc alone makes.",
        "Give it along one axis, with the sun: the root of the sum of the squares of mirror and sun.",
    ))
}

fn facet(form: &mut Form, facet: Option<&Facet>) -> Result<ReadFacet, Refusal> {
    let Some(facet) = facet else { return Ok(ReadFacet::default()) };
    let area = form.may::<Area>(&FACET_AREA, facet.area.as_deref())?.map(Area::square_metres);
    let focal = form.may::<Length>(&FACET_FOCAL, facet.focal_length.as_deref())?;
    let blur = form.may::<Angle>(&BLUR, facet.blur.as_deref())?;
    Ok(ReadFacet {
        area: form.above_zero(&FACET_AREA, area)?,
        focal: form.above_zero(&FACET_FOCAL, focal.map(Length::metres))?,
        blur: blur.map_or(0.0, Angle::radians),
    })
}

/// Refuses too many, and names that are not their own.
fn named<'a>(
    form: &Form,
    field: &str,
    most: usize,
    names: impl ExactSizeIterator<Item = &'a str>,
) -> Result<(), Refusal> {
    if names.len() > most {
        return Err(form.refuse(
            "too_many",
            field,
            format!("{} are more than the {most} that are taken.", names.len()),
            "Leave some out.",
        ));
    }
    let mut seen: Vec<&str> = Vec::new();
    for (number, name) in names.enumerate() {
        if name.trim().is_empty() || seen.contains(&name) {
            return Err(form.refuse(
                "name",
                &format!("{field}[{number}].name"),
                format!("“{name}” is no name of its own."),
                "Give each another name.",
            ));
        }
        seen.push(name);
    }
    Ok(())
}

fn own_levels(form: &mut Form, given: &[OwnLevel]) -> Result<Option<Vec<Level>>, Refusal> {
    named(form, "levels", LEVELS, given.iter().map(|level| level.name.as_str()))?;
    let mut out = Vec::new();
    for (number, level) in given.iter().enumerate() {
        let value = form.within(&format!("levels[{number}]"), |form| {
            form.show("name", "name of the level", &level.name);
            let value = form.take::<Irradiance>(&LEVEL, level.irradiance.as_deref())?;
            if let Some(source) = &level.source {
                form.show("source", "source of the level", source);
            }
            form.above_zero(&LEVEL, value.map(Irradiance::watts_per_square_metre))
        })?;
        if let Some(value) = value {
            out.push(Level::own(&level.name, value, level.source.as_deref()));
        }
    }
    Ok((out.len() == given.len()).then_some(out))
}

fn places(form: &mut Form, given: &[Spot]) -> Result<Option<Vec<(String, f64)>>, Refusal> {
    named(form, "places", PLACES, given.iter().map(|place| place.name.as_str()))?;
    let mut out = Vec::new();
    for (number, place) in given.iter().enumerate() {
        let distance = form.within(&format!("places[{number}]"), |form| {
            form.show("name", "name of the place", &place.name);
            let distance = form.take::<Length>(&DISTANCE, place.distance.as_deref())?;
            form.above_zero(&DISTANCE, distance.map(Length::metres))
        })?;
        if let Some(distance) = distance {
            out.push((place.name.clone(), distance));
        }
    }
    Ok((out.len() == given.len()).then_some(out))
}
