//! The share of every facet and rack, and the map.

use std::collections::BTreeMap;

use quantity::significant;

use super::present::{Found, count};
use super::read::Case;
use super::tally::{CELLS, STEPS, Share, Tally, WITHIN};
use super::trace::{Mirror, RINGS};
use crate::{Axes, Drawn, Figure, Grid, Point, Series, Table};

/// All tables.
pub(super) fn tables(case: &Case, found: &Found, tally: &Tally) -> Vec<Table> {
    match &case.scene.mirror {
        Mirror::Whole { .. } => vec![rings(case, found, tally)],
        Mirror::Facets(_) => {
            let mut out = vec![facets(case, found, tally)];
            out.extend(racks(case, found, tally));
            out
        }
    }
}

fn texts(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

/// Share of the reflected light, intercept, and the middle of the light on the plane.
fn cells(found: &Found, share: &Share) -> Vec<String> {
    let reflected = count(share.reflected());
    let landed = count(share.reflected().saturating_sub(share.astray));
    let ratio = |part: f64, whole: f64, digits| {
        if whole > 0.0 { significant(part / whole, digits) } else { "–".to_owned() }
    };
    #[expect(clippy::cast_precision_loss, reason = "far less than 2^53 µm each")]
    let (x, y) = (share.x as f64 / 1e3, share.y as f64 / 1e3);
    vec![
        share.rays.to_string(),
        ratio(100.0 * reflected, count(found.whole.reflected()), 4),
        ratio(100.0 * count(share.hits), reflected, 5),
        ratio(x, landed, 3),
        ratio(y, landed, 3),
    ]
}

const COLUMNS: [&str; 5] = [
    "rays",
    "share of the light %",
    "intercept %",
    "middle of its light to the right mm",
    "upward mm",
];

fn facets(case: &Case, found: &Found, tally: &Tally) -> Table {
    let rows = case
        .rows
        .iter()
        .map(|row| {
            let mut cells_of = vec![row.name.clone(), row.rack.clone().unwrap_or_default()];
            match row.place.and_then(|place| tally.shares.get(place)) {
                Some(share) => {
                    cells_of.push("reflecting".to_owned());
                    cells_of.extend(cells(found, share));
                }
                None => {
                    cells_of.push("masked".to_owned());
                    cells_of.extend(COLUMNS.map(|_| "–".to_owned()));
                }
            }
            cells_of
        })
        .collect();
    let mut columns = texts(&["facet", "rack", "state"]);
    columns.extend(texts(&COLUMNS));
    Table {
        name: "facets".to_owned(),
        title: "The facets, their light counted from the middle of the aperture".to_owned(),
        columns,
        rows,
    }
}

fn racks(case: &Case, found: &Found, tally: &Tally) -> Option<Table> {
    let mut racks: BTreeMap<&str, Share> = BTreeMap::new();
    for row in &case.rows {
        if let (Some(rack), Some(share)) =
            (&row.rack, row.place.and_then(|place| tally.shares.get(place)))
        {
            racks.entry(rack).or_default().add(share);
        }
    }
    if racks.is_empty() {
        return None;
    }
    let rows = racks
        .into_iter()
        .map(|(rack, share)| {
            let mut row = vec![rack.to_owned()];
            row.extend(cells(found, &share));
            row
        })
        .collect();
    let mut columns = texts(&["rack"]);
    columns.extend(texts(&COLUMNS));
    Some(Table {
        name: "racks".to_owned(),
        title: "The racks, their light counted from the middle of the aperture".to_owned(),
        columns,
        rows,
    })
}

/// Rings of equal area of a whole dish.
fn rings(case: &Case, found: &Found, tally: &Tally) -> Table {
    let (inner, rim) = match &case.scene.mirror {
        Mirror::Whole { dish, inner, .. } => (*inner, dish.rim),
        Mirror::Facets(_) => (0.0, 0.0),
    };
    let edge = |place: usize| {
        let part = count(place as u64) / count(RINGS as u64);
        libm::sqrt(inner * inner + (rim * rim - inner * inner) * part)
    };
    let rows = tally
        .shares
        .iter()
        .enumerate()
        .map(|(place, share)| {
            let mut row = vec![significant(edge(place), 4), significant(edge(place + 1), 4)];
            row.extend(cells(found, share));
            row
        })
        .collect();
    let mut columns = texts(&["from radius m", "to radius m"]);
    columns.extend(texts(&COLUMNS));
    Table { name: "rings".to_owned(), title: "Rings of equal area".to_owned(), columns, rows }
}

/// The radius about the middle of the aperture that holds a share of the reflected light; none
/// where it lies beyond four radii of the aperture.
pub(super) fn radius_of(case: &Case, found: &Found, tally: &Tally, share: f64) -> Option<f64> {
    let wanted = share * count(found.whole.reflected());
    let mut before = 0.0;
    for (step, rays) in tally.radial.iter().enumerate().take(STEPS) {
        let here = f64::from(*rays);
        if before + here >= wanted && here > 0.0 {
            let at = count(step as u64) + (wanted - before) / here;
            return Some(at / count(WITHIN as u64) * case.scene.receiver);
        }
        before += here;
    }
    None
}

/// The map of the light with the edge of the aperture.
pub(super) fn figure(case: &Case, found: &Found, tally: &Tally) -> Figure {
    /// Points of the drawn edge.
    const POINTS: u32 = 72;
    let scene = &case.scene;
    let step = 1e3 * scene.map / count(CELLS as u64);
    let first = -0.5 * 1e3 * scene.map + 0.5 * step;
    let (middle_x, middle_y) = (1e3 * scene.middle.0, 1e3 * scene.middle.1);
    let (scale, meaning, unit) = match case.irradiance {
        Some(light) => (found.per_ray * light / 1e3, "irradiance of the plane", "kW/m²"),
        None if case.reflectance.is_some() => (found.per_ray, "concentration", "1"),
        None => (found.per_ray, "concentration for a reflectance of 1", "1"),
    };
    let edge = (0..=POINTS)
        .map(|point| {
            let angle = 2.0 * core::f64::consts::PI * f64::from(point) / f64::from(POINTS);
            let radius = 1e3 * scene.receiver;
            Point::of(middle_x + radius * libm::sin(angle), middle_y + radius * libm::cos(angle))
        })
        .collect();
    Figure {
        axes: Some(Axes::Equal),
        grid: Some(Grid {
            meaning: meaning.to_owned(),
            unit: unit.to_owned(),
            x_from: significant(middle_x + first, 6),
            x_step: significant(step, 6),
            y_from: significant(middle_y + first, 6),
            y_step: significant(step, 6),
            rows: tally
                .map()
                .chunks(CELLS)
                .map(|row| {
                    row.iter().map(|rays| significant(scale * f64::from(*rays), 4)).collect()
                })
                .collect(),
        }),
        ..Figure::lines(
            "Light in the plane, seen from the focus looking at the mirror",
            "to the right in mm",
            "upward in mm",
            vec![Series::new("aperture", "edge of the aperture", Drawn::Thick, edge)],
        )
    }
}
