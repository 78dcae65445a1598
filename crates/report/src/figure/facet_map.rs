//! The facet map: the mirror seen from the focus, each rack a wedge, each facet a cell with its
//! error as a pin whose head points where the light goes.
//!
//! Out = filled, unmeasured = hatched, masked = crossed, chosen = heavy outline and a ring the size
//! of a finger; a rack that moved has an arc outside. Bearings clockwise from up, x to the right,
//! y up.

use libm::{asinf, cosf, hypotf, sinf};

use super::drawing::{Anchor, Drawing, Shape, Tone, circle, polyline};
use super::face::{arc, at, count};
use crate::draw::Seg;
use crate::setting::Face;

/// A mirror with what is known of its facets.
#[derive(Debug, Clone, PartialEq)]
pub struct FacetMap {
    /// What it shows, such as the dish position; begins the accessible name.
    pub name: String,
    /// The racks.
    pub racks: Vec<MapRack>,
    /// The facets. One whose rack is not listed is left out.
    pub facets: Vec<MapFacet>,
    /// Facet that is being worked on.
    pub chosen: Option<String>,
}

/// A rack.
#[derive(Debug, Clone, PartialEq)]
pub struct MapRack {
    /// Its name, such as "R09".
    pub id: String,
    /// Bearing at which it begins, in degrees clockwise from up.
    pub from: f32,
    /// Bearing at which it ends.
    pub to: f32,
    /// Whether it moved as a whole.
    pub moved: bool,
}

/// A facet.
#[derive(Debug, Clone, PartialEq)]
pub struct MapFacet {
    /// Its name, such as "R09/F14"; the name of its target too.
    pub id: String,
    /// Its rack.
    pub rack: String,
    /// Distance from the axis, in any unit that is the same for all. Facets within 1 % of the
    /// largest make one row.
    pub radius: f32,
    /// Bearing in degrees; orders the cells of a row.
    pub bearing: f32,
    /// What is known of it.
    pub state: MapState,
    /// Its error in mrad, to the right and up; none where none was measured.
    pub error: Option<[f32; 2]>,
}

/// What is known of a facet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapState {
    /// Measured, within the limit on both axes.
    In,
    /// Measured, beyond the limit.
    Out,
    /// Found within the limits, without a number.
    Within,
    /// Not measured.
    NotMeasured,
    /// Masked.
    Masked,
}

impl MapState {
    const fn word(self) -> &'static str {
        match self {
            Self::In => "in",
            Self::Out => "out",
            Self::Within => "within, no number",
            Self::NotMeasured => "not measured",
            Self::Masked => "masked",
        }
    }
}

const OUTER: f32 = 250.0;
const INNER: f32 = 38.0;
/// Units for each mrad of error.
const PIN: f32 = 11.0;
/// Longest pin, so that it stays on its own cell; one that would be longer keeps its direction.
const LONGEST: f32 = 23.0;
/// Gap between racks, and between cells of one.
const GAPS: [f32; 2] = [7.0, 2.6];
const VIEW: [f32; 4] = [-304.0, -284.0, 608.0, 568.0];

/// Where a cell lies: radii, and angles with the gap to keep at each.
struct Cell {
    inner: f32,
    outer: f32,
    from: f32,
    to: f32,
    gaps: [f32; 2],
}

/// Draws the map; each facet is a target.
#[must_use]
pub fn facet_map(map: &FacetMap) -> Drawing {
    let rows = rows(&map.facets);
    let mut shapes = Vec::new();
    let mut chosen = Vec::new();
    for rack in &map.racks {
        for (facet, cell) in cells(map, rack, &rows) {
            let mut inner = Vec::new();
            draw(&mut inner, facet, &cell);
            if map.chosen.as_ref() == Some(&facet.id) {
                let (x, y) = cell.middle();
                chosen.push(stroke(cell.path(), 3.4, Tone::Ink));
                chosen.push(stroke(circle(x, y, 29.0), 1.8, Tone::Ink));
            }
            let label = words(facet);
            shapes.push(Shape::Target { id: facet.id.clone(), label, inner });
        }
        outside(&mut shapes, rack);
    }
    shapes.push(stroke(circle(0.0, 0.0, INNER - 9.0), 1.3, Tone::Ink));
    shapes.push(Shape::Fill { path: circle(0.0, 0.0, 2.2), tone: Tone::Ink });
    shapes.extend(chosen);
    Drawing { view: VIEW, shapes, name: name(map) }
}

