//! The frame of a figure: two axes with their numbers and titles.

use super::axis::{Axis, Range};
use super::words::{narrow, width, wrap};
use super::{RIGHT, SIZE, WIDTH};
use crate::figure::drawing::{Anchor, Shape, Tone, polyline};
use crate::setting::Face;

/// Room at the left for numbers; more where they are long.
const LEFT: f32 = 54.0;
/// Height of a line of type.
pub(super) const LINE: f32 = 16.0;
/// Room above the frame: the title of the upright axis, and a little.
const TOP: f32 = 26.0;

/// What the axes are called.
pub(in crate::figure) struct Titles<'f> {
    /// What the level axis shows; may be empty.
    pub(in crate::figure) x: &'f str,
    /// What the upright axis shows.
    pub(in crate::figure) y: &'f str,
    /// Written after each number of the level axis; may be empty.
    pub(in crate::figure) x_unit: &'f str,
}

/// Two axes and where they stand.
pub(in crate::figure) struct Frame {
    pub(in crate::figure) left: f32,
    pub(in crate::figure) right: f32,
    pub(in crate::figure) top: f32,
    pub(in crate::figure) bottom: f32,
    pub(in crate::figure) xs: Axis,
    pub(in crate::figure) ys: Axis,
}

impl Frame {
    /// A frame of the full width and a height.
    pub(in crate::figure) fn new(xs: Axis, ys: Axis, height: f32, titles: &Titles<'_>) -> Self {
        let left = room_left(&ys);
        let top = top(titles, left);
        Self { left, right: RIGHT, top, bottom: top + height, xs, ys }
    }

    /// A frame in which a unit is as long on both axes, at most so high.
    pub(in crate::figure) fn equal(x: Range, y: Range, most: f32, titles: &Titles<'_>) -> Self {
        let room = f64::from(RIGHT - 64.0);
        let (x, y) = (same_size(x, y), same_size(y, x));
        let scale = (room / x.size()).min(f64::from(most) / y.size());
        // A narrow strip is given room on both sides.
        let x = wider(x, 190.0 / scale);
        let y = wider(y, 90.0 / scale);
        let xs = Axis::stepped(x, 52.0 / scale);
        let ys = Axis::stepped(y, 52.0 / scale);
        let left = room_left(&ys).max(64.0);
        let top = top(titles, left);
        let right = left + narrow(x.size() * scale);
        Self { left, right, top, bottom: top + narrow(y.size() * scale), xs, ys }
    }

    /// Where a point stands.
    pub(in crate::figure) fn at(&self, x: f64, y: f64) -> (f32, f32) {
        let across = narrow(self.xs.part(x)) * (self.right - self.left);
        let up = narrow(self.ys.part(y)) * (self.bottom - self.top);
        (self.left + across, self.bottom - up)
    }

    /// Lines behind what is shown, at the numbers of the upright axis; and those at zero.
    pub(in crate::figure) fn ground(&self, shapes: &mut Vec<Shape>) {
        for tick in self.ys.ticks().iter().filter(|tick| tick.text.is_some()) {
            let y = self.at(self.xs.range.low, tick.value).1;
            shapes.push(stroke(&[(self.left, y), (self.right, y)], 1.0, Tone::Faint));
        }
        if self.xs.is_log() {
            for tick in self.xs.ticks().iter().filter(|tick| tick.text.is_some()) {
                let x = self.at(tick.value, self.ys.range.low).0;
                shapes.push(stroke(&[(x, self.top), (x, self.bottom)], 1.0, Tone::Faint));
            }
        }
        self.zero(shapes);
    }

    /// The lines at zero, where an axis passes it.
    fn zero(&self, shapes: &mut Vec<Shape>) {
        let passes = |axis: &Axis| {
            let Range { low, high } = axis.range;
            !axis.is_log() && low < -1e-9 * high.abs() && high > 1e-9 * low.abs()
        };
        if passes(&self.ys) {
            let y = self.at(self.xs.range.low, 0.0).1;
            shapes.push(stroke(&[(self.left, y), (self.right, y)], 1.0, Tone::Second));
        }
        if passes(&self.xs) {
            let x = self.at(0.0, self.ys.range.low).0;
            shapes.push(stroke(&[(x, self.top), (x, self.bottom)], 1.0, Tone::Second));
        }
    }

    /// The axes with numbers and titles; gives where what stands below them may begin.
    pub(in crate::figure) fn axes(&self, shapes: &mut Vec<Shape>, titles: &Titles<'_>) -> f32 {
        let mut y = TOP - 14.0;
        for line in wrap(titles.y, WIDTH - self.left, Face::Text) {
            shapes.push(label(self.left, y, Anchor::Start, Tone::Second, line));
            y += LINE;
        }
        for tick in self.ys.ticks() {
            let y = self.at(self.xs.range.low, tick.value).1;
            match tick.text {
                Some(text) => {
                    shapes.push(label(self.left - 10.0, y + 4.4, Anchor::End, Tone::Ink, text));
                }
                None => {
                    shapes.push(stroke(&[(self.left - 4.0, y), (self.left, y)], 1.0, Tone::Ink));
                }
            }
        }
        let corner =
            [(self.left, self.top - 6.0), (self.left, self.bottom), (self.right, self.bottom)];
        shapes.push(stroke(&corner, 2.0, Tone::Ink));
        for tick in self.xs.ticks() {
            let x = self.at(tick.value, self.ys.range.low).0;
            let long = if tick.text.is_some() { 5.0 } else { 3.0 };
            shapes.push(stroke(&[(x, self.bottom), (x, self.bottom + long)], 1.4, Tone::Ink));
            if let Some(text) = tick.text {
                let text = format!("{text} {}", titles.x_unit).trim_end().to_owned();
                shapes.push(label(x, self.bottom + 19.0, Anchor::Middle, Tone::Ink, text));
            }
        }
        let mut end = self.bottom + 24.0;
        for line in wrap(titles.x, WIDTH - self.left, Face::Text) {
            shapes.push(label(self.left, end + 13.0, Anchor::Start, Tone::Second, line));
            end += 18.0;
        }
        end
    }
}

/// The room that the numbers of the upright axis take.
fn room_left(ys: &Axis) -> f32 {
    let widest = ys
        .ticks()
        .iter()
        .filter_map(|tick| Some(width(tick.text.as_ref()?, Face::Text)))
        .fold(0.0, f32::max);
    LEFT.max(widest + 18.0)
}

fn top(titles: &Titles<'_>, left: f32) -> f32 {
    let mut top = TOP;
    for _ in wrap(titles.y, WIDTH - left, Face::Text).iter().skip(1) {
        top += LINE;
    }
    top
}

/// A range that is a single value as wide as the other one.
fn same_size(one: Range, other: Range) -> Range {
    let room = if other.size() > 0.0 { other.size() } else { 1.0 };
    wider(one, if one.size() > 0.0 { one.size() } else { room })
}

/// A range with room on both sides, so that it has at least a size.
fn wider(range: Range, least: f64) -> Range {
    let room = 0.5 * (least - range.size()).max(0.0);
    Range { low: range.low - room, high: range.high + room }
}

pub(super) fn stroke(points: &[(f32, f32)], width: f32, tone: Tone) -> Shape {
    Shape::Stroke { path: polyline(points, false), width, dash: None, tone }
}

/// A label in the type of a figure.
pub(in crate::figure) fn label(x: f32, y: f32, anchor: Anchor, tone: Tone, text: String) -> Shape {
    Shape::Label { x, y, size: SIZE, face: Face::Text, anchor, tone, text }
}
