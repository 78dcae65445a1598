//! Values over a plane as a map: steps of lightness of the ink itself, lines of equal value with
//! their numbers written in, and a legend of the steps. Lines and marks stand over it.

use super::drawing::{Anchor, Drawing, Shape, Tone, polyline};
use super::plot::{
    Axis, Curve, Frame, Placed, RIGHT, Range, SIZE, Titles, WIDTH, below, draw, label, narrow,
    notes, width, wrap,
};
use super::read::wide;
use crate::RenderError;
use crate::draw::Seg;
use crate::model::Plane;
use crate::setting::Face;

/// Height of a frame, and of one in which a unit is as long on both axes.
const HEIGHT: (f32, f32) = (240.0, 330.0);
/// Steps of lightness, from the ground to the ink.
const STEPS: u8 = 7;

/// The values on their places.
struct Field {
    x_from: f64,
    x_step: f64,
    y_from: f64,
    y_step: f64,
    /// Rows upward, each of one length.
    rows: Vec<Vec<Option<f64>>>,
}

/// The bounds between the steps, from the lowest to the highest.
struct Steps {
    bounds: Vec<(f64, String)>,
}

/// Draws the map.
///
/// # Errors
/// A value that is not a decimal number.
pub(super) fn plane(figure: &Plane) -> Result<Drawing, RenderError> {
    let field = Field::read(figure)?;
    let steps = Steps::of(&field);
    let mut curves = Curve::all(&figure.title, &figure.series)?;
    let titles = Titles { x: &figure.x_title, y: &figure.y_title, x_unit: "" };
    let (x, y) = field.extent();
    let frame = if figure.equal {
        Frame::equal(x, y, HEIGHT.1, &titles)
    } else {
        let (xs, ys) = (Axis::even(x, 5.0, false), Axis::even(y, 6.0, false));
        Frame::new(xs, ys, HEIGHT.0, &titles)
    };
    let mut shapes = Vec::new();
    let inner = over(&field, &steps, &frame, &mut curves);
    shapes
        .push(Shape::Clip { path: rect(frame.left, frame.top, frame.right, frame.bottom), inner });
    let plates = contours(&mut shapes, &field, &steps, &frame);
    shapes.extend(plates);
    let end = frame.axes(&mut shapes, &titles);
    let legend = legend(&mut shapes, &frame, figure, &steps, field.has_gaps());
    let placed = Placed::below(&mut curves);
    let end = below(&mut shapes, frame.left, end.max(legend), &curves, &placed);
    let mut said = Vec::new();
    if steps.bounds.is_empty() {
        said.push("There is nothing to draw.".to_owned());
    }
    let end = notes(&mut shapes, frame.left, end, &said);
    Ok(Drawing { view: [0.0, 0.0, WIDTH, end], shapes, name: figure.title.clone() })
}

