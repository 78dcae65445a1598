//! The bounds.

use crate::stats::{beta_quantile, chi_square_quantile};

/// The probabilities left out below and above.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tails {
    pub(super) low: Option<f64>,
    pub(super) high: f64,
}

/// Degrees of freedom of the upper bound of the rate.
pub(super) fn freedom(failures: f64, at_failure: bool) -> f64 {
    if at_failure { 2.0 * failures } else { 2.0 * failures + 2.0 }
}

/// Bounds of the expected number of failures in the time that was counted.
pub(super) fn expected(failures: f64, at_failure: bool, tails: Tails) -> (f64, f64) {
    let low = tails.low.filter(|_| failures > 0.0);
    let low = low.and_then(|tail| chi_square_quantile(tail, 2.0 * failures));
    let high = chi_square_quantile(1.0 - tails.high, freedom(failures, at_failure));
    (0.5 * low.unwrap_or(0.0), 0.5 * high.unwrap_or(f64::NAN))
}

/// Bounds of the probability of failure on demand.
pub(super) fn on_demand(failures: f64, demands: f64, tails: Tails) -> (f64, f64) {
    let low = tails.low.filter(|_| failures > 0.0);
    let low = low.and_then(|tail| beta_quantile(tail, failures, demands - failures + 1.0));
    let high = if failures < demands {
        beta_quantile(1.0 - tails.high, failures + 1.0, demands - failures).unwrap_or(f64::NAN)
    } else {
        1.0
    };
    (low.unwrap_or(0.0), high)
}

/// How likely a split of failures at least as unlikely as the one seen is, were both rates the
/// same; `share` is the first set's part of the time.
pub(super) fn split(first: u32, second: u32, share: f64) -> f64 {
    let (k, n) = (f64::from(first), f64::from(first + second));
    let chance = |k: f64| {
        libm::exp(
            libm::lgamma(n + 1.0) - libm::lgamma(k + 1.0) - libm::lgamma(n - k + 1.0)
                + k * libm::log(share)
                + (n - k) * libm::log1p(-share),
        )
    };
    let seen = chance(k);
    // Splits that are equally unlikely differ in the last digits of their computed chances.
    let total: f64 = (0..=first + second)
        .map(|k| chance(f64::from(k)))
        .filter(|p| *p <= seen * (1.0 + 1e-7))
        .sum();
    total.min(1.0)
}
