//! The input as JSON, and read.

use quantity::{Angle, Dimension, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, between};
use crate::sun::{Observation, moment, sun_input};
use crate::time::Moment;
use crate::{Refusal, schema};

sun_input! {
    /// What the calculation takes.
    pub struct Input {
        /// The moment at which tracking stops.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::moment")]
        pub at: Option<String>,
        /// Focal length of the dish.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::length")]
        pub focal_length: Option<String>,
        /// Radius of the spot of light on the focal plane, its faint edge included.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::length")]
        pub spot_radius: Option<String>,
        /// What the spot passes over, each a circle about the mirror axis: aperture, shield and so
        /// on; up to 12.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub rims: Vec<Rim>,
        /// Pointing error that the dish may have at the stop.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub pointing_error: Option<String>,
    }
}

/// A circle about the mirror axis in the focal plane.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rim {
    /// What it is the edge of.
    pub name: String,
    /// Its radius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub radius: Option<String>,
}

/// A stop on sun, read. Lengths in metres.
#[derive(Debug)]
pub(super) struct Stop {
    pub(super) place: Observation,
    pub(super) at: Moment,
    pub(super) focal: f64,
    pub(super) spot: f64,
    pub(super) rims: Vec<(String, f64)>,
    pub(super) pointing: Option<Angle>,
    pub(super) delta_t: f64,
}

/// The most rims.
const RIMS: usize = 12;
const LENGTH: &[Dimension] = &[Dimension::Length];
const FOCAL: Place = between("focal_length", "focal length", LENGTH, (0, 200, "m"));
const SPOT: Place = between("spot_radius", "radius of the spot", LENGTH, (0, 10, "m"));
const RADIUS: Place = between("radius", "radius of the rim", LENGTH, (0, 50, "m"));
const POINTING: Place =
    between("pointing_error", "pointing error", &[Dimension::Angle], (0, 10, "°"));

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Stop>, Refusal> {
    let place = Observation::read(form, &input.place())?;
    let at = moment(form, "at", "moment at which tracking stops", input.at.as_deref())?;
    let focal = form.take_above_zero::<Length>(&FOCAL, input.focal_length.as_deref())?;
    let spot = form.take_above_zero::<Length>(&SPOT, input.spot_radius.as_deref())?;
    let rims = rims(form, &input.rims)?;
    let pointing = form.may::<Angle>(&POINTING, input.pointing_error.as_deref())?;
    let (Some(place), Some(at), Some(focal)) = (place, at, focal) else { return Ok(None) };
    let (Some(spot), Some(rims)) = (spot, rims) else { return Ok(None) };
    Ok(Some(Stop { delta_t: place.delta_t(at)?, place, at, focal, spot, rims, pointing }))
}

/// The rims by radius; none when there are none or a radius is missing.
fn rims(form: &mut Form, given: &[Rim]) -> Result<Option<Vec<(String, f64)>>, Refusal> {
    if given.is_empty() {
        form.miss("rims", "rims that the spot passes over, with names and radii");
        return Ok(None);
    }
    if given.len() > RIMS {
        return Err(form.refuse(
            "too_many",
            "rims",
            format!("{} rims are more than the {RIMS} that are taken.", given.len()),
            "Leave some out.",
        ));
    }
    let mut out: Vec<(String, f64)> = Vec::new();
    for (number, rim) in given.iter().enumerate() {
        let radius = form.within(&format!("rims[{number}]"), |form| {
            form.show("name", "name of the rim", &rim.name);
            if rim.name.trim().is_empty() || out.iter().any(|(name, _)| *name == rim.name) {
                return Err(form.refuse(
                    "name",
                    "name",
                    format!("“{}” is no name of its own.", rim.name),
                    "Give every rim another name.",
                ));
            }
            form.take_above_zero::<Length>(&RADIUS, rim.radius.as_deref())
        })?;
        if let Some(radius) = radius {
            out.push((rim.name.clone(), radius));
        }
    }
    out.sort_by(|(_, one), (_, other)| one.total_cmp(other));
    Ok((out.len() == given.len()).then_some(out))
}
