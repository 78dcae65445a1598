//! Reads the input: typed texts become a scene that rays can be sent through.

use quantity::{Angle, Dimension, Irradiance, Length, Ratio, Si};

use super::input::{Input, MirrorFacet};
use super::list::{Aligned, Built, Row, facet_list};
use super::sun::Sky;
use super::trace::{Mirror, Scene, whole_dish};
use crate::Refusal;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::optics::{AngularError, Paraboloid, SUN_HALF_ANGLE, Turned, scatter};
use crate::steps::whole;

/// A case, read; SI units.
#[derive(Debug)]
pub(super) struct Case {
    pub(super) scene: Scene,
    pub(super) focal_length: f64,
    /// Facets of the list, those masked with them, in its order; empty for a whole dish.
    pub(super) rows: Vec<Row>,
    pub(super) sun_typed: bool,
    pub(super) pointing: (f64, f64),
    pub(super) errors: Errors,
    pub(super) irradiance: Option<f64>,
    pub(super) reflectance: Option<f64>,
    pub(super) limit: Option<ReadLimit<Ratio>>,
    pub(super) doubt: Option<Stated>,
    /// Whether any facet has a tilt of its own, or tilts were drawn.
    pub(super) aligned_by: Aligned,
}

/// One-axis standard deviations of all mirrors, rad.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Errors {
    /// Of the normal.
    pub(super) slope: Option<f64>,
    pub(super) alignment: f64,
    /// Of the light.
    pub(super) specularity: Option<f64>,
    pub(super) tracking: f64,
}

/// Fewest and most rays, and how many where nothing is typed.
const FEWEST: u32 = 1_000;
const MOST: u32 = 20_000_000;
const RAYS: u32 = 100_000;
const SEED: u32 = 1;

const LENGTH: &[Dimension] = &[Dimension::Length];
const ANGLE: &[Dimension] = &[Dimension::Angle];
const RATIO: &[Dimension] = &[Dimension::Ratio];
const FOCAL: Place = between("focal_length", "focal length", LENGTH, (20, 200_000, "mm"));
const APERTURE: Place =
    between("aperture_diameter", "aperture diameter", LENGTH, (100, 200_000, "mm"));
const INNER: Place = between("inner_diameter", "diameter of the middle", LENGTH, (0, 100, "m"));
const RECEIVER: Place =
    between("receiver_diameter", "diameter of the receiver's aperture", LENGTH, (0, 20, "m"));
const PLANE: Place =
    between("plane_distance", "distance of the plane from the focus", LENGTH, (-200, 200, "m"));
const BODY: Place = between("diameter", "diameter of the receiver's body", LENGTH, (0, 20, "m"));
const MAP: Place = between("map_width", "width of the map", LENGTH, (0, 200, "m"));
const OFFSET_X: Place =
    between("x", "place of the aperture to the right", LENGTH, (-2000, 2000, "mm"));
const OFFSET_Y: Place = between("y", "place of the aperture upward", LENGTH, (-2000, 2000, "mm"));
const POINTING_X: Place = between("x", "pointing error to the right", ANGLE, (-100, 100, "mrad"));
const POINTING_Y: Place = between("y", "pointing error upward", ANGLE, (-100, 100, "mrad"));
const IRRADIANCE: Place =
    between("irradiance", "direct normal irradiance", &[Dimension::Irradiance], (0, 1500, "W/m²"));
const REFLECTANCE: Place = between("reflectance", "reflectance", RATIO, (0, 100, "%"));
const HALF: Place = between("half_angle", "half-angle of the sun", ANGLE, (1, 100, "mrad"));
const LIMB: Place = between("limb_darkening", "darkening of the limb", RATIO, (0, 100, "%"));
const AROUND: Place =
    between("circumsolar_share", "share of light around the disc", RATIO, (0, 90, "%"));
const OUTER: Place = between(
    "circumsolar_half_angle",
    "half-angle of the light around the disc",
    ANGLE,
    (1, 200, "mrad"),
);
pub(super) const SLOPE: Place =
    between("slope", "slope error of the mirrors", ANGLE, (0, 50, "mrad"));
pub(super) const SCATTER: Place =
    between("specularity", "scatter of the mirrors", ANGLE, (0, 50, "mrad"));
const ALIGNMENT: Place =
    between("alignment", "alignment error of the facets", ANGLE, (0, 50, "mrad"));
const TRACKING: Place = between("tracking", "error of tracking", ANGLE, (0, 50, "mrad"));

