//! The normal distribution.
//!
//! Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 7.1.22 and 26.2 (relation
//! between the normal distribution and the error function). `libm` keeps the results the same on
//! every platform.

/// The probability that a standard normal variable is at most `z`.
pub fn cumulative(z: f64) -> f64 {
    0.5 * libm::erfc(-z / core::f64::consts::SQRT_2)
}

/// The `z` that a standard normal variable stays below with probability `p`, by bisection and then
/// Newton's steps; none unless 0 < p < 1. Within 1e-12 for 1e-9 ≤ p ≤ 1 − 1e-9.
pub fn quantile(p: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    let (mut low, mut high) = (-39.0_f64, 39.0_f64);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if cumulative(middle) < p { low = middle } else { high = middle }
    }
    let mut z = 0.5 * (low + high);
    for _ in 0..3 {
        let density = libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * core::f64::consts::PI);
        if density > 0.0 {
            z -= (cumulative(z) - p) / density;
        }
    }
    Some(z)
}
