//! The input as JSON, and as numbers in SI units.

use quantity::{Angle, Area, Dimension, Irradiance, Length, Ratio, Si};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::rings::Optics;
use crate::doubt::Statement;
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::optics::{AngularError, Scatter, Turned, Vague, scatter};
use crate::steps::whole;
use crate::{Refusal, StatedLimit, schema};

/// What the calculation takes. An error that there is none of is typed as 0 mrad; none is taken
/// for granted.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// From vertex to focus.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Diameter of the dish, rim to rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub aperture_diameter: Option<String>,
    /// Diameter of the middle that has no mirror or is shadowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub inner_diameter: Option<String>,
    /// Diameter of the receiver's aperture, in the focal plane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub receiver_diameter: Option<String>,
    /// The errors that spread the light.
    #[serde(default)]
    pub errors: Errors,
    /// A fixed pointing error of the whole dish, in any direction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub pointing_bias: Option<String>,
    /// Direct normal irradiance, for the heat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::irradiance")]
    pub irradiance: Option<String>,
    /// Reflectance of the mirrors as they are, weighted with the sun's spectrum; for the heat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub reflectance: Option<String>,
    /// Area of the mirrors as the sun sees them. Left out, the whole ring between middle and rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::area")]
    pub net_area: Option<String>,
    /// Distances from the focus at which the light on the axis is wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "distances")]
    pub distances: Option<Vec<String>>,
    /// Least intercept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is known of the other inputs. The doubt of an error stands beside the error.
    #[serde(default)]
    pub uncertainty: Uncertainty,
    /// How many trials carry the doubt through. Left out, 10 000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub trials: Option<String>,
    /// Seed of the trials; the same seed gives the same numbers. Left out, 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub seed: Option<String>,
}

fn distances(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
    let item = schema::length(generator);
    schemars::json_schema!({"type": "array", "maxItems": MOST_DISTANCES, "items": item})
}

/// The errors that spread the light, each with its basis.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Errors {
    /// Size of the sun, of the light: a clear disc is 2.325 mrad on one axis, 3.288 mrad radial.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub sun: Option<AngularError>,
    /// Slope of the mirror surface, mostly of the normal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub slope: Option<AngularError>,
    /// Scatter of the mirror surface, mostly of the light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub specularity: Option<AngularError>,
    /// Tracking that wanders, of the light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub tracking: Option<AngularError>,
    /// Alignment of the facets, mostly of the normal, as the alignment survey gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "AngularError")]
    pub alignment: Option<AngularError>,
    /// Any others, such as the place of the receiver.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub others: Vec<OtherError>,
}

/// An error of another kind.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OtherError {
    /// What it is.
    pub name: String,
    /// How large, and how it is meant.
    pub error: AngularError,
}

/// What is known of the inputs; each in its own unit or in percent of it.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Focal length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub focal_length: Option<Statement>,
    /// Diameter of the dish.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub aperture_diameter: Option<Statement>,
    /// Diameter of the receiver's aperture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub receiver_diameter: Option<Statement>,
    /// Fixed pointing error.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub pointing_bias: Option<Statement>,
    /// Direct normal irradiance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub irradiance: Option<Statement>,
    /// Reflectance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub reflectance: Option<Statement>,
    /// Net area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub net_area: Option<Statement>,
}

/// A value with what is known of it.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) value: f64,
    pub(super) doubt: Option<Vague>,
}

/// An error with its name.
#[derive(Debug, Clone)]
pub(super) struct Named {
    pub(super) name: String,
    /// Index of its symbol, as `σ_slope`.
    pub(super) symbol: String,
    pub(super) scatter: Scatter,
}

/// A case, read; SI units.
#[derive(Debug)]
pub(super) struct Case {
    pub(super) focal_length: Known,
    pub(super) aperture: Known,
    pub(super) inner: f64,
    pub(super) receiver: Known,
    pub(super) bias: Option<Known>,
    pub(super) errors: Vec<Named>,
    pub(super) irradiance: Option<Known>,
    pub(super) reflectance: Option<Known>,
    pub(super) net_area: Option<Known>,
    pub(super) distances: Vec<(String, f64)>,
    pub(super) limit: Option<ReadLimit<Ratio>>,
    pub(super) trials: u32,
    pub(super) seed: u32,
    /// The dish at the values as typed.
    pub(super) optics: Optics,
}

/// Variances on one axis: of the normal, and of the light.
pub(super) fn variances(errors: impl Iterator<Item = (Turned, f64)>) -> (f64, f64) {
    errors.fold((0.0, 0.0), |(normal, ray), (of, sigma)| match of {
        Turned::Normal => (normal + sigma * sigma, ray),
        Turned::Ray => (normal, ray + sigma * sigma),
    })
}

