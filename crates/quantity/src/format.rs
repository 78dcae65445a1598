//! Numbers on paper: one digit finer than the limit, and more where rounding would hide a verdict.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The most decimals that are printed when rounding hides on which side of a limit a value lies.
const MOST_DECIMALS: usize = 17;

/// Prints a value to one digit finer than its limit, in the limit's unit.
///
/// Where the rounded value would lie on another side of the limit than the value itself, more
/// digits are printed: 0.9499 against a limit of 0.95 is printed as 0.9499, never as 0.950.
pub fn against_limit(value: f64, limit: &Decimal) -> String {
    let first = usize::try_from(limit.scale()).unwrap_or(0) + 1;
    let Some(edge) = limit.to_f64() else { return value.to_string() };
    for decimals in first..MOST_DECIMALS {
        let text = format!("{value:.decimals$}");
        let rounded = text.parse::<f64>().unwrap_or(f64::NAN);
        if rounded.partial_cmp(&edge) == value.partial_cmp(&edge) {
            return unsigned_zero(text);
        }
    }
    value.to_string()
}

/// Prints a value with a number of significant digits, without a power of ten.
pub fn significant(value: f64, digits: usize) -> String {
    let digits = digits.max(1);
    if !value.is_finite() || value.abs() < f64::MIN_POSITIVE {
        return if value.is_finite() { "0".to_owned() } else { value.to_string() };
    }
    let after_first = digits - 1;
    let rounded = format!("{value:.after_first$e}");
    let exponent: i32 = rounded.split_once('e').and_then(|(_, e)| e.parse().ok()).unwrap_or(0);
    let after_first = i32::try_from(after_first).unwrap_or(i32::MAX);
    let decimals = usize::try_from(after_first.saturating_sub(exponent)).unwrap_or(0);
    format!("{value:.decimals$}")
}

/// Prints a value with a number of significant digits and a power of ten, as `9.669e-3`.
pub fn scientific(value: f64, digits: usize) -> String {
    let after_first = digits.max(1) - 1;
    format!("{value:.after_first$e}")
}

/// Drops the sign of a value that rounds to zero.
fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}
