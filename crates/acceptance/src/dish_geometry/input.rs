//! The input as JSON, and as a dish in SI units.

use quantity::{Angle, Area, Dimension, Irradiance, Length, Ratio, Temperature};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::doubt::{Stated, Statement, stated};
use crate::form::{Form, Place, between};
use crate::optics::{Paraboloid, SUN_HALF_ANGLE};
use crate::{Refusal, schema};

/// What the calculation takes: two of aperture diameter, focal length, rim angle and depth; the
/// rest may be left out.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Diameter of the dish, rim to rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aperture_diameter: Option<String>,
    /// From vertex to focus.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Angle at the focus between axis and rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub rim_angle: Option<String>,
    /// From vertex to the plane of the rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub depth: Option<String>,
    /// Area of the mirrors as the sun sees them: without gaps, shadows and masked facets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub net_area: Option<String>,
    /// Diameter of the receiver's aperture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub receiver_diameter: Option<String>,
    /// A distance from the axis whose place on the mirror is wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub radius: Option<String>,
    /// Half-angle of the sun's disc. Left out, the mean of 4.65 mrad.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub sun_half_angle: Option<String>,
    /// Direct normal irradiance, for the temperatures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Reflectance times intercept, for a plate that is not ideal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub optical_efficiency: Option<String>,
    /// Absorptance of the plate for sunlight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub absorptance: Option<String>,
    /// Emittance of the plate for its own heat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub emittance: Option<String>,
    /// Temperature of the surroundings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub ambient: Option<String>,
    /// What is known of the measures. Left out, nothing is said about uncertainty.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// What is known of the measures; each in its own unit or in percent of it.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Aperture diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub aperture_diameter: Option<Statement>,
    /// Focal length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub focal_length: Option<Statement>,
    /// Rim angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub rim_angle: Option<Statement>,
    /// Depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub depth: Option<Statement>,
    /// Net area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub net_area: Option<Statement>,
    /// Diameter of the receiver's aperture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub receiver_diameter: Option<Statement>,
}

/// A measure that fixes the shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measure {
    Diameter,
    Focal,
    Rim,
    Depth,
}

/// A measure with what is known of it.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) value: f64,
    pub(super) doubt: Option<Stated>,
}

/// A dish, read; SI units.
#[derive(Debug)]
pub(super) struct Dish {
    /// The two measures that fix the shape.
    pub(super) shape: [(Measure, Known); 2],
    pub(super) paraboloid: Paraboloid,
    pub(super) net_area: Option<Known>,
    pub(super) receiver: Option<Known>,
    pub(super) radius: Option<f64>,
    pub(super) sun: f64,
    pub(super) sun_typed: bool,
    pub(super) irradiance: Option<f64>,
    pub(super) plate: Option<Plate>,
}

/// A plate that is not ideal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plate {
    pub(super) efficiency: f64,
    pub(super) absorptance: f64,
    pub(super) emittance: f64,
    pub(super) ambient: f64,
}

const LENGTH: &[Dimension] = &[Dimension::Length];
const ANGLE: &[Dimension] = &[Dimension::Angle];
const RATIO: &[Dimension] = &[Dimension::Ratio];
const DIAMETER: Place =
    between("aperture_diameter", "aperture diameter", LENGTH, (100, 200_000, "mm"));
const FOCAL: Place = between("focal_length", "focal length", LENGTH, (20, 200_000, "mm"));
const RIM: Place = between("rim_angle", "rim angle", ANGLE, (0, 170, "°"));
const DEPTH: Place = between("depth", "depth", LENGTH, (0, 200, "m"));
const NET: Place = between("net_area", "net area", &[Dimension::Area], (0, 40_000, "m²"));
const RECEIVER: Place =
    between("receiver_diameter", "diameter of the receiver's aperture", LENGTH, (0, 20, "m"));
