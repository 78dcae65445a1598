//! The figure: readings, lines, threshold and the date that it is reached on.

use super::measure::Found;
use super::read::{Survey, date};
use crate::stats::intercept;
use crate::{Drawn, Figure, Point, Series};

/// A line carried on no farther than so many times the span of the readings.
const AHEAD: f64 = 4.0;

/// Readings and lines over days since the first reading.
pub(super) fn figure(survey: &Survey, found: &Found) -> Figure {
    let all: Vec<(f64, f64)> =
        found.periods.iter().flat_map(|period| period.points.iter().copied()).collect();
    let marks = all.iter().map(|(x, y)| Point::of(*x, *y)).collect();
    let mut series = vec![Series::new("readings", "readings", Drawn::Points, marks)];
    for (number, period) in (1_u32..).zip(&found.periods) {
        let (Some(first), Some(last)) = (period.points.first(), period.points.last()) else {
            continue;
        };
        if period.line.is_some() {
            let level = intercept(&period.points, found.rate.slope);
            let at = |x: f64| Point::of(x, level + found.rate.slope * x);
            let name = format!("period_{number}");
            let meaning = format!("rate through dry period {number}");
            let points = vec![at(first.0), at(last.0)];
            series.push(Series::new(&name, &meaning, Drawn::Thick, points));
        }
    }
    let lowest = all.iter().map(|point| point.1).fold(f64::INFINITY, f64::min);
    let highest = all.iter().map(|point| point.1).fold(f64::NEG_INFINITY, f64::max);
    let reach = AHEAD * found.last.max(1.0);
    let mut end = found.last;
    if let (Some(crossing), Some(level)) = (&found.crossing, found.level)
        && crossing.at > found.last
    {
        end = crossing.at.min(found.last + reach);
        let at = |x: f64| Point::of(x, level + found.rate.slope * x);
        let points = vec![at(found.last), at(end)];
        series.push(Series::new("ahead", "carried on without rain", Drawn::Thin, points));
    }
    if let Some(threshold) = survey.threshold {
        let late = found
            .crossing
            .filter(|crossing| crossing.has_interval() && crossing.late.is_finite())
            .map_or(end, |crossing| crossing.late.min(found.last + reach).max(end));
        let level = vec![Point::of(0.0, threshold), Point::of(late, threshold)];
        series.push(Series::new("threshold", "threshold of the wash", Drawn::Dashed, level));
        let low = lowest.min(threshold);
        let upright = |x: f64| vec![Point::of(x, low), Point::of(x, highest.max(threshold))];
        if let Some(crossing) = &found.crossing {
            let drawn = |x: f64| x.is_finite() && x >= 0.0 && x <= found.last + reach;
            if drawn(crossing.at) {
                let on = format!("wash date {}", date(found.origin + crossing.at));
                series.push(Series::new("wash", &on, Drawn::Thin, upright(crossing.at)));
            }
            for (name, x) in [("early", crossing.early), ("late", crossing.late)] {
                if crossing.has_interval() && drawn(x) {
                    let meaning = format!("{name} end of its interval");
                    series.push(Series::new(name, &meaning, Drawn::Dashed, upright(x)));
                }
            }
        }
    }
    Figure::lines(
        "Cleanliness and the date of the wash",
        &format!("days since {}", date(found.origin)),
        "cleanliness",
        series,
    )
}