/// Reads everything; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    let focal = form.take_above_zero::<Length>(&FOCAL, input.focal_length.as_deref())?;
    let errors = form.within("errors", |form| errors(form, input))?;
    let (sky, sun_typed, pointing) = sky(form, input, errors.tracking)?;
    let receiver = form.take_above_zero::<Length>(&RECEIVER, input.receiver_diameter.as_deref())?;
    let middle = form.within("receiver_offset", |form| {
        let x = form.may::<Length>(&OFFSET_X, input.receiver_offset.x.as_deref())?;
        let y = form.may::<Length>(&OFFSET_Y, input.receiver_offset.y.as_deref())?;
        Ok::<_, Refusal>((x.map_or(0.0, Si::si), y.map_or(0.0, Si::si)))
    })?;
    let plane = form.may::<Length>(&PLANE, input.plane_distance.as_deref())?.map_or(0.0, Si::si);
    let body = match &input.receiver_body {
        Some(body) => form.within("receiver_body", |form| {
            form.take_above_zero::<Length>(&BODY, body.diameter.as_deref())
        })?,
        None => None,
    };
    let map = form.may_above_zero::<Length>(&MAP, input.map_width.as_deref())?;
    let irradiance = form.may_above_zero::<Irradiance>(&IRRADIANCE, input.irradiance.as_deref())?;
    let reflectance = form.may_above_zero::<Ratio>(&REFLECTANCE, input.reflectance.as_deref())?;
    if irradiance.is_some() && reflectance.is_none() {
        form.miss(REFLECTANCE.field, REFLECTANCE.meaning);
    }
    let rays = rays(form, input)?;
    let seed = whole(form, "seed", "seed", (0, u32::MAX), input.seed.as_deref())?;
    let seed = u64::from(seed.unwrap_or(SEED));
    let limit = limit::read::<Ratio>(
        form,
        "limit",
        "least intercept",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    let doubt = form.within("uncertainty", |form| {
        let meaning = "doubt of the intercept beyond the draws";
        stated(form, "intercept", meaning, RATIO, input.uncertainty.intercept.as_ref())
    })?;
    let built = mirror(form, input, focal, &errors, &sky, seed)?;
    let (Some(focal_length), Some(receiver), Some(built), true) =
        (focal, receiver, built, form.missing.is_empty())
    else {
        return Ok(None);
    };
    let scene = Scene {
        mirror: built.mirror,
        sky,
        slope: libm::hypot(errors.slope.unwrap_or(0.0), errors.alignment),
        specularity: errors.specularity.unwrap_or(0.0),
        plane: focal_length + plane,
        middle,
        receiver: 0.5 * receiver,
        map: map.unwrap_or(2.0 * receiver),
        body: body.map(|diameter| (focal_length + plane, 0.5 * diameter)),
        rays,
        seed,
    };
    above_mirror(form, &scene, focal_length)?;
    Ok(Some(Case {
        scene,
        focal_length,
        rows: built.rows,
        sun_typed,
        pointing,
        errors,
        irradiance,
        reflectance,
        limit,
        doubt,
        aligned_by: built.aligned_by,
    }))
}

fn rays(form: &mut Form, input: &Input) -> Result<u32, Refusal> {
    let Some(text) = input.rays.as_deref() else { return Ok(RAYS) };
    form.show("rays", "number of rays", text);
    match text.trim().parse::<u64>() {
        Ok(rays) if rays > u64::from(MOST) => Err(form.refuse(
            "too_many_rays",
            "rays",
            format!(
                "{rays} rays are more than the {MOST} that are traced at once; so many take several \
                 seconds already."
            ),
            "Ask for fewer: a million rays leave a standard error of 0.05 points at most.",
        )),
        _ => {
            let count = whole(form, "rays", "number of rays", (FEWEST, MOST), Some(text))?;
            form.inputs.pop();
            Ok(count.unwrap_or(RAYS))
        }
    }
}

/// An error of the mirrors or of tracking, one axis, of what it has to be of.
pub(super) fn error(
    form: &mut Form,
    place: &Place,
    given: Option<&AngularError>,
    of: Turned,
) -> Result<Option<f64>, Refusal> {
    let Some(given) = given else { return Ok(None) };
    if given.doubt.is_some() {
        return Err(form.refuse(
            "doubt_not_traced",
            place.field,
            format!("The {} has a doubt, which rays don't carry through.", place.meaning),
            "Leave it out here; the calculation intercept carries it through.",
        ));
    }
    let Some(read) = scatter(form, place, given)? else { return Ok(None) };
    // An error of the light is that of a normal of half of it, in the plane of incidence.
    Ok(Some(match (of, read.of) {
        (Turned::Normal, Turned::Normal) | (Turned::Ray, Turned::Ray) => read.one_axis(),
        (Turned::Normal, Turned::Ray) => 0.5 * read.one_axis(),
        (Turned::Ray, Turned::Normal) => {
            return Err(form.refuse(
                "not_of_the_normal",
                place.field,
                format!("The {} turns the light, not the normal of a mirror.", place.meaning),
                "State it of the ray.",
            ));
        }
    }))
}

