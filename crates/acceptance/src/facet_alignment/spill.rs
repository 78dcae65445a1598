//! The share of a Gaussian spot that goes through a circular aperture which it need not be centred
//! on.
//!
//! γ = ∫ N(x; a_x, σ_x)·[Φ((s − a_y)/σ_y) − Φ((−s − a_y)/σ_y)] dx over −R < x < R, s = √(R² − x²).
//! With x = R·sin θ the integrand is smooth to both ends. It is summed by Gauss-Legendre quadrature
//! of eight points in panels no wider than the smaller σ, over no more than ±9 σ_x about the spot.

use crate::optics::legendre;

/// A spot: how far its middle lies from the aperture's, and its standard deviations, along two axes
/// at right angles; in m.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gaussian {
    pub(super) middle: (f64, f64),
    pub(super) sigma: (f64, f64),
}

/// Beyond so many standard deviations nothing is left that counts: 2e-19 of the whole.
const REACH: f64 = 9.0;
/// No more panels than these: with a spot smaller than a ten-thousandth of the aperture it is
/// either in or out.
const MOST: f64 = 20_000.0;

/// The share within a circle of that radius about the origin.
pub(super) fn share_within(radius: f64, spot: Gaussian) -> f64 {
    let ((x, y), (wide, tall)) = (spot.middle, spot.sigma);
    let low = (x - REACH * wide).max(-radius);
    let high = (x + REACH * wide).min(radius);
    if low >= high {
        return 0.0;
    }
    let (from, to) = (libm::asin(low / radius), libm::asin(high / radius));
    let panels = libm::ceil((to - from) * radius / wide.min(tall)).clamp(4.0, MOST);
    let width = (to - from) / panels;
    let places = legendre(8);
    let density = |theta: f64| {
        let (sin, cos) = (libm::sin(theta), libm::cos(theta));
        let off = (radius * sin - x) / wide;
        let bell = libm::exp(-0.5 * off * off);
        let up = libm::erf((radius * cos - y) / (tall * core::f64::consts::SQRT_2));
        let down = libm::erf((-radius * cos - y) / (tall * core::f64::consts::SQRT_2));
        bell * 0.5 * (up - down) * cos
    };
    let mut sum = 0.0;
    let mut panel = 0.0;
    while panel < panels {
        for (place, weight) in &places {
            sum += weight * density(from + width * (panel + place));
        }
        panel += 1.0;
    }
    let scale = radius / (wide * libm::sqrt(2.0 * core::f64::consts::PI));
    (sum * width * scale).clamp(0.0, 1.0)
}
