//! Statistics that the calculations share: distributions, and what a list of numbers says.
//!
//! `libm` throughout, so that results are the same on every platform.

mod autocorrelation;
mod distributions;
mod least_squares;
mod line;
mod sample;
mod theil_sen;

pub(crate) use autocorrelation::effective;
pub(crate) use distributions::{beta_quantile, chi_square_quantile, student_t_quantile};
pub(crate) use least_squares::{Fit, NoFit, least_squares};
pub(crate) use line::{Line, line_through};
pub(crate) use sample::{count, mean, median, standard_deviation};
pub(crate) use theil_sen::{TheilSen, intercept, kendall_tau, median_slope, theil_sen};