fn name(map: &FacetMap) -> String {
    let having = |states: &[MapState]| {
        map.facets.iter().filter(|facet| states.contains(&facet.state)).count()
    };
    let mut name = format!(
        "{}: {} of {} facets measured, {} out",
        map.name,
        having(&[MapState::In, MapState::Out]),
        map.facets.len(),
        having(&[MapState::Out])
    );
    for rack in map.racks.iter().filter(|rack| rack.moved) {
        name = format!("{name}, rack {} moved", rack.id);
    }
    name
}

/// The name of a facet's target, such as "R09/F14, out, x +2.1 y −2.2 mrad".
fn words(facet: &MapFacet) -> String {
    let number = |value: f32| {
        let text = format!("{value:+.1}");
        if text == "-0.0" { "+0.0".to_owned() } else { text.replace('-', "\u{2212}") }
    };
    match facet.error {
        Some([x, y]) => {
            format!("{}, {}, x {} y {} mrad", facet.id, facet.state.word(), number(x), number(y))
        }
        None => format!("{}, {}", facet.id, facet.state.word()),
    }
}

/// The radii of the rows, from the middle.
fn rows(facets: &[MapFacet]) -> Vec<f32> {
    let mut radii: Vec<f32> = facets.iter().map(|facet| facet.radius).collect();
    radii.sort_by(f32::total_cmp);
    let apart = radii.last().copied().unwrap_or(1.0) * 0.01;
    let mut rows: Vec<f32> = Vec::new();
    for radius in radii {
        if rows.last().is_none_or(|last| radius - last > apart) {
            rows.push(radius);
        }
    }
    rows
}

/// The row of a radius: the last that begins at or below it.
fn row_of(rows: &[f32], radius: f32) -> usize {
    rows.iter().rposition(|row| *row <= radius).unwrap_or(0)
}

fn cells<'m>(map: &'m FacetMap, rack: &MapRack, rows: &[f32]) -> Vec<(&'m MapFacet, Cell)> {
    let depth = (OUTER - INNER) / count(rows.len().max(1));
    let (from, to) = (rack.from.to_radians(), rack.to.to_radians());
    let mut out = Vec::new();
    for row in 0..rows.len() {
        let mut facets: Vec<&MapFacet> = map
            .facets
            .iter()
            .filter(|f| f.rack == rack.id && row_of(rows, f.radius) == row)
            .collect();
        // Clockwise from where the rack begins, also across the top of the dish.
        let turned = |f: &MapFacet| {
            let turn = f.bearing - rack.from;
            if turn < 0.0 { turn + 360.0 } else { turn }
        };
        facets.sort_by(|a, b| turned(a).total_cmp(&turned(b)).then_with(|| a.id.cmp(&b.id)));
        let last = facets.len().saturating_sub(1);
        let step = (to - from) / count(facets.len().max(1));
        for (i, facet) in facets.into_iter().enumerate() {
            let inner = INNER + depth * count(row);
            out.push((
                facet,
                Cell {
                    inner: inner + GAPS[1] / 2.0,
                    outer: inner + depth - GAPS[1] / 2.0,
                    from: from + step * count(i),
                    to: from + step * count(i + 1),
                    gaps: [GAPS[usize::from(i > 0)], GAPS[usize::from(i < last)]],
                },
            ));
        }
    }
    out
}

impl Cell {
    /// The angles at a radius, with the gaps kept.
    fn angles(&self, r: f32) -> (f32, f32) {
        (self.from + asinf(self.gaps[0] / (2.0 * r)), self.to - asinf(self.gaps[1] / (2.0 * r)))
    }

    fn corners(&self) -> [(f32, f32); 4] {
        let ((a, b), (c, d)) = (self.angles(self.outer), self.angles(self.inner));
        [at(self.outer, a), at(self.outer, b), at(self.inner, d), at(self.inner, c)]
    }

    fn path(&self) -> Vec<Seg> {
        let ((a, b), (c, d)) = (self.angles(self.outer), self.angles(self.inner));
        let [start, _, turn, _] = self.corners();
        let mut path = vec![Seg::Move(start.0, start.1)];
        arc(&mut path, self.outer, a, b);
        path.push(Seg::Line(turn.0, turn.1));
        arc(&mut path, self.inner, d, c);
        path.push(Seg::Close);
        path
    }

