//! The straight line between irradiance and power, `P = a + b·G`, and its slope as people type it.

mod fit;
mod slope;

pub(crate) use fit::{Datum, Fit, ols, york};
pub(crate) use slope::{read as read_slope, schema};