/// Cells, and the lines and marks over them.
fn over(field: &Field, steps: &Steps, frame: &Frame, curves: &mut [Curve<'_>]) -> Vec<Shape> {
    let mut shapes = Vec::new();
    cells(&mut shapes, field, steps, frame);
    gaps(&mut shapes, field, frame);
    let (x, y) = (frame.xs.range, frame.ys.range);
    for curve in curves.iter_mut() {
        if curve.is_marks() {
            curve.spots.retain(|spot| {
                (x.low..=x.high).contains(&spot.x) && (y.low..=y.high).contains(&spot.y)
            });
        }
        // A band of the ground under each line keeps it apart from dark cells.
        let band: Vec<(f32, f32)> = curve.spots.iter().map(|s| frame.at(s.x, s.y)).collect();
        if !curve.is_marks() {
            let path = polyline(&band, false);
            shapes.push(Shape::Stroke { path, width: 5.0, dash: None, tone: Tone::Ground });
        }
        draw(&mut shapes, frame, curve);
    }
    shapes
}

impl Field {
    fn read(figure: &Plane) -> Result<Self, RenderError> {
        let number = |text: &str| wide(&figure.title, text);
        let step = |text: &str| number(text).map(|step| if step.abs() > 0.0 { step } else { 1.0 });
        let cell = |text: &String| {
            if text.trim().is_empty() { Ok(None) } else { number(text).map(Some) }
        };
        let row = |row: &Vec<String>| row.iter().map(cell).collect::<Result<Vec<_>, _>>();
        let mut rows = figure.rows.iter().map(row).collect::<Result<Vec<_>, _>>()?;
        let longest = rows.iter().map(Vec::len).max().unwrap_or(0);
        for row in &mut rows {
            row.resize(longest, None);
        }
        Ok(Self {
            x_from: number(&figure.x_from)?,
            x_step: step(&figure.x_step)?,
            y_from: number(&figure.y_from)?,
            y_step: step(&figure.y_step)?,
            rows,
        })
    }

    fn value(&self, column: usize, row: usize) -> Option<f64> {
        *self.rows.get(row)?.get(column)?
    }

    fn has_gaps(&self) -> bool {
        self.rows.iter().flatten().any(Option::is_none)
    }

    fn size(&self) -> (usize, usize) {
        (self.rows.first().map_or(0, Vec::len), self.rows.len())
    }

    fn x(&self, column: f64) -> f64 {
        self.x_from + column * self.x_step
    }

    fn y(&self, row: f64) -> f64 {
        self.y_from + row * self.y_step
    }

    /// From the outer edges of the first cells to those of the last.
    fn extent(&self) -> (Range, Range) {
        let (columns, rows) = self.size();
        let last = |n: usize| count(n.max(1)) - 0.5;
        (
            Range::of([self.x(-0.5), self.x(last(columns))].into_iter()),
            Range::of([self.y(-0.5), self.y(last(rows))].into_iter()),
        )
    }
}

#[expect(clippy::cast_precision_loss, reason = "cells of a map are few")]
fn count(n: usize) -> f64 {
    n as f64
}

impl Steps {
    /// Round bounds, so that there are at most as many steps as can be told apart.
    fn of(field: &Field) -> Self {
        let values = || field.rows.iter().flatten().copied().flatten();
        if values().next().is_none() {
            return Self { bounds: Vec::new() };
        }
        let mut want = f64::from(STEPS) - 1.0;
        loop {
            let axis = Axis::even(Range::of(values()).opened(), want, true);
            let ticks = axis.ticks().into_iter();
            let bounds: Vec<(f64, String)> =
                ticks.map(|tick| (tick.value, tick.text.unwrap_or_default())).collect();
            if bounds.len() <= usize::from(STEPS) + 1 || want <= 2.0 {
                return Self { bounds };
            }
            want -= 1.0;
        }
    }

    fn many(&self) -> usize {
        self.bounds.len().saturating_sub(1)
    }

    /// The step that a value is in.
    fn step(&self, value: f64) -> usize {
        let above = self.bounds.iter().skip(1).filter(|(bound, _)| value >= *bound).count();
        above.min(self.many().saturating_sub(1))
    }

    /// The lightness of a step, spread over all that there are.
    fn tone(&self, step: usize) -> Tone {
        let last = self.many().saturating_sub(1).max(1);
        let spread = (step * usize::from(STEPS - 1) + last / 2) / last;
        Tone::Step(u8::try_from(spread).unwrap_or(STEPS - 1).min(STEPS - 1))
    }

    /// Whether the ink is seen on a step; on the darker ones the ground is.
    fn is_light(&self, step: usize) -> bool {
        2 * step < self.many()
    }
}

/// Cells of one step that lie side by side are one shape.
fn cells(shapes: &mut Vec<Shape>, field: &Field, steps: &Steps, frame: &Frame) {
    let (columns, rows) = field.size();
    for row in 0..rows {
        let mut column = 0;
        while column < columns {
            let Some(value) = field.value(column, row) else {
                column += 1;
                continue;
            };
            let (step, from) = (steps.step(value), column);
            while field.value(column, row).is_some_and(|value| steps.step(value) == step) {
                column += 1;
            }
            let low = frame.at(field.x(count(from) - 0.5), field.y(count(row) - 0.5));
            let high = frame.at(field.x(count(column) - 0.5), field.y(count(row) + 0.5));
            // A little over the edge: no light shows between the cells.
            let over = |a: f32, b: f32| (a.min(b) - 0.25, a.max(b) + 0.25);
            let ((left, right), (top, bottom)) = (over(low.0, high.0), over(low.1, high.1));
            let path = rect(left, top, right, bottom);
            shapes.push(Shape::Fill { path, tone: steps.tone(step) });
        }
    }
}

/// A stroke through each cell without a value, so that it is not taken for the lowest step.
fn gaps(shapes: &mut Vec<Shape>, field: &Field, frame: &Frame) {
    let (columns, rows) = field.size();
    let mut path = Vec::new();
    for (column, row) in (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row))) {
        if field.value(column, row).is_none() {
            let low = frame.at(field.x(count(column) - 0.5), field.y(count(row) - 0.5));
            let high = frame.at(field.x(count(column) + 0.5), field.y(count(row) + 0.5));
            path.extend(polyline(&[low, high], false));
        }
    }
    if !path.is_empty() {
        shapes.push(Shape::Stroke { path, width: 1.0, dash: None, tone: Tone::Second });
    }
}

