//! Standard uncertainty: how it is made from what a certificate or a display says, and combined.
//!
//! Source: JCGM 100:2008 (GUM) 4.3.7 (rectangular), 4.3.9 (triangular), F.2.2.1 (resolution of a
//! display), 5.1.2 (combination), 6.2 (expanded).

use crate::Si;

/// The standard uncertainty of a quantity, in the quantity's SI unit.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct StandardUncertainty(f64);

impl StandardUncertainty {
    /// No uncertainty.
    pub const ZERO: Self = Self(0.0);

    /// One standard deviation; the sign is dropped.
    pub const fn standard(value: f64) -> Self {
        Self(value.abs())
    }

    /// Anywhere within ± the half-width with equal probability: half-width/√3.
    pub fn rectangular(half_width: f64) -> Self {
        Self(half_width.abs() / libm::sqrt(3.0))
    }

    /// Within ± the half-width, more likely near the middle: half-width/√6.
    pub fn triangular(half_width: f64) -> Self {
        Self(half_width.abs() / libm::sqrt(6.0))
    }

    /// The reading of a display whose last digit steps by `step`: step/√12.
    pub fn resolution(step: f64) -> Self {
        Self(step.abs() / libm::sqrt(12.0))
    }

    /// An expanded uncertainty with its coverage factor `k` > 0: U/k.
    pub fn expanded(expanded: f64, k: f64) -> Self {
        Self(expanded.abs() / k)
    }

    /// The value in the quantity's SI unit.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The contribution to a result that changes by `sensitivity` for each unit of the input.
    pub fn through(self, sensitivity: f64) -> Self {
        Self(self.0 * sensitivity.abs())
    }
}

/// Combines independent contributions: the root of the sum of squares.
pub fn root_sum_square(
    parts: impl IntoIterator<Item = StandardUncertainty>,
) -> StandardUncertainty {
    StandardUncertainty(libm::sqrt(parts.into_iter().map(|part| part.0 * part.0).sum()))
}

/// A quantity with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured<Q> {
    /// The best estimate.
    pub value: Q,
    /// Its standard uncertainty.
    pub uncertainty: StandardUncertainty,
}

impl<Q: Si> Measured<Q> {
    /// Pairs an estimate with its standard uncertainty.
    pub const fn new(value: Q, uncertainty: StandardUncertainty) -> Self {
        Self { value, uncertainty }
    }

    /// The expanded uncertainty for the coverage factor `k`, in the SI unit.
    pub fn expanded(&self, k: f64) -> f64 {
        self.uncertainty.0 * k
    }
}
