//! The first and last rows as a person checks them.

/// Rows shown at either end.
const ROWS: usize = 3;

/// The first and the last rows of a list, without showing one twice.
pub(super) fn ends<T>(
    rows: &[T],
    show: impl Fn(&T) -> Vec<String>,
) -> (Vec<Vec<String>>, Vec<Vec<String>>) {
    let first = rows.iter().take(ROWS).map(&show).collect();
    let after = rows.len().saturating_sub(ROWS).max(ROWS);
    let last = rows.get(after..).unwrap_or_default().iter().map(&show).collect();
    (first, last)
}
