//! The input as JSON, and read.

use quantity::{Angle, Dimension};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, between};
use crate::parking_window::{Job, Limit, Margin};
use crate::sun::{Direction, Observation, Window, axis_or_none, degrees, from_degrees, sun_input};
use crate::{Refusal, schema};

sun_input! {
    /// What the calculation takes.
    pub struct Input over a window {
        /// The limit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Limit")]
        pub limit: Option<Limit>,
        /// Azimuth of the proposed direction, clockwise from true north; it is then judged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub axis_azimuth: Option<String>,
        /// Elevation of the proposed direction.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub axis_elevation: Option<String>,
        /// Directions with names, such as the stows of the dish; up to 24.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub candidates: Vec<Candidate>,
        /// The directions of the map. Left out, azimuth 0 to 350° by 10°, elevation 0 to 90° by 5°.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Raster")]
        pub map: Option<Raster>,
    }
}

/// A direction with a name.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Candidate {
    /// What it is called, such as wind stow.
    pub name: String,
    /// Azimuth, clockwise from true north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth: Option<String>,
    /// Elevation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation: Option<String>,
}

/// The directions of the map, as far as the dish can turn.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Raster {
    /// First azimuth. Left out, 0°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth_from: Option<String>,
    /// Last azimuth. Left out, 350°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth_to: Option<String>,
    /// From an azimuth to the next. Left out, 10°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub azimuth_step: Option<String>,
    /// First elevation. Left out, 0°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation_from: Option<String>,
    /// Last elevation. Left out, 90°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation_to: Option<String>,
    /// From an elevation to the next. Left out, 5°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub elevation_step: Option<String>,
}

/// What is asked for, read.
#[derive(Debug)]
pub(super) struct Wanted {
    /// The window at the place, with the proposed direction or any.
    pub(super) job: Job,
    pub(super) proposed: Option<Direction>,
    pub(super) candidates: Vec<(String, Direction)>,
    pub(super) azimuths: Steps,
    pub(super) elevations: Steps,
}

/// Evenly spaced angles in degrees.
#[derive(Debug, Clone, Copy)]
pub(super) struct Steps {
    pub(super) from: f64,
    pub(super) step: f64,
    pub(super) count: u32,
}

impl Steps {
    /// The angles, in degrees.
    pub(super) fn degrees(self) -> impl Iterator<Item = f64> {
        (0..self.count).map(move |number| self.from + f64::from(number) * self.step)
    }

    /// The angle of a number, in degrees.
    pub(super) fn nth(self, number: usize) -> f64 {
        self.degrees().nth(number).unwrap_or(self.from)
    }
}

/// Four years, in seconds.
const LONGEST: f64 = 1461.0 * 86_400.0;
/// The most angles along a side of the map.
const SIDE: u32 = 60;
/// The most candidates.
const CANDIDATES: usize = 24;

