//! Lengths beside each other, as the parts of a whole, with a limit as a dashed line across them.

use super::drawing::{Anchor, Drawing, Shape, Tone, polyline};
use super::plot::{Axis, Range, SIZE, WIDTH, label, narrow, width, wrap};
use super::read::wide;
use crate::RenderError;
use crate::model::{Bars, FigureBar};
use crate::setting::Face;

/// Room for the names at the left, at most.
const NAMES: f32 = 210.0;
/// Height of a line of type.
const LINE: f32 = 16.0;
/// Half the thickness of a bar.
const HALF: f32 = 9.0;
/// From a row to the next, beside its lines of type.
const APART: f32 = 14.0;

/// A bar, read.
struct Length<'f> {
    bar: &'f FigureBar,
    value: f64,
    name: Vec<String>,
}

/// Draws the bars.
///
/// # Errors
/// A length that is not a decimal number.
pub(super) fn bars(figure: &Bars) -> Result<Drawing, RenderError> {
    let read = |bar: &'_ FigureBar| wide(&figure.title, &bar.value);
    let mut lengths = Vec::new();
    for bar in &figure.bars {
        let name = wrap(&bar.label, NAMES, Face::Text);
        lengths.push(Length { bar, value: read(bar)?, name });
    }
    let (limits, rows): (Vec<_>, Vec<_>) = lengths.into_iter().partition(|one| one.bar.limit);
    let names = rows.iter().flat_map(|row| &row.name).map(|line| width(line, Face::Text));
    let left = names.fold(40.0_f32, f32::max) + 14.0;
    let told = rows.iter().map(|row| width(&with_unit(row.bar, figure), Face::Strong));
    let told = told.fold(40.0_f32, f32::max) + 12.0;
    let ends = rows.iter().chain(&limits).map(|one| one.value).chain([0.0]);
    let range = Range::of(ends);
    let range = if range.size() > 0.0 { range } else { Range { low: 0.0, high: 1.0 } };
    let axis = Axis::even(range, 5.0, true);
    let negative = rows.iter().any(|row| row.value < 0.0);
    // What goes to the left of zero has its number at its left too.
    let from = if negative { left + told } else { left };
    let to = WIDTH - told;
    let at = |value: f64| from + narrow(axis.part(value)) * (to - from);

    let top = if limits.is_empty() { 8.0 } else { 8.0 + 18.0 };
    let high = |row: &Length<'_>| row.name.iter().fold(0.0, |sum, _| sum + LINE).max(2.0 * HALF);
    let bottom = rows.iter().fold(top, |sum, row| sum + high(row) + APART) + 2.0;
    let mut shapes = Vec::new();
    let stroke = |points: &[(f32, f32)], width, dash, tone| Shape::Stroke {
        path: polyline(points, false),
        width,
        dash,
        tone,
    };
    for tick in axis.ticks() {
        let x = at(tick.value);
        shapes.push(stroke(&[(x, top), (x, bottom)], 1.0, None, Tone::Faint));
        shapes.push(stroke(&[(x, bottom), (x, bottom + 5.0)], 1.4, None, Tone::Ink));
        let text = tick.text.unwrap_or_default();
        shapes.push(label(x, bottom + 19.0, Anchor::Middle, Tone::Ink, text));
    }
    let mut y = top;
    let mut numbers = Vec::new();
    for row in &rows {
        let middle = y + APART / 2.0 + high(row) / 2.0;
        let mut line_at = middle - LINE / 2.0 * lines(row) + 12.4;
        for line in &row.name {
            shapes.push(label(0.0, line_at, Anchor::Start, Tone::Ink, line.clone()));
            line_at += LINE;
        }
        let (zero, end) = (at(0.0), at(row.value));
        let (a, b) = (middle - HALF, middle + HALF);
        let path = polyline(&[(zero, a), (end, a), (end, b), (zero, b)], true);
        shapes.push(Shape::Fill { path, tone: Tone::Ink });
        numbers.push((end, middle, row.value < 0.0, with_unit(row.bar, figure)));
        y += high(row) + APART;
    }
    let zero = at(0.0);
    shapes.push(stroke(&[(zero, top - 4.0), (zero, bottom)], 2.0, None, Tone::Ink));
    shapes.push(stroke(&[(from, bottom), (to, bottom)], 2.0, None, Tone::Ink));
    for limit in &limits {
        let x = at(limit.value);
        // The ground on both sides keeps the line apart from a bar that passes it.
        shapes.push(stroke(&[(x, top - 4.0), (x, bottom)], 6.0, None, Tone::Ground));
        let dash = Some([8.0, 5.0]);
        shapes.push(stroke(&[(x, top - 4.0), (x, bottom)], 2.4, dash, Tone::Ink));
        let text = format!("{} {}", limit.bar.label, with_unit(limit.bar, figure));
        let half = width(&text, Face::Text) / 2.0;
        let x = x.min(WIDTH - half).max(half);
        shapes.push(label(x, top - 9.0, Anchor::Middle, Tone::Ink, text));
    }
    for (x, y, left, text) in numbers {
        number(&mut shapes, (x, y), left, text);
    }
    let mut end = bottom + 24.0;
    if !figure.unit.is_empty() {
        shapes.push(label(from, end + 13.0, Anchor::Start, Tone::Second, figure.unit.clone()));
        end += 18.0;
    }
    Ok(Drawing { view: [0.0, 0.0, WIDTH, end], shapes, name: figure.title.clone() })
}

/// The number at a bar's end, on a plate of the ground where a limit passes behind it.
fn number(shapes: &mut Vec<Shape>, (x, y): (f32, f32), left: bool, text: String) {
    let wide = width(&text, Face::Strong);
    let (from, x, anchor) = match left {
        true => (x - wide - 10.0, x - 8.0, Anchor::End),
        false => (x + 5.0, x + 8.0, Anchor::Start),
    };
    let (to, above, below) = (from + wide + 5.0, y - HALF, y + HALF);
    let plate = [(from, above), (to, above), (to, below), (from, below)];
    shapes.push(Shape::Fill { path: polyline(&plate, true), tone: Tone::Ground });
    let (size, face, tone) = (SIZE, Face::Strong, Tone::Ink);
    shapes.push(Shape::Label { x, y: y + 4.4, size, face, anchor, tone, text });
}

fn lines(row: &Length<'_>) -> f32 {
    row.name.iter().fold(0.0, |sum, _| sum + 1.0)
}

fn with_unit(bar: &FigureBar, figure: &Bars) -> String {
    format!("{} {}", bar.value.replace('-', "\u{2212}"), figure.unit).trim_end().to_owned()
}
