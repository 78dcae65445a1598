//! A straight line through points: ordinary least squares, and York's line for points with doubt
//! in both coordinates, which includes Deming's.
//!
//! ```text
//! OLS    b = S_xy/S_xx       a = ȳ − b·x̄
//! York   W = 1/(u_y² + b²·u_x² − 2·b·r·u_x·u_y)      U = x − x̄_W      V = y − ȳ_W
//!        β = W·[U·u_y² + b·V·u_x² − (b·U + V)·r·u_x·u_y]
//!        b = ΣWβV/ΣWβU (iterated)       a = ȳ_W − b·x̄_W
//!        u_b² = 1/ΣW·(x_adj − x̄)²       u_a² = 1/ΣW + x̄²·u_b²       x_adj = x̄_W + β
//! both   S = ΣW·(y − a − b·x)²          cov(a, b) = −x̄·u_b²
//! ```
//!
//! with `x̄` the weighted mean of the adjusted `x`. With equal doubts York's line is Deming's. These
//! u are those for the doubts stated (for OLS: for a scatter of 1); `√(S/(n − 2))` scales them to
//! the scatter found.
//!
//! Sources: D. York, Can. J. Phys. 44 (1966) 1079; D. York, N. M. Evensen, M. López Martínez,
//! J. De Basabe Delgado, Am. J. Phys. 72 (2004) 367, eqs. 13a to 13d.

use crate::stats::{count, line_through};

/// A point with its standard uncertainties and their correlation.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Datum {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) u_x: f64,
    pub(crate) u_y: f64,
    pub(crate) r: f64,
}

/// A line.
#[derive(Debug, Clone)]
pub(crate) struct Fit {
    pub(crate) a: f64,
    pub(crate) b: f64,
    /// Standard uncertainties before scaling.
    pub(crate) u_a: f64,
    pub(crate) u_b: f64,
    /// Where the line is known best; `cov(a, b) = −x̄·u_b²`.
    pub(crate) x_mean: f64,
    /// ΣW.
    pub(crate) weight: f64,
    /// Weighted sum of squares of the residuals.
    pub(crate) sum: f64,
    /// Degrees of freedom, n − 2.
    pub(crate) freedom: f64,
    /// Weights, residuals in y and leverages, point by point.
    pub(crate) weights: Vec<f64>,
    pub(crate) residuals: Vec<f64>,
    pub(crate) leverages: Vec<f64>,
    /// Rounds of the iteration.
    pub(crate) rounds: u32,
}

impl Fit {
    /// The line at a place.
    pub(crate) fn at(&self, x: f64) -> f64 {
        self.a + self.b * x
    }

    /// √(S/(n − 2)).
    pub(crate) fn scale(&self) -> f64 {
        libm::sqrt(self.sum / self.freedom)
    }

    /// Variance of the line at a place, before scaling.
    pub(crate) fn variance(&self, x: f64) -> f64 {
        let off = x - self.x_mean;
        1.0 / self.weight + off * off * self.u_b * self.u_b
    }

    /// Residuals over their own standard deviation, the point itself left out of the scatter
    /// (externally studentised); none where too few points are left.
    pub(crate) fn studentised(&self) -> Vec<Option<f64>> {
        self.residuals
            .iter()
            .zip(&self.weights)
            .zip(&self.leverages)
            .map(|((residual, weight), leverage)| {
                let square = weight * residual * residual / (1.0 - leverage).max(f64::EPSILON);
                let rest = (self.sum - square) / (self.freedom - 1.0);
                let usable = self.freedom > 1.0 && rest > 0.0;
                usable.then(|| residual.signum() * libm::sqrt(square / rest))
            })
            .collect()
    }

    fn done(data: &[Datum], a: f64, b: f64, weights: Vec<f64>, adjusted: &[f64]) -> Option<Self> {
        let weight: f64 = weights.iter().sum();
        let x_mean = weights.iter().zip(adjusted).map(|(w, x)| w * x).sum::<f64>() / weight;
        let spread: f64 =
            weights.iter().zip(adjusted).map(|(w, x)| w * (x - x_mean) * (x - x_mean)).sum();
        let variance = 1.0 / spread;
        let residuals: Vec<f64> = data.iter().map(|p| p.y - a - b * p.x).collect();
        let sum = weights.iter().zip(&residuals).map(|(w, e)| w * e * e).sum();
        let leverages = weights
            .iter()
            .zip(adjusted)
            .map(|(w, x)| w * (1.0 / weight + (x - x_mean) * (x - x_mean) * variance))
            .collect();
        let fit = Self {
            a,
            b,
            u_a: libm::sqrt(1.0 / weight + x_mean * x_mean * variance),
            u_b: libm::sqrt(variance),
            x_mean,
            weight,
            sum,
            freedom: count(data.len()) - 2.0,
            weights,
            residuals,
            leverages,
            rounds: 0,
        };
        (fit.a.is_finite() && fit.b.is_finite() && fit.u_a.is_finite()).then_some(fit)
    }
}

/// Ordinary least squares of y on x; none when all x are the same.
pub(crate) fn ols(data: &[Datum]) -> Option<Fit> {
    let points: Vec<(f64, f64)> = data.iter().map(|p| (p.x, p.y)).collect();
    let line = line_through(&points)?;
    let xs: Vec<f64> = data.iter().map(|p| p.x).collect();
    Fit::done(data, line.at(0.0), line.slope, vec![1.0; data.len()], &xs)
}

/// Rounds after which the iteration has long settled, where it does.
const ROUNDS: u32 = 500;
/// A change of the slope this small changes nothing.
const SMALL: f64 = 1e-15;