/// Trials and seed where nothing is typed.
const TRIALS: u32 = 10_000;
const SEED: u32 = 1;
/// Most distances of the beam that are worked out.
const MOST_DISTANCES: usize = 50;
/// Rims from here on send light too flat over the focal plane for the method.
const STEEPEST: f64 = 85.0;
/// Errors below this all together, in rad, are taken for no error at all.
const LEAST: f64 = 1e-6;

const LENGTH: &[Dimension] = &[Dimension::Length];
const ANGLE: &[Dimension] = &[Dimension::Angle];
const RATIO: &[Dimension] = &[Dimension::Ratio];
const AREA: &[Dimension] = &[Dimension::Area];
const LIGHT: &[Dimension] = &[Dimension::Irradiance];
const FOCAL: Place = between("focal_length", "focal length", LENGTH, (20, 200_000, "mm"));
const APERTURE: Place =
    between("aperture_diameter", "aperture diameter", LENGTH, (100, 200_000, "mm"));
const INNER: Place = between("inner_diameter", "diameter of the middle", LENGTH, (0, 100, "m"));
const RECEIVER: Place =
    between("receiver_diameter", "diameter of the receiver's aperture", LENGTH, (0, 20, "m"));
const BIAS: Place = between("pointing_bias", "fixed pointing error", ANGLE, (0, 100, "mrad"));
const IRRADIANCE: Place =
    between("irradiance", "direct normal irradiance", LIGHT, (0, 1500, "W/m²"));
const REFLECTANCE: Place = between("reflectance", "reflectance", RATIO, (0, 100, "%"));
const NET: Place = between("net_area", "net area", AREA, (0, 40_000, "m²"));
const DISTANCE: Place = between("", "distance from the focus", LENGTH, (0, 1000, "m"));

/// An angular error beyond 50 mrad is no small error.
const fn error(field: &'static str, meaning: &'static str) -> Place {
    between(field, meaning, ANGLE, (0, 50, "mrad"))
}

/// Reads everything; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    let doubts = &input.uncertainty;
    let focal = form.take_above_zero::<Length>(&FOCAL, input.focal_length.as_deref())?;
    let focal = known(form, &FOCAL, focal, LENGTH, doubts.focal_length.as_ref())?;
    let aperture = form.take_above_zero::<Length>(&APERTURE, input.aperture_diameter.as_deref())?;
    let aperture = known(form, &APERTURE, aperture, LENGTH, doubts.aperture_diameter.as_ref())?;
    let inner = form.may::<Length>(&INNER, input.inner_diameter.as_deref())?.map(Si::si);
    let receiver = form.take_above_zero::<Length>(&RECEIVER, input.receiver_diameter.as_deref())?;
    let receiver = known(form, &RECEIVER, receiver, LENGTH, doubts.receiver_diameter.as_ref())?;
    let errors = errors(form, &input.errors)?;
    let bias = form.may::<Angle>(&BIAS, input.pointing_bias.as_deref())?.map(Si::si);
    let bias = known(form, &BIAS, bias, ANGLE, doubts.pointing_bias.as_ref())?;
    let light = form.may_above_zero::<Irradiance>(&IRRADIANCE, input.irradiance.as_deref())?;
    let irradiance = known(form, &IRRADIANCE, light, LIGHT, doubts.irradiance.as_ref())?;
    let share = form.may_above_zero::<Ratio>(&REFLECTANCE, input.reflectance.as_deref())?;
    let reflectance = known(form, &REFLECTANCE, share, RATIO, doubts.reflectance.as_ref())?;
    let net = form.may_above_zero::<Area>(&NET, input.net_area.as_deref())?;
    let net_area = known(form, &NET, net, AREA, doubts.net_area.as_ref())?;
    let distances = read_distances(form, input.distances.as_deref().unwrap_or_default())?;
    if reflectance.is_none() && (irradiance.is_some() || !distances.is_empty()) {
        form.miss(REFLECTANCE.field, REFLECTANCE.meaning);
    }
    if irradiance.is_none() && !distances.is_empty() {
        form.miss(IRRADIANCE.field, IRRADIANCE.meaning);
    }
    let limit = limit::read::<Ratio>(
        form,
        "limit",
        "least intercept",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    let trials =
        whole(form, "trials", "number of trials", (100, 1_000_000), input.trials.as_deref())?;
    let seed = whole(form, "seed", "seed", (0, u32::MAX), input.seed.as_deref())?;
    let (Some(focal_length), Some(aperture), Some(receiver), true) =
        (focal, aperture, receiver, form.missing.is_empty())
    else {
        return Ok(None);
    };
    let (normal, ray) =
        variances(errors.iter().map(|named| (named.scatter.of, named.scatter.one_axis())));
    let optics = Optics {
        focal_length: focal_length.value,
        rim: 0.5 * aperture.value,
        inner: 0.5 * inner.unwrap_or(0.0),
        receiver: 0.5 * receiver.value,
        normal,
        ray,
        bias: bias.as_ref().map_or(0.0, |bias| bias.value),
    };
    within_range(form, &optics, net_area.as_ref())?;
    Ok(Some(Case {
        focal_length,
        aperture,
        inner: optics.inner,
        receiver,
        bias,
        errors,
        irradiance,
        reflectance,
        net_area,
        distances,
        limit,
        trials: trials.unwrap_or(TRIALS),
        seed: seed.unwrap_or(SEED),
        optics,
    }))
}

