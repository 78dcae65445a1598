//! A logger's or a meter's file: stamps and the channels that a checklist asks for.

use std::collections::BTreeSet;

use chrono::{FixedOffset, NaiveDateTime};
use quantity::{Decimal, Dimension};

use super::cell::{self, Kind};
use super::decimal::{self, Marks};
use super::order::{self, Placed};
use super::record::{self, Record};
use super::stamp::{self, Stamp};
use super::table::{self, Source};
use super::{
    Cell, Channel, Choice, Form, Label, Lines, Question, Rejected, SeriesChannel, SeriesFile,
    SeriesForm, heads, shown,
};
use crate::Refusal;

/// The stamp stands in one of the first fields.
const STAMP_WITHIN: usize = 3;
/// Aggregations that a logger names in a row of their own.
const AGGREGATIONS: [&str; 9] =
    ["avg", "smp", "min", "max", "std", "tot", "sample", "average", "mean"];
/// Aggregations that stand for the value over, or at, the interval.
const OF_THE_INTERVAL: [&str; 6] = ["", "avg", "average", "mean", "smp", "sample"];

/// What can occur at all in a channel, in base units: wider than any acceptance. Common practice,
/// no source.
fn range(dimension: Dimension) -> Option<(Decimal, Decimal)> {
    let (low, high, unit) = match dimension {
        Dimension::Irradiance => (-10, 1400, "W/m²"),
        Dimension::Temperature => (-25, 60, "°C"),
        Dimension::Speed => (0, 70, "m/s"),
        Dimension::Power => (-5, 30, "kW"),
        _ => return None,
    };
    let unit = quantity::find_unit(dimension, unit)?;
    Some((unit.to_base(Decimal::from(low))?, unit.to_base(Decimal::from(high))?))
}

/// What stops a reading before its end.
enum Stop {
    Ask(Box<Question>),
    Refuse(Refusal),
}

impl From<Refusal> for Stop {
    fn from(refusal: Refusal) -> Self {
        Self::Refuse(refusal)
    }
}

impl From<Question> for Stop {
    fn from(question: Question) -> Self {
        Self::Ask(Box::new(question))
    }
}

/// Reads a logger's or a meter's file.
///
/// # Errors
/// A file that is too large, has no stamps, no unit for a channel, or stamps that contradict each
/// other. What can be read two ways is no error but a [`Question`] in the result.
pub fn series(bytes: &[u8], form: &SeriesForm) -> Result<SeriesFile, Refusal> {
    let mut source = match table::source(bytes, &form.answers)? {
        Ok(source) => source,
        Err(question) => {
            return Ok(SeriesFile { question: Some(question), ..SeriesFile::default() });
        }
    };
    let which = which_form(&source, form)?;
    let separator = if which == Form::Logger { ',' } else { ';' };
    source.decisions.push(format!(
        "Read as a {}'s file: fields separated by {}s.",
        if which == Form::Logger { "logger" } else { "meter" },
        table::name(separator)
    ));
    let lines = std::mem::take(&mut source.lines);
    let records = record::split(&lines, separator, &mut source.account);
    let begun = begin(records, &mut source)?;
    let raw: Vec<Vec<String>> = begun.rows.iter().map(|record| record.fields.clone()).collect();
    let heads = begun.names.clone();
    let mut file = SeriesFile { form: Some(which), ..SeriesFile::default() };
    match fill(&mut file, begun, &mut source, separator, form) {
        Ok(()) => {
            source.account.rejected.sort_by_key(|rejected| rejected.line);
            file.lines = source.account;
        }
        Err(Stop::Refuse(refusal)) => return Err(refusal),
        Err(Stop::Ask(question)) => {
            let (first, last) = shown::ends(&raw, Clone::clone);
            let question = Some(*question);
            file = SeriesFile { form: Some(which), question, heads, first, last, ..file };
            (file.times, file.channels) = (Vec::new(), Vec::new());
        }
    }
    file.decisions = source.decisions;
    Ok(file)
}

fn stamp_place(record: &Record) -> Option<usize> {
    (0..STAMP_WITHIN).find(|at| Stamp::parse(record.field(*at)).is_some())
}

