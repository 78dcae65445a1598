//! From what people type to a reading, or a sentence that says what to type instead.

use crate::number::{self, Fault};
use crate::unit::key;
use crate::{Bound, Dimension, Field, Reading, Unit, find_unit, units_of};

/// The longest text that is read; longer ones are refused unread.
const LONGEST: usize = 120;

/// Why a text is not a reading of its field. Each says what to do next.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseError {
    /// Nothing was typed.
    #[error("nothing is typed here; type a number and its unit, or leave the reading out")]
    Empty,
    /// The text is too long for a reading.
    #[error("a reading has at most {LONGEST} characters; type one number and its unit")]
    TooLong,
    /// No number at the beginning.
    #[error("“{text}” does not begin with a number; type a number and its unit, such as {example}")]
    NoNumber {
        /// As typed.
        text: String,
        /// A text that the field accepts.
        example: String,
    },
    /// Digit groups or decimal marks that make no number.
    #[error(
        "the number in “{text}” can't be read: blanks group digits in threes, and there is one \
         decimal mark; type it without groups, such as {example}"
    )]
    Marks {
        /// As typed.
        text: String,
        /// A text that the field accepts.
        example: String,
    },
    /// A comma that may be a decimal mark or group thousands.
    #[error("“{text}” can mean {decimal} or {grouped}; type the one that is meant")]
    TwoReadings {
        /// As typed.
        text: String,
        /// The text with the comma as decimal mark.
        decimal: String,
        /// The text with the comma as thousands mark.
        grouped: String,
    },
    /// More digits than any instrument shows.
    #[error("the number in “{text}” has more than 28 digits; type what the instrument shows")]
    TooManyDigits {
        /// As typed.
        text: String,
    },
    /// A number without a unit, in a field without a default unit.
    #[error("“{text}” has no unit; type one of {units} after the number")]
    NoUnit {
        /// As typed.
        text: String,
        /// Units that the field takes.
        units: String,
    },
    /// A unit that the program doesn't know.
    #[error("“{unit}” in “{text}” is not a unit of {wanted}; type {suggestion}")]
    UnknownUnit {
        /// As typed.
        text: String,
        /// The unit as typed.
        unit: String,
        /// What the field takes.
        wanted: String,
        /// Which unit to type.
        suggestion: String,
    },
    /// A unit of something else.
    #[error("“{text}” is in a unit of {found}, where {wanted} is needed; {advice}")]
    OtherDimension {
        /// As typed.
        text: String,
        /// What it measures.
        found: &'static str,
        /// What the field takes.
        wanted: String,
        /// What to do.
        advice: String,
    },
    /// A unit that stands for more than one of the things that the field takes.
    #[error("“{text}” does not say which it is; type {choices}")]
    Unsaid {
        /// As typed.
        text: String,
        /// What to type.
        choices: String,
    },
    /// More than one number.
    #[error("“{text}” holds more than one number; type one reading a field")]
    TwoNumbers {
        /// As typed.
        text: String,
    },
}

impl ParseError {
    /// A stable code for programs.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::TooLong => "too_long",
            Self::NoNumber { .. } => "no_number",
            Self::Marks { .. } => "unreadable_number",
            Self::TwoReadings { .. } => "ambiguous_number",
            Self::TooManyDigits { .. } => "too_many_digits",
            Self::NoUnit { .. } => "no_unit",
            Self::UnknownUnit { .. } => "unknown_unit",
            Self::OtherDimension { .. } => "wrong_unit",
            Self::Unsaid { .. } => "gauge_or_absolute",
            Self::TwoNumbers { .. } => "two_numbers",
        }
    }
}

/// Reads what was typed into a field.
///
/// # Errors
/// Every text that isn't one reading of the field, with the next step in the sentence.
pub fn parse(text: &str, field: &Field) -> Result<Reading, ParseError> {
    let typed = text.trim();
    if typed.is_empty() {
        return Err(ParseError::Empty);
    }
    if typed.chars().count() > LONGEST {
        return Err(ParseError::TooLong);
    }
    let (bound, after_bound) = bound(typed);
    let (number, rest) = number::read(after_bound)
        .map_err(|fault| number_error(fault, typed, after_bound, field))?;
    let unit_text = rest.trim();
    let unit = unit(typed, unit_text, field)?;
    let out_of_digits = || ParseError::TooManyDigits { text: typed.to_owned() };
    Ok(Reading {
        text: text.to_owned(),
        unit_text: unit_text.to_owned(),
        unit,
        bound,
        mantissa: number.mantissa,
        exponent: number.exponent,
        value: number.value,
        resolution: number.resolution,
        base: unit.to_base(number.value).ok_or_else(out_of_digits)?,
        base_resolution: unit.interval_to_base(number.resolution).ok_or_else(out_of_digits)?,
    })
}

fn bound(typed: &str) -> (Bound, &str) {
    const SIGNS: [(&str, Bound); 9] = [
        (">=", Bound::AtLeast),
        ("≥", Bound::AtLeast),
        ("⩾", Bound::AtLeast),
        ("<=", Bound::AtMost),
        ("≤", Bound::AtMost),
        ("⩽", Bound::AtMost),
        (">", Bound::Above),
        ("<", Bound::Below),
        ("=", Bound::Exact),
    ];
    SIGNS
        .iter()
        .find_map(|(sign, bound)| typed.strip_prefix(sign).map(|rest| (*bound, rest.trim_start())))
        .unwrap_or((Bound::Exact, typed))
}