const ANGLE: &[Dimension] = &[Dimension::Angle];
const AZIMUTH: Place = between("azimuth", "azimuth, from true north", ANGLE, (-180, 360, "°"));
const ELEVATION: Place = between("elevation", "elevation", ANGLE, (-90, 90, "°"));
const AZIMUTHS: [Place; 3] = [
    between("azimuth_from", "first azimuth of the map", ANGLE, (-180, 360, "°")),
    between("azimuth_to", "last azimuth of the map", ANGLE, (-180, 360, "°")),
    between("azimuth_step", "step of azimuth of the map", ANGLE, (0, 90, "°")),
];
const ELEVATIONS: [Place; 3] = [
    between("elevation_from", "first elevation of the map", ANGLE, (-90, 90, "°")),
    between("elevation_to", "last elevation of the map", ANGLE, (-90, 90, "°")),
    between("elevation_step", "step of elevation of the map", ANGLE, (0, 90, "°")),
];

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Wanted>, Refusal> {
    let place = Observation::read(form, &input.place())?;
    let window = Window::read(form, &input.window())?;
    if let Some(window) = &window
        && window.length > LONGEST
    {
        return Err(form.refuse(
            "outside_validity",
            "length",
            format!("{} is longer than the four years of this calculation.", window.length_text),
            "Four years hold every path of the sun; take 1461 d, and parking-window for more.",
        ));
    }
    let margin = Margin::read(form, input.limit.as_ref())?;
    let (azimuth, elevation) = (input.axis_azimuth.as_deref(), input.axis_elevation.as_deref());
    let proposed = axis_or_none(form, azimuth, elevation)?;
    let candidates = candidates(form, &input.candidates)?;
    let map = input.map.clone().unwrap_or_default();
    let azimuths = steps(
        form,
        &AZIMUTHS,
        [&map.azimuth_from, &map.azimuth_to, &map.azimuth_step],
        [0.0, 350.0, 10.0],
    )?;
    let elevations = steps(
        form,
        &ELEVATIONS,
        [&map.elevation_from, &map.elevation_to, &map.elevation_step],
        [0.0, 90.0, 5.0],
    )?;
    let (Some(place), Some(window), Some(margin)) = (place, window, margin) else {
        return Ok(None);
    };
    let Some(candidates) = candidates else { return Ok(None) };
    let any = Direction { azimuth: from_degrees(0.0), elevation: from_degrees(90.0) };
    let delta_t = place.delta_t(window.start)?;
    let job = Job { delta_t, place, axis: proposed.unwrap_or(any), window, margin };
    Ok(Some(Wanted { job, proposed, candidates, azimuths, elevations }))
}

/// The candidates; none when a half is missing.
fn candidates(
    form: &mut Form,
    given: &[Candidate],
) -> Result<Option<Vec<(String, Direction)>>, Refusal> {
    if given.len() > CANDIDATES {
        return Err(form.refuse(
            "too_many",
            "candidates",
            format!("{} candidates are more than the {CANDIDATES} that are taken.", given.len()),
            "Leave some out; the map shows every direction.",
        ));
    }
    let mut out: Vec<(String, Direction)> = Vec::new();
    for (number, one) in given.iter().enumerate() {
        let read = form.within(&format!("candidates[{number}]"), |form| {
            form.show("name", "name of the direction", &one.name);
            if one.name.trim().is_empty() || out.iter().any(|(name, _)| *name == one.name) {
                return Err(form.refuse(
                    "name",
                    "name",
                    format!("“{}” is no name of its own.", one.name),
                    "Give every candidate another name.",
                ));
            }
            let azimuth = form.take::<Angle>(&AZIMUTH, one.azimuth.as_deref())?;
            let elevation = form.take::<Angle>(&ELEVATION, one.elevation.as_deref())?;
            Ok(azimuth.zip(elevation))
        })?;
        if let Some((azimuth, elevation)) = read {
            out.push((one.name.clone(), Direction { azimuth, elevation }));
        }
    }
    Ok((out.len() == given.len()).then_some(out))
}

fn steps(
    form: &mut Form,
    places: &[Place; 3],
    texts: [&Option<String>; 3],
    usual: [f64; 3],
) -> Result<Steps, Refusal> {
    let [from, to, step] = form.within("map", |form| {
        let mut read = usual;
        for ((value, place), text) in read.iter_mut().zip(places).zip(texts) {
            if let Some(angle) = form.may::<Angle>(place, text.as_deref())? {
                *value = degrees(angle);
            }
        }
        Ok::<_, Refusal>(read)
    })?;
    let [_, last, each] = places;
    if step <= 0.0 || to < from {
        let place = if step <= 0.0 { each } else { last };
        return Err(form.refuse(
            "no_map",
            &format!("map.{}", place.field),
            format!("From {from:.4}° to {to:.4}° by {step:.4}° there are no directions."),
            "Give first, last and step so that the last is not below the first and the step is above \
             zero.",
        ));
    }
    // A step's rounding doesn't lose the last angle.
    let whole = ((to - from) / step + 1e-9).floor();
    if whole >= f64::from(SIDE) {
        return Err(form.refuse(
            "too_many_cells",
            &format!("map.{}", each.field),
            format!("From {from:.4}° to {to:.4}° by {step:.4}° there are more than {SIDE} angles."),
            "Take a larger step or a smaller part of the sky.",
        ));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the longest side"
    )]
    let count = whole as u32 + 1;
    Ok(Steps { from, step, count })
}
