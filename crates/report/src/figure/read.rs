//! From the view model's decimal strings to a drawing: the one way to each figure, for screens and
//! paper alike.

use super::bars::bars;
use super::drawing::Drawing;
use super::facet_map::{FacetMap, MapFacet, MapRack, MapState, facet_map};
use super::lines::lines;
use super::plane::plane;
use super::plot::narrow;
use super::sky::{Sky, SkyMark, SkyPlace, sky};
use crate::RenderError;
use crate::model;

/// Draws a figure of the view model.
///
/// # Errors
/// A number that is not a decimal.
pub fn drawing(figure: &model::Figure) -> Result<Drawing, RenderError> {
    match figure {
        model::Figure::Lines(figure) => lines(figure),
        model::Figure::Bars(figure) => bars(figure),
        model::Figure::Plane(figure) => plane(figure),
        model::Figure::FacetMap(map) => Ok(facet_map(&FacetMap::read(map)?)),
        model::Figure::Sky(seen) => Ok(sky(&Sky::read(seen)?)),
    }
}

/// A decimal of a figure.
pub(super) fn number(figure: &str, text: &str) -> Result<f32, RenderError> {
    let number = narrow(wide(figure, text)?);
    let bad = || RenderError::BadNumber { figure: figure.to_owned(), value: text.to_owned() };
    number.is_finite().then_some(number).ok_or_else(bad)
}

/// A decimal of a figure with all its digits: a date within years needs more than a place does.
pub(super) fn wide(figure: &str, text: &str) -> Result<f64, RenderError> {
    match text.replace('\u{2212}', "-").parse::<f64>() {
        // What is larger than this is no measure of anything.
        Ok(number) if number.abs() < 1e100 => Ok(number),
        _ => Err(RenderError::BadNumber { figure: figure.to_owned(), value: text.to_owned() }),
    }
}

impl FacetMap {
    /// Reads a map of the view model; no facet is chosen.
    ///
    /// # Errors
    /// A number that is not a decimal.
    pub fn read(map: &model::FacetMap) -> Result<Self, RenderError> {
        let number = |text: &str| number(&map.title, text);
        let rack = |rack: &model::MapRack| {
            Ok(MapRack {
                id: rack.id.clone(),
                from: number(&rack.from)?,
                to: number(&rack.to)?,
                moved: map.moved.contains(&rack.id),
            })
        };
        let facet = |facet: &model::MapFacet| {
            let error = match (facet.x.as_str(), facet.y.as_str()) {
                ("", "") => None,
                (x, y) => Some([number(x)?, number(y)?]),
            };
            Ok(MapFacet {
                id: facet.id.clone(),
                rack: facet.rack.clone(),
                radius: number(&facet.radius)?,
                bearing: number(&facet.bearing)?,
                state: facet.state.into(),
                error,
            })
        };
        Ok(Self {
            name: map.name.clone(),
            racks: map.racks.iter().map(rack).collect::<Result<_, RenderError>>()?,
            facets: map.facets.iter().map(facet).collect::<Result<_, RenderError>>()?,
            chosen: None,
        })
    }
}

impl From<model::MapState> for MapState {
    fn from(state: model::MapState) -> Self {
        match state {
            model::MapState::In => Self::In,
            model::MapState::Out => Self::Out,
            model::MapState::Within => Self::Within,
            model::MapState::NotMeasured => Self::NotMeasured,
            model::MapState::Masked => Self::Masked,
        }
    }
}

impl Sky {
    /// Reads a sky of the view model.
    ///
    /// # Errors
    /// A number that is not a decimal.
    pub fn read(seen: &model::Sky) -> Result<Self, RenderError> {
        let number = |text: &str| number(&seen.title, text);
        let place = |place: &model::SkyPlace| -> Result<SkyPlace, RenderError> {
            Ok(SkyPlace { azimuth: number(&place.azimuth)?, elevation: number(&place.elevation)? })
        };
        let way = |way: &Vec<model::SkyPlace>| way.iter().map(place).collect();
        let mark = |mark: &Option<model::SkyMark>| {
            let read = |mark: &model::SkyMark| {
                Ok(SkyMark { place: place(&mark.place)?, label: mark.label.clone() })
            };
            mark.as_ref().map(read).transpose()
        };
        Ok(Self {
            name: seen.name.clone(),
            axis: place(&seen.axis)?,
            margin: number(&seen.margin)?,
            margin_label: seen.margin_label.clone(),
            sun: seen.sun.iter().map(way).collect::<Result<_, RenderError>>()?,
            day: way(&seen.day)?,
            begins: mark(&seen.begins)?,
            ends: mark(&seen.ends)?,
            nearest: mark(&seen.nearest)?,
        })
    }
}
