//! The lists of the sheet: every interval with its reason, and the curves of the figure.

use quantity::significant;

use super::checks::on_grid;
use super::intervals::{Interval, Intervals};
use super::read::Run;
use crate::stats::count;
use crate::time::Moment;
use crate::{Figure, Point, Series, Table};

/// The most points of a curve.
const MOST_POINTS: usize = 240;

/// A number of a table; empty when there is none.
fn cell(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(String::new, |value| significant(value, digits))
}

/// Every interval: used, or why not.
pub(super) fn intervals(run: &Run, intervals: &Intervals) -> Table {
    let columns = [
        "beginning",
        "irradiance W/m²",
        "lowest W/m²",
        "highest W/m²",
        "power kW",
        "air °C",
        "wind m/s",
        "missing",
        "expected kW",
        "ratio",
        "used",
    ];
    Table {
        name: "intervals".to_owned(),
        title: "Intervals of the run, used or left out with the reason".to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows: intervals.list.iter().map(|interval| row(run, interval)).collect(),
    }
}

fn row(run: &Run, interval: &Interval) -> Vec<String> {
    let stats = &interval.irradiance;
    let seen = |value: f64| (stats.valid > 0).then_some(value);
    let power = interval.kilowatts();
    let expected = interval.expected.map(|[as_measured, _]| as_measured);
    let ratio = power.zip(expected).map(|(power, expected)| power / expected);
    let missing: usize = [&interval.irradiance, &interval.power, &interval.ambient, &interval.wind]
        .iter()
        .map(|stats| stats.missing())
        .sum();
    vec![
        Moment { seconds: interval.start, offset: run.irradiance.offset }.text(),
        cell(stats.mean(), 5),
        cell(seen(stats.low), 5),
        cell(seen(stats.high), 5),
        cell(power, 5),
        cell(interval.ambient.mean().map(|kelvins| kelvins - 273.15), 4),
        cell(interval.wind.mean(), 3),
        missing.to_string(),
        cell(expected, 5),
        cell(ratio, 4),
        if interval.used() { "used".to_owned() } else { interval.reasons.join("; ") },
    ]
}

/// Irradiance and power over time, each in percent of its mean, so that a lag is seen.
pub(super) fn figure(run: &Run, grid: i64) -> Option<Figure> {
    let curves = [
        ("irradiance", "direct irradiance", on_grid(&run.irradiance, grid)),
        ("power", "net power", on_grid(&run.power, grid)),
    ];
    let first = curves.iter().filter_map(|(_, _, curve)| curve.keys().next()).min().copied()?;
    let longest = curves.iter().map(|(_, _, curve)| curve.len()).max()?;
    let every = longest.div_ceil(MOST_POINTS).max(1);
    let begin = Moment { seconds: first * grid, offset: run.irradiance.offset };
    let hours = |slot: i64| {
        let seconds = Moment { seconds: (slot - first) * grid, offset: 0 }.unix();
        significant(seconds / 3600.0, 5)
    };
    let series = curves
        .iter()
        .map(|(name, meaning, curve)| {
            let mean = curve.values().sum::<f64>() / count(curve.len().max(1));
            let points = curve
                .iter()
                .step_by(every)
                .map(|(slot, value)| Point {
                    x: hours(*slot),
                    y: significant(100.0 * value / mean, 5),
                })
                .collect();
            Series { name: (*name).to_owned(), meaning: (*meaning).to_owned(), points, drawn: None }
        })
        .collect();
    Some(Figure {
        title: "Irradiance and power over the run".to_owned(),
        x_label: format!("hours from {}", begin.shown()),
        y_label: "% of the mean".to_owned(),
        series,
        bars: Vec::new(),
        grid: None,
        axes: None,
    })
}