/// The form whose separator puts a stamp into a field of its own.
fn which_form(source: &Source, form: &SeriesForm) -> Result<Form, Refusal> {
    let fits = |separator: char| {
        record::split(&source.lines, separator, &mut Lines::default())
            .iter()
            .any(|record| record.fields.len() > 1 && stamp_place(record).is_some())
    };
    let found = match (fits(','), fits(';')) {
        (true, false) => Form::Logger,
        (false, true) => Form::Meter,
        (true, true) => form.form.ok_or_else(|| {
            Refusal::new(
                "file_form_unclear",
                "Commas as well as semicolons could separate the fields of this file.",
                "Say whether it is a logger's or a meter's file.",
            )
        })?,
        (false, false) => {
            return Err(Refusal::new(
                "file_without_stamps",
                "No line of the file has a date and a time of day that can be read, with values \
                 after it.",
                "Export it again with dates as 2026-09-09 12:00 or 09.09.2026 12:00, four digits a \
                 year and 24 hours a day.",
            ));
        }
    };
    let stated =
        source.stated.map(|separator| if separator == ';' { Form::Meter } else { Form::Logger });
    if form.form.or(stated).is_some_and(|wanted| wanted != found)
        || stated.is_some_and(|stated| stated != found)
    {
        return Err(Refusal::new(
            "file_other_form",
            "The fields of the file are separated otherwise than was said.",
            "Choose the other form, or another file.",
        ));
    }
    Ok(found)
}

/// A file whose header was found.
struct Begun {
    names: Vec<String>,
    units: Vec<String>,
    aggregations: Vec<String>,
    /// Place of the stamp.
    stamp: usize,
    rows: Vec<Record>,
}

/// Finds where the values begin, and takes names, units and aggregations from the lines above.
fn begin(mut records: Vec<Record>, source: &mut Source) -> Result<Begun, Refusal> {
    let first = records
        .iter()
        .position(|record| record.fields.len() > 1 && stamp_place(record).is_some())
        .ok_or_else(table::empty)?;
    let rows = records.split_off(first);
    let stamp = rows.first().and_then(stamp_place).unwrap_or(0);
    let mut above = records;
    let words = |record: &Record, known: &dyn Fn(&str) -> bool| {
        record.fields.iter().any(|field| !field.is_empty() && known(field))
            && record.fields.iter().all(|field| field.is_empty() || known(field))
    };
    let aggregation = |text: &str| AGGREGATIONS.contains(&text.to_lowercase().as_str());
    let unit = |text: &str| matches!(text, "TS" | "RN" | "1") || heads::names_a_unit(text);
    let mut header = 1;
    let mut take = |above: &mut Vec<Record>, known: &dyn Fn(&str) -> bool| match above
        .last()
        .is_some_and(|record| words(record, known))
    {
        true => {
            header += 1;
            above.pop().map(|record| record.fields).unwrap_or_default()
        }
        false => Vec::new(),
    };
    let aggregations = take(&mut above, &aggregation);
    let units = take(&mut above, &unit);
    let names = above.pop().map(|record| record.fields).ok_or_else(|| {
        Refusal::new(
            "file_without_header",
            "There is no line of column names above the values.",
            "Export the file again with its header.",
        )
    })?;
    source.account.header += header;
    source.account.preamble = above.len();
    if !above.is_empty() {
        let numbers: Vec<_> = above.iter().map(|record| record.line.to_string()).collect();
        source.decisions.push(format!("Lines before the header: {}.", numbers.join(", ")));
    }
    let (names, units) = if units.is_empty() {
        names.iter().map(|head| heads::name_and_unit(head)).unzip()
    } else {
        (names, units)
    };
    Ok(Begun { names, units, aggregations, stamp, rows })
}

