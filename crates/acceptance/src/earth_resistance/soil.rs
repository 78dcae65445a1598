//! Soil and electrodes in it.

use core::f64::consts::PI;

/// Apparent resistivity in Ω·m by Wenner's four probes; spacing and depth in m.
pub(super) fn wenner(spacing: f64, depth: Option<f64>, ohms: f64) -> f64 {
    match depth {
        None => 2.0 * PI * spacing * ohms,
        Some(b) => {
            let root = |square: f64| libm::sqrt(square);
            let (a, a2, b2) = (spacing, spacing * spacing, b * b);
            4.0 * PI * a * ohms / (1.0 + 2.0 * a / root(a2 + 4.0 * b2) - a / root(a2 + b2))
        }
    }
}

/// A hemisphere of a radius in m.
pub(super) fn hemisphere(resistivity: f64, radius: f64) -> f64 {
    resistivity / (2.0 * PI * radius)
}

/// A rod of a length and radius in m, driven in from the surface.
pub(super) fn rod(resistivity: f64, length: f64, radius: f64) -> f64 {
    resistivity / (2.0 * PI * length) * (libm::log(4.0 * length / radius) - 1.0)
}

/// What a potential probe at x reads of a hemisphere, with the current probe at c; all in m.
pub(super) fn fall(resistivity: f64, radius: f64, c: f64, x: f64) -> f64 {
    resistivity / (2.0 * PI) * (1.0 / radius - 1.0 / x - 1.0 / c + 1.0 / (c - x))
}