fn number_error(fault: Fault, typed: &str, after_bound: &str, field: &Field) -> ParseError {
    let text = typed.to_owned();
    let example = format!("“{}”", example(field));
    match fault {
        Fault::Missing => ParseError::NoNumber { text, example },
        Fault::Marks => ParseError::Marks { text, example },
        Fault::TooManyDigits => ParseError::TooManyDigits { text },
        Fault::TwoReadings { decimal, grouped } => {
            let last = after_bound.rfind(|c: char| c.is_ascii_digit()).map_or(0, |at| at + 1);
            let unit = after_bound.get(last..).unwrap_or_default().trim();
            let both = |number: String| format!("{number} {unit}").trim().to_owned();
            ParseError::TwoReadings { text, decimal: both(decimal), grouped: both(grouped) }
        }
    }
}

/// Finds the unit meant, or says why there is none.
fn unit(typed: &str, unit_text: &str, field: &Field) -> Result<&'static Unit, ParseError> {
    let text = || typed.to_owned();
    if unit_text.is_empty() {
        let pure =
            find_unit(Dimension::Ratio, "1").filter(|_| field.accepts() == [Dimension::Ratio]);
        return field
            .default_unit()
            .or(pure)
            .ok_or_else(|| ParseError::NoUnit { text: text(), units: choices(field) });
    }
    let found: Vec<_> =
        field.accepts().iter().filter_map(|wanted| find_unit(*wanted, unit_text)).collect();
    match found.as_slice() {
        [one] => return Ok(one),
        [] => {}
        many => {
            let choices: Vec<_> = many
                .iter()
                .map(|unit| format!("{} for {}", unit.symbol(), unit.dimension().name()))
                .collect();
            return Err(ParseError::Unsaid { text: text(), choices: choices.join(" or ") });
        }
    }
    if let Some(prefixed) = lone_prefix(unit_text, field) {
        return Ok(prefixed);
    }
    if unit_text.starts_with(|c: char| c.is_ascii_digit() || "+-−–±…/".contains(c)) {
        return Err(ParseError::TwoNumbers { text: text() });
    }
    Err(stranger(typed, unit_text, field))
}

/// Reads a prefix typed alone, as meters for insulation and current show it.
fn lone_prefix(unit_text: &str, field: &Field) -> Option<&'static Unit> {
    let default = field.default_unit()?;
    let electrical = matches!(
        default.dimension(),
        Dimension::Resistance | Dimension::Voltage | Dimension::Current | Dimension::Power
    );
    if !electrical || !["k", "M", "G", "T", "m", "µ", "μ", "u"].contains(&unit_text) {
        return None;
    }
    find_unit(default.dimension(), &format!("{unit_text}{}", default.dimension().base_unit()))
}

/// The error for a unit that isn't one of the field's.
fn stranger(typed: &str, unit_text: &str, field: &Field) -> ParseError {
    let wanted = names(field);
    if let Some(other) = Dimension::ALL.iter().find(|other| find_unit(**other, unit_text).is_some())
    {
        return ParseError::OtherDimension {
            text: typed.to_owned(),
            found: if find_unit(Dimension::PressureDifference, unit_text).is_some() {
                "pressure"
            } else {
                other.name()
            },
            advice: advice(*other, field),
            wanted,
        };
    }
    let lower = key(unit_text).to_lowercase();
    let near = field.accepts().iter().flat_map(|d| units_of(*d)).find(|unit| {
        key(unit.symbol()).to_lowercase() == lower
            || unit.aliases().iter().any(|alias| key(alias).to_lowercase() == lower)
    });
    ParseError::UnknownUnit {
        text: typed.to_owned(),
        unit: unit_text.to_owned(),
        wanted,
        suggestion: near
            .map_or_else(|| format!("one of {}", choices(field)), |unit| unit.symbol().to_owned()),
    }
}

fn advice(found: Dimension, field: &Field) -> String {
    match (found, field.accepts()) {
        (Dimension::GaugePressure, [Dimension::AbsolutePressure]) => {
            "give the pressure above vacuum, or enter gauge reading and barometer in their own fields"
                .to_owned()
        }
        (Dimension::AbsolutePressure, [Dimension::GaugePressure]) => {
            "give what the gauge shows above the surrounding air, without the barometer".to_owned()
        }
        _ => format!("type it in one of {}", choices(field)),
    }
}

fn names(field: &Field) -> String {
    let names: Vec<_> = field.accepts().iter().map(|dimension| dimension.name()).collect();
    names.join(" or ")
}

/// A few units of the field to choose from.
fn choices(field: &Field) -> String {
    let units: Vec<_> = field
        .accepts()
        .iter()
        .flat_map(|dimension| units_of(*dimension).take(7))
        .map(Unit::symbol)
        .collect();
    units.join(", ")
}

fn example(field: &Field) -> String {
    let unit = field
        .default_unit()
        .or_else(|| field.accepts().first().and_then(|first| units_of(*first).nth(1)))
        .map_or("", Unit::symbol);
    format!("110.2 {unit}").trim().to_owned()
}