/// Reads stamps and values into the file.
fn fill(
    file: &mut SeriesFile,
    begun: Begun,
    source: &mut Source,
    separator: char,
    form: &SeriesForm,
) -> Result<(), Stop> {
    let named = begun.names.iter().rposition(|name| !name.is_empty()).map_or(0, |last| last + 1);
    let last_line = source.account.read;
    let Begun { names, units, aggregations, stamp, rows } = begun;
    let mut rows = table::ragged(rows, named, &mut source.account, &mut source.decisions);
    table::cut_last_line(&mut rows, last_line, source.ended, &mut source.account);
    let (placed, offsets) = place(rows, stamp, source, form)?;
    let columns = columns(&names, &units, &aggregations, form, &mut source.decisions)?;
    if columns.is_empty() {
        return Err(Stop::Refuse(no_channel(form, &names, &units)));
    }
    let numbers =
        placed.iter().flat_map(|row| columns.iter().map(|column| row.record.field(column.at)));
    let marks = decimal::decide(numbers, separator, &form.answers, &mut source.decisions)?;
    let zone = zone(offsets, form, placed.first(), file)?;
    let interval = order::step(&placed, &mut file.warnings);
    file.interval = interval.map(order::interval_text);
    file.label = Some(label(form, placed.first(), interval)?);
    file.times = placed.iter().filter_map(|row| stamp::rfc3339(row.at, zone)).collect();
    file.channels = columns.iter().map(|column| channel(column, &placed, marks)).collect();
    let edited = placed.iter().filter(|row| row.record.fields.iter().any(|f| cell::is_formula(f)));
    let edited: Vec<_> = edited.map(|row| row.record.line.to_string()).collect();
    if !edited.is_empty() {
        file.warnings.push(format!(
            "Formulas or their errors stand on lines {}: the file went through a spreadsheet. Use \
             the instrument's own file.",
            edited.join(", ")
        ));
    }
    record_numbers(&names, &placed, &mut file.warnings);
    source.account.used = placed.len();
    show(file);
    Ok(())
}

type Offsets = Option<FixedOffset>;

/// The lines with their stamps in order; and the offset that the stamps carry.
fn place(
    rows: Vec<Record>,
    at: usize,
    source: &mut Source,
    form: &SeriesForm,
) -> Result<(Vec<Placed>, Offsets), Stop> {
    let mut stamped = Vec::new();
    for record in rows {
        match Stamp::parse(record.field(at)) {
            Some(stamp) => stamped.push((record, stamp)),
            None => source.account.rejected.push(Rejected {
                line: record.line,
                reason: "no date and time of day that can be read".into(),
            }),
        }
    }
    let stamps: Vec<_> = stamped.iter().map(|(record, stamp)| (record.line, *stamp)).collect();
    let dates = stamp::dates(&stamps, &form.answers, &mut source.decisions)??;
    let carried: BTreeSet<Option<i32>> = stamps
        .iter()
        .map(|(_, stamp)| stamp.offset.map(|offset| offset.local_minus_utc()))
        .collect();
    let offset = match carried.into_iter().collect::<Vec<_>>().as_slice() {
        [] => return Err(Stop::Refuse(table::empty())),
        [one] => one.and_then(FixedOffset::east_opt),
        _ => {
            return Err(Stop::Refuse(Refusal::new(
                "file_mixed_zones",
                "The stamps of the file don't all carry the same offset from UTC.",
                "Export the file again at one offset.",
            )));
        }
    };
    let mut placed = Vec::new();
    for (record, stamp) in stamped {
        match stamp.local(dates) {
            Some(at) => placed.push(Placed { record, at }),
            None => source
                .account
                .rejected
                .push(Rejected { line: record.line, reason: "there is no such day".into() }),
        }
    }
    let placed = order::unplaced(placed, &mut source.account);
    let placed =
        order::steps_back(placed, &form.answers, &mut source.account, &mut source.decisions)??;
    let placed = order::twice(placed, &mut source.account);
    if placed.is_empty() {
        return Err(Stop::Refuse(table::empty()));
    }
    Ok((placed, offset))
}

/// A column that holds a channel.
struct Chosen {
    at: usize,
    name: String,
    channel: Channel,
    kind: Kind,
    aggregation: Option<String>,
}

