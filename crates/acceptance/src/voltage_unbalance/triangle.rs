//! The three measures of three sides: mean, largest deviation, negative-sequence factor.

use crate::stats::mean;

/// Largest deviation from the mean, over the mean.
pub(super) fn unbalance(sides: &[f64; 3]) -> f64 {
    let mean = mean(sides);
    sides.iter().map(|side| (side - mean).abs()).fold(0.0, f64::max) / mean
}

/// `ΣVᵢ⁴/(ΣVᵢ²)²`: 1/3 for equal sides, 1/2 where the triangle has become a line.
pub(super) fn beta(sides: &[f64; 3]) -> f64 {
    let squares: f64 = sides.iter().map(|side| side * side).sum();
    let fourths: f64 = sides.iter().map(|side| side * side * side * side).sum();
    fourths / (squares * squares)
}

/// The negative-sequence factor; none if the sides make no triangle.
pub(super) fn negative_sequence(sides: &[f64; 3]) -> Option<f64> {
    let inner = 3.0 - 6.0 * beta(sides);
    if inner < -1e-12 {
        return None;
    }
    let root = libm::sqrt(inner.clamp(0.0, 1.0));
    Some(libm::sqrt((1.0 - root) / (1.0 + root)))
}

/// The share of its rated power that a motor carries at an unbalance, MG 1's curve read off at
/// whole percent (from memory); none beyond 5 %.
pub(super) fn derating(unbalance: f64) -> Option<f64> {
    const CURVE: [f64; 6] = [1.0, 1.0, 0.95, 0.88, 0.82, 0.75];
    let percent = 100.0 * unbalance;
    CURVE.iter().zip(CURVE.iter().skip(1)).zip([0.0, 1.0, 2.0, 3.0, 4.0]).find_map(
        |((from, to), start)| {
            (percent <= start + 1.0).then(|| from + (to - from) * (percent - start).max(0.0))
        },
    )
}
