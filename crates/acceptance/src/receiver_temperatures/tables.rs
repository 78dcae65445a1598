//! The lists of the sheet: channels, quadrants, warming test, pairs.

use quantity::significant;

use super::judge::name;
use super::measure::{Answer, Fault, Found};
use super::present::{celsius, kelvin};
use super::read::Survey;
use crate::Table;

fn table(name: &str, title: &str, columns: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        name: name.to_owned(),
        title: title.to_owned(),
        columns: columns.iter().map(|&column| column.to_owned()).collect(),
        rows,
    }
}

/// Those tables that have something to say.
pub(super) fn tables(survey: &Survey, found: &Found) -> Vec<Table> {
    let mut out = Vec::new();
    if !survey.scans.is_empty() {
        out.push(channels(survey, found));
        out.push(quadrants(found));
    }
    if !survey.warming.is_empty() {
        out.push(warming(survey, found));
    }
    if let Some(Ok(search)) = &found.search {
        let rows = search
            .pairs
            .iter()
            .map(|pair| {
                vec![
                    name(survey, pair.one).to_owned(),
                    name(survey, pair.other).to_owned(),
                    kelvin(search.rms),
                    kelvin(pair.rms),
                ]
            })
            .collect();
        let columns = ["channel", "with", "RMS as read K", "RMS exchanged K"];
        out.push(table("pairs", "Pairs whose exchange fits the pattern best", &columns, rows));
    }
    out
}

fn channels(survey: &Survey, found: &Found) -> Table {
    let search = found.search.as_ref().and_then(|search| search.as_ref().ok());
    let rows = survey
        .channels
        .iter()
        .enumerate()
        .map(|(place, channel)| {
            let value = found.counted.get(place).copied().flatten();
            let mean = found
                .quadrants
                .iter()
                .find(|quadrant| quadrant.name == channel.quadrant)
                .map_or(f64::NAN, |quadrant| quadrant.mean);
            let u = survey
                .doubt
                .as_ref()
                .and_then(|doubt| doubt.standard.get(place).copied().flatten());
            let off = search.and_then(|search| search.residuals.get(place).copied().flatten());
            vec![
                channel.name.clone(),
                channel.quadrant.clone(),
                value.map_or_else(String::new, celsius),
                value.map_or_else(String::new, |value| kelvin(value - mean)),
                off.map_or_else(String::new, kelvin),
                u.map_or_else(String::new, |u| significant(u, 3)),
                match found.faults.get(place).copied().flatten() {
                    Some(Fault::Open) => "open",
                    Some(Fault::Stuck) => "stuck",
                    None => "",
                }
                .to_owned(),
            ]
        })
        .collect();
    let columns = [
        "channel",
        "quadrant",
        "reading °C",
        "above its quadrant K",
        "off the pattern K",
        "u K",
        "fault",
    ];
    table("channels", "Each channel", &columns, rows)
}

fn quadrants(found: &Found) -> Table {
    let rows = found
        .quadrants
        .iter()
        .map(|quadrant| {
            vec![
                quadrant.name.clone(),
                quadrant.counted.len().to_string(),
                celsius(quadrant.mean),
                celsius(quadrant.lowest),
                celsius(quadrant.highest),
                kelvin(quadrant.highest - quadrant.lowest),
            ]
        })
        .collect();
    let columns = ["quadrant", "channels", "mean °C", "lowest °C", "highest °C", "spread K"];
    table("quadrants", "Each quadrant, by the channels that count", &columns, rows)
}

fn warming(survey: &Survey, found: &Found) -> Table {
    let rows = survey
        .warming
        .iter()
        .zip(&found.answers)
        .map(|(warmed, (place, answer))| {
            let own = warmed.rises.get(*place).copied().unwrap_or(f64::NAN);
            let other = warmed
                .rises
                .iter()
                .enumerate()
                .filter(|(number, _)| number != place)
                .max_by(|one, other| one.1.total_cmp(other.1));
            let text = match answer {
                Answer::Own => "its own".to_owned(),
                Answer::Other(other) => name(survey, *other).to_owned(),
                Answer::None => "none".to_owned(),
                Answer::Several(several) => {
                    let names: Vec<_> = several.iter().map(|place| name(survey, *place)).collect();
                    names.join(", ")
                }
            };
            vec![
                name(survey, *place).to_owned(),
                text,
                kelvin(own),
                other.map_or_else(String::new, |(number, _)| name(survey, number).to_owned()),
                other.map_or_else(String::new, |(_, rise)| kelvin(*rise)),
            ]
        })
        .collect();
    let columns = ["warmed", "answered by", "own rise K", "next channel", "its rise K"];
    table("warming", "Warming test", &columns, rows)
}
