//! The lists of a sheet: a row for each facet, each rack, each quarter.

use quantity::significant;

use super::crew;
use super::judge::signed_mrad;
use super::light::Caught;
use super::measure::{Facet, Group, Measured, Rack};
use super::read::Survey;
use super::work::Plan;
use crate::Table;

const FACETS: [&str; 12] = [
    "facet",
    "rack",
    "state",
    "x mrad",
    "y mrad",
    "size mrad",
    "out",
    "dx",
    "dy",
    "p m",
    "φ °",
    "quick mrad",
];
const LIGHT: [&str; 3] = ["aimed %", "caught %", "lost W"];
const RACKS: [&str; 19] = [
    "rack",
    "facets",
    "measured",
    "out",
    "mean x mrad",
    "mean y mrad",
    "RMS mrad",
    "turn mrad",
    "explained %",
    "left RMS mrad",
    "ω x mrad",
    "ω y mrad",
    "ω z mrad",
    "u(ω x) mrad",
    "u(ω y) mrad",
    "u(ω z) mrad",
    "condition",
    "quick mrad",
    "moved",
];
const QUARTERS: [&str; 5] = ["quarter", "measured", "mean x mrad", "mean y mrad", "RMS mrad"];

/// The lists, what is to be done before anything else.
pub(super) fn tables(survey: &Survey, measured: &Measured<'_>, plan: &Plan<'_>) -> Vec<Table> {
    let lit = survey.beam().is_some();
    let facets = measured.facets.iter().zip(&plan.light).map(|(facet, caught)| {
        let mut row = facet_row(survey, facet);
        if lit {
            row.extend(light_cells(caught.as_ref()));
        }
        row
    });
    let columns: Vec<&str> = FACETS.iter().chain(LIGHT.iter().filter(|_| lit)).copied().collect();
    let racks = measured.racks.iter().map(rack_row).collect();
    let quarters = measured
        .quarters
        .iter()
        .map(|(name, group)| {
            let mut row = vec![(*name).to_owned(), text(group.map(|g| g.count.to_string()))];
            row.extend(group_cells(group.as_ref()));
            row
        })
        .collect();
    let mut tables: Vec<Table> = crew::work_table(survey, measured, plan).into_iter().collect();
    tables.extend([
        table("facets", "Each facet", &columns, facets.collect()),
        table("racks", "Each rack, with the rigid turn that fits best", &RACKS, racks),
        table("quarters", "Balance of the quarters, seen from the focus", &QUARTERS, quarters),
    ]);
    tables.extend(crew::light_table(survey, measured, plan));
    tables
}

fn light_cells(caught: Option<&Caught>) -> [String; 3] {
    let percent = |share: f64| format!("{:.3}", 100.0 * share);
    [
        text(caught.map(|caught| percent(caught.aimed))),
        text(caught.map(|caught| percent(caught.now))),
        text(caught.map(|caught| crew::unsigned_zero(format!("{:.2}", caught.lost())))),
    ]
}

/// A list under its heads.
pub(super) fn table(name: &str, title: &str, columns: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        name: name.to_owned(),
        title: title.to_owned(),
        columns: columns.iter().map(|&column| column.to_owned()).collect(),
        rows,
    }
}

/// A text, empty where there is none.
fn text(value: Option<String>) -> String {
    value.unwrap_or_default()
}

/// An angle in mrad to three decimals.
fn milli(value: f64) -> String {
    signed_mrad(value, None)
}

fn facet_row(survey: &Survey, facet: &Facet<'_>) -> Vec<String> {
    let axis = survey.axis.as_ref();
    let error = facet.error.as_ref();
    let of = |get: &dyn Fn(&super::measure::Errored) -> String| text(error.map(get));
    let angle = libm::acos(facet.ray.cos_axis.clamp(-1.0, 1.0)).to_degrees();
    vec![
        facet.row.facet.clone(),
        facet.row.rack.clone(),
        facet.row.state.words().to_owned(),
        of(&|e| signed_mrad(e.tilt.x, axis)),
        of(&|e| signed_mrad(e.tilt.y, axis)),
        of(&|e| signed_mrad(e.tilt.size(), axis)),
        of(&|e| if e.out { "out".to_owned() } else { String::new() }),
        of(&|e| e.typed.dx.clone()),
        of(&|e| e.typed.dy.clone()),
        format!("{:.4}", facet.ray.p),
        format!("{angle:.2}"),
        of(&|e| text(e.quick.map(milli))),
    ]
}

fn group_cells(group: Option<&Group>) -> [String; 3] {
    [
        text(group.map(|g| milli(g.mean.x))),
        text(group.map(|g| milli(g.mean.y))),
        text(group.map(|g| milli(g.rms))),
    ]
}

fn rack_row(rack: &Rack) -> Vec<String> {
    let fit = rack.fit.as_ref();
    let mut row = vec![
        rack.name.clone(),
        rack.facets.to_string(),
        text(rack.group.map(|group| group.count.to_string())),
        rack.out.to_string(),
    ];
    row.extend(group_cells(rack.group.as_ref()));
    row.push(text(fit.map(|fit| milli(fit.tilt))));
    row.push(text(fit.map(|fit| format!("{:.2}", 100.0 * fit.explained))));
    row.push(text(fit.map(|fit| milli(fit.residual))));
    for i in 0..3 {
        row.push(text(fit.map(|fit| milli(fit.turn[i]))));
    }
    for i in 0..3 {
        row.push(text(fit.map(|fit| milli(fit.errors[i]))));
    }
    row.push(text(fit.map(|fit| significant(fit.condition, 3))));
    row.push(text(rack.quick.map(milli)));
    row.push(if rack.moved == Some(true) { "moved".to_owned() } else { String::new() });
    row
}
