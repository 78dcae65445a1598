//! A series of points as it is drawn: a line in one of three weights, marks, or marks struck out.

use super::frame::Frame;
use crate::RenderError;
use crate::draw::Seg;
use crate::figure::drawing::{Shape, Tone, circle, polyline};
use crate::figure::read::wide;
use crate::model::{FigureSeries, LineStyle};

/// Points of a line that are marked one by one; of more, the line alone is drawn.
const MARKED: usize = 8;
/// So many marks have a ring each; more of them are dots.
const RINGS: usize = 80;
/// Points of a line nearer than this to the one before are left out: nobody could see them.
const NEAR: f32 = 0.3;

/// A point with its bar of doubt.
#[derive(Debug, Clone, Copy)]
pub(in crate::figure) struct Spot {
    pub(in crate::figure) x: f64,
    pub(in crate::figure) y: f64,
    pub(in crate::figure) bar: f64,
}

/// A series, read.
pub(in crate::figure) struct Curve<'f> {
    pub(in crate::figure) series: &'f FigureSeries,
    pub(in crate::figure) spots: Vec<Spot>,
    /// Which of those that are drawn alike it is: tells them apart where no label stands at a line.
    pub(in crate::figure) kind: usize,
}

impl<'f> Curve<'f> {
    /// Reads the series of a figure.
    pub(in crate::figure) fn all(
        title: &str,
        series: &'f [FigureSeries],
    ) -> Result<Vec<Self>, RenderError> {
        let read = |series: &'f FigureSeries| {
            let spots = series.points.iter().map(|point| {
                let bar = if point.bar.is_empty() { 0.0 } else { wide(title, &point.bar)?.abs() };
                Ok(Spot { x: wide(title, &point.x)?, y: wide(title, &point.y)?, bar })
            });
            Ok(Self { series, spots: spots.collect::<Result<_, RenderError>>()?, kind: 0 })
        };
        series.iter().map(read).collect()
    }

    pub(in crate::figure) fn style(&self) -> LineStyle {
        self.series.style
    }

    /// Whether it is marks without a line.
    pub(in crate::figure) fn is_marks(&self) -> bool {
        matches!(self.style(), LineStyle::Points | LineStyle::Crosses)
    }
}

/// Draws a series.
pub(in crate::figure) fn draw(shapes: &mut Vec<Shape>, frame: &Frame, curve: &Curve<'_>) {
    let placed: Vec<(f32, f32)> = curve.spots.iter().map(|s| frame.at(s.x, s.y)).collect();
    match curve.style() {
        LineStyle::Points => marks(shapes, &placed, curve.kind),
        LineStyle::Crosses => crosses(shapes, &placed),
        style => {
            let marked = !curve.series.plain && placed.len() <= MARKED;
            let (width, dash) = weight(style, curve.series.plain || marked, curve.kind);
            let path = polyline(&thinned(&placed), false);
            shapes.push(Shape::Stroke { path, width, dash, tone: Tone::Ink });
            if marked {
                ends_marked(shapes, style, &placed);
            }
            if style == LineStyle::Thick {
                for spot in curve.spots.iter().filter(|spot| spot.bar > 0.0) {
                    let (x, low) = frame.at(spot.x, spot.y - spot.bar);
                    bar(shapes, x, low, frame.at(spot.x, spot.y + spot.bar).1);
                }
            }
        }
    }
}

/// A sample of a series, for the names below a figure: its middle stands at a place.
pub(super) fn sample(shapes: &mut Vec<Shape>, curve: &Curve<'_>, x: f32, y: f32) {
    match curve.style() {
        LineStyle::Points if curve.spots.len() > RINGS => {
            marks_of(shapes, &[(x - 5.0, y), (x, y), (x + 5.0, y)], curve.kind, 2.2, false);
        }
        LineStyle::Points => marks(shapes, &[(x, y)], curve.kind),
        LineStyle::Crosses => crosses(shapes, &[(x, y)]),
        style => {
            let (width, dash) = weight(style, true, curve.kind);
            let path = polyline(&[(x - 13.0, y), (x + 13.0, y)], false);
            shapes.push(Shape::Stroke { path, width: width.min(3.2), dash, tone: Tone::Ink });
        }
    }
}

