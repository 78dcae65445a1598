//! Lines and marks over two axes, such as the decay figure: thick line with bars of doubt = the
//! result, thin line with hollow points = the gauge alone, dashed = a limit, marks = readings,
//! struck out = readings that were left out. Labels stand at the line ends.

use super::drawing::Drawing;
use super::plot::{Axis, Curve, Frame, Placed, Range, Titles, WIDTH, below, draw, ends, notes};
use crate::RenderError;
use crate::model::{Lines, Scaled};

/// Height of a frame with lines alone, and of one with marks.
const HEIGHT: (f32, f32) = (164.0, 210.0);
/// Height of a frame in which a unit is as long on both axes.
const HIGHEST: f32 = 300.0;

/// Draws a figure.
///
/// # Errors
/// A point that is not a decimal number.
pub fn lines(figure: &Lines) -> Result<Drawing, RenderError> {
    let mut curves = Curve::all(&figure.title, &figure.series)?;
    let said = without_place(figure.scaled, &mut curves);
    let titles = Titles { x: &figure.x_title, y: &figure.y_title, x_unit: &figure.x_unit };
    let frame = frame(figure, &curves, &titles);
    let placed = Placed::decide(&frame, &mut curves);
    let mut shapes = Vec::new();
    frame.ground(&mut shapes);
    for curve in curves.iter().filter(|curve| !curve.spots.is_empty()) {
        draw(&mut shapes, &frame, curve);
    }
    let end = frame.axes(&mut shapes, &titles);
    ends(&mut shapes, &frame, &curves, &placed);
    let end = below(&mut shapes, frame.left, end, &curves, &placed);
    let end = notes(&mut shapes, frame.left, end, &said);
    Ok(Drawing { view: [0.0, 0.0, WIDTH, end], shapes, name: figure.title.clone() })
}

/// Takes out what has no place on a scale by powers of ten; says how much that was.
fn without_place(scaled: Scaled, curves: &mut [Curve<'_>]) -> Vec<String> {
    let (x, y) = logs(scaled);
    let all = |curves: &[Curve<'_>]| curves.iter().map(|curve| curve.spots.len()).sum::<usize>();
    let before = all(curves);
    for curve in curves.iter_mut() {
        curve.spots.retain(|spot| !(x && spot.x <= 0.0 || y && spot.y <= 0.0));
        for spot in &mut curve.spots {
            if y && spot.bar >= spot.y {
                spot.bar = 0.0;
            }
        }
    }
    let after = all(curves);
    let mut said = Vec::new();
    match before - after {
        0 => {}
        1 => said.push(
            "One point at or below zero is left out: a scale of powers of ten has no place for it."
                .to_owned(),
        ),
        left => said.push(format!(
            "{left} points at or below zero are left out: a scale of powers of ten has no place \
             for them."
        )),
    }
    if after == 0 {
        said.push("There is nothing to draw.".to_owned());
    }
    said
}

fn logs(scaled: Scaled) -> (bool, bool) {
    (
        matches!(scaled, Scaled::LogX | Scaled::LogBoth),
        matches!(scaled, Scaled::LogY | Scaled::LogBoth),
    )
}

fn frame(figure: &Lines, curves: &[Curve<'_>], titles: &Titles<'_>) -> Frame {
    let spots = || curves.iter().flat_map(|curve| &curve.spots);
    let x = Range::of(spots().map(|spot| spot.x));
    let y = Range::of(spots().flat_map(|spot| [spot.y - spot.bar, spot.y + spot.bar]));
    let marks = curves.iter().any(Curve::is_marks);
    if figure.scaled == Scaled::Equal {
        return Frame::equal(x.padded(0.04), y.padded(0.04), HIGHEST, titles);
    }
    let (log_x, log_y) = logs(figure.scaled);
    let xs = if log_x {
        Axis::powers(x)
    } else if marks {
        Axis::even(x.opened().padded(0.03), 5.0, false)
    } else if x.size() > 0.0 {
        Axis::even(x.opened(), 5.0, false)
    } else {
        // A single moment begins an axis.
        Axis::even(Range { low: x.low, high: x.low + 1.0 }.opened(), 5.0, false)
    };
    let ys = if log_y { Axis::powers(y) } else { Axis::even(y.opened(), 6.0, true) };
    let tall = marks || log_x || log_y;
    Frame::new(xs, ys, if tall { HEIGHT.1 } else { HEIGHT.0 }, titles)
}
