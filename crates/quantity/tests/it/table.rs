//! Tables of check values. A row without a source is an error, so that no number stands alone.

/// The rows of a table below `tests/tables`, without the heading, cells split at semicolons.
pub(crate) fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/tables/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    let heading: Vec<_> = text.lines().next().unwrap().split(';').collect();
    assert_eq!(heading.last(), Some(&"source"), "{name} has no source column");
    let rows: Vec<Vec<String>> = text
        .lines()
        .skip(1)
        .map(|line| line.splitn(heading.len(), ';').map(str::to_owned).collect())
        .collect();
    for row in &rows {
        assert_eq!(row.len(), heading.len(), "{name}: {row:?}");
        assert!(!row.last().unwrap().trim().is_empty(), "{name}: no source in {row:?}");
    }
    assert!(!rows.is_empty(), "{name} is empty");
    rows
}

/// A number of a table; none for an empty cell.
pub(crate) fn number(cell: &str) -> Option<f64> {
    (!cell.is_empty()).then(|| cell.parse().unwrap())
}
