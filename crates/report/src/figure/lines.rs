//! Lines over an axis, such as the decay figure: thick line with bars of doubt = the result, thin
//! line with hollow points = the gauge alone, dashed = a limit. Labels stand at the line ends.

use super::drawing::{Anchor, Drawing, Shape, Tone, circle, polyline};
use super::read::number;
use crate::RenderError;
use crate::model::{FigureSeries, LineStyle, Lines};
use crate::setting::Face;

const LEFT: f32 = 54.0;
const RIGHT: f32 = 500.0;
const TOP: f32 = 26.0;
const BOTTOM: f32 = 190.0;
/// Room for what the level axis shows, where it is said.
const X_TITLE: f32 = 18.0;
/// Points of a line that are marked one by one; of more, the line alone is drawn.
const MARKED: usize = 8;

/// A point with its bar, as numbers.
struct Point {
    x: f32,
    y: f32,
    bar: f32,
}

/// An axis: range and step of its numbers.
struct Axis {
    low: f32,
    high: f32,
    step: f32,
}

/// Draws a figure.
///
/// # Errors
/// A point that is not a decimal number.
pub fn lines(figure: &Lines) -> Result<Drawing, RenderError> {
    let mut all = Vec::new();
    for series in &figure.series {
        all.push((series, points(figure, series)?));
    }
    let flat = || all.iter().flat_map(|(_, points)| points);
    let xs = axis(flat().map(|p| (p.x, p.x)), 5.0, false);
    let ys = axis(flat().map(|p| (p.y - p.bar, p.y + p.bar)), 6.0, true);
    let px = |x: f32| LEFT + (x - xs.low) / (xs.high - xs.low) * (RIGHT - LEFT);
    let py = |y: f32| BOTTOM - (y - ys.low) / (ys.high - ys.low) * (BOTTOM - TOP);
    let mut shapes = Vec::new();
    axes(&mut shapes, figure, &xs, &ys, (&px, &py));
    let mut ends = Vec::new();
    for (series, points) in &all {
        let placed: Vec<(f32, f32)> = points.iter().map(|p| (px(p.x), py(p.y))).collect();
        line(&mut shapes, series.style, &placed);
        if series.style == LineStyle::Thick {
            for p in points.iter().filter(|p| p.bar > 0.0) {
                bar(&mut shapes, px(p.x), py(p.y - p.bar), py(p.y + p.bar));
            }
        }
        if let Some((_, y)) = placed.last() {
            ends.push((*y, *series));
        }
    }
    labels(&mut shapes, ends);
    let room = if figure.x_title.is_empty() { 0.0 } else { X_TITLE };
    let view = [0.0, 0.0, 654.0, BOTTOM + 24.0 + room];
    Ok(Drawing { view, shapes, name: figure.title.clone() })
}

fn points(figure: &Lines, series: &FigureSeries) -> Result<Vec<Point>, RenderError> {
    let number = |text: &str| number(&figure.title, text);
    let point = |p: &crate::model::FigurePoint| {
        let bar = if p.bar.is_empty() { 0.0 } else { number(&p.bar)?.abs() };
        Ok(Point { x: number(&p.x)?, y: number(&p.y)?, bar })
    };
    series.points.iter().map(point).collect()
}

/// A range that covers all values in steps of 1, 2, 3 or 5 times a power of ten.
fn axis(values: impl Iterator<Item = (f32, f32)>, want: f32, round_out: bool) -> Axis {
    let (mut low, mut high) = (f32::INFINITY, f32::NEG_INFINITY);
    for (a, b) in values {
        low = low.min(a);
        high = high.max(b);
    }
    if !low.is_finite() || !high.is_finite() {
        (low, high) = (0.0, 1.0);
    }
    if high - low < 1e-6 * high.abs().max(1.0) {
        high = low + 1.0;
    }
    let raw = (high - low) / want;
    let power = libm::powf(10.0, libm::floorf(libm::log10f(raw)));
    let step = [1.0, 2.0, 3.0, 5.0, 10.0]
        .into_iter()
        .map(|n| n * power)
        .find(|s| *s >= raw * 0.999)
        .unwrap_or(10.0 * power);
    if round_out {
        low = libm::floorf(low / step) * step;
        high = libm::ceilf(high / step) * step;
    }
    Axis { low, high, step }
}

/// The numbers of an axis as text.
fn numbers(axis: &Axis) -> Vec<(f32, String)> {
    let decimals = if axis.step >= 0.999 {
        0
    } else if axis.step >= 0.0999 {
        1
    } else if axis.step >= 0.00999 {
        2
    } else {
        4
    };
    let mut out = Vec::new();
    let mut n = libm::ceilf(axis.low / axis.step - 0.001);
    while n * axis.step <= axis.high + axis.step * 0.001 && out.len() < 40 {
        let value = n * axis.step;
        let text =
            format!("{:.decimals$}", if value.abs() < axis.step / 100.0 { 0.0 } else { value });
        out.push((value, text.replace('-', "\u{2212}")));
        n += 1.0;
    }
    out
}