const RADIUS: Place = between("radius", "radius", LENGTH, (0, 100, "m"));
const SUN: Place = between("sun_half_angle", "half-angle of the sun", ANGLE, (1, 100, "mrad"));
const IRRADIANCE: Place = between(
    "irradiance",
    "direct normal irradiance",
    &[Dimension::Irradiance],
    // The sun's light outside of the air is about 1361 W/m² and 1412 W/m² at most in a year.
    (0, 1500, "W/m²"),
);
const EFFICIENCY: Place = between("optical_efficiency", "optical efficiency", RATIO, (0, 100, "%"));
const ABSORPTANCE: Place = between("absorptance", "absorptance", RATIO, (0, 100, "%"));
const EMITTANCE: Place = between("emittance", "emittance", RATIO, (0, 100, "%"));
const AMBIENT: Place = between(
    "ambient",
    "temperature of the surroundings",
    &[Dimension::Temperature],
    (-273, 100, "°C"),
);

/// Reads everything; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Dish>, Refusal> {
    let shape = shape(form, input)?;
    let net_area = known::<Area>(
        form,
        &NET,
        input.net_area.as_deref(),
        &[Dimension::Area],
        input.uncertainty.net_area.as_ref(),
    )?;
    let receiver = known::<Length>(
        form,
        &RECEIVER,
        input.receiver_diameter.as_deref(),
        LENGTH,
        input.uncertainty.receiver_diameter.as_ref(),
    )?;
    let radius = form.may::<Length>(&RADIUS, input.radius.as_deref())?.map(Length::metres);
    let typed = form.may_above_zero::<Angle>(&SUN, input.sun_half_angle.as_deref())?;
    let irradiance = form.may_above_zero::<Irradiance>(&IRRADIANCE, input.irradiance.as_deref())?;
    let plate = plate(form, input)?;
    let Some(shape) = shape.filter(|_| form.missing.is_empty()) else { return Ok(None) };
    let [(first, one), (second, two)] = &shape;
    let paraboloid = paraboloid((*first, one.value), (*second, two.value));
    within_dish(form, &paraboloid, net_area.as_ref(), radius)?;
    Ok(Some(Dish {
        shape,
        paraboloid,
        net_area,
        receiver,
        radius,
        sun: typed.unwrap_or(SUN_HALF_ANGLE),
        sun_typed: typed.is_some(),
        irradiance,
        plate,
    }))
}

/// A measure above zero that may be absent, with its doubt.
fn known<Q: quantity::Si>(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
    dimensions: &'static [Dimension],
    statement: Option<&Statement>,
) -> Result<Option<Known>, Refusal> {
    let value = form.may_above_zero::<Q>(place, text)?;
    let doubt = form.within("uncertainty", |form| {
        stated(form, place.field, place.meaning, dimensions, statement)
    })?;
    if value.is_none() && doubt.is_some() {
        return Err(form.refuse(
            "doubt_of_nothing",
            place.field,
            format!("The {} has a doubt but no value.", place.meaning),
            "Give the value too, or leave the doubt out.",
        ));
    }
    Ok(value.map(|value| Known { value, doubt }))
}

fn shape(form: &mut Form, input: &Input) -> Result<Option<[(Measure, Known); 2]>, Refusal> {
    let doubts = &input.uncertainty;
    let length = |form: &mut Form, place, text: &Option<String>, doubt: &Option<Statement>| {
        known::<Length>(form, place, text.as_deref(), LENGTH, doubt.as_ref())
    };
    let diameter = length(form, &DIAMETER, &input.aperture_diameter, &doubts.aperture_diameter)?;
    let focal = length(form, &FOCAL, &input.focal_length, &doubts.focal_length)?;
    let rim =
        known::<Angle>(form, &RIM, input.rim_angle.as_deref(), ANGLE, doubts.rim_angle.as_ref())?;
    let depth = length(form, &DEPTH, &input.depth, &doubts.depth)?;
    let mut given: Vec<(Measure, Known)> = [
        (Measure::Diameter, diameter),
        (Measure::Focal, focal),
        (Measure::Rim, rim),
        (Measure::Depth, depth),
    ]
    .into_iter()
    .filter_map(|(measure, known)| known.map(|known| (measure, known)))
    .collect();
    if given.len() > 2 {
        return Err(form.refuse(
            "over_determined",
            FOCAL.field,
            format!("{} measures are given and two of them fix the shape.", given.len()),
            "Give two of aperture diameter, focal length, rim angle and depth; compare the others \
             with the results.",
        ));
    }
    let second = given.pop();
    match (given.pop(), second) {
        (Some(first), Some(second)) => Ok(Some([first, second])),
        (_, only) => {
            let has = |measure| only.as_ref().is_some_and(|(first, _)| *first == measure);
            if !has(Measure::Diameter) {
                form.miss(DIAMETER.field, "aperture diameter, or another measure of the shape");
            }
            if !has(Measure::Focal) && (only.is_none() || has(Measure::Diameter)) {
                form.miss(FOCAL.field, "focal length, rim angle or depth");
            }
            Ok(None)
        }
    }
}