fn errors(form: &mut Form, input: &Input) -> Result<Errors, Refusal> {
    let given = &input.errors;
    let facets = input.facets.as_deref().unwrap_or_default();
    let own = |has: fn(&MirrorFacet) -> bool| !facets.is_empty() && facets.iter().all(has);
    if given.slope.is_none() && !own(|facet| facet.slope.is_some()) {
        form.miss(SLOPE.field, SLOPE.meaning);
    }
    if given.specularity.is_none() && !own(|facet| facet.specularity.is_some()) {
        form.miss(SCATTER.field, SCATTER.meaning);
    }
    Ok(Errors {
        slope: error(form, &SLOPE, given.slope.as_ref(), Turned::Normal)?,
        specularity: error(form, &SCATTER, given.specularity.as_ref(), Turned::Ray)?,
        alignment: error(form, &ALIGNMENT, given.alignment.as_ref(), Turned::Normal)?
            .unwrap_or(0.0),
        tracking: error(form, &TRACKING, given.tracking.as_ref(), Turned::Ray)?.unwrap_or(0.0),
    })
}

fn sky(form: &mut Form, input: &Input, tracking: f64) -> Result<(Sky, bool, (f64, f64)), Refusal> {
    let pointing = form.within("pointing", |form| {
        let x = form.may::<Angle>(&POINTING_X, input.pointing.x.as_deref())?;
        let y = form.may::<Angle>(&POINTING_Y, input.pointing.y.as_deref())?;
        Ok::<_, Refusal>((x.map_or(0.0, Si::si), y.map_or(0.0, Si::si)))
    })?;
    form.within("sun", |form| {
        let sun = &input.sun;
        let half = form.may_above_zero::<Angle>(&HALF, sun.half_angle.as_deref())?;
        let half_angle = half.unwrap_or(SUN_HALF_ANGLE);
        let limb = form.may::<Ratio>(&LIMB, sun.limb_darkening.as_deref())?.map(Si::si);
        let share = form.may::<Ratio>(&AROUND, sun.circumsolar_share.as_deref())?.map(Si::si);
        let outer = form.may::<Angle>(&OUTER, sun.circumsolar_half_angle.as_deref())?.map(Si::si);
        match (share, outer) {
            (Some(_), None) => form.miss(OUTER.field, OUTER.meaning),
            (None, Some(_)) => form.miss(AROUND.field, AROUND.meaning),
            _ => {}
        }
        if outer.is_some_and(|outer| outer <= half_angle) {
            return Err(form.refuse(
                "inside_disc",
                OUTER.field,
                "The light around the disc ends inside the disc.",
                "Give the half-angle up to which it was measured; it is larger than the sun's.",
            ));
        }
        let sky = Sky {
            limb_darkening: limb.unwrap_or(0.0),
            circumsolar: share.zip(outer),
            tracking,
            ..Sky::new(pointing, half_angle)
        };
        Ok((sky, half.is_some(), pointing))
    })
}

fn mirror(
    form: &mut Form,
    input: &Input,
    focal: Option<f64>,
    errors: &Errors,
    sky: &Sky,
    seed: u64,
) -> Result<Option<Built>, Refusal> {
    match (&input.dish, &input.facets) {
        (Some(_), Some(_)) => Err(form.refuse(
            "dish_and_facets",
            "dish",
            "Both a whole dish and facets are given.",
            "Give the facets, or the whole dish alone.",
        )),
        (None, None) => {
            form.miss("facets", "facets, or a whole dish");
            Ok(None)
        }
        (Some(given), None) => {
            let (rim, inner) = form.within("dish", |form| {
                let rim =
                    form.take_above_zero::<Length>(&APERTURE, given.aperture_diameter.as_deref())?;
                let inner = form.may::<Length>(&INNER, given.inner_diameter.as_deref())?;
                Ok::<_, Refusal>((rim, 0.5 * inner.map_or(0.0, Si::si)))
            })?;
            let (Some(focal_length), Some(rim)) = (focal, rim) else { return Ok(None) };
            let dish = Paraboloid { focal_length, rim: 0.5 * rim };
            if inner >= dish.rim {
                return Err(form.refuse(
                    "outside_rim",
                    "dish.inner_diameter",
                    "The middle without mirror is as large as the dish.",
                    "Give diameters for both, rim to rim and edge to edge.",
                ));
            }
            let mirror = whole_dish(dish, inner, sky);
            Ok(Some(Built { mirror, rows: Vec::new(), aligned_by: Aligned::Known }))
        }
        (None, Some(list)) => facet_list(form, list, focal, errors, sky, seed),
    }
}

/// Refuses a plane that cuts the mirror.
fn above_mirror(form: &Form, scene: &Scene, focal_length: f64) -> Result<(), Refusal> {
    let top = match &scene.mirror {
        Mirror::Whole { dish, .. } => dish.height(dish.rim),
        Mirror::Facets(facets) => facets.iter().map(|facet| facet.patch.top()).fold(0.0, f64::max),
    };
    if scene.plane > top {
        return Ok(());
    }
    Err(form.refuse(
        "inside_mirror",
        PLANE.field,
        format!(
            "The plane lies {} m above the vertex and so below the rim of the mirror at {} m.",
            quantity::significant(scene.plane, 4),
            quantity::significant(top, 4)
        ),
        format!(
            "Give the distance from the focus, which is {} m above the vertex; negative towards the \
             mirror.",
            quantity::significant(focal_length, 4)
        ),
    ))
}