/// York's line; none when it doesn't settle or all x are the same.
pub(crate) fn york(data: &[Datum]) -> Option<Fit> {
    let mut b = ols(data)?.b;
    for round in 1..=ROUNDS {
        let step = Step::of(data, b);
        let next = step.slope;
        if !next.is_finite() {
            return None;
        }
        let settled = (next - b).abs() <= SMALL * next.abs();
        b = next;
        if settled || (round > 60 && (step.slope - Step::of(data, b).slope).abs() < 1e-13 * b.abs())
        {
            let last = Step::of(data, b);
            let a = last.y_mean - b * last.x_mean;
            let adjusted: Vec<f64> = last.betas.iter().map(|beta| last.x_mean + beta).collect();
            let fit = Fit::done(data, a, b, last.weights, &adjusted)?;
            return Some(Fit { rounds: round, ..fit });
        }
    }
    None
}

/// One round of York's iteration.
struct Step {
    weights: Vec<f64>,
    betas: Vec<f64>,
    x_mean: f64,
    y_mean: f64,
    slope: f64,
}

impl Step {
    fn of(data: &[Datum], b: f64) -> Self {
        let weights: Vec<f64> = data
            .iter()
            .map(|p| 1.0 / (p.u_y * p.u_y + b * b * p.u_x * p.u_x - 2.0 * b * p.r * p.u_x * p.u_y))
            .collect();
        let weight: f64 = weights.iter().sum();
        let weighted = |of: fn(&Datum) -> f64| {
            weights.iter().zip(data).map(|(w, p)| w * of(p)).sum::<f64>() / weight
        };
        let (x_mean, y_mean) = (weighted(|p| p.x), weighted(|p| p.y));
        let betas: Vec<f64> = data
            .iter()
            .zip(&weights)
            .map(|(p, w)| {
                let (u, v) = (p.x - x_mean, p.y - y_mean);
                w * (u * p.u_y * p.u_y + b * v * p.u_x * p.u_x - (b * u + v) * p.r * p.u_x * p.u_y)
            })
            .collect();
        let sum = |of: &dyn Fn(&Datum) -> f64| -> f64 {
            data.iter().zip(&weights).zip(&betas).map(|((p, w), beta)| w * beta * of(p)).sum()
        };
        let slope = sum(&|p| p.y - y_mean) / sum(&|p| p.x - x_mean);
        Self { weights, betas, x_mean, y_mean, slope }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, expected: f64, tolerance: f64) {
        assert!((got - expected).abs() <= tolerance, "{got} for {expected}");
    }

    /// K. Pearson's data with D. York's weights (York 1966; read in transcription), digits as
    /// printed, and recomputed with SciPy 1.17.1 `odr`.
    #[test]
    fn pearson_with_yorks_weights() {
        let x = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
        let y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
        let wx = [1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0];
        let wy = [1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0];
        let data: Vec<Datum> = (0..10)
            .map(|i| Datum {
                x: x[i],
                y: y[i],
                u_x: 1.0 / libm::sqrt(wx[i]),
                u_y: 1.0 / libm::sqrt(wy[i]),
                r: 0.0,
            })
            .collect();
        let fit = york(&data).unwrap();
        close(fit.a, 5.479_910_224_03, 5e-12);
        close(fit.b, -0.480_533_407_45, 5e-12);
        close(fit.u_a, 0.294_970_7, 5e-8);
        close(fit.u_b, 0.057_985_0, 5e-8);
        close(fit.u_a * fit.scale(), 0.359_246_5, 5e-8);
        close(fit.u_b * fit.scale(), 0.070_620_3, 5e-8);
        close(fit.sum, 11.866_353_2, 5e-8);
        let line = ols(&data).unwrap();
        close(line.a, 5.761_185, 5e-7);
        close(line.b, -0.539_577, 5e-7);
        let equal: Vec<Datum> = data.iter().map(|p| Datum { u_x: 1.0, u_y: 1.0, ..*p }).collect();
        let deming = york(&equal).unwrap();
        close(deming.a, 5.784_043_77, 5e-9);
        close(deming.b, -0.545_561_20, 5e-9);
    }

    /// JCGM 100:2008 (GUM) H.3: the thermometer's calibration, digits as printed.
    #[test]
    fn the_thermometer_of_the_guide() {
        let t = [
            21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511,
        ];
        let b = [171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160];
        let data: Vec<Datum> = t
            .iter()
            .zip(b)
            .map(|(t, b)| Datum {
                x: t - 20.0,
                y: -1e-3 * f64::from(b),
                u_x: 0.0,
                u_y: 1.0,
                r: 0.0,
            })
            .collect();
        let fit = ols(&data).unwrap();
        let s = fit.scale();
        close(fit.a, -0.1712, 5e-5);
        close(s * fit.u_a, 0.0029, 5e-5);
        close(fit.b, 0.002_18, 5e-6);
        close(s * fit.u_b, 0.000_67, 5e-6);
        close(s, 0.0035, 5e-5);
        close(-fit.x_mean * fit.u_b / fit.u_a, -0.930, 5e-4);
        close(fit.at(10.0), -0.1494, 5e-5);
        close(s * libm::sqrt(fit.variance(10.0)), 0.0041, 5e-5);
        let same = york(&data).unwrap();
        close(same.b, fit.b, 1e-15);
    }

    #[test]
    fn no_line_through_one_irradiance() {
        let point = |y| Datum { x: 900.0, y, u_x: 1.0, u_y: 1.0, r: 0.0 };
        assert!(ols(&[point(1.0), point(2.0), point(4.0)]).is_none());
        assert!(york(&[point(1.0), point(2.0), point(4.0)]).is_none());
    }
}
