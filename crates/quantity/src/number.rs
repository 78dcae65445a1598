//! The number in a typed text: signs, digit groups, decimal mark, power of ten.
//!
//! The rules, which the user guide repeats:
//! * A point is a decimal mark. A single comma is a decimal mark too, except where it could as well
//!   group thousands: one to three digits before it, not beginning with 0, and exactly three after.
//!   Such a number is refused with both readings.
//! * Blanks of any width and apostrophes group digits in threes.
//! * Where comma and point both stand, the last one is the decimal mark. A mark that stands more
//!   than once can only group.

use rust_decimal::Decimal;

/// A number as read, in exact decimal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Number {
    /// The digits, before the power of ten.
    pub(crate) mantissa: Decimal,
    /// The power of ten as typed.
    pub(crate) exponent: i32,
    /// The whole value.
    pub(crate) value: Decimal,
    /// The place of the last digit.
    pub(crate) resolution: Decimal,
}

/// Why a text is not one number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Fault {
    /// No digit where the number should begin.
    Missing,
    /// The comma can be read in two ways.
    TwoReadings { decimal: String, grouped: String },
    /// Digit groups or marks that make no number.
    Marks,
    /// More than 28 digits, or a power of ten beyond that.
    TooManyDigits,
}

/// Reads the number that the text begins with and returns what follows it.
pub(crate) fn read(text: &str) -> Result<(Number, &str), Fault> {
    let (negative, unsigned) = sign(text);
    let (run, rest) = digits_and_marks(unsigned);
    if !run.chars().any(|c| c.is_ascii_digit()) {
        return Err(Fault::Missing);
    }
    let (whole, fraction) = parts(run).map_err(|fault| signed(fault, negative))?;
    let (exponent, rest) = power_of_ten(rest)?;
    let number = assemble(negative, &whole, &fraction, exponent).ok_or(Fault::TooManyDigits)?;
    Ok((number, rest))
}

fn signed(fault: Fault, negative: bool) -> Fault {
    match fault {
        Fault::TwoReadings { decimal, grouped } if negative => Fault::TwoReadings {
            decimal: format!("−{decimal}"),
            grouped: format!("−{grouped}"),
        },
        other => other,
    }
}

/// Whether a minus sign leads, in any of the ways that keyboards and word processors write it.
fn sign(text: &str) -> (bool, &str) {
    const MINUS: [char; 8] = ['-', '−', '‐', '‑', '‒', '–', '﹣', '－'];
    match text.strip_prefix(MINUS) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix(['+', '＋']).map_or(text, str::trim_start)),
    }
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | 'ʼ')
}

/// The longest start made of digits, marks, and single blanks or apostrophes between digits.
fn digits_and_marks(text: &str) -> (&str, &str) {
    let mut end = 0;
    let mut previous_digit = false;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next_digit = chars.peek().is_some_and(|(_, next)| next.is_ascii_digit());
        let belongs = c.is_ascii_digit()
            || ((c == '.' || c == ',') && (next_digit || previous_digit))
            || ((c.is_whitespace() || is_apostrophe(c)) && previous_digit && next_digit);
        if !belongs {
            break;
        }
        previous_digit = c.is_ascii_digit();
        end = at + c.len_utf8();
    }
    text.split_at(end)
}

/// Splits the run into the digits before and after the decimal mark, groups checked and removed.
fn parts(run: &str) -> Result<(String, String), Fault> {
    let commas = run.matches(',').count();
    let points = run.matches('.').count();
    let decimal_at = match (commas, points) {
        (0, 0) => None,
        (0, 1) => run.find('.'),
        (1, 0) => {
            two_readings(run)?;
            run.find(',')
        }
        (0, _) | (_, 0) => None,
        _ => {
            let (comma, point) = (run.rfind(','), run.rfind('.'));
            let (last, count) = if comma > point { (comma, commas) } else { (point, points) };
            if count != 1 {
                return Err(Fault::Marks);
            }
            last
        }
    };
    let (whole, fraction) = match decimal_at {
        Some(at) => (&run[..at], &run[at + 1..]),
        None => (run, ""),
    };
    if decimal_at.is_some() && fraction.is_empty() && run.ends_with(',') {
        return Err(Fault::Marks);
    }
    Ok((whole_digits(whole)?, fraction_digits(fraction)?))
}

/// Refuses a comma that could group thousands as well as mark the decimals.
fn two_readings(run: &str) -> Result<(), Fault> {
    let Some((before, after)) = run.split_once(',') else { return Ok(()) };
    let digits = |part: &str| part.chars().all(|c| c.is_ascii_digit());
    let groupable = digits(before)
        && digits(after)
        && (1..=3).contains(&before.len())
        && !before.starts_with('0')
        && after.len() == 3;
    if groupable {
        return Err(Fault::TwoReadings {
            decimal: format!("{before}.{after}"),
            grouped: format!("{before}{after}"),
        });
    }
    Ok(())
}

