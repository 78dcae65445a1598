//! A field to a number, a marker for a missing value, or something that can't be used.

use quantity::{Bound, Decimal, Dimension, Field};

use super::decimal::Marks;
use super::{Cell, Number};

/// Words and signs that programs write where they have no value.
const WORDS: [&str; 21] = [
    "nan", "-nan", "+nan", "null", "none", "na", "n/a", "n.a.", "n/d", "n.d.", "n. d.", "nd",
    "bad", "-", "--", "---", "–", "—", "missing", "invalid", "no data",
];
/// Errors of a spreadsheet's formulas.
const FORMULA: [&str; 9] =
    ["#n/a", "#div/0!", "#¡div/0!", "#value!", "#¡valor!", "#ref!", "#¡ref!", "#name?", "#num!"];
/// Numbers that loggers write where they have no value. They count as markers only outside the
/// range of what the column can measure.
const FILLS: [&str; 12] = [
    "-9999",
    "-99999",
    "-999",
    "-999.9",
    "-9999.9",
    "-6999",
    "7999",
    "9999",
    "99999",
    "65535",
    "6553.5",
    "-2147483648",
];

/// What a column measures, and what can occur there at all.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    pub(super) dimension: Dimension,
    pub(super) unit: &'static str,
    /// Low and high in the base unit.
    pub(super) range: Option<(Decimal, Decimal)>,
}

/// Whether a field holds nothing, or a marker that is no number.
pub(super) fn is_marker(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    text.is_empty() || WORDS.contains(&text.as_str()) || FORMULA.contains(&text.as_str())
}

/// Whether a field shows that the file went through a spreadsheet: a formula or its error.
pub(super) fn is_formula(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    text.starts_with('=') || FORMULA.contains(&text.as_str())
}

/// Reads a field.
pub(super) fn read(text: &str, kind: &Kind, marks: Marks) -> Cell {
    let typed = text.trim();
    if is_marker(typed) {
        return Cell::Missing { typed: typed.to_owned() };
    }
    let unusable =
        |reason: String| Cell::Unusable { typed: typed.chars().take(60).collect(), reason };
    if typed.starts_with('=') {
        return unusable("a formula, not a value".into());
    }
    let (sign, number) = bound(typed);
    if number.starts_with(['–', '—', '‒']) {
        return unusable("a dash that may or may not be a minus".into());
    }
    let Some(digits) = marks.plain(number) else {
        return unusable("no number in the marks of this file".into());
    };
    let plain = format!("{sign}{digits}");
    let with_unit = format!("{plain} {}", kind.unit);
    let reading = match quantity::parse(&with_unit, &Field::of(kind.dimension)) {
        Ok(reading) => reading,
        Err(fault) => return unusable(fault.to_string()),
    };
    if let Some((low, high)) = kind.range
        && (reading.base() < low || high < reading.base())
    {
        if FILLS.iter().any(|fill| same_number(fill, &digits)) {
            return Cell::Missing { typed: typed.to_owned() };
        }
        return unusable("outside what can occur here".into());
    }
    Cell::Number(Number {
        typed: typed.to_owned(),
        plain,
        base: reading.base_text(),
        bound: reading.bound() != Bound::Exact,
    })
}

/// Splits a sign of a bound from the number.
fn bound(text: &str) -> (&'static str, &str) {
    for (sign, kept) in [(">=", ">="), ("<=", "<="), ("≥", "≥"), ("≤", "≤"), (">", ">"), ("<", "<")]
    {
        if let Some(rest) = text.strip_prefix(sign) {
            return (kept, rest.trim_start());
        }
    }
    ("", text)
}

fn same_number(fill: &str, digits: &str) -> bool {
    match (Decimal::from_str_exact(fill), Decimal::from_str_exact(digits)) {
        (Ok(fill), Ok(number)) => fill == number,
        _ => false,
    }
}
