//! A table of one line a facet: `facet;dx_mm;dy_mm`, with either separator and either decimal mark.

use std::collections::{BTreeMap, BTreeSet};

use quantity::{Decimal, Unit, units_of};

use super::cell::{self, Kind};
use super::decimal::{self, Marks};
use super::record::{self, Record};
use super::table::{self, Source};
use super::{
    Cell, Choice, FacetFile, FacetForm, FacetRow, Lines, Question, Rejected, heads, shown,
};
use crate::Refusal;

/// Name of the column that names the facet.
const FACET: &str = "facet";
/// Separators that are looked for.
const SEPARATORS: [char; 3] = [';', ',', '\t'];
/// The header stands among the first lines.
const HEADER_WITHIN: usize = 20;

/// Reads a facet table.
///
/// # Errors
/// A file that is too large, empty, or has no header with the columns asked for. What can be read
/// two ways is no error but a [`Question`] in the result.
pub fn facet_table(bytes: &[u8], form: &FacetForm) -> Result<FacetFile, Refusal> {
    let mut source = match table::source(bytes, &form.answers)? {
        Ok(source) => source,
        Err(question) => return Ok(ask(question, Vec::new())),
    };
    let (separator, at) = header(&source, form)?;
    source.decisions.push(format!("Fields are separated by {}s.", table::name(separator)));
    source.account.preamble = at;
    source.account.header += 1;
    let mut records =
        record::split(source.lines.get(at..).unwrap_or_default(), separator, &mut source.account);
    let names = records.remove(0);
    let width = width(&names);
    let last_line = source.account.read;
    let mut records = table::ragged(records, width, &mut source.account, &mut source.decisions);
    table::cut_last_line(&mut records, last_line, source.ended, &mut source.account);
    let columns = match columns(&names, form, &mut source.decisions)? {
        Ok(columns) => columns,
        Err(question) => return Ok(asked(question, source, &names, &records)),
    };
    let values = || records.iter().flat_map(|r| columns.values.iter().map(|c| r.field(c.at)));
    let marks = match decimal::decide(values(), separator, &form.answers, &mut source.decisions) {
        Ok(marks) => marks,
        Err(question) => return Ok(asked(question, source, &names, &records)),
    };
    let rows = rows(&records, &columns, marks, form, &mut source.account);
    source.account.used = rows.len();
    source.account.rejected.sort_by_key(|rejected| rejected.line);
    let mut heads = vec!["line".to_owned(), FACET.to_owned()];
    let named = form.columns.iter().zip(&columns.values);
    heads.extend(named.map(|(asked, column)| format!("{}, {}", asked.id, column.kind.unit)));
    let (first, last) = shown::ends(&rows, show);
    Ok(FacetFile {
        question: None,
        units: columns.values.iter().map(|column| column.kind.unit.to_owned()).collect(),
        rows,
        lines: source.account,
        decisions: source.decisions,
        heads,
        first,
        last,
    })
}

fn show(row: &FacetRow) -> Vec<String> {
    let mut texts = vec![row.line.to_string(), row.facet.clone()];
    texts.extend(row.values.iter().map(|value| value.plain.clone()));
    texts.extend(row.note.clone());
    texts
}

fn ask(question: Question, decisions: Vec<String>) -> FacetFile {
    FacetFile { question: Some(question), decisions, ..FacetFile::default() }
}

/// The question, with the lines as they stand in the file.
fn asked(question: Question, source: Source, names: &Record, records: &[Record]) -> FacetFile {
    let (first, last) = shown::ends(records, |record| record.fields.clone());
    let heads = names.fields.clone();
    FacetFile { heads, first, last, ..ask(question, source.decisions) }
}

