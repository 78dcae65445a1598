//! Statistics that the calculations share: distributions, and what a list of numbers says.
//!
//! `libm` throughout, so that results are the same on every platform.

mod distributions;
mod line;
mod sample;

pub(crate) use distributions::{beta_quantile, chi_square_quantile, student_t_quantile};
pub(crate) use line::{Fit, Median, least_squares, theil_sen};
pub(crate) use sample::{count, mean, median, standard_deviation};
