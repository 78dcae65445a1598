//! Reads the list of facets.

use std::collections::BTreeSet;

use quantity::{Angle, Area, Dimension, Length, Si};

use super::input::{FacetUse, MirrorFacet};
use super::mirror::{Curve, Patch, Setting};
use super::read::{Errors, SCATTER, SLOPE, error};
use super::sun::Sky;
use super::trace::{Facet, Mirror, facets};
use crate::Refusal;
use crate::draw::Draw;
use crate::form::{Form, Place, between};
use crate::optics::{Paraboloid, Turned};

/// The mirror with the rows of its list.
pub(super) struct Built {
    pub(super) mirror: Mirror,
    pub(super) rows: Vec<Row>,
    pub(super) aligned_by: Aligned,
}

/// Where the tilts of facets come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Aligned {
    /// A whole dish, or tilts that were typed for every facet.
    Known,
    /// Drawn for facets without a tilt.
    Drawn,
    /// Some facets have none, and are taken as designed.
    AsDesigned,
}

/// A facet of the list.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) name: String,
    pub(super) rack: Option<String>,
    /// Place in the scene; none for a masked facet.
    pub(super) place: Option<usize>,
}

/// Most facets of a list.
const MOST_FACETS: usize = 5_000;
/// The stream of which tilts are drawn; blocks of rays never reach it.
const TILTS: u64 = u64::MAX;

const LENGTH: &[Dimension] = &[Dimension::Length];
const ANGLE: &[Dimension] = &[Dimension::Angle];
const RADIUS: Place = between("radius", "radius of the facet", LENGTH, (0, 100, "m"));
const BEARING: Place = between("bearing", "bearing of the facet", ANGLE, (-360, 360, "°"));
const WIDTH: Place = between("width", "width of the facet", LENGTH, (0, 20, "m"));
const HEIGHT: Place = between("height", "height of the facet", LENGTH, (0, 20, "m"));
const AREA: Place = between("area", "area of the facet", &[Dimension::Area], (0, 400, "m²"));
const CURVATURE: Place =
    between("radius_of_curvature", "radius of curvature of the facet", LENGTH, (0, 1_000_000, "m"));
const FACET_FOCAL: Place =
    between("focal_length", "focal length of the facet", LENGTH, (0, 500_000, "m"));
const AIM_X: Place = between("aim_x", "aim point to the right", LENGTH, (-2000, 2000, "mm"));
const AIM_Y: Place = between("aim_y", "aim point upward", LENGTH, (-2000, 2000, "mm"));
const TILT_X: Place = between("tilt_x", "tilt to the right", ANGLE, (-100, 100, "mrad"));
const TILT_Y: Place = between("tilt_y", "tilt upward", ANGLE, (-100, 100, "mrad"));

/// Reads the list; none when something needed is missing.
pub(super) fn facet_list(
    form: &mut Form,
    list: &[MirrorFacet],
    focal: Option<f64>,
    errors: &Errors,
    sky: &Sky,
    seed: u64,
) -> Result<Option<Built>, Refusal> {
    if list.len() > MOST_FACETS {
        return Err(form.refuse(
            "too_many",
            "facets",
            format!("{} facets are listed.", list.len()),
            format!("List {MOST_FACETS} at most."),
        ));
    }
    form.show("facets", "facets", &format!("{} facets", list.len()));
    let mut names = BTreeSet::new();
    let mut draw = Draw::new(seed, TILTS);
    let (mut rows, mut patches) = (Vec::new(), Vec::new());
    let mut aligned_by = Aligned::Known;
    // Facets are many: the sheet names them by their number, and each is refused by its own field.
    let noted = form.inputs.len();
    for facet in list {
        if !names.insert(facet.facet.as_str()) {
            return Err(form.refuse(
                "facet_twice",
                "facets",
                format!("Facet {} stands twice in the list.", facet.facet),
                "Leave one of them out, or correct its name.",
            ));
        }
        let read = form.within(&format!("facets.{}", facet.facet), |form| {
            let setting = setting(form, facet)?;
            let slope = error(form, &SLOPE, facet.slope.as_ref(), Turned::Normal)?;
            let scatter = error(form, &SCATTER, facet.specularity.as_ref(), Turned::Ray)?;
            if let (Some(setting), Some(focal)) = (&setting, focal) {
                fits(form, setting, focal)?;
            }
            Ok::<_, Refusal>((setting, slope, scatter))
        })?;
        form.inputs.truncate(noted);
        // Drawn for every facet, so that masking one does not change the others.
        let drawn = (errors.alignment * draw.normal(), errors.alignment * draw.normal());
        let masked = facet.state == Some(FacetUse::Masked);
        let (Some(mut setting), slope, scatter) = read else { continue };
        if facet.tilt_x.is_none() && facet.tilt_y.is_none() {
            setting.tilt = drawn;
            if !masked && aligned_by == Aligned::Known {
                aligned_by =
                    if errors.alignment > 0.0 { Aligned::Drawn } else { Aligned::AsDesigned };
            }
        }
        let place = (!masked).then_some(patches.len());
        rows.push(Row { name: facet.facet.clone(), rack: facet.rack.clone(), place });
        if let (false, Some(focal_length)) = (masked, focal) {
            let dish = Paraboloid { focal_length, rim: setting.radius };
            patches.push((
                Patch::new(dish, setting),
                slope.or(errors.slope).unwrap_or(0.0),
                scatter.or(errors.specularity).unwrap_or(0.0),
            ));
        }
    }
    if focal.is_none() || !form.missing.is_empty() {
        return Ok(None);
    }
    let mirror = facets(patches, sky);
    if let Mirror::Facets(built) = &mirror
        && built.last().is_none_or(|last: &Facet| last.up_to <= 0.0)
    {
        return Err(form.refuse(
            "no_light",
            "facets",
            "No facet of the list reflects.",
            "List the facets of the dish; leave masked only those that are covered.",
        ));
    }
    Ok(Some(Built { mirror, rows, aligned_by }))
}