/// The separator whose fields make a header, and the place of that line.
fn header(source: &Source, form: &FacetForm) -> Result<(char, usize), Refusal> {
    let candidates: Vec<char> =
        source.stated.map_or_else(|| SEPARATORS.to_vec(), |stated| vec![stated]);
    for (at, line) in source.lines.iter().take(HEADER_WITHIN).enumerate() {
        for separator in &candidates {
            let alone = std::slice::from_ref(line);
            let records = record::split(alone, *separator, &mut Lines::default());
            let found = records.first().is_some_and(|names| {
                place(names, FACET).is_some()
                    && form.columns.iter().all(|column| place(names, &column.id).is_some())
            });
            if found {
                return Ok((*separator, at));
            }
        }
    }
    let wanted: Vec<_> = form.columns.iter().map(|column| format!("{}_mm", column.id)).collect();
    Err(Refusal::new(
        "file_without_header",
        format!(
            "No line of the file names the columns {FACET} and {}.",
            form.columns.iter().map(|c| c.id.as_str()).collect::<Vec<_>>().join(", ")
        ),
        format!(
            "Write such a line above the values, as {FACET};{}, or choose another file. A \
             separator line has to fit the file.",
            wanted.join(";")
        ),
    ))
}

fn place(names: &Record, id: &str) -> Option<usize> {
    names.fields.iter().position(|head| heads::name_and_unit(head).0.eq_ignore_ascii_case(id))
}

/// Count of the columns named; empty names after the last one don't count.
fn width(names: &Record) -> usize {
    names.fields.iter().rposition(|name| !name.is_empty()).map_or(0, |last| last + 1)
}

struct Columns {
    facet: usize,
    values: Vec<ValueColumn>,
}

struct ValueColumn {
    at: usize,
    kind: Kind,
}

fn columns(
    names: &Record,
    form: &FacetForm,
    decisions: &mut Vec<String>,
) -> Result<Result<Columns, Question>, Refusal> {
    let mut values = Vec::new();
    for asked in &form.columns {
        let places: Vec<usize> = (0..names.fields.len())
            .filter(|at| heads::name_and_unit(names.field(*at)).0.eq_ignore_ascii_case(&asked.id))
            .collect();
        let [at] = places.as_slice() else {
            return Err(Refusal::new(
                "file_column_twice",
                format!("The column {} stands {} times in the header.", asked.id, places.len()),
                "Leave one of them in the file, under its own name.",
            ));
        };
        let (_, in_head) = heads::name_and_unit(names.field(*at));
        let id = format!("unit:{}", asked.id);
        let answer = form.answers.get(&id).map_or("", String::as_str);
        let unit = match (in_head.is_empty(), heads::unit(asked.dimension, &in_head)) {
            (false, Some(unit)) => {
                decisions.push(format!("{}: in {}, as its head says.", asked.id, unit.symbol()));
                unit
            }
            (true, _) if heads::unit(asked.dimension, answer).is_some() => {
                let Some(unit) = heads::unit(asked.dimension, answer) else { continue };
                decisions.push(format!("{}: in {}, as answered.", asked.id, unit.symbol()));
                unit
            }
            (true, _) => return Ok(Err(ask_unit(&id, &asked.id, units_of(asked.dimension)))),
            (false, None) => {
                return Err(Refusal::new(
                    "file_wrong_unit",
                    format!(
                        "The column {} is in “{in_head}”, which is no unit of {}.",
                        asked.id,
                        asked.dimension.name()
                    ),
                    "Check that this is the right file, and write the unit in the head.",
                ));
            }
        };
        let range = asked
            .largest
            .as_deref()
            .and_then(|text| Decimal::from_str_exact(text).ok())
            .map(|largest| (-largest, largest));
        let kind = Kind { dimension: asked.dimension, unit: unit.symbol(), range };
        values.push(ValueColumn { at: *at, kind });
    }
    let facet = place(names, FACET).unwrap_or(0);
    let used: BTreeSet<usize> = values.iter().map(|c| c.at).chain([facet]).collect();
    let others: Vec<_> = (0..width(names))
        .filter(|at| !used.contains(at))
        .map(|at| names.field(at).to_owned())
        .collect();
    if !others.is_empty() {
        decisions.push(format!("Columns that are not used: {}.", others.join(", ")));
    }
    Ok(Ok(Columns { facet, values }))
}

