//! Dish designs: where the facets of a type of dish sit and where each of them is to point.

use std::collections::BTreeSet;

use acceptance::Refusal;
use acceptance::facet_alignment::{Adjusters, Light};
use quantity::{Bound, Decimal, Dimension, Field};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::reader::{self, Part, Places, Problems};

/// The design of one type of dish.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Dishwright dish design")]
pub struct DishDesign {
    /// Version of this file form; 1.
    pub format: u32,
    /// Its id: the type of dish that positions name.
    pub id: String,
    /// Its revision label.
    pub revision: String,
    /// Its title.
    pub title: String,
    /// What a reader must know before adopting it, and where the figures come from.
    #[serde(default)]
    pub notes: Vec<String>,
    /// Focal length with unit.
    pub focal_length: String,
    /// Width of the aperture with unit.
    pub aperture_across: String,
    /// How many facets there are.
    pub facet_count: u32,
    /// In words: where x and y point, and from where bearings are counted.
    pub axes: String,
    /// How each facet is held and turned. Left out, no turns are worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Adjusters")]
    pub adjusters: Option<Adjusters>,
    /// What has to be known of its light to say what misalignment costs. Left out, that is not
    /// worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Light")]
    pub light: Option<Light>,
    /// The racks.
    #[serde(rename = "rack")]
    pub racks: Vec<Rack>,
    /// The facets.
    #[serde(rename = "facet")]
    pub facets: Vec<Facet>,
}

/// A rack: the frame that carries some of the facets.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rack {
    /// Its id.
    pub id: String,
    /// The bearing at which its sector begins.
    pub from_bearing: String,
    /// The bearing at which it ends.
    pub to_bearing: String,
}

/// A facet: one mirror.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Facet {
    /// Its id, such as `R09/F14`.
    pub id: String,
    /// The rack that carries it.
    pub rack: String,
    /// Distance of its centre from the axis, with unit.
    pub radius: String,
    /// Bearing of its centre, with unit.
    pub bearing: String,
    /// Where it is to point on the focal plane, along x, with unit.
    pub aim_x: String,
    /// Where it is to point on the focal plane, along y, with unit.
    pub aim_y: String,
    /// Turn of its studs against those of the design, clockwise seen from the focus, with unit; left
    /// out where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub turned: Option<String>,
}

impl DishDesign {
    /// Reads a dish design.
    ///
    /// # Errors
    /// Every problem in the file: syntax, unknown fields, figures that can't be read, facets on
    /// racks that do not exist, a count that differs.
    pub fn parse(file: &str, text: &str) -> Result<Self, Problems> {
        let (design, mut places) = reader::read::<Self>(file, text)?;
        check(&design, &mut places);
        places.finish(design)
    }

    /// The ids of the facets, in the order of the file.
    pub fn facet_ids(&self) -> Vec<String> {
        self.facets.iter().map(|facet| facet.id.clone()).collect()
    }
}

fn check(design: &DishDesign, places: &mut Places<'_>) {
    if design.format != 1 {
        places.problem(&["format".into()], "this version reads format 1 only");
    }
    let focal = figure(&design.focal_length, Dimension::Length, &["focal_length".into()], places);
    let across =
        figure(&design.aperture_across, Dimension::Length, &["aperture_across".into()], places);
    for (value, name) in [(focal, "focal_length"), (across, "aperture_across")] {
        if value.is_some_and(|value| value <= Decimal::ZERO) {
            places.problem(&[name.into()], "a length above zero is needed");
        }
    }
    if usize::try_from(design.facet_count) != Ok(design.facets.len()) {
        places.problem(
            &["facet_count".into()],
            format!(
                "{} facets are announced and {} are listed",
                design.facet_count,
                design.facets.len()
            ),
        );
    }
    let studs = design.adjusters.as_ref().map(Adjusters::check);
    for refusal in studs.into_iter().chain(design.light.as_ref().map(Light::check)) {
        if let Err(refusal) = refusal {
            let what = format!("{} {}", refusal.sentence, refusal.next_step);
            places.problem(&path(&refusal), what);
        }
    }
    let mut racks = BTreeSet::new();
    for (index, rack) in design.racks.iter().enumerate() {
        let at = |field: &str| -> Vec<Part> { vec!["rack".into(), index.into(), field.into()] };
        if !racks.insert(rack.id.as_str()) {
            places.problem(&at("id"), format!("rack `{}` stands twice", rack.id));
        }
        figure(&rack.from_bearing, Dimension::Angle, &at("from_bearing"), places);
        figure(&rack.to_bearing, Dimension::Angle, &at("to_bearing"), places);
    }
    let mut facets = BTreeSet::new();
    for (index, facet) in design.facets.iter().enumerate() {
        let at = |field: &str| -> Vec<Part> { vec!["facet".into(), index.into(), field.into()] };
        if !facets.insert(facet.id.as_str()) {
            places.problem(&at("id"), format!("facet `{}` stands twice", facet.id));
        }
        if !racks.contains(facet.rack.as_str()) {
            places.problem(&at("rack"), format!("there is no rack `{}`", facet.rack));
        }
        let radius = figure(&facet.radius, Dimension::Length, &at("radius"), places);
        let within = radius
            .zip(across)
            .is_none_or(|(radius, across)| radius >= Decimal::ZERO && radius + radius <= across);
        if !within {
            places
                .problem(&at("radius"), format!("facet `{}` lies outside the aperture", facet.id));
        }
        figure(&facet.bearing, Dimension::Angle, &at("bearing"), places);
        figure(&facet.aim_x, Dimension::Length, &at("aim_x"), places);
        figure(&facet.aim_y, Dimension::Length, &at("aim_y"), places);
        if let Some(turned) = &facet.turned {
            figure(turned, Dimension::Angle, &at("turned"), places);
        }
    }
}

/// The place of a refused input: `adjusters.studs[1].distance` part by part.
fn path(refusal: &Refusal) -> Vec<Part> {
    let parts = refusal.field.split(['.', '[']);
    parts
        .map(|part| match part.strip_suffix(']').map(str::parse::<usize>) {
            Some(Ok(index)) => index.into(),
            _ => part.into(),
        })
        .collect()
}

/// A figure in its base unit, or a problem at its place.
fn figure(
    text: &str,
    dimension: Dimension,
    path: &[Part],
    places: &mut Places<'_>,
) -> Option<Decimal> {
    match quantity::parse(text, &Field::of(dimension)) {
        Ok(reading) if reading.bound() == Bound::Exact => Some(reading.base()),
        Ok(_) => {
            places.problem(path, format!("`{text}` is only a bound; the figure itself is needed"));
            None
        }
        Err(error) => {
            places.problem(path, error.to_string());
            None
        }
    }
}