/// Weight and dashes of a line; `kind` varies the dashes among lines of one weight.
fn weight(style: LineStyle, heavy: bool, kind: usize) -> (f32, Option<[f32; 2]>) {
    let width = match style {
        LineStyle::Thick if heavy => 4.0,
        LineStyle::Thick => 2.6,
        LineStyle::Dashed => 2.0,
        LineStyle::Thin | LineStyle::Points | LineStyle::Crosses => 1.5,
    };
    let dash = match (style, kind % 3) {
        (LineStyle::Dashed, 0) => Some([8.0, 5.0]),
        (LineStyle::Dashed, 1) | (_, 2) => Some([2.0, 4.0]),
        (LineStyle::Dashed, _) => Some([16.0, 4.0]),
        (_, 1) => Some([5.0, 2.5]),
        _ => None,
    };
    (width, dash)
}

/// Leaves out what stands on the point before it; the last one stays.
fn thinned(points: &[(f32, f32)]) -> Vec<(f32, f32)> {
    let mut out: Vec<(f32, f32)> = Vec::with_capacity(points.len());
    for (index, point) in points.iter().enumerate() {
        let near = out
            .last()
            .is_some_and(|last| (last.0 - point.0).abs() + (last.1 - point.1).abs() < NEAR);
        if !near || index + 1 == points.len() {
            out.push(*point);
        }
    }
    out
}

fn ends_marked(shapes: &mut Vec<Shape>, style: LineStyle, points: &[(f32, f32)]) {
    for (x, y) in points {
        match style {
            LineStyle::Thick => {
                shapes.push(Shape::Fill { path: circle(*x, *y, 5.4), tone: Tone::Ink });
            }
            LineStyle::Thin => {
                shapes.push(Shape::Fill { path: circle(*x, *y, 4.3), tone: Tone::Ground });
                let path = circle(*x, *y, 4.3);
                shapes.push(Shape::Stroke { path, width: 1.5, dash: None, tone: Tone::Ink });
            }
            LineStyle::Dashed | LineStyle::Points | LineStyle::Crosses => {}
        }
    }
}

fn marks(shapes: &mut Vec<Shape>, points: &[(f32, f32)], kind: usize) {
    match points.len() {
        0..=RINGS => marks_of(shapes, points, kind, 4.0, true),
        81..=500 => marks_of(shapes, points, kind, 2.2, false),
        _ => marks_of(shapes, points, kind, 1.5, false),
    }
}

/// Marks of one form in one path: rings, discs, squares, triangles.
fn marks_of(shapes: &mut Vec<Shape>, points: &[(f32, f32)], kind: usize, r: f32, rings: bool) {
    if points.is_empty() {
        return;
    }
    let form = |x: f32, y: f32| match kind % 4 {
        // A dot among many is a small square: it takes a tenth of the bytes of a circle.
        0 if !rings => polyline(&[(x - r, y), (x, y - r), (x + r, y), (x, y + r)], true),
        0 | 1 => circle(x, y, r),
        2 => {
            let (left, right, top, bottom) = (x - r, x + r, y - r, y + r);
            polyline(&[(left, top), (right, top), (right, bottom), (left, bottom)], true)
        }
        _ => {
            let high = 1.25 * r;
            polyline(&[(x, y - high), (x + high, y + r), (x - high, y + r)], true)
        }
    };
    let path: Vec<Seg> = points.iter().flat_map(|(x, y)| form(*x, *y)).collect();
    let filled = (kind % 4 == 1) == rings;
    if filled {
        shapes.push(Shape::Fill { path, tone: Tone::Ink });
        return;
    }
    shapes.push(Shape::Fill { path: path.clone(), tone: Tone::Ground });
    let width = if rings { 1.6 } else { 1.0 };
    shapes.push(Shape::Stroke { path, width, dash: None, tone: Tone::Ink });
}

fn crosses(shapes: &mut Vec<Shape>, points: &[(f32, f32)]) {
    if points.is_empty() {
        return;
    }
    let r = if points.len() > RINGS { 2.6 } else { 4.2 };
    let path: Vec<Seg> = points
        .iter()
        .flat_map(|(x, y)| {
            let mut cross = polyline(&[(x - r, y - r), (x + r, y + r)], false);
            cross.extend(polyline(&[(x + r, y - r), (x - r, y + r)], false));
            cross
        })
        .collect();
    let width = if points.len() > RINGS { 1.0 } else { 1.6 };
    shapes.push(Shape::Stroke { path, width, dash: None, tone: Tone::Ink });
}

fn bar(shapes: &mut Vec<Shape>, x: f32, low: f32, high: f32) {
    let mut push = |points: &[(f32, f32)]| {
        let path = polyline(points, false);
        shapes.push(Shape::Stroke { path, width: 1.8, dash: None, tone: Tone::Ink });
    };
    push(&[(x, low), (x, high)]);
    push(&[(x - 6.5, low), (x + 6.5, low)]);
    push(&[(x - 6.5, high), (x + 6.5, high)]);
}
