//! What tests of many calculations share: shipped examples, and what a sheet says.

use acceptance::{Refusal, Sheet, Verdict, calculation};
use serde_json::{Value, json};

/// A shipped example as JSON.
pub(crate) fn example(name: &str, case: &str) -> Value {
    let examples = calculation(name).unwrap().examples();
    let found = examples.iter().find(|example| example.name == case);
    serde_json::from_str(found.unwrap_or_else(|| panic!("no {case}")).text).unwrap()
}

/// The refusal of an input.
#[track_caller]
pub(crate) fn refused(name: &str, input: &Value) -> Refusal {
    calculation(name).unwrap().run(input).unwrap_err()
}

/// The fields that a sheet misses.
pub(crate) fn missing(sheet: &Sheet) -> Vec<&str> {
    sheet.missing.iter().map(|missing| missing.field.as_str()).collect()
}

/// Whether a sheet has a flag.
pub(crate) fn flagged(sheet: &Sheet, code: &str) -> bool {
    sheet.flags.iter().any(|flag| flag.code == code)
}

/// A cell of a table of a sheet, by the beginning of the column's head.
#[track_caller]
pub(crate) fn cell<'a>(sheet: &'a Sheet, table: &str, row: usize, column: &str) -> &'a str {
    let table = sheet.tables.iter().find(|found| found.name == table).unwrap();
    let place = table.columns.iter().position(|head| head.starts_with(column));
    &table.rows[row][place.unwrap_or_else(|| panic!("no {column} in {:?}", table.columns))]
}

/// The text of a result.
#[track_caller]
pub(crate) fn text<'a>(sheet: &'a Sheet, name: &str) -> &'a str {
    let found = sheet.result(name).unwrap_or_else(|| panic!("no {name}: {}", sheet.reason));
    &found.value
}

/// An input without one of its fields.
pub(crate) fn without(input: &Value, path: &str) -> Value {
    let mut input = input.clone();
    let (parent, name) = path.rsplit_once('/').unwrap_or(("", path));
    let parent =
        input.pointer_mut(&format!("{}{parent}", if parent.is_empty() { "" } else { "/" }));
    assert!(parent.unwrap().as_object_mut().unwrap().remove(name).is_some(), "{path}");
    input
}

/// Every field without which nothing is judged is named when it is left out.
#[track_caller]
pub(crate) fn each_is_missed(name: &str, input: &Value, paths: &[&str]) {
    for path in paths {
        let sheet = calculation(name).unwrap().run(&without(input, path)).unwrap();
        assert_eq!(sheet.verdict, Verdict::NotJudged, "{path}");
        assert_eq!(missing(&sheet), [path.replace('/', ".")], "{path}");
        assert!(sheet.results.is_empty(), "{path}: nothing may be computed from a gap");
    }
    let empty = calculation(name).unwrap().run(&json!({})).unwrap();
    assert_eq!(empty.verdict, Verdict::NotJudged);
    assert!(!empty.missing.is_empty());
}