fn columns(
    names: &[String],
    units: &[String],
    aggregations: &[String],
    form: &SeriesForm,
    decisions: &mut Vec<String>,
) -> Result<Vec<Chosen>, Stop> {
    let text = |list: &[String], at: usize| list.get(at).cloned().unwrap_or_default();
    let mut chosen = Vec::new();
    for channel in &form.channels {
        let unit = |at: usize| heads::unit(channel.dimension, &text(units, at));
        let fits: Vec<usize> = (0..names.len())
            .filter(|at| unit(*at).is_some())
            .filter(|at| {
                let word = text(aggregations, *at).to_lowercase();
                OF_THE_INTERVAL.contains(&word.as_str())
            })
            .collect();
        let rivals = form.channels.iter().filter(|c| c.dimension == channel.dimension).count();
        let at = match (fits.as_slice(), rivals) {
            ([], _) => continue,
            ([only], 1) => *only,
            _ => match answered_column(channel, &fits, names, form)? {
                Some(at) => at,
                None => continue,
            },
        };
        let Some(unit) = unit(at) else { continue };
        let aggregation = Some(text(aggregations, at)).filter(|word| !word.is_empty());
        let name = text(names, at);
        decisions.push(format!(
            "{}: column {name}, in {}{}.",
            channel.title,
            unit.symbol(),
            aggregation.as_ref().map_or_else(String::new, |word| format!(", {word}"))
        ));
        let kind = Kind {
            dimension: channel.dimension,
            unit: unit.symbol(),
            range: range(channel.dimension),
        };
        chosen.push(Chosen { at, name, channel: channel.clone(), kind, aggregation });
    }
    Ok(chosen)
}

/// The column that was answered for a channel; none when it is said not to be in the file.
fn answered_column(
    channel: &Channel,
    fits: &[usize],
    names: &[String],
    form: &SeriesForm,
) -> Result<Option<usize>, Question> {
    let id = format!("column:{}", channel.id);
    let named = |at: &usize| names.get(*at).map_or("", String::as_str);
    match form.answers.get(&id).map(String::as_str) {
        Some("none") => return Ok(None),
        Some(answer) => {
            let place = answer.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            if let Some(at) = place.filter(|at| fits.contains(at)) {
                return Ok(Some(at));
            }
        }
        None => {}
    }
    let mut choices: Vec<Choice> = fits
        .iter()
        .map(|at| Choice { id: (at + 1).to_string(), text: format!("Column {}", named(at)) })
        .collect();
    choices.push(Choice { id: "none".into(), text: "It is not in this file".into() });
    Err(Question {
        id,
        title: format!("Which column is {}?", channel.title),
        sentence: "The units of the file don't decide it.".into(),
        choices,
    })
}

fn no_channel(form: &SeriesForm, names: &[String], units: &[String]) -> Refusal {
    let heads: Vec<String> = names
        .iter()
        .enumerate()
        .map(|(at, name)| match units.get(at).map_or("", String::as_str) {
            "" => name.clone(),
            unit => format!("{name} in {unit}"),
        })
        .collect();
    let wanted: Vec<_> = form
        .channels
        .iter()
        .map(|channel| format!("{} in {}", channel.title, channel.dimension.base_unit()))
        .collect();
    Refusal::new(
        "file_without_channel",
        format!("The file has {}; asked for is {}.", heads.join(", "), wanted.join(", ")),
        "Check that this is the right file. A unit has to stand in the header: it is never guessed.",
    )
}

fn zone(
    carried: Offsets,
    form: &SeriesForm,
    first: Option<&Placed>,
    file: &mut SeriesFile,
) -> Result<FixedOffset, Stop> {
    let stated = form.zone.as_ref().or_else(|| form.answers.get("zone"));
    let stated = match stated {
        None => None,
        Some(text) => Some(stamp::offset(text).map(|offset| (offset, text)).ok_or_else(|| {
            Refusal::new(
                "zone_unreadable",
                format!("“{text}” is no offset from UTC."),
                "Write it as -04:00 or +01:00.",
            )
        })?),
    };
    match (carried, stated) {
        (Some(own), None) => Ok(own),
        (Some(own), Some((stated, text))) if own != stated => Err(Stop::Refuse(Refusal::new(
            "zone_contradicts",
            format!("The stamps carry the offset {own}, and {text} was stated."),
            "Leave the offset out, or choose another file.",
        ))),
        (_, Some((stated, _))) => {
            file.zone = Some(stated.to_string());
            Ok(stated)
        }
        (None, None) => Err(Stop::from(Question {
            id: "zone".into(),
            title: "At which offset from UTC are the stamps?".into(),
            sentence: format!(
                "The stamps carry no offset; the first is {}.",
                first.map_or_else(String::new, |row| row.at.to_string())
            ),
            choices: form.zones.clone(),
        })),
    }
}

