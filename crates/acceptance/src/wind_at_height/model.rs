//! Profile, averaging, Beaufort: the formulas alone.

/// How the wind changes with height.
#[derive(Debug, Clone, Copy)]
pub(super) enum Profile {
    /// With its exponent.
    Power(f64),
    /// With roughness and displacement in m.
    Logarithmic(f64, f64),
}

impl Profile {
    /// The speed at one height over that at another, both in m.
    pub(super) fn ratio(self, from: f64, to: f64) -> f64 {
        match self {
            Self::Power(exponent) => libm::pow(to / from, exponent),
            Self::Logarithmic(z0, d) => libm::log((to - d) / z0) / libm::log((from - d) / z0),
        }
    }

    /// The same with another exponent or roughness.
    pub(super) fn with(self, parameter: f64) -> Self {
        match self {
            Self::Power(_) => Self::Power(parameter),
            Self::Logarithmic(_, d) => Self::Logarithmic(parameter, d),
        }
    }

    /// The exponent or the roughness.
    pub(super) const fn parameter(self) -> f64 {
        match self {
            Self::Power(exponent) => exponent,
            Self::Logarithmic(z0, _) => z0,
        }
    }
}

/// How averaging times are converted.
#[derive(Debug, Clone, Copy)]
pub(super) enum Averaging {
    /// The two times are the same.
    Same,
    /// Durst's curve.
    Durst,
    /// The shorter over the longer.
    Factor(f64),
}

/// Averaging time in s, largest mean over it of the hourly mean.
const DURST: [(f64, f64); 13] = [
    (1.0, 1.57),
    (3.0, 1.53),
    (10.0, 1.43),
    (20.0, 1.37),
    (30.0, 1.32),
    (45.0, 1.28),
    (60.0, 1.24),
    (100.0, 1.19),
    (200.0, 1.13),
    (300.0, 1.10),
    (600.0, 1.07),
    (1000.0, 1.05),
    (3600.0, 1.0),
];

/// Durst's curve, between its points by lines over the logarithm of time; none outside of it.
pub(super) fn durst(seconds: f64) -> Option<f64> {
    DURST.windows(2).find_map(|pair| match pair {
        [(t1, d1), (t2, d2)] if (*t1..=*t2).contains(&seconds) => {
            Some(d1 + (d2 - d1) * libm::log(seconds / t1) / libm::log(t2 / t1))
        }
        _ => None,
    })
}

impl Averaging {
    /// The speed of one averaging time over that of another; none outside of the curve.
    pub(super) fn ratio(self, from: f64, to: f64) -> Option<f64> {
        if same(from, to) {
            return Some(1.0);
        }
        match self {
            Self::Same => None,
            Self::Durst => Some(durst(to)? / durst(from)?),
            Self::Factor(factor) if to < from => Some(factor),
            Self::Factor(factor) => Some(1.0 / factor),
        }
    }
}

/// Whether two heights or times are one; typed values differ by more than rounding.
pub(super) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// Lowest speed in m/s of each Beaufort number from 1, ten-minute mean at 10 m (WMO-No. 8).
const BEAUFORT: [f64; 12] = [0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7];

/// The Beaufort number of a ten-minute mean at 10 m.
pub(super) fn beaufort(speed: f64) -> usize {
    // A typed 10.8 m/s that went through a unit must not miss its class in the last bit.
    BEAUFORT.iter().filter(|lowest| speed >= **lowest - 1e-9).count()
}
