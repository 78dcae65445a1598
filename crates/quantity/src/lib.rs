//! What people type, as a value with its unit, bound and resolution; and what follows from it:
//! conversion, standard uncertainty, decisions against a limit, and printing.
//!
//! **This crate may not do input or output, read a clock, randomness or the environment, or be
//! async; and it never hands out a number without saying what it is a number of.**
//!
//! ```
//! use quantity::{Bound, Dimension, Field, parse};
//!
//! let reading = parse("110,2 bar", &Field::of(Dimension::GaugePressure))?;
//! assert_eq!(reading.base_text(), "11020000");
//! assert_eq!(reading.unit().symbol(), "bar(g)");
//! assert_eq!(reading.resolution().to_string(), "0.1");
//! assert_eq!(reading.bound(), Bound::Exact);
//! # Ok::<(), quantity::ParseError>(())
//! ```

mod decision;
mod dimension;
mod field;
mod format;
mod normal;
mod number;
mod parse;
mod pattern;
mod plausible;
mod reading;
mod si;
mod uncertainty;
mod unit;
mod units;

pub use decision::{Decision, Limit, Rule, Verdict, decide};
pub use dimension::Dimension;
pub use field::Field;
pub use format::{against_limit, scientific, significant};
pub use normal::{cumulative, quantile};
pub use parse::{ParseError, parse};
pub use pattern::pattern;
pub use plausible::{Implausible, OtherUnit, Window};
pub use reading::{Bound, Reading, StoredReading, Unusable};
pub use rust_decimal::Decimal;
pub use si::{
    AbsolutePressure, Amount, Angle, ApparentPower, Area, Current, Duration, Energy, Frequency,
    GaugePressure, Irradiance, Irradiation, Leak, Length, Mass, MassDensity, MassFlow, MolarFlow,
    Power, PressureDifference, Ratio, ReactivePower, Resistance, Resistivity, RotationalSpeed, Si,
    Speed, Temperature, TemperatureDifference, Torque, Voltage, Volume, VolumeFlow,
};
pub use uncertainty::{Measured, StandardUncertainty, root_sum_square};
pub use unit::{Unit, find_unit, units_of};