fn rect(left: f32, top: f32, right: f32, bottom: f32) -> Vec<Seg> {
    polyline(&[(left, top), (right, top), (right, bottom), (left, bottom)], true)
}

/// Lines of equal value at some of the bounds; gives plates with their numbers.
fn contours(shapes: &mut Vec<Shape>, field: &Field, steps: &Steps, frame: &Frame) -> Vec<Shape> {
    let inner = steps.bounds.len().saturating_sub(2);
    let every = inner.div_ceil(4).max(1);
    let mut plates: Vec<(f32, f32, f32)> = Vec::new();
    let mut written = Vec::new();
    for (index, (bound, text)) in steps.bounds.iter().enumerate().skip(1).take(inner) {
        let pieces = equal(field, *bound, frame);
        if pieces.is_empty() {
            continue;
        }
        let path: Vec<Seg> =
            pieces.iter().flat_map(|(a, b)| [Seg::Move(a.0, a.1), Seg::Line(b.0, b.1)]).collect();
        let tone = if steps.is_light(index) { Tone::Ink } else { Tone::Ground };
        shapes.push(Shape::Stroke { path, width: 0.8, dash: None, tone });
        if (index - 1) % every != 0 {
            continue;
        }
        let wide = width(text, Face::Text) + 6.0;
        // Each line has its number in another direction, where there is room.
        let fits = |place: &(f32, f32)| {
            let inside = place.0 - wide / 2.0 > frame.left + 2.0
                && place.0 + wide / 2.0 < frame.right - 2.0
                && place.1 - 9.0 > frame.top
                && place.1 + 9.0 < frame.bottom;
            let free = plates.iter().all(|(x, y, other)| {
                (x - place.0).abs() > (wide + other) / 2.0 + 2.0 || (y - place.1).abs() > 18.0
            });
            inside && free
        };
        let turn = narrow(0.6 + 1.9 * count(index));
        let toward = |place: &(f32, f32)| place.0 * libm::cosf(turn) - place.1 * libm::sinf(turn);
        let places = pieces.iter().map(|(a, b)| ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0));
        let best = places.filter(fits).max_by(|a, b| toward(a).total_cmp(&toward(b)));
        if let Some((x, y)) = best {
            plates.push((x, y, wide));
            let path = rect(x - wide / 2.0, y - 8.0, x + wide / 2.0, y + 8.0);
            written.push(Shape::Fill { path, tone: Tone::Ground });
            written.push(label(x, y + 4.4, Anchor::Middle, Tone::Ink, text.clone()));
        }
    }
    written
}