fn label(
    form: &SeriesForm,
    first: Option<&Placed>,
    interval: Option<i64>,
) -> Result<Label, Question> {
    let answered = form.answers.get("label").and_then(|answer| match answer.as_str() {
        "start" => Some(Label::Start),
        "end" => Some(Label::End),
        _ => None,
    });
    form.label.or(answered).ok_or_else(|| {
        let at = first.map_or_else(String::new, |row| clock(row.at));
        let step = interval.map_or_else(|| "the interval".to_owned(), order::interval_text);
        let choice = |id: &str, text: String| Choice { id: id.into(), text };
        Question {
            id: "label".into(),
            title: "Which end of its interval does a stamp name?".into(),
            sentence: "The file does not say it, and intervals can't be paired without.".into(),
            choices: vec![
                choice("end", format!("The end: the value at {at} is of the {step} before it")),
                choice("start", format!("The start: the value at {at} is of the {step} after it")),
            ],
        }
    })
}

fn clock(at: NaiveDateTime) -> String {
    at.format("%H:%M").to_string()
}

fn channel(column: &Chosen, placed: &[Placed], marks: Marks) -> SeriesChannel {
    let values: Vec<Cell> = placed
        .iter()
        .map(|row| cell::read(row.record.field(column.at), &column.kind, marks))
        .collect();
    let unusable = placed
        .iter()
        .zip(&values)
        .filter_map(|(row, cell)| match cell {
            Cell::Unusable { typed, reason } => {
                Some(Rejected { line: row.record.line, reason: format!("“{typed}”: {reason}") })
            }
            _ => None,
        })
        .collect();
    SeriesChannel {
        id: column.channel.id.clone(),
        column: column.name.clone(),
        unit: column.kind.unit.to_owned(),
        aggregation: column.aggregation.clone(),
        missing: values.iter().filter(|cell| matches!(cell, Cell::Missing { .. })).count(),
        values,
        unusable,
    }
}

/// Compares the logger's own running number, where there is one.
fn record_numbers(names: &[String], placed: &[Placed], warnings: &mut Vec<String>) {
    let is_number = |name: &String| matches!(name.to_lowercase().as_str(), "record" | "rec" | "rn");
    let Some(at) = names.iter().position(is_number) else { return };
    let numbers: Vec<(usize, i64)> = placed
        .iter()
        .filter_map(|row| Some((row.record.line, row.record.field(at).parse().ok()?)))
        .collect();
    let breaks: Vec<String> = numbers
        .windows(2)
        .filter_map(|pair| match pair {
            [(_, a), (line, b)] if a.checked_add(1) != Some(*b) => Some(line.to_string()),
            _ => None,
        })
        .collect();
    if !breaks.is_empty() {
        warnings.push(format!("The running number jumps at lines {}.", breaks.join(", ")));
    }
}

fn show(file: &mut SeriesFile) {
    file.heads = vec!["time".to_owned()];
    for channel in &file.channels {
        file.heads.push(format!("{}, {}", channel.id, channel.unit));
    }
    let places: Vec<usize> = (0..file.times.len()).collect();
    let row = |at: &usize| {
        let mut texts = vec![file.times.get(*at).cloned().unwrap_or_default()];
        for channel in &file.channels {
            texts.push(match channel.values.get(*at) {
                Some(Cell::Number(number)) => number.plain.clone(),
                Some(Cell::Missing { typed }) => format!("missing ({typed})"),
                Some(Cell::Unusable { typed, .. }) => format!("unusable ({typed})"),
                None => String::new(),
            });
        }
        texts
    };
    let (first, last) = shown::ends(&places, row);
    (file.first, file.last) = (first, last);
}
