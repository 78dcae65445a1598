//! Builds a calculation's input from the answers, by the mapping in the checklist, and runs it.

use acceptance::Sheet;
use ledger::EntryId;
use quantity::Decimal;
use serde_json::{Map, Value, json};

use super::{Case, calculation};
use crate::document::Given;
use crate::events::{Answer, Distribution};
use crate::source::{
    Asks, Calculated, ChannelPart, DesignPart, InputFrom, InstrumentPart, SitePart,
};
use crate::typed;

/// A calculation step as run, or why it could not be.
#[derive(Debug)]
pub(super) struct Run {
    /// The step.
    pub(super) step: String,
    /// The sheet.
    pub(super) sheet: Option<Sheet>,
    /// Why there is no sheet.
    pub(super) refused: Option<String>,
    /// Entries whose answers went in.
    pub(super) used: Vec<EntryId>,
}

/// Runs every calculation of the checklist on the case's answers, in the order of the steps.
pub(super) fn run_all(case: &Case<'_>) -> Vec<Run> {
    case.checklist.calculations().map(|(step, asked)| run(case, &step.id, asked)).collect()
}

fn run(case: &Case<'_>, step: &str, asked: &Calculated) -> Run {
    let mut run = Run { step: step.to_owned(), sheet: None, refused: None, used: Vec::new() };
    let input = input(case, asked, &mut run.used);
    match calculation(&asked.name) {
        None => run.refused = Some(format!("This version has no calculation `{}`.", asked.name)),
        Some(calculation) => match calculation.run(&input) {
            Ok(sheet) => run.sheet = Some(sheet),
            Err(refusal) => {
                run.refused = Some(format!(
                    "The calculation could not be done: {} {}",
                    refusal.sentence, refusal.next_step
                ));
            }
        },
    }
    run
}

/// What a calculation is given, by the mapping in the checklist.
pub(super) fn input(case: &Case<'_>, asked: &Calculated, used: &mut Vec<EntryId>) -> Value {
    let mut input = Map::new();
    for (path, from) in &asked.inputs {
        // A value that is not there stays out; the calculation names what it misses.
        if let Some(value) = value_of(case, from, used) {
            put(&mut input, path, value);
        }
    }
    Value::Object(input)
}

fn put(into: &mut Map<String, Value>, path: &str, value: Value) {
    match path.split_once('.') {
        None => {
            into.insert(path.to_owned(), value);
        }
        Some((first, rest)) => {
            let inner = into.entry(first.to_owned()).or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                put(inner, rest, value);
            }
        }
    }
}

fn value_of(case: &Case<'_>, from: &InputFrom, used: &mut Vec<EntryId>) -> Option<Value> {
    let limit = |id: &str| case.criteria.limit(id);
    let text = match from {
        InputFrom::Answer(step) => {
            let given = case.answer(step)?;
            used.push(given.stamp.entry);
            answer_text(given)
        }
        InputFrom::Hold(step) => {
            let hold = case.hold(step)?;
            used.push(hold.start.stamp.entry);
            used.extend(hold.end.as_ref().map(|end| end.stamp.entry));
            hold.elapsed.as_ref()?.counted().map(duration_text)
        }
        InputFrom::Limit(id) => limit(id).map(|limit| limit.value.clone()),
        InputFrom::LimitPer(id) => limit(id)?.per.clone(),
        InputFrom::LimitSource(id) => {
            limit(id).map(|limit| format!("{} [{}]", limit.source, limit.status.words()))
        }
        InputFrom::LimitRule(id) => limit(id).map(|limit| limit.rule.name().to_owned()),
        InputFrom::Instrument(part) => return instrument_part(case, part),
        InputFrom::Stated(stated) => {
            let given = case.answer(&stated.answer)?;
            used.push(given.stamp.entry);
            let value = answer_text(given)?;
            return Some(json!({ "value": value, "distribution": stated.distribution }));
        }
        InputFrom::Survey(step) => return survey(case, step, used),
        InputFrom::Series(part) => return series(case, part, used),
        InputFrom::Design(part) => return design(case, *part),
        InputFrom::Site(part) => site(case, *part),
        InputFrom::WorkedAt(step) => case.worked_at(step).map(ToString::to_string),
        InputFrom::Text(text) => Some(text.clone()),
    };
    text.map(Value::String)
}

/// The answer as a calculation takes it: number with unit, or the option's id.
fn answer_text(given: &Given) -> Option<String> {
    match &given.answer {
        Answer::Read { reading } => typed::reread(reading).ok().map(|reading| reading.to_string()),
        Answer::Chosen { option } => Some(option.clone()),
        _ => None,
    }
}