/// Refuses a facet whose light can't come to the front of the focal plane, or that is larger than
/// its own sphere.
fn fits(form: &Form, setting: &Setting, focal_length: f64) -> Result<(), Refusal> {
    if setting.radius >= 2.0 * focal_length {
        return Err(form.refuse(
            "out_of_validity",
            RADIUS.field,
            "The facet lies so far out that its light does not come to the front of the focal plane.",
            "Check radius and focal length; the radius has to be below twice the focal length.",
        ));
    }
    let half = 0.5 * libm::hypot(setting.width, setting.height);
    match setting.curve {
        Curve::Sphere(radius) if half >= 0.5 * radius => Err(form.refuse(
            "larger_than_sphere",
            CURVATURE.field,
            "The facet is wider than its radius of curvature.",
            "Check the radius of curvature, which is twice the focal length of the facet.",
        )),
        _ => Ok(()),
    }
}

fn setting(form: &mut Form, facet: &MirrorFacet) -> Result<Option<Setting>, Refusal> {
    let radius = form.take::<Length>(&RADIUS, Some(&facet.radius))?.map(Si::si);
    let bearing = form.take::<Angle>(&BEARING, Some(&facet.bearing))?.map(Si::si);
    let width = form.may_above_zero::<Length>(&WIDTH, facet.width.as_deref())?;
    let height = form.may_above_zero::<Length>(&HEIGHT, facet.height.as_deref())?;
    let area = form.may_above_zero::<Area>(&AREA, facet.area.as_deref())?;
    let size = match (width, height, area) {
        (Some(width), Some(height), None) => Some((width, height)),
        (None, None, Some(area)) => Some((libm::sqrt(area), libm::sqrt(area))),
        (_, _, Some(_)) => {
            return Err(form.refuse(
                "two_sizes",
                AREA.field,
                format!("Facet {} has an area beside width or height.", facet.facet),
                "Give width and height, or the area alone.",
            ));
        }
        _ => {
            if width.is_none() {
                form.miss(WIDTH.field, "width of the facet, or its area");
            }
            if height.is_none() {
                form.miss(HEIGHT.field, "height of the facet, or its area");
            }
            None
        }
    };
    let sphere = form.may_above_zero::<Length>(&CURVATURE, facet.radius_of_curvature.as_deref())?;
    let half = form.may_above_zero::<Length>(&FACET_FOCAL, facet.focal_length.as_deref())?;
    let curve = match (sphere, half) {
        (Some(_), Some(_)) => {
            return Err(form.refuse(
                "two_curvatures",
                CURVATURE.field,
                format!("Facet {} has a radius of curvature and a focal length.", facet.facet),
                "Give one; the radius of curvature is twice the focal length.",
            ));
        }
        (Some(radius), None) => Curve::Sphere(radius),
        (None, Some(focal)) => Curve::Sphere(2.0 * focal),
        (None, None) => Curve::Paraboloid,
    };
    let mut length = |place: &Place, text: &Option<String>| {
        Ok::<_, Refusal>(form.may::<Length>(place, text.as_deref())?.map_or(0.0, Si::si))
    };
    let aim = (length(&AIM_X, &facet.aim_x)?, length(&AIM_Y, &facet.aim_y)?);
    let mut angle = |place: &Place, text: &Option<String>| {
        Ok::<_, Refusal>(form.may::<Angle>(place, text.as_deref())?.map_or(0.0, Si::si))
    };
    let tilt = (angle(&TILT_X, &facet.tilt_x)?, angle(&TILT_Y, &facet.tilt_y)?);
    let (Some(radius), Some(bearing), Some((width, height))) = (radius, bearing, size) else {
        return Ok(None);
    };
    Ok(Some(Setting { radius, bearing, width, height, curve, aim, tilt }))
}
