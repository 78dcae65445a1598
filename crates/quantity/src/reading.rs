//! A typed value: the text as typed, and what it was read as.

use std::fmt;

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Dimension, Unit};

/// Says whether a reading is the value itself or a bound of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// The value itself.
    Exact,
    /// More than the number, `>`.
    Above,
    /// Less than the number, `<`.
    Below,
    /// The number or more, `≥`.
    AtLeast,
    /// The number or less, `≤`.
    AtMost,
}

impl Bound {
    /// The sign before the number; empty for an exact reading.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Exact => "",
            Self::Above => ">",
            Self::Below => "<",
            Self::AtLeast => "≥",
            Self::AtMost => "≤",
        }
    }
}

/// A value that someone typed, with unit, bound and resolution, all in exact decimal.
#[derive(Debug, Clone)]
pub struct Reading {
    pub(crate) text: String,
    pub(crate) unit_text: String,
    pub(crate) unit: &'static Unit,
    pub(crate) bound: Bound,
    pub(crate) mantissa: Decimal,
    pub(crate) exponent: i32,
    pub(crate) value: Decimal,
    pub(crate) resolution: Decimal,
    pub(crate) base: Decimal,
    pub(crate) base_resolution: Decimal,
}

impl Reading {
    /// The whole text as typed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The unit as typed; empty when the field's default unit was meant.
    pub fn unit_text(&self) -> &str {
        &self.unit_text
    }

    /// The unit that the text was read in.
    pub const fn unit(&self) -> &'static Unit {
        self.unit
    }

    /// What the reading measures.
    pub const fn dimension(&self) -> Dimension {
        self.unit.dimension()
    }

    /// Whether the number is the value or a bound of it.
    pub const fn bound(&self) -> Bound {
        self.bound
    }

    /// The number in the unit of [`Reading::unit`].
    pub const fn value(&self) -> Decimal {
        self.value
    }

    /// The place of the last digit typed, in the unit of [`Reading::unit`]: 0.1 for `110.0`.
    pub const fn resolution(&self) -> Decimal {
        self.resolution
    }

    /// The value in the base unit.
    pub const fn base(&self) -> Decimal {
        self.base
    }

    /// The place of the last digit typed, in the base unit.
    pub const fn base_resolution(&self) -> Decimal {
        self.base_resolution
    }

    /// The value in the base unit as text, without trailing zeros.
    ///
    /// Exact where the unit's factor ends; otherwise (psi, degrees) rounded in the
    /// 28th digit or the 28th decimal place.
    pub fn base_text(&self) -> String {
        self.base.normalize().to_string()
    }

    /// The form in which records keep a reading.
    pub fn stored(&self) -> StoredReading {
        StoredReading {
            text: self.text.clone(),
            dimension: self.dimension(),
            unit: self.unit.symbol().to_owned(),
            bound: self.bound,
            resolution: self.resolution.normalize().to_string(),
            base_value: self.base_text(),
            base_unit: self.dimension().base_unit().to_owned(),
        }
    }
}

/// Two readings are equal if they mean the same with the same resolution, however they were typed.
impl PartialEq for Reading {
    fn eq(&self, other: &Self) -> bool {
        self.dimension() == other.dimension()
            && self.unit.symbol() == other.unit.symbol()
            && self.bound == other.bound
            && self.value == other.value
            && self.resolution == other.resolution
    }
}

/// Prints the reading in the program's own spelling, with the digits that were typed.
impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.bound.sign(), self.mantissa)?;
        if self.exponent != 0 {
            write!(f, "e{}", self.exponent)?;
        }
        if self.unit.symbol() == "1" { Ok(()) } else { write!(f, " {}", self.unit.symbol()) }
    }
}

/// A reading as records keep it: strings only, so that no binary fraction is ever hashed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StoredReading {
    /// The text as typed.
    pub text: String,
    /// What it measures.
    pub dimension: Dimension,
    /// Symbol of the unit it was read in.
    pub unit: String,
    /// Whether the number is a bound.
    pub bound: Bound,
    /// Place of the last digit typed, in `unit`.
    pub resolution: String,
    /// Exact decimal in the base unit.
    pub base_value: String,
    /// The base unit.
    pub base_unit: String,
}

/// Why a reading can't be used as the value of a calculation.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unusable {
    /// The reading measures something else.
    #[error("“{text}” is in a unit of {found}, where {wanted} is needed")]
    Dimension {
        /// As typed.
        text: String,
        /// What it measures.
        found: &'static str,
        /// What was needed.
        wanted: &'static str,
    },
    /// The reading is only a bound.
    #[error("“{text}” is only a bound, where the value itself is needed")]
    Bound {
        /// As typed.
        text: String,
    },
}
