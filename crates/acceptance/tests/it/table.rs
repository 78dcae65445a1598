//! Tables of check values. A row without a source is an error, so that no number stands alone.

use acceptance::{Gas, State};
use quantity::{AbsolutePressure, Temperature};

/// The rows of a table below `tests/tables`, without the heading, cells split at semicolons.
pub(crate) fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/tables/{name}", env!("CARGO_MANIFEST_DIR"));
    parse(name, &std::fs::read_to_string(&path).unwrap()).unwrap()
}

/// The rows of a table's text, or what is wrong with it.
fn parse(name: &str, text: &str) -> Result<Vec<Vec<String>>, String> {
    let heading: Vec<_> = text.lines().next().unwrap_or_default().split(';').collect();
    if heading.last() != Some(&"source") {
        return Err(format!("{name} has no source column"));
    }
    let mut rows = Vec::new();
    for line in text.lines().skip(1) {
        let row: Vec<String> = line.splitn(heading.len(), ';').map(str::to_owned).collect();
        if row.len() != heading.len() || row.last().is_none_or(|source| source.trim().is_empty()) {
            return Err(format!("{name}: no source in “{line}”"));
        }
        rows.push(row);
    }
    if rows.is_empty() { Err(format!("{name} is empty")) } else { Ok(rows) }
}

#[test]
fn a_row_without_a_source_is_refused() {
    assert!(parse("t", "a;source\n1;handbook\n").is_ok());
    for bad in ["a;source\n1;\n", "a;source\n1\n", "a;b\n1;2\n", "a;source\n", ""] {
        assert!(parse("t", bad).is_err(), "{bad}");
    }
}

/// A number of a table.
pub(crate) fn number(cell: &str) -> f64 {
    cell.parse().unwrap()
}

/// The gas of a name.
pub(crate) fn gas(name: &str) -> Gas {
    serde_json::from_value(serde_json::Value::String(name.to_owned())).unwrap()
}

/// A state from megapascals and kelvins.
pub(crate) fn state(megapascals: f64, kelvins: f64) -> State {
    State {
        pressure: AbsolutePressure::from_pascals(megapascals * 1e6),
        temperature: Temperature::from_kelvins(kelvins),
    }
}

/// Fails unless two numbers agree within a relative tolerance.
#[track_caller]
pub(crate) fn close(got: f64, expected: f64, tolerance: f64, what: &str) {
    let error = (got - expected).abs() / expected.abs();
    assert!(error <= tolerance, "{what}: got {got:e}, expected {expected:e}, off by {error:e}");
}
