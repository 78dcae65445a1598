//! The sheet of settings in force: the standard's rows, the utility's lines, or both.

use super::input::{Category, Input, Kind, SheetLine};
use super::standard::{self, Row};
use super::values::{SET_TIME, TIME, relay_value, seconds};
use crate::Refusal;
use crate::form::{Form, Place, free};

const CLEARING: Place = free("clearing_time", "clearing time", TIME);

/// A line of the sheet in force.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) name: String,
    pub(super) kind: Kind,
    pub(super) threshold: f64,
    pub(super) clearing: Option<f64>,
    pub(super) set_time: Option<f64>,
    /// Whether it was agreed on away from the standard's default.
    pub(super) agreed: bool,
}

pub(super) fn sheet(
    form: &mut Form,
    input: &Input,
    volts: Option<f64>,
) -> Result<Vec<Line>, Refusal> {
    let rows = input.ieee_1547.map(standard::rows).unwrap_or_default();
    let mut lines: Vec<Line> = rows
        .iter()
        .map(|row| Line {
            name: row.name.to_owned(),
            kind: row.kind,
            threshold: row.threshold,
            clearing: Some(row.time),
            set_time: None,
            agreed: false,
        })
        .collect();
    if let Some(category) = input.ieee_1547 {
        let word = match category {
            Category::I => "category I",
            Category::Ii => "category II",
            Category::Iii => "category III",
        };
        form.show("ieee_1547", "settings of IEEE 1547-2018", word);
    }
    for (number, stated) in input.sheet.iter().enumerate() {
        let read = form
            .within(&format!("sheet[{number}]"), |form| sheet_line(form, stated, volts, &rows))?;
        let Some(line) = read else { continue };
        match lines.iter_mut().find(|other| other.name == line.name) {
            Some(other) if !other.agreed && !rows.is_empty() => *other = line,
            Some(_) => {
                return Err(form.refuse(
                    "function_twice",
                    "sheet",
                    format!("{} stands on the sheet twice.", line.name),
                    "Give each function once.",
                ));
            }
            None => lines.push(line),
        }
    }
    Ok(lines)
}

fn sheet_line(
    form: &mut Form,
    stated: &SheetLine,
    volts: Option<f64>,
    rows: &[Row],
) -> Result<Option<Line>, Refusal> {
    match &stated.function {
        Some(name) => form.show("function", "function of the relay", name),
        None => form.miss("function", "function of the relay"),
    }
    let row = rows.iter().find(|row| Some(row.name) == stated.function.as_deref());
    if !rows.is_empty() && row.is_none() && stated.function.is_some() {
        return Err(form.refuse(
            "not_in_the_standard",
            "function",
            "Beside a category only its own functions can be agreed on: OV2, OV1, UV1, UV2, OF2, \
             OF1, UF1, UF2.",
            "Give the utility's own sheet without a category.",
        ));
    }
    let kind = stated.kind.or(row.map(|row| row.kind));
    if kind.is_none() {
        form.miss("kind", "what the function watches");
    }
    let Some(kind) = kind else { return Ok(None) };
    form.show("kind", "what the function watches", kind.word());
    let names = ("threshold", "threshold");
    let threshold =
        relay_value(form, names, kind.of_voltage(), volts, stated.threshold.as_deref())?;
    let clearing = seconds(form, &CLEARING, stated.clearing_time.as_deref())?;
    let set_time = seconds(form, &SET_TIME, stated.set_time.as_deref())?;
    if stated.threshold.is_none() {
        form.miss("threshold", "threshold");
    }
    if clearing.is_none() && set_time.is_none() {
        form.miss("clearing_time", "clearing time or set time");
    }
    let time = clearing.or(set_time);
    let (Some(name), Some(threshold), Some(time)) = (&stated.function, threshold, time) else {
        return Ok(None);
    };
    if let Some(row) = row {
        let within = |(low, high): (f64, f64), x: f64| (low - 1e-9..=high + 1e-9).contains(&x);
        if !within(row.thresholds, threshold.value) || !within(row.times, time) || kind != row.kind
        {
            return Err(form.refuse(
                "outside_the_range",
                "threshold",
                format!(
                    "{} can be set from {} to {} {} and from {} to {} s in this category.",
                    row.name,
                    row.thresholds.0,
                    row.thresholds.1,
                    kind.unit(),
                    row.times.0,
                    row.times.1
                ),
                "Check the sheet; settings outside of the standard are the utility's own sheet, \
                 without a category.",
            ));
        }
    }
    let clearing = if row.is_some() { Some(time) } else { clearing };
    Ok(Some(Line {
        name: name.clone(),
        kind,
        threshold: threshold.value,
        clearing,
        set_time,
        agreed: row.is_some(),
    }))
}
