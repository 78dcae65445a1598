//! Tolerances of thermocouples as delivered.
//!
//! Source: IEC 60584-1:2013, tolerance classes (reference junction at 0 °C), from memory. In
//! service they drift beyond; the sheet says so.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Type of a thermocouple.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Kind {
    /// Platinum-30 % rhodium against platinum-6 % rhodium.
    B,
    /// Nickel-chromium against copper-nickel.
    E,
    /// Iron against copper-nickel.
    J,
    /// Nickel-chromium against nickel-aluminium.
    K,
    /// Nickel-chromium-silicon against nickel-silicon.
    N,
    /// Platinum-13 % rhodium against platinum.
    R,
    /// Platinum-10 % rhodium against platinum.
    S,
    /// Copper against copper-nickel.
    T,
}

/// Tolerance class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Class {
    /// Class 1.
    #[serde(rename = "1")]
    One,
    /// Class 2.
    #[serde(rename = "2")]
    Two,
}

impl Class {
    /// As it is written.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Self::One => "1",
            Self::Two => "2",
        }
    }
}

/// The standard.
pub(super) const SOURCE: &str =
    "IEC 60584-1:2013, tolerances of thermocouples as delivered, from memory";

/// The largest error of a thermocouple as delivered at a temperature in °C, in K; none outside the
/// range of its class, or for a class that the type does not have.
pub(super) fn tolerance(kind: Kind, class: Class, celsius: f64) -> Option<f64> {
    let size = celsius.abs();
    let (low, high, tolerance) = match (kind, class) {
        (Kind::T, Class::One) => (-40.0, 350.0, (0.004 * size).max(0.5)),
        (Kind::T, Class::Two) => (-40.0, 350.0, (0.0075 * size).max(1.0)),
        (Kind::E, Class::One) => (-40.0, 800.0, (0.004 * size).max(1.5)),
        (Kind::E, Class::Two) => (-40.0, 900.0, (0.0075 * size).max(2.5)),
        (Kind::J, Class::One) => (-40.0, 750.0, (0.004 * size).max(1.5)),
        (Kind::J, Class::Two) => (-40.0, 750.0, (0.0075 * size).max(2.5)),
        (Kind::K | Kind::N, Class::One) => (-40.0, 1000.0, (0.004 * size).max(1.5)),
        (Kind::K | Kind::N, Class::Two) => (-40.0, 1200.0, (0.0075 * size).max(2.5)),
        (Kind::R | Kind::S, Class::One) => {
            (0.0, 1600.0, (1.0 + 0.003 * (celsius - 1100.0)).max(1.0))
        }
        (Kind::R | Kind::S, Class::Two) => (0.0, 1600.0, (0.0025 * size).max(1.5)),
        (Kind::B, Class::Two) => (600.0, 1700.0, 0.0025 * size),
        (Kind::B, Class::One) => return None,
    };
    (low..=high).contains(&celsius).then_some(tolerance)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corners of the table of IEC 60584-1, from memory: K changes over at 375 °C in class 1 and
    /// 333 °C in class 2.
    #[test]
    fn tolerances_of_the_table() {
        for (kind, class, celsius, expected) in [
            (Kind::K, Class::One, 20.0, Some(1.5)),
            (Kind::K, Class::One, 375.0, Some(1.5)),
            (Kind::K, Class::One, 680.0, Some(2.72)),
            (Kind::K, Class::Two, 680.0, Some(5.1)),
            (Kind::N, Class::Two, 1200.0, Some(9.0)),
            (Kind::N, Class::One, 1001.0, None),
            (Kind::S, Class::One, 1100.0, Some(1.0)),
            (Kind::S, Class::One, 1600.0, Some(2.5)),
            (Kind::R, Class::Two, 600.0, Some(1.5)),
            (Kind::T, Class::One, 100.0, Some(0.5)),
            (Kind::B, Class::Two, 1000.0, Some(2.5)),
            (Kind::B, Class::One, 1000.0, None),
            (Kind::J, Class::Two, 760.0, None),
        ] {
            match (tolerance(kind, class, celsius), expected) {
                (Some(got), Some(wanted)) => {
                    assert!((got - wanted).abs() < 1e-9, "{kind:?} {celsius}");
                }

                (got, wanted) => assert_eq!(got, wanted, "{kind:?} {class:?} {celsius}"),
            }
        }
    }
}