/// A value with its doubt; a doubt of nothing is refused.
fn known(
    form: &mut Form,
    place: &Place,
    value: Option<f64>,
    dimensions: &'static [Dimension],
    statement: Option<&Statement>,
) -> Result<Option<Known>, Refusal> {
    let doubt = form.within("uncertainty", |form| {
        Vague::read(form, place.field, place.meaning, dimensions, statement)
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

fn errors(form: &mut Form, given: &Errors) -> Result<Vec<Named>, Refusal> {
    let mut out = Vec::new();
    form.within("errors", |form| {
        for (place, error) in [
            (error("sun", "rms size of the sun"), &given.sun),
            (error("slope", "slope error of the mirrors"), &given.slope),
            (error("specularity", "scatter of the mirrors"), &given.specularity),
            (error("tracking", "error of tracking"), &given.tracking),
            (error("alignment", "alignment error of the facets"), &given.alignment),
        ] {
            let Some(error) = error else {
                form.miss(place.field, place.meaning);
                continue;
            };
            let never = ["sun", "tracking"].contains(&place.field);
            if never && error.of == Turned::Normal {
                return Err(form.refuse(
                    "not_of_the_normal",
                    place.field,
                    format!("The {} turns the light, not the normal of a mirror.", place.meaning),
                    "State it of the ray; it counts once.",
                ));
            }
            if let Some(scatter) = scatter(form, &place, error)? {
                let name = place.meaning.to_owned();
                out.push(Named { name, symbol: format!("σ_{}", place.field), scatter });
            }
        }
        for (index, other) in given.others.iter().enumerate() {
            let place = error("error", "other error");
            let read = form.within(&format!("others[{}]", index + 1), |form| {
                let read = scatter(form, &place, &other.error)?;
                if let Some(shown) =
                    form.inputs.iter_mut().rev().find(|i| i.meaning == place.meaning)
                {
                    shown.meaning.clone_from(&other.name);
                }
                Ok::<_, Refusal>(read)
            })?;
            if let Some(scatter) = read {
                let symbol = format!("σ_{}", index + 1);
                out.push(Named { name: other.name.clone(), symbol, scatter });
            }
        }
        Ok(())
    })?;
    Ok(out)
}

fn read_distances(form: &mut Form, texts: &[String]) -> Result<Vec<(String, f64)>, Refusal> {
    if texts.len() > MOST_DISTANCES {
        return Err(form.refuse(
            "too_many",
            "distances",
            format!("{} distances are asked for.", texts.len()),
            format!("Ask for {MOST_DISTANCES} at most."),
        ));
    }
    let mut out = Vec::new();
    for (index, text) in texts.iter().enumerate() {
        let value = form.within(&format!("distances[{}]", index + 1), |form| {
            form.may_above_zero::<Length>(&DISTANCE, Some(text))
        })?;
        out.extend(value.map(|value| (text.clone(), value)));
    }
    Ok(out)
}

fn within_range(form: &Form, optics: &Optics, net: Option<&Known>) -> Result<(), Refusal> {
    let shown = |value: f64| quantity::significant(value, 5);
    if optics.inner >= optics.rim {
        return Err(form.refuse(
            "outside_rim",
            INNER.field,
            "The middle without mirror is as large as the dish.",
            "Give diameters for both, rim to rim and edge to edge.",
        ));
    }
    let rim = optics.dish().angle(optics.rim).to_degrees();
    if rim >= STEEPEST {
        return Err(form.refuse(
            "out_of_validity",
            APERTURE.field,
            format!("The rim angle is {}°; the method holds below {STEEPEST}°.", shown(rim)),
            "Trace rays instead, or give a receiver that faces the rim.",
        ));
    }
    if optics.sigma() < LEAST {
        return Err(form.refuse(
            "no_error",
            "errors",
            "All errors together are zero, the sun's size with them.",
            "Give the sun at least: 2.325 mrad on one axis for a clear disc.",
        ));
    }
    let ring = core::f64::consts::PI * (optics.rim * optics.rim - optics.inner * optics.inner);
    match net {
        Some(net) if net.value > ring => Err(form.refuse(
            "net_above_gross",
            NET.field,
            format!(
                "The net area of {} m² is more than the {} m² of the dish.",
                shown(net.value),
                shown(ring)
            ),
            "Give the area as the sun sees it, not the area of glass; check the diameters.",
        )),
        _ => Ok(()),
    }
}