fn ask_unit(id: &str, column: &str, units: impl Iterator<Item = &'static Unit>) -> Question {
    Question {
        id: id.to_owned(),
        title: format!("In which unit is {column}?"),
        sentence: format!("The head of the column {column} names no unit."),
        choices: units
            .map(|unit| Choice {
                id: unit.symbol().to_owned(),
                text: format!("{column} is in {}", unit.symbol()),
            })
            .collect(),
    }
}

fn rows(
    records: &[Record],
    columns: &Columns,
    marks: Marks,
    form: &FacetForm,
    account: &mut Lines,
) -> Vec<FacetRow> {
    let known: BTreeSet<&str> = form.known.iter().map(String::as_str).collect();
    let mut rows: Vec<FacetRow> = Vec::new();
    for record in records {
        match row(record, columns, marks, &known) {
            Ok(row) => rows.push(row),
            Err(reason) => account.rejected.push(Rejected { line: record.line, reason }),
        }
    }
    single(rows, account)
}

fn row(
    record: &Record,
    columns: &Columns,
    marks: Marks,
    known: &BTreeSet<&str>,
) -> Result<FacetRow, String> {
    let facet = record.field(columns.facet);
    if facet.is_empty() {
        return Err("no facet is named".into());
    }
    if !known.is_empty() && !known.contains(facet) {
        return Err(format!("“{facet}” is no facet of this dish"));
    }
    let texts = || columns.values.iter().map(|column| record.field(column.at));
    let done = |values, note| Ok(FacetRow { line: record.line, facet: facet.into(), values, note });
    if texts().all(|text| text.eq_ignore_ascii_case("masked")) {
        return done(Vec::new(), Some("masked".into()));
    }
    let mut values = Vec::new();
    let mut marker = None;
    for column in &columns.values {
        match cell::read(record.field(column.at), &column.kind, marks) {
            Cell::Number(number) if number.bound => {
                return Err(format!("“{}” is only a bound", number.typed));
            }
            Cell::Number(number) => values.push(number),
            Cell::Missing { typed } => marker = Some(typed),
            Cell::Unusable { typed, reason } => return Err(format!("“{typed}”: {reason}")),
        }
    }
    match (values.is_empty(), marker) {
        (_, None) => done(values, None),
        (true, Some(marker)) if marker.is_empty() => done(values, Some("no value".into())),
        (true, Some(marker)) => done(values, Some(format!("no value: {marker}"))),
        (false, Some(_)) => Err("one of the values is missing".into()),
    }
}

/// Lets each facet stand once: equal lines count once, contradicting ones not at all.
fn single(rows: Vec<FacetRow>, account: &mut Lines) -> Vec<FacetRow> {
    let mut by_facet: BTreeMap<String, Vec<FacetRow>> = BTreeMap::new();
    for row in rows {
        by_facet.entry(row.facet.clone()).or_default().push(row);
    }
    let mut kept = Vec::new();
    for (facet, mut lines) in by_facet {
        let plain = |row: &FacetRow| {
            let values = row.values.iter().map(|v| v.base.clone()).collect::<Vec<_>>();
            (values, row.note.clone())
        };
        let same = lines.iter().all(|row| lines.first().is_some_and(|f| plain(f) == plain(row)));
        let numbers: Vec<_> = lines.iter().map(|row| row.line.to_string()).collect();
        if same {
            let first = lines.remove(0);
            for row in lines {
                let reason = format!("the same as line {}", first.line);
                account.rejected.push(Rejected { line: row.line, reason });
            }
            kept.push(first);
        } else {
            for row in lines {
                let reason =
                    format!("{facet} stands on lines {} with other values", numbers.join(", "));
                account.rejected.push(Rejected { line: row.line, reason });
            }
        }
    }
    kept.sort_by_key(|row| row.line);
    kept
}
