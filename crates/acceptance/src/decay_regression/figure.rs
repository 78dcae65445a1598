//! The residuals over time, and the table of the readings.

use quantity::significant;

use super::fit::Leak;
use super::read::Test;
use crate::{Drawn, Figure, Point, Series, Table};

/// mg in a kg.
const MILLIGRAMS: f64 = 1e6;

/// What the line leaves of a reading's mass, in kg.
fn residual(test: &Test, leak: &Leak, place: usize) -> Option<(f64, f64)> {
    let origin = leak.used.first().and_then(|first| leak.masses.get(*first))?;
    let (sample, mass) = (test.samples.get(place)?, leak.masses.get(place)?);
    let left = mass - origin - leak.fit.at(sample.time);
    // Below a picogram there is the noise of the arithmetic.
    Some((sample.time, if left.abs() < 1e-15 { 0.0 } else { left }))
}

/// The figure of the residuals.
pub(super) fn figure(test: &Test, leak: &Leak) -> Figure {
    let points = |wanted: bool| {
        (0..test.samples.len())
            .filter(|place| leak.used.contains(place) == wanted)
            .filter_map(|place| residual(test, leak, place))
            .map(|(time, e)| Point::of(time / 3600.0, e * MILLIGRAMS))
            .collect::<Vec<_>>()
    };
    let end = test.samples.last().map_or(0.0, |sample| sample.time) / 3600.0;
    let level = |height: f64| vec![Point::of(0.0, height), Point::of(end, height)];
    let twice = 2.0 * leak.scatter * MILLIGRAMS;
    let mut series = vec![
        Series::new("line", "the line", Drawn::Thin, level(0.0)),
        Series::new("residuals", "readings used", Drawn::Points, points(true)),
        Series::new("above", "two standard deviations", Drawn::Dashed, level(twice)),
        Series::new("below", "two standard deviations", Drawn::Dashed, level(-twice)),
    ];
    let left = points(false);
    if !left.is_empty() {
        series.push(Series::new("left_out", "readings left out", Drawn::Crosses, left));
    }
    Figure::lines(
        "What the line leaves of each reading",
        "time since the first reading in h",
        "mass less the line in mg",
        series,
    )
}

/// The readings with their masses.
pub(super) fn table(test: &Test, leak: &Leak) -> Table {
    let mut columns = vec!["reading".to_owned(), "time h".to_owned(), "p MPa(a)".to_owned()];
    for part in &test.parts {
        let of = if part.name.is_empty() { String::new() } else { format!(" {}", part.name) };
        columns.push(format!("T{of} K"));
        columns.push(format!("Z{of}"));
    }
    columns.extend(["mass kg", "residual mg", "left out because"].map(str::to_owned));
    let rows = test
        .samples
        .iter()
        .zip(&leak.masses)
        .enumerate()
        .map(|(place, (sample, mass))| {
            let mut row = vec![
                (place + 1).to_string(),
                significant(sample.time / 3600.0, 7),
                significant(sample.state.pressure.pascals() / 1e6, 8),
            ];
            for state in sample.state.states() {
                row.push(significant(state.temperature.kelvins(), 7));
                let z = test.gas.equation().compressibility(state).fraction();
                row.push(significant(z, 9));
            }
            row.push(significant(*mass, 10));
            let e = residual(test, leak, place).map_or(f64::NAN, |(_, e)| e * MILLIGRAMS);
            row.push(significant(e, 4));
            row.push(sample.left_out.clone().unwrap_or_default());
            row
        })
        .collect();
    Table {
        name: "readings".to_owned(),
        title: "Readings, their masses and what the line leaves".to_owned(),
        columns,
        rows,
    }
}