/// The paraboloid of two measures.
pub(super) fn paraboloid(first: (Measure, f64), second: (Measure, f64)) -> Paraboloid {
    use Measure::{Depth, Diameter, Focal, Rim};
    // Measures come in the order of `Measure`.
    let ((one, a), (two, b)) = (first, second);
    let half = |angle: f64| libm::tan(0.5 * angle);
    let (focal_length, rim) = match (one, two) {
        (Diameter, Focal) => (b, 0.5 * a),
        (Diameter, Rim) => (a / (4.0 * half(b)), 0.5 * a),
        (Diameter, Depth) => (a * a / (16.0 * b), 0.5 * a),
        (Focal, Rim) => (a, 2.0 * a * half(b)),
        (Focal, Depth) => (a, 2.0 * libm::sqrt(a * b)),
        (Rim, Depth) => (b / (half(a) * half(a)), 2.0 * b / half(a)),
        _ => (f64::NAN, f64::NAN),
    };
    Paraboloid { focal_length, rim }
}

fn within_dish(
    form: &Form,
    dish: &Paraboloid,
    net: Option<&Known>,
    radius: Option<f64>,
) -> Result<(), Refusal> {
    let shown = |value: f64| quantity::significant(value, 5);
    if let Some(net) = net.filter(|net| net.value > dish.opening()) {
        return Err(form.refuse(
            "net_above_gross",
            NET.field,
            format!(
                "The net area of {} m² is more than the opening of {} m².",
                shown(net.value),
                shown(dish.opening())
            ),
            "Give the area as the sun sees it, not the area of glass; check the diameter.",
        ));
    }
    if radius.is_some_and(|radius| radius < 0.0 || radius > dish.rim * (1.0 + 1e-12)) {
        return Err(form.refuse(
            "outside_rim",
            RADIUS.field,
            format!("The radius lies outside of the rim at {} m.", shown(dish.rim)),
            "Give a distance from the axis that is on the mirror.",
        ));
    }
    Ok(())
}

/// The plate that is not ideal: all of it or nothing.
fn plate(form: &mut Form, input: &Input) -> Result<Option<Plate>, Refusal> {
    let texts = [&input.optical_efficiency, &input.absorptance, &input.emittance, &input.ambient];
    if texts.iter().all(|text| text.is_none()) {
        return Ok(None);
    }
    if input.irradiance.is_none() {
        form.miss(IRRADIANCE.field, IRRADIANCE.meaning);
    }
    if input.receiver_diameter.is_none() {
        form.miss(RECEIVER.field, RECEIVER.meaning);
    }
    let mut ratio = |place: &Place, text: &Option<String>| {
        if text.is_none() {
            form.miss(place.field, place.meaning);
        }
        form.may_above_zero::<Ratio>(place, text.as_deref())
    };
    let efficiency = ratio(&EFFICIENCY, &input.optical_efficiency)?;
    let absorptance = ratio(&ABSORPTANCE, &input.absorptance)?;
    let emittance = ratio(&EMITTANCE, &input.emittance)?;
    let ambient = form.take::<Temperature>(&AMBIENT, input.ambient.as_deref())?;
    Ok(match (efficiency, absorptance, emittance, ambient) {
        (Some(efficiency), Some(absorptance), Some(emittance), Some(ambient)) => {
            Some(Plate { efficiency, absorptance, emittance, ambient: ambient.kelvins() })
        }
        _ => None,
    })
}
