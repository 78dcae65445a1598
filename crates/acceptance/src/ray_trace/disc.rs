//! Draws in a disc, from which directions and pairs of normal draws come without sine and cosine.
//!
//! Source: G. Marsaglia, T. A. Bray, SIAM Review 6 (1964) 260: a point even in the unit disc, at a
//! distance √s, gives two normal draws x·√(−2·ln s/s) and y·√(−2·ln s/s).

use crate::draw::Draw;

/// A point even in the unit disc, and the square of its distance, above zero.
pub(super) fn point(draw: &mut Draw) -> (f64, f64, f64) {
    loop {
        let (x, y) = (2.0 * draw.even() - 1.0, 2.0 * draw.even() - 1.0);
        let square = x * x + y * y;
        if square < 1.0 && square > 0.0 {
            return (x, y, square);
        }
    }
}

/// A direction in the plane, every one as likely: its sine and cosine.
pub(super) fn direction(draw: &mut Draw) -> (f64, f64) {
    let (x, y, square) = point(draw);
    let scale = 1.0 / libm::sqrt(square);
    (x * scale, y * scale)
}

/// Two independent normal draws with mean 0 and a standard deviation.
pub(super) fn normals(sigma: f64, draw: &mut Draw) -> (f64, f64) {
    let (x, y, square) = point(draw);
    let scale = sigma * libm::sqrt(-2.0 * libm::log(square) / square);
    (x * scale, y * scale)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Moments of the normal distribution: 0, 1, 0, 3; no correlation; 0.3173 beyond one deviation
    /// (Abramowitz & Stegun table 26.1).
    #[test]
    fn pairs_are_normal() {
        let mut draw = Draw::new(9, 0);
        let count = 60_000;
        let (mut sums, mut beyond, mut product) = ([0.0; 4], 0.0, 0.0);
        for _ in 0..count {
            let (x, y) = normals(1.0, &mut draw);
            let mut power = 1.0;
            for sum in &mut sums {
                power *= x;
                *sum += power;
            }
            beyond += f64::from(u8::from(y.abs() > 1.0));
            product += x * y;
        }
        let n = f64::from(count);
        let bounds = [(0.0, 1.0), (1.0, 2.0), (0.0, 15.0), (3.0, 96.0)];
        for (sum, (expected, variance)) in sums.iter().zip(bounds) {
            let error = libm::sqrt(variance / n);
            assert!((sum / n - expected).abs() < 4.0 * error, "{sums:?}");
        }
        assert!((beyond / n - 0.3173).abs() < 0.008, "{beyond}");
        assert!((product / n).abs() < 0.017, "{product}");
    }
}