    fn middle(&self) -> (f32, f32) {
        let r = (self.inner + self.outer) / 2.0;
        let (a, b) = self.angles(r);
        at(r, (a + b) / 2.0)
    }
}

fn stroke(path: Vec<Seg>, width: f32, tone: Tone) -> Shape {
    Shape::Stroke { path, width, dash: None, tone }
}

fn draw(shapes: &mut Vec<Shape>, facet: &MapFacet, cell: &Cell) {
    let path = cell.path();
    let out = facet.state == MapState::Out;
    // Ground below an empty cell, so that a finger meets it anywhere.
    let tone = if out { Tone::Ink } else { Tone::Ground };
    shapes.push(Shape::Fill { path: path.clone(), tone });
    match facet.state {
        MapState::In | MapState::Out => {}
        MapState::Within => {
            let (x, y) = cell.middle();
            let bar = polyline(&[(x - 3.5, y), (x + 3.5, y)], false);
            shapes.push(stroke(bar, 1.6, Tone::Second));
        }
        MapState::NotMeasured => {
            let inner = hatch(cell.middle());
            shapes.push(Shape::Clip { path: path.clone(), inner });
        }
        MapState::Masked => {
            let [a, b, c, d] = cell.corners();
            shapes.push(stroke(polyline(&[a, c], false), 1.6, Tone::Ink));
            shapes.push(stroke(polyline(&[b, d], false), 1.6, Tone::Ink));
        }
    }
    if !out {
        let plain = matches!(facet.state, MapState::In | MapState::Within);
        let (width, tone) = if plain { (0.8, Tone::Second) } else { (1.4, Tone::Ink) };
        shapes.push(stroke(path, width, tone));
    }
    if let Some(error) = facet.error {
        pin(shapes, cell.middle(), error, if out { Tone::Ground } else { Tone::Ink });
    }
}

/// The pin, its middle on the middle of the cell.
fn pin(shapes: &mut Vec<Shape>, (x, y): (f32, f32), [dx, dy]: [f32; 2], tone: Tone) {
    let length = PIN * hypotf(dx, dy);
    let scale = if length > LONGEST { PIN * LONGEST / length } else { PIN };
    let (hx, hy) = (dx * scale / 2.0, -dy * scale / 2.0);
    let line = polyline(&[(x - hx, y - hy), (x + hx, y + hy)], false);
    shapes.push(stroke(line, 1.5, tone));
    shapes.push(Shape::Fill { path: circle(x + hx, y + hy, 2.1), tone });
}

/// Hatch at 45° round a point, the same direction everywhere.
fn hatch((x, y): (f32, f32)) -> Vec<Shape> {
    let reach = 44.0;
    // Lines on one grid for the whole map, so that neighbours join.
    let step = 6.5;
    let first = libm::floorf((x + y - 2.0 * reach) / step);
    (0..28_u16)
        .map(|i| {
            let sum = (first + f32::from(i)) * step;
            let path =
                polyline(&[(x - reach, sum - x + reach), (x + reach, sum - x - reach)], false);
            stroke(path, 1.5, Tone::Ink)
        })
        .collect()
}

/// The rack's name, and the arc of one that moved.
fn outside(shapes: &mut Vec<Shape>, rack: &MapRack) {
    let (from, to) = (rack.from.to_radians(), rack.to.to_radians());
    if rack.moved {
        let r = OUTER + 6.5;
        let keep = asinf(GAPS[0] / (2.0 * r));
        let (x, y) = at(r, from + keep);
        let mut path = vec![Seg::Move(x, y)];
        arc(&mut path, r, from + keep, to - keep);
        shapes.push(stroke(path, 4.4, Tone::Ink));
    }
    let mid = (from + to) / 2.0;
    let r = OUTER + 17.0;
    let (x, y) = (r * sinf(mid), -r * cosf(mid));
    let anchor = if x > 40.0 {
        Anchor::Start
    } else if x < -40.0 {
        Anchor::End
    } else {
        Anchor::Middle
    };
    shapes.push(Shape::Label {
        x,
        // Text stands on its line: the middle of its height is meant.
        y: y + 6.0 - 4.0 * cosf(mid),
        size: 17.0,
        face: if rack.moved { Face::Strong } else { Face::Text },
        anchor,
        tone: Tone::Ink,
        text: rack.id.clone(),
    });
}
