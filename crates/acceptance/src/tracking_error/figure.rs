//! The figure: each error on a plane, with the circle of the limit.

use super::measure::Found;
use super::present::Unit;
use super::read::{Sample, Survey};
use crate::{Axes, Drawn, Figure, Point, Series};

/// Marks that a figure carries; of more, every so many and the largest.
const MARKS: usize = 600;
/// Corners of a circle.
const CORNERS: u32 = 72;

/// Errors across and up, what wind left out, the mean, and a circle.
pub(super) fn figure(survey: &Survey, found: &Found<'_>, unit: Unit) -> Figure {
    let mut series =
        vec![Series::new("errors", "samples judged", Drawn::Points, points(&found.judged, unit))];
    if !found.windy.is_empty() {
        series.push(Series::new(
            "windy",
            "at too much wind, not judged",
            Drawn::Crosses,
            points(&found.windy, unit),
        ));
    }
    if let Some(all) = &found.all {
        // A cross of two strokes through the mean, as long as the scatter.
        let (x, y) = (unit.number(all.mean_across), unit.number(all.mean_up));
        let (dx, dy) = (unit.number(all.scatter_across), unit.number(all.scatter_up));
        let level = vec![Point::of(x - dx, y), Point::of(x + dx, y)];
        let upright = vec![Point::of(x, y - dy), Point::of(x, y + dy)];
        let meaning = "mean, and a standard deviation to each side";
        series.push(Series::new("mean_across", meaning, Drawn::Thick, level));
        series.push(Series::new("mean_up", meaning, Drawn::Thick, upright));
    }
    if let Some((meaning, radius)) = edge(survey) {
        series.push(Series::new("limit", meaning, Drawn::Dashed, circle(unit.number(radius))));
    }
    let (across, up) = (
        format!("error across, to greater azimuth, in {}", unit.symbol),
        format!("error in elevation, upward, in {}", unit.symbol),
    );
    Figure {
        axes: Some(Axes::Equal),
        ..Figure::lines("Tracking error of each sample", &across, &up, series)
    }
}

/// The limit that is a circle about zero, in rad.
fn edge(survey: &Survey) -> Option<(&'static str, f64)> {
    let limits = &survey.limits;
    let of = |limit: &Option<crate::limit::ReadLimit<quantity::Angle>>| {
        limit.as_ref().map(|limit| limit.value.radians())
    };
    of(&limits.largest)
        .map(|edge| ("limit of the largest error", edge))
        .or_else(|| of(&limits.percentile).map(|edge| ("limit of the percentile", edge)))
        .or_else(|| survey.within.map(|edge| ("error counted within", edge)))
        .or_else(|| of(&limits.rms).map(|edge| ("limit of the RMS of both axes", edge)))
        .or_else(|| of(&limits.rms_each_axis).map(|edge| ("limit of the RMS of an axis", edge)))
}

fn circle(radius: f64) -> Vec<Point> {
    (0..=CORNERS)
        .map(|corner| 2.0 * core::f64::consts::PI * f64::from(corner) / f64::from(CORNERS))
        .map(|angle| Point::of(radius * libm::cos(angle), radius * libm::sin(angle)))
        .collect()
}

fn points(samples: &[&Sample], unit: Unit) -> Vec<Point> {
    let every = samples.len().div_ceil(MARKS).max(1);
    let worst = samples
        .iter()
        .max_by(|one, other| one.error.size().total_cmp(&other.error.size()))
        .map(|sample| sample.number);
    samples
        .iter()
        .enumerate()
        .filter(|(place, sample)| place % every == 0 || Some(sample.number) == worst)
        .map(|(_, sample)| {
            Point::of(unit.number(sample.error.across), unit.number(sample.error.up))
        })
        .collect()
}
