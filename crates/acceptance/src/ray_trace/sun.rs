//! Where the light of a ray comes from: the sun's disc about the direction in which the dish sees
//! it.

use super::disc::{direction, normals, point};
use super::vector::{Vector, vector};
use crate::draw::Draw;

/// The sun as the dish sees it; angles in rad.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sky {
    /// Towards the middle of the sun.
    pub(super) middle: Vector,
    /// Two directions across that.
    pub(super) axes: (Vector, Vector),
    pub(super) half_angle: f64,
    /// Its sine.
    pub(super) edge: f64,
    /// u in the radiance 1 − u + u·√(1 − (θ/θ_s)²); 0 for an even disc.
    pub(super) limb_darkening: f64,
    /// Share of the light that comes from around the disc, and the half-angle up to which.
    pub(super) circumsolar: Option<(f64, f64)>,
    /// Wandering of the tracking, one axis.
    pub(super) tracking: f64,
}

/// Standard deviations of the tracking beyond which no light is looked for.
const REACH: f64 = 6.0;

impl Sky {
    /// The sun after a pointing error, which is positive where the light goes.
    pub(super) fn new(pointing: (f64, f64), half_angle: f64) -> Self {
        let (x, y) = (-libm::sin(pointing.0), -libm::sin(pointing.1));
        let middle = vector(x, y, libm::sqrt(1.0 - x * x - y * y));
        Self {
            middle,
            axes: middle.across(),
            half_angle,
            edge: libm::sin(half_angle),
            limb_darkening: 0.0,
            circumsolar: None,
            tracking: 0.0,
        }
    }

    /// The largest angle to the middle that a ray can have.
    pub(super) fn reach(&self) -> f64 {
        let around = self.circumsolar.map_or(0.0, |(_, half_angle)| half_angle);
        self.half_angle.max(around) + REACH * self.tracking
    }

    /// Towards a place of the sun.
    pub(super) fn drawn(&self, draw: &mut Draw) -> Vector {
        let (first, second) = self.axes;
        let (mut x, mut y) = self.off_middle(draw);
        if self.tracking > 0.0 {
            let (a, b) = normals(self.tracking, draw);
            x += a;
            y += b;
        }
        self.middle * libm::sqrt((1.0 - x * x - y * y).max(0.0)) + first * x + second * y
    }

    /// Sines of the angles to the middle, along both axes.
    fn off_middle(&self, draw: &mut Draw) -> (f64, f64) {
        if let Some((share, outer)) = self.circumsolar
            && draw.even() < share
        {
            // Radiance falls as θ⁻², so that every ratio of angles holds as much light.
            let angle = self.half_angle * libm::pow(outer / self.half_angle, draw.even());
            let (sine, cosine) = direction(draw);
            let off = libm::sin(angle);
            return (off * sine, off * cosine);
        }
        loop {
            let (x, y, square) = point(draw);
            let bright = 1.0 - self.limb_darkening * (1.0 - libm::sqrt(1.0 - square));
            if self.limb_darkening <= 0.0 || draw.even() < bright {
                return (self.edge * x, self.edge * y);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_square(sky: &Sky) -> f64 {
        let mut draw = Draw::new(3, 0);
        let sum: f64 = (0..40_000)
            .map(|_| {
                let ray = sky.drawn(&mut draw);
                let off = ray - sky.middle * ray.dot(sky.middle);
                off.dot(off)
            })
            .sum();
        sum / 40_000.0
    }

    /// Mean squares by integration: θ²/2 for an even disc, θ²·(1/2 − 7u/30)/(1 − u/3) for one that
    /// is darker at its limb; around the disc (θ_c² − θ²)/(2·ln(θ_c/θ)).
    #[test]
    fn discs_have_their_mean_squares() {
        let even = Sky::new((0.0, 0.0), 4.65e-3);
        let square = 4.65e-3 * 4.65e-3;
        assert!((mean_square(&even) / (0.5 * square) - 1.0).abs() < 0.012);
        let dark = Sky { limb_darkening: 0.6, ..even };
        let expected = square * (0.5 - 7.0 * 0.6 / 30.0) / (1.0 - 0.2);
        assert!((mean_square(&dark) / expected - 1.0).abs() < 0.012);
        let (share, outer) = (0.3, 20e-3);
        let around = (outer * outer - square) / (2.0 * libm::log(outer / 4.65e-3));
        let expected = 0.7 * 0.5 * square + share * around;
        let hazy = Sky { circumsolar: Some((share, outer)), ..even };
        assert!((mean_square(&hazy) / expected - 1.0).abs() < 0.04);
        let shaken = Sky { tracking: 2e-3, ..even };
        assert!((mean_square(&shaken) / (0.5 * square + 8e-6) - 1.0).abs() < 0.02);
    }

    /// A pointing error to the right and up puts the sun to the left and below.
    #[test]
    fn the_sun_lies_across_from_the_error() {
        let sky = Sky::new((0.01, 0.02), 4.65e-3);
        assert!((sky.middle.x + 0.01).abs() < 1e-6 && (sky.middle.y + 0.02).abs() < 2e-6);
        assert!((sky.middle.dot(sky.middle) - 1.0).abs() < 1e-15);
    }
}