fn groups(part: &str) -> Vec<&str> {
    part.split(|c: char| !c.is_ascii_digit()).collect()
}

/// Digits before the decimal mark; groups must be of three after the first, by one kind of mark.
fn whole_digits(part: &str) -> Result<String, Fault> {
    let groups = groups(part);
    if let [first, others @ ..] = groups.as_slice()
        && !others.is_empty()
    {
        let kinds = [',', '.'].iter().filter(|mark| part.contains(**mark)).count()
            + usize::from(part.contains(char::is_whitespace))
            + usize::from(part.contains(is_apostrophe));
        let sized = (1..=3).contains(&first.len()) && others.iter().all(|group| group.len() == 3);
        if kinds != 1 || !sized {
            return Err(Fault::Marks);
        }
    }
    Ok(groups.concat())
}

/// Digits after the decimal mark; groups, if any, by blanks, of three but for the last.
fn fraction_digits(part: &str) -> Result<String, Fault> {
    let groups = groups(part);
    if let [leading @ .., last] = groups.as_slice()
        && !leading.is_empty()
    {
        let blanks = part.chars().all(|c| c.is_ascii_digit() || c.is_whitespace());
        let sized = leading.iter().all(|group| group.len() == 3) && (1..=3).contains(&last.len());
        if !blanks || !sized {
            return Err(Fault::Marks);
        }
    }
    Ok(groups.concat())
}

/// Reads `e-8`, `×10^-8` or `·10⁻⁸`, if one follows.
fn power_of_ten(text: &str) -> Result<(i32, &str), Fault> {
    let after_letter = text.strip_prefix(['e', 'E']);
    let after_times = text
        .trim_start()
        .strip_prefix(['×', '·', '*', 'x'])
        .and_then(|rest| rest.trim_start().strip_prefix("10"))
        .and_then(|rest| rest.strip_prefix('^').or_else(|| superscript(rest).then_some(rest)));
    let Some(exponent_text) = after_letter.or(after_times) else { return Ok((0, text)) };
    let (negative, unsigned) = match exponent_text.strip_prefix(['-', '−', '⁻']) {
        Some(rest) => (true, rest),
        None => (false, exponent_text.strip_prefix(['+', '⁺']).unwrap_or(exponent_text)),
    };
    let mut digits = String::new();
    let mut rest = unsigned;
    while let Some(c) = rest.chars().next()
        && let Some(digit) = plain_digit(c)
    {
        digits.push(digit);
        rest = &rest[c.len_utf8()..];
    }
    if digits.is_empty() {
        // "1,2E" or "3 e": a unit that begins with the letter, not a power of ten.
        return if after_letter.is_some() { Ok((0, text)) } else { Err(Fault::Marks) };
    }
    let size: i32 = digits.parse().map_err(|_| Fault::TooManyDigits)?;
    Ok((if negative { -size } else { size }, rest))
}

fn superscript(text: &str) -> bool {
    text.starts_with(['⁻', '⁺', '⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'])
}

fn plain_digit(c: char) -> Option<char> {
    const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
    if c.is_ascii_digit() {
        return Some(c);
    }
    let place = RAISED.chars().position(|raised| raised == c)?;
    char::from_digit(u32::try_from(place).ok()?, 10)
}

fn assemble(negative: bool, whole: &str, fraction: &str, exponent: i32) -> Option<Number> {
    let whole = if whole.is_empty() { "0" } else { whole };
    let text = if fraction.is_empty() { whole.to_owned() } else { format!("{whole}.{fraction}") };
    let mut mantissa = Decimal::from_str_exact(&text).ok()?;
    if negative && !mantissa.is_zero() {
        mantissa.set_sign_negative(true);
    }
    let last_place = Decimal::try_new(1, mantissa.scale()).ok()?;
    Some(Number {
        mantissa,
        exponent,
        value: shift(mantissa, exponent)?,
        resolution: shift(last_place, exponent)?,
    })
}

/// Multiplies by a power of ten; none when a digit would be lost.
fn shift(number: Decimal, exponent: i32) -> Option<Decimal> {
    let places = exponent.unsigned_abs();
    if places > 28 {
        return None;
    }
    if exponent < 0 {
        let scale = number.scale().checked_add(places).filter(|scale| *scale <= 28)?;
        return Decimal::try_from_i128_with_scale(number.mantissa(), scale).ok();
    }
    let shorter = number.scale().min(places);
    let kept =
        Decimal::try_from_i128_with_scale(number.mantissa(), number.scale() - shorter).ok()?;
    kept.checked_mul(Decimal::from_i128_with_scale(10_i128.pow(places - shorter), 0))
}
