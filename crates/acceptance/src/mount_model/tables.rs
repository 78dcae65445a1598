//! The lists of the sheet: terms, correlations, readings, corrections.

use quantity::significant;

use super::fit::Model;
use super::present::{correction, degrees};
use crate::Table;

fn table(name: &str, title: &str, columns: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        name: name.to_owned(),
        title: title.to_owned(),
        columns: columns.iter().map(|&column| column.to_owned()).collect(),
        rows,
    }
}

/// Each term with its standard error and how well it stands alone.
pub(super) fn terms(model: &Model) -> Table {
    let rows = model
        .terms
        .iter()
        .map(|found| {
            vec![
                found.term.words().to_owned(),
                found.term.symbols().0.to_owned(),
                degrees(found.value, 6),
                degrees(found.error, 5),
                degrees(model.t * found.error, 4),
                significant(found.value / found.error, 4),
                significant(found.softest.0, 4),
                format!("{:.1}", 100.0 * found.softest.1),
            ]
        })
        .collect();
    let columns = [
        "term",
        "symbol",
        "value °",
        "standard error °",
        "95 % ± °",
        "value over error",
        "condition index",
        "of its variance %",
    ];
    table("terms", "Terms of the model", &columns, rows)
}

/// Correlation of each two terms.
pub(super) fn correlations(model: &Model) -> Table {
    let mut columns = vec!["term"];
    columns.extend(model.terms.iter().map(|found| found.term.symbols().0));
    let rows = (0..model.terms.len())
        .zip(&model.terms)
        .map(|(i, found)| {
            let mut row = vec![found.term.symbols().0.to_owned()];
            row.extend(
                (0..model.terms.len())
                    .map(|j| format!("{:.4}", model.fit.correlation(i, j)).replace("-0.0000", "0")),
            );
            row
        })
        .collect();
    table("correlations", "Correlations of the terms", &columns, rows)
}

/// What is left of each reading.
pub(super) fn readings(model: &Model) -> Table {
    let rows = model
        .left
        .iter()
        .map(|left| {
            vec![
                left.reading.number.to_string(),
                degrees(left.reading.azimuth, 6),
                degrees(left.reading.elevation, 6),
                degrees(left.before.0, 5),
                degrees(left.before.1, 5),
                degrees(left.across, 5),
                degrees(left.up, 5),
                significant(left.reading.weight, 4),
                left.standardised.map_or_else(String::new, |size| significant(size, 3)),
            ]
        })
        .collect();
    let columns = [
        "reading",
        "A °",
        "E °",
        "ΔA·cos E before °",
        "ΔE before °",
        "across left °",
        "up left °",
        "weight",
        "standardised",
    ];
    table("readings", "Each reading before and after the correction", &columns, rows)
}

/// Elevations and steps of azimuth of the table of corrections, in degrees.
const ELEVATIONS: [f64; 6] = [5.0, 15.0, 30.0, 45.0, 60.0, 75.0];
const STEP: u32 = 30;

/// What the axes will show more than the sun's direction, over the sky.
pub(super) fn corrections(model: &Model) -> Table {
    let mut rows = Vec::new();
    for elevation in ELEVATIONS {
        let e = elevation.to_radians();
        let beyond = e < model.elevations.0 - SLACK || e > model.elevations.1 + SLACK;
        for step in 0..360 / STEP {
            let azimuth = f64::from(STEP * step);
            let [(a, u_a), (h, u_h)] = correction(model, azimuth.to_radians(), e);
            rows.push(vec![
                format!("{azimuth:.0}"),
                format!("{elevation:.0}"),
                degrees(a, 5),
                degrees(u_a, 2),
                degrees(h, 5),
                degrees(u_h, 2),
                if beyond { "beyond the readings" } else { "" }.to_owned(),
            ]);
        }
    }
    let columns = ["A °", "E °", "ΔA °", "u(ΔA) °", "ΔE °", "u(ΔE) °", "note"];
    table("corrections", "What the axes show more than the sun, by the model", &columns, rows)
}

/// A table's elevation this near to the readings counts as among them: 2°.
const SLACK: f64 = 0.035;
