//! The probability that a point, scattered evenly on both axes about a place off the middle, lies
//! within a distance of the middle.
//!
//! S. O. Rice's distribution: density s/σ²·exp(−(s² + b²)/2σ²)·I₀(s·b/σ²), the non-central
//! chi-square distribution with two degrees of freedom for s²/σ². Summed by Simpson's rule, read
//! between the sums by Hermite's cubic. I₀: power series (Abramowitz & Stegun 9.6.10) below 20,
//! asymptotic series (9.7.1) above.

use libm::{exp, sqrt};

/// From here on the asymptotic series of I₀ is exact to all digits.
const FAR: f64 = 20.0;
/// Standard deviations beyond which nothing is left.
const REACH: f64 = 9.0;

/// The distribution, summed up to a distance.
#[derive(Debug)]
pub(super) struct Rice {
    from: f64,
    step: f64,
    /// Sum and density at every step.
    sums: Vec<(f64, f64)>,
}

/// e^{−x}·I₀(x) for x ≥ 0.
fn scaled_bessel(x: f64) -> f64 {
    if x < FAR {
        let (mut term, mut sum) = (1.0, 1.0);
        let square = 0.25 * x * x;
        let mut k = 1.0;
        while term > 1e-17 * sum {
            term *= square / (k * k);
            sum += term;
            k += 1.0;
        }
        return sum * exp(-x);
    }
    let (mut term, mut sum) = (1.0, 1.0);
    for step in 1..18 {
        let odd = 2.0 * f64::from(step) - 1.0;
        term *= odd * odd / (8.0 * x * f64::from(step));
        sum += term;
    }
    sum / sqrt(2.0 * core::f64::consts::PI * x)
}

impl Rice {
    /// Standard deviation on one axis, distance of the place from the middle, the largest distance
    /// that will be asked for, and the number of steps.
    pub(super) fn new(sigma: f64, bias: f64, top: f64, cells: u32) -> Self {
        let from = (bias - REACH * sigma).max(0.0);
        let step = ((bias + REACH * sigma).min(top) - from).max(0.0) / f64::from(cells);
        let density = |s: f64| {
            let apart = (s - bias) / sigma;
            s / (sigma * sigma)
                * exp(-0.5 * apart * apart)
                * scaled_bessel(s * bias / (sigma * sigma))
        };
        let mut sum = 0.0;
        let mut before = density(from);
        let mut sums = vec![(0.0, before)];
        for cell in 0..cells {
            let start = from + step * f64::from(cell);
            let end = density(start + step);
            sum += step / 6.0 * (before + 4.0 * density(start + 0.5 * step) + end);
            before = end;
            sums.push((sum, end));
        }
        Self { from, step, sums }
    }

    /// The probability of lying within a distance of the middle.
    pub(super) fn within(&self, distance: f64) -> f64 {
        let place = (distance - self.from) / self.step;
        // Not a number where the steps have no width: then everything asked for lies below them.
        if place.is_nan() || place <= 0.0 {
            return 0.0;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place of the list, or beyond it"
        )]
        let cell = place as usize;
        let (Some((low, slope)), Some((high, next))) =
            (self.sums.get(cell), self.sums.get(cell + 1))
        else {
            return self.sums.last().map_or(0.0, |(sum, _)| sum.min(1.0));
        };
        let t = place - place.floor();
        let (square, cube) = (t * t, t * t * t);
        let sum = low * (2.0 * cube - 3.0 * square + 1.0)
            + slope * self.step * (cube - 2.0 * square + t)
            + high * (3.0 * square - 2.0 * cube)
            + next * self.step * (cube - square);
        sum.clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against `scipy.stats.ncx2.cdf((r/σ)², 2, (b/σ)²)` and `scipy.special.i0e` of SciPy 1.17.1.
    #[test]
    fn values_of_scipy() {
        for (x, expected) in [
            (0.5, 0.64503527044915),
            (19.9, 0.09000858886438959),
            (20.1, 0.08955376362061344),
            (500.0, 0.017845706500153167),
        ] {
            let got = scaled_bessel(x);
            assert!((got - expected).abs() < 1e-12 * expected, "{x}: {got}");
        }
        for (sigma, bias, radius, expected) in [
            (1.0, 0.0, 2.0, 0.8646647167633873),
            (1.0, 1.0, 2.0, 0.73098793996409),
            (1.0, 30.0, 31.0, 0.8373444188725407),
            (5.0, 10.0, 100.0 / 6.6, 0.7947095784277682),
        ] {
            let got = Rice::new(sigma, bias, 3.0 * radius, 1200).within(radius);
            assert!((got - expected).abs() < 1e-9, "{bias}: {got} for {expected}");
        }
    }

    #[test]
    fn nothing_below_and_all_beyond() {
        let rice = Rice::new(1.0, 30.0, 100.0, 200);
        assert!(rice.within(20.0) <= 0.0);
        assert!((rice.within(60.0) - 1.0).abs() < 1e-9);
        assert!(
            Rice::new(1.0, 30.0, 10.0, 200).within(9.0) <= 0.0,
            "all of it lies beyond the top"
        );
    }
}