type Scale<'a> = (&'a dyn Fn(f32) -> f32, &'a dyn Fn(f32) -> f32);

fn axes(shapes: &mut Vec<Shape>, figure: &Lines, xs: &Axis, ys: &Axis, (px, py): Scale<'_>) {
    let stroke = |points: &[(f32, f32)], width, tone| Shape::Stroke {
        path: polyline(points, false),
        width,
        dash: None,
        tone,
    };
    let label = |x, y, anchor, tone, text| Shape::Label {
        x,
        y,
        size: 12.5,
        face: Face::Text,
        anchor,
        tone,
        text,
    };
    shapes.push(label(LEFT, TOP - 14.0, Anchor::Start, Tone::Second, figure.y_title.clone()));
    for (value, text) in numbers(ys) {
        let y = py(value);
        shapes.push(stroke(&[(LEFT, y), (RIGHT, y)], 1.0, Tone::Faint));
        shapes.push(label(LEFT - 10.0, y + 4.4, Anchor::End, Tone::Ink, text));
    }
    shapes.push(stroke(&[(LEFT, TOP - 6.0), (LEFT, BOTTOM), (RIGHT, BOTTOM)], 2.0, Tone::Ink));
    for (value, text) in numbers(xs) {
        let x = px(value);
        shapes.push(stroke(&[(x, BOTTOM), (x, BOTTOM + 5.0)], 1.4, Tone::Ink));
        let text = format!("{text} {}", figure.x_unit);
        shapes.push(label(x, BOTTOM + 19.0, Anchor::Middle, Tone::Ink, text));
    }
    if !figure.x_title.is_empty() {
        let (y, text) = (BOTTOM + 19.0 + X_TITLE, figure.x_title.clone());
        shapes.push(label(LEFT, y, Anchor::Start, Tone::Second, text));
    }
}

fn line(shapes: &mut Vec<Shape>, style: LineStyle, points: &[(f32, f32)]) {
    let (width, dash) = match style {
        LineStyle::Thick if points.len() > MARKED => (2.6, None),
        LineStyle::Thick => (4.0, None),
        LineStyle::Thin => (1.5, None),
        LineStyle::Dashed => (2.0, Some([8.0, 5.0])),
    };
    shapes.push(Shape::Stroke { path: polyline(points, false), width, dash, tone: Tone::Ink });
    for (x, y) in points.iter().filter(|_| points.len() <= MARKED) {
        match style {
            LineStyle::Thick => {
                shapes.push(Shape::Fill { path: circle(*x, *y, 5.4), tone: Tone::Ink });
            }
            LineStyle::Thin => {
                shapes.push(Shape::Fill { path: circle(*x, *y, 4.3), tone: Tone::Ground });
                let path = circle(*x, *y, 4.3);
                shapes.push(Shape::Stroke { path, width: 1.5, dash: None, tone: Tone::Ink });
            }
            LineStyle::Dashed => {}
        }
    }
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

/// Labels at the line ends, moved apart where lines end close together.
fn labels(shapes: &mut Vec<Shape>, mut ends: Vec<(f32, &FigureSeries)>) {
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    ends.retain(|(_, series)| !series.label.is_empty());
    let height = |s: &FigureSeries| if s.second.is_empty() { 16.0 } else { 31.0 };
    let mut floor = f32::NEG_INFINITY;
    let mut tops = Vec::new();
    for (y, series) in &ends {
        let top = (y - height(series) / 2.0).max(floor);
        floor = top + height(series) + 1.0;
        tops.push(top);
    }
    // What ran out below is pushed up again from the bottom.
    let mut ceiling = BOTTOM + 4.0;
    for (top, (_, series)) in tops.iter_mut().zip(&ends).rev() {
        *top = top.min(ceiling - height(series));
        ceiling = *top - 1.0;
    }
    for (top, (_, series)) in tops.iter().zip(&ends) {
        let face = if series.style == LineStyle::Thick { Face::Strong } else { Face::Text };
        for (text, dy) in [(&series.label, 12.0), (&series.second, 27.0)] {
            if !text.is_empty() {
                shapes.push(Shape::Label {
                    x: RIGHT + 14.0,
                    y: top + dy,
                    size: 12.5,
                    face,
                    anchor: Anchor::Start,
                    tone: Tone::Ink,
                    text: text.clone(),
                });
            }
        }
    }
}