/// Every row of a survey's list: its name, its state, and its values by column.
fn survey(case: &Case<'_>, step: &str, used: &mut Vec<EntryId>) -> Option<Value> {
    let Asks::Survey(asked) = &case.checklist.step(step)?.asks else { return None };
    let given = case.survey(step)?;
    used.push(given.stamp.entry);
    let lines = case.around.lines(case.record, asked).ok()?;
    let row = |name: &String| {
        let row = given.row(name);
        let state = row.map_or_else(|| given.others.state(), |row| row.state);
        let mut value = Map::new();
        value.insert("facet".to_owned(), Value::String(name.clone()));
        value.insert("state".to_owned(), Value::String(state.name().to_owned()));
        for (typed, column) in row.iter().flat_map(|row| &row.typed).zip(&given.columns) {
            value.insert(column.id.clone(), Value::String(format!("{typed} {}", column.unit)));
        }
        Value::Object(value)
    };
    Some(Value::Array(lines.iter().map(row).collect()))
}

/// One channel of an import, as it stands in the entry.
fn series(case: &Case<'_>, part: &ChannelPart, used: &mut Vec<EntryId>) -> Option<Value> {
    let given = case.series(&part.step)?;
    let channel = given.channel(&part.channel)?;
    let file = given.file_of(channel)?;
    used.push(given.stamp.entry);
    let times: Vec<String> = channel.times.iter().map(ToString::to_string).collect();
    Some(json!({
        "unit": channel.unit,
        "interval": file.interval,
        "label": file.label.name(),
        "times": times,
        "values": channel.typed,
        "file": file.name,
    }))
}

fn design(case: &Case<'_>, part: DesignPart) -> Option<Value> {
    let (_, design) = case.around.design.as_ref()?;
    Some(match part {
        DesignPart::FocalLength => Value::String(design.focal_length.clone()),
        DesignPart::ApertureAcross => Value::String(design.aperture_across.clone()),
        DesignPart::Facets => design
            .facets
            .iter()
            .map(|facet| {
                let mut place = json!({
                    "facet": facet.id,
                    "rack": facet.rack,
                    "radius": facet.radius,
                    "bearing": facet.bearing,
                    "aim_x": facet.aim_x,
                    "aim_y": facet.aim_y,
                });
                if let Some(turned) = &facet.turned {
                    place["turned"] = Value::String(turned.clone());
                }
                place
            })
            .collect(),
        DesignPart::Adjusters => serde_json::to_value(design.adjusters.as_ref()?).ok()?,
        DesignPart::Light => serde_json::to_value(design.light.as_ref()?).ok()?,
    })
}

fn site(case: &Case<'_>, part: SitePart) -> Option<String> {
    let site = &case.around.site.as_ref()?.site;
    Some(match part {
        SitePart::Latitude => site.latitude.clone(),
        SitePart::Longitude => site.longitude.clone(),
        SitePart::Altitude => site.altitude.clone(),
        SitePart::TimeZone => site.time_zone.clone(),
    })
}

/// A span in hours where that is exact to four places, otherwise in seconds.
pub(super) fn duration_text(seconds: u64) -> String {
    let hours = Decimal::from(seconds) / Decimal::from(3600);
    if hours.round_dp(4) * Decimal::from(3600) == Decimal::from(seconds) {
        format!("{} h", hours.round_dp(4).normalize())
    } else {
        format!("{seconds} s")
    }
}

/// The display step, or a component of the uncertainty as its certificate states it.
fn instrument_part(case: &Case<'_>, part: &InstrumentPart) -> Option<Value> {
    let used = case.answer(&part.of)?.instrument.as_ref()?;
    if part.part == "resolution" {
        return Some(Value::String(used.resolution.clone()));
    }
    let calibration = used.calibration.as_ref()?;
    let component = calibration.components.iter().find(|component| component.name == part.part)?;
    let value = &component.value;
    Some(match component.distribution {
        Distribution::Rectangular => json!({ "value": value, "distribution": "rectangular" }),
        Distribution::Standard => json!({ "value": value, "distribution": "standard" }),
        Distribution::ExpandedK2 => {
            json!({ "value": value, "distribution": "expanded", "coverage_factor": "2" })
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_written_in_hours_where_exact() {
        assert_eq!(duration_text(43_200), "12 h");
        assert_eq!(duration_text(41_400), "11.5 h");
        assert_eq!(duration_text(43_199), "43199 s");
    }
}
