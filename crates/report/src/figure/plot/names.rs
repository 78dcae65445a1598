//! The names of what a figure shows: at the ends of the lines where there is one, else below it
//! with a sample; and notes on what could not be drawn.

use super::curve::{Curve, sample};
use super::frame::{Frame, LINE, label};
use super::words::{width, wrap};
use super::{SIZE, WIDTH};
use crate::figure::drawing::{Anchor, Shape, Tone};
use crate::model::LineStyle;
use crate::setting::Face;

/// Lines of type that a label at a line's end may have.
const MOST: usize = 3;
/// From a label to the next below a figure.
const APART: f32 = 22.0;
/// Room of a sample.
const SAMPLE: f32 = 36.0;

/// Where each series is named.
pub(in crate::figure) struct Placed {
    /// By its place in the figure, whether it is named at its line's end.
    at_end: Vec<bool>,
}

impl Placed {
    /// Decides for every series, and tells those apart that are drawn alike and named below.
    pub(in crate::figure) fn decide(frame: &Frame, curves: &mut [Curve<'_>]) -> Self {
        let mut at_end: Vec<bool> = curves.iter().map(|curve| has_end(frame, curve)).collect();
        let high: f32 = curves
            .iter()
            .zip(&at_end)
            .filter(|(_, at_end)| **at_end)
            .map(|(curve, _)| height(&lines_of(frame, curve)))
            .sum();
        if high > frame.bottom - frame.top + 16.0 {
            at_end.fill(false);
        }
        tell_apart(curves, &at_end);
        Self { at_end }
    }

    /// Names every series below the figure.
    pub(in crate::figure) fn below(curves: &mut [Curve<'_>]) -> Self {
        let at_end = vec![false; curves.len()];
        tell_apart(curves, &at_end);
        Self { at_end }
    }
}

/// Gives those that are drawn alike and named below dashes or marks of their own.
fn tell_apart(curves: &mut [Curve<'_>], at_end: &[bool]) {
    let mut seen: Vec<(LineStyle, String)> = Vec::new();
    for (curve, _) in curves.iter_mut().zip(at_end).filter(|(_, at_end)| !**at_end) {
        let alike = |other: &&(LineStyle, String)| other.0 == curve.series.style;
        let same = seen.iter().filter(alike).position(|other| other.1 == curve.series.label);
        // A series without a name goes on where another was left.
        let unnamed = curve.series.label.is_empty();
        curve.kind = match same {
            Some(kind) => kind,
            None if unnamed => seen.iter().filter(alike).count().saturating_sub(1),
            None => {
                let kind = seen.iter().filter(alike).count();
                seen.push((curve.series.style, curve.series.label.clone()));
                kind
            }
        };
    }
}

/// Whether a line ends at the right edge of the frame, with room for its name.
fn has_end(frame: &Frame, curve: &Curve<'_>) -> bool {
    let Some(last) = curve.spots.last() else { return false };
    if curve.is_marks() {
        return false;
    }
    let (first, before) = (curve.spots.first(), curve.spots.iter().rev().nth(1));
    // A line that goes up at the edge has no end there to stand beside.
    let leads = before.is_none_or(|before| before.x < last.x)
        && first.is_none_or(|first| first.x < last.x || curve.spots.len() == 1);
    let far = frame.xs.part(last.x) > 0.93;
    let lines = lines_of(frame, curve);
    let room = room(frame);
    leads && far && lines.len() <= MOST && lines.iter().all(|line| width(line, face(curve)) <= room)
}

fn room(frame: &Frame) -> f32 {
    WIDTH - frame.right - 14.0
}

fn face(curve: &Curve<'_>) -> Face {
    if curve.style() == LineStyle::Thick { Face::Strong } else { Face::Text }
}

fn lines_of(frame: &Frame, curve: &Curve<'_>) -> Vec<String> {
    let mut lines = wrap(&curve.series.label, room(frame), face(curve));
    lines.extend((!curve.series.second.is_empty()).then(|| curve.series.second.clone()));
    lines
}

fn height(lines: &[String]) -> f32 {
    lines.iter().fold(1.0, |sum, _| sum + 15.0)
}

/// Labels at the line ends, moved apart where lines end close together.
pub(in crate::figure) fn ends(
    shapes: &mut Vec<Shape>,
    frame: &Frame,
    curves: &[Curve<'_>],
    placed: &Placed,
) {
    let mut ends: Vec<(f32, &Curve<'_>)> = curves
        .iter()
        .zip(&placed.at_end)
        .filter(|(curve, at_end)| **at_end && !curve.series.label.is_empty())
        .filter_map(|(curve, _)| Some((frame.at(0.0, curve.spots.last()?.y).1, curve)))
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let texts: Vec<Vec<String>> = ends.iter().map(|(_, curve)| lines_of(frame, curve)).collect();
    let mut floor = f32::NEG_INFINITY;
    let mut tops = Vec::new();
    for ((y, _), lines) in ends.iter().zip(&texts) {
        let top = (y - height(lines) / 2.0).max(floor);
        floor = top + height(lines) + 1.0;
        tops.push(top);
    }
    // What ran out below is pushed up again from the bottom.
    let mut ceiling = frame.bottom + 4.0;
    for (top, lines) in tops.iter_mut().zip(&texts).rev() {
        *top = top.min(ceiling - height(lines));
        ceiling = *top - 1.0;
    }
    for ((top, (_, curve)), lines) in tops.iter().zip(&ends).zip(texts) {
        let mut y = top + 12.0;
        for text in lines {
            shapes.push(Shape::Label {
                x: frame.right + 14.0,
                y,
                size: SIZE,
                face: face(curve),
                anchor: Anchor::Start,
                tone: Tone::Ink,
                text,
            });
            y += 15.0;
        }
    }
}

/// Names with samples, from a height on; gives where they end.
pub(in crate::figure) fn below(
    shapes: &mut Vec<Shape>,
    left: f32,
    from: f32,
    curves: &[Curve<'_>],
    placed: &Placed,
) -> f32 {
    let mut named: Vec<(LineStyle, &str)> = Vec::new();
    let (mut x, mut y) = (left, from + 14.0);
    let mut end = from;
    for (curve, _) in curves.iter().zip(&placed.at_end).filter(|(_, at_end)| !**at_end) {
        let text = format!("{} {}", curve.series.label, curve.series.second);
        let text = text.trim();
        let name = (curve.series.style, curve.series.label.as_str());
        if text.is_empty() || curve.spots.is_empty() || named.contains(&name) {
            continue;
        }
        named.push(name);
        let lines = wrap(text, WIDTH - left - SAMPLE, Face::Text);
        let wide = SAMPLE + lines.iter().map(|line| width(line, Face::Text)).fold(0.0, f32::max);
        if x > left && x + wide > WIDTH {
            (x, y) = (left, end + 14.0);
        }
        sample(shapes, curve, x + 14.0, y - 4.4);
        let mut at = y;
        for line in lines {
            shapes.push(label(x + SAMPLE, at, Anchor::Start, Tone::Ink, line));
            end = end.max(at + 6.0);
            at += LINE;
        }
        x += wide + APART;
    }
    end
}

/// Notes on what is not drawn, from a height on; gives where they end.
pub(in crate::figure) fn notes(
    shapes: &mut Vec<Shape>,
    left: f32,
    from: f32,
    notes: &[String],
) -> f32 {
    let mut end = from;
    for line in notes.iter().flat_map(|note| wrap(note, WIDTH - left, Face::Text)) {
        shapes.push(label(left, end + 13.0, Anchor::Start, Tone::Second, line));
        end += LINE + 2.0;
    }
    end
}