type Piece = ((f32, f32), (f32, f32));

/// The line of a value, piece by piece between the middles of four cells.
fn equal(field: &Field, bound: f64, frame: &Frame) -> Vec<Piece> {
    let (columns, rows) = field.size();
    let mut pieces = Vec::new();
    for row in 0..rows.saturating_sub(1) {
        for column in 0..columns.saturating_sub(1) {
            let corner = |dx: usize, dy: usize| {
                let value = field.value(column + dx, row + dy)?;
                Some((count(column + dx), count(row + dy), value - bound))
            };
            let corners = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
            let [Some(a), Some(b), Some(c), Some(d)] = corners else { continue };
            // Where the value is passed on each side of the square, in order round it.
            let cut = |one: (f64, f64, f64), other: (f64, f64, f64)| {
                if (one.2 >= 0.0) == (other.2 >= 0.0) {
                    return None;
                }
                let part = one.2 / (one.2 - other.2);
                let (x, y) = (one.0 + part * (other.0 - one.0), one.1 + part * (other.1 - one.1));
                Some(frame.at(field.x(x), field.y(y)))
            };
            let cuts: Vec<(f32, f32)> =
                [cut(a, b), cut(b, c), cut(c, d), cut(d, a)].into_iter().flatten().collect();
            match cuts[..] {
                [one, other] => pieces.push((one, other)),
                // A saddle: the two lines pass on either side of its middle.
                [ab, bc, cd, da] => {
                    let middle = a.2 + b.2 + c.2 + d.2;
                    if (middle >= 0.0) == (a.2 >= 0.0) {
                        pieces.extend([(ab, bc), (cd, da)]);
                    } else {
                        pieces.extend([(da, ab), (bc, cd)]);
                    }
                }
                _ => {}
            }
        }
    }
    pieces
}

/// The steps with their bounds, highest on top; gives where they end.
fn legend(
    shapes: &mut Vec<Shape>,
    frame: &Frame,
    figure: &Plane,
    steps: &Steps,
    gaps: bool,
) -> f32 {
    if steps.many() == 0 {
        return frame.top;
    }
    let left = frame.right.max(frame.left + 160.0).min(RIGHT) + 16.0;
    let room = WIDTH - left;
    let mut y = frame.top + 8.0;
    let unit = if figure.unit.is_empty() { String::new() } else { format!(" in {}", figure.unit) };
    for line in wrap(&format!("{}{unit}", figure.meaning), room, Face::Text) {
        shapes.push(label(left, y, Anchor::Start, Tone::Second, line));
        y += 15.0;
    }
    y -= 4.0;
    for step in (0..steps.many()).rev() {
        let path = rect(left, y, left + 26.0, y + 19.0);
        shapes.push(Shape::Fill { path: path.clone(), tone: steps.tone(step) });
        shapes.push(Shape::Stroke { path, width: 1.0, dash: None, tone: Tone::Ink });
        let bound = |n: usize| steps.bounds.get(n).map_or("", |(_, text)| text.as_str());
        shapes.push(Shape::Label {
            x: left + 34.0,
            y: y + 14.0,
            size: SIZE,
            face: Face::Text,
            anchor: Anchor::Start,
            tone: Tone::Ink,
            text: format!("{} to {}", bound(step), bound(step + 1)),
        });
        y += 19.0;
    }
    if gaps {
        let path = rect(left, y + 6.0, left + 26.0, y + 25.0);
        shapes.push(Shape::Stroke { path, width: 1.0, dash: None, tone: Tone::Ink });
        let path = polyline(&[(left, y + 25.0), (left + 26.0, y + 6.0)], false);
        shapes.push(Shape::Stroke { path, width: 1.0, dash: None, tone: Tone::Second });
        let text = "no value".to_owned();
        shapes.push(label(left + 34.0, y + 20.0, Anchor::Start, Tone::Ink, text));
        y += 25.0;
    }
    y + 6.0
}
