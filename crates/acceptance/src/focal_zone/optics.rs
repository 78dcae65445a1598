//! Irradiance about the focus: on the axis, anywhere in the cone, and along one facet's beam.

use core::f64::consts::PI;

use libm::{atan, atan2, cos, exp, sin, sqrt, tan};

use super::levels::{CENTRE, SUN};

/// Errors of a ray that are tried where none is stated, in rad: the sun's disc alone, and up.
const ERRORS: [f64; 8] = [SUN / 2.0, 3e-3, 4e-3, 5e-3, 7e-3, 10e-3, 15e-3, 20e-3];
/// Rings of the mirror.
const RINGS: u32 = 160;

/// A dish on sun. Lengths in metres, irradiance in W/m².
#[derive(Debug, Clone, Copy)]
pub(super) struct Dish {
    pub(super) diameter: f64,
    pub(super) focal: f64,
    pub(super) reflectance: f64,
    pub(super) irradiance: f64,
    /// Standard deviation of a reflected ray along one axis, in rad.
    pub(super) ray_error: Option<f64>,
    pub(super) peak: Option<f64>,
    /// The beam of a facet whose focus is not that of the dish.
    pub(super) facet: Option<Beam>,
}

/// On which side of the focus, seen from the mirror.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Beyond,
    Before,
}

impl Dish {
    /// Reflected irradiance at the mirror.
    pub(super) fn reflected(&self) -> f64 {
        self.reflectance * self.irradiance
    }

    /// Rim angle, in rad.
    pub(super) fn rim_angle(&self) -> f64 {
        2.0 * atan(self.diameter / (4.0 * self.focal))
    }

    /// From rim to focus.
    pub(super) fn rim_distance(&self) -> f64 {
        self.focal + self.diameter * self.diameter / (16.0 * self.focal)
    }

    /// What no mirror of this rim angle exceeds, in suns: all of it shows the middle of the sun.
    pub(super) fn ideal(&self) -> f64 {
        let (rim, sun) = (sin(self.rim_angle()), sin(SUN));
        CENTRE * rim * rim / (sun * sun)
    }

    /// What nothing is printed above, in W/m².
    pub(super) fn most(&self) -> f64 {
        self.reflected() * self.peak.map_or(self.ideal(), |peak| peak.min(self.ideal()))
    }

    /// On the axis by the plain rule.
    pub(super) fn plain(&self, distance: f64) -> f64 {
        let times = self.focal / distance;
        self.reflected() * times * times
    }

    /// On the axis: by rings, on the worse side and with the worst error of those in question; not
    /// below the plain rule.
    pub(super) fn on_axis(&self, distance: f64) -> f64 {
        let stated = self.ray_error.map(|error| [error]);
        let errors: &[f64] = stated.as_ref().map_or(&ERRORS, |one| one);
        let mut worst = self.plain(distance);
        for error in errors {
            worst = worst.max(self.rings(distance, Side::Beyond, *error));
            // Near the mirror the few rings that count are not told apart, and there is no more.
            if distance < 0.8 * self.focal {
                worst = worst.max(self.rings(distance, Side::Before, *error));
            }
        }
        worst.min(self.most())
    }

    /// On the axis, on a surface square to it, from rings of the mirror whose rays are spread as a
    /// normal distribution in two directions.
    pub(super) fn rings(&self, distance: f64, side: Side, error: f64) -> f64 {
        let place = match side {
            Side::Beyond => self.focal + distance,
            Side::Before => self.focal - distance,
        };
        // From a ring of radius r: the angle between the ways to the focus and to the place.
        let turn = |r: f64| {
            let height = r * r / (4.0 * self.focal);
            let (to_focus, to_place) = (self.focal - height, place - height);
            let turn = atan2(r * (to_place - to_focus).abs(), r * r + to_focus * to_place);
            (turn, to_place, sqrt(r * r + to_place * to_place))
        };
        let rim = self.diameter / 2.0;
        // Rings beyond eight standard deviations give nothing.
        let (mut low, mut high) = (0.0, rim);
        if turn(rim).0 > 8.0 * error {
            while high - low > 1e-6 * rim {
                let middle = f64::midpoint(low, high);
                if turn(middle).0 > 8.0 * error { high = middle } else { low = middle }
            }
        }
        let density = |r: f64| {
            let (turn, along, way) = turn(r);
            let share = turn / error;
            2.0 * PI * r * exp(-share * share / 2.0) / (2.0 * PI * error * error) * along.abs()
                / (way * way * way)
        };
        // Simpson's rule.
        let step = high / f64::from(RINGS);
        let sum: f64 = (0..=RINGS)
            .map(|ring| {
                let weight = match ring {
                    0 | RINGS => 1.0,
                    odd if odd % 2 == 1 => 4.0,
                    _ => 2.0,
                };
                weight * density(f64::from(ring) * step)
            })
            .sum();
        self.reflected() * sum * step / 3.0
    }

    /// The most anywhere at a distance from the focus, on a surface square to the rays: by rings of
    /// points that focus with the dish; where facets have a focus of their own, theirs too.
    pub(super) fn anywhere(&self, distance: f64) -> f64 {
        let times = self.rim_distance() / distance;
        let rings = (self.reflected() * times * times).max(self.on_axis(distance));
        let facets = self.facet.map_or(0.0, |beam| {
            // A facet p off the dish's focus has the place at p ± the distance before it; the one
            // whose own focus is nearest to that counts.
            let (inner, outer) = (self.focal, self.rim_distance());
            let beyond = beam.at(beam.focus.clamp(inner + distance, outer + distance));
            let before = (outer - distance).max(1e-3);
            beyond.max(beam.at(beam.focus.clamp((inner - distance).clamp(1e-3, before), before)))
        });
        rings.max(facets).min(self.most())
    }

    /// The distance from the focus at which the irradiance anywhere falls below a level; none where
    /// it is nowhere reached.
    pub(super) fn falls_below(&self, level: f64) -> Option<f64> {
        let first = self.rim_distance() * sqrt(self.reflected() / level);
        let rings = Self { facet: None, ..*self };
        let rings = self.outward(level, first, |distance| rings.anywhere(distance))?;
        let facets = self
            .facet
            .and_then(|beam| beam.reach(level))
            .map_or(0.0, |reach| (reach.to - self.focal).max(self.rim_distance() - reach.from));
        Some(rings.max(facets))
    }

    /// The same on the axis.
    pub(super) fn axis_falls_below(&self, level: f64) -> Option<f64> {
        let first = self.focal * sqrt(self.reflected() / level);
        self.outward(level, first, |distance| self.on_axis(distance))
    }

    /// From the distance of a plain rule outward to where a curve falls below a level.
    fn outward(&self, level: f64, first: f64, curve: impl Fn(f64) -> f64) -> Option<f64> {
        if self.most() < level {
            return None;
        }
        // All curves fall about as the square of the distance, so this closes in within a few steps.
        let mut distance = first;
        for _ in 0..STEPS {
            let over = sqrt(curve(distance) / level);
            distance *= over;
            if (over - 1.0).abs() < 1e-9 {
                break;
            }
        }
        while curve(distance) >= level {
            distance *= 1.0 + 1e-6;
        }
        Some(distance)
    }

    /// Radius of the cone of light at a distance along the axis, with three standard deviations of
    /// blur where an error is stated; none where the rim is nearly as high as the focus.
    pub(super) fn beam_radius(&self, distance: f64) -> Option<f64> {
        let rim = self.rim_angle();
        if cos(rim) < 0.05 {
            return None;
        }
        let blur = self.ray_error.map_or(SUN, |error| 3.0 * error);
        let way = self.rim_distance() + distance / cos(rim);
        Some(distance * tan(rim) + blur * way / cos(rim))
    }

    /// Mean over the plane of the cone at a distance along the axis, without blur.
    pub(super) fn plane_mean(&self, distance: f64) -> Option<f64> {
        let rim = self.rim_angle();
        (cos(rim) >= 0.05).then(|| {
            let share = self.diameter / 2.0 / (distance * tan(rim));
            (self.reflected() * share * share).min(self.most())
        })
    }
}

/// Steps towards the distance of a level.
const STEPS: u32 = 40;

/// One facet's beam.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beam {
    /// Reflected irradiance at the facet, in W/m².
    pub(super) reflected: f64,
    /// From the facet to its own focus, in metres.
    pub(super) focus: f64,
    /// In m².
    pub(super) area: Option<f64>,
    /// Standard deviation of a ray along one axis without the sun, in rad.
    pub(super) blur: f64,
}

/// Between which distances from the facet a level is reached.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Beam {
    /// The most at a distance from the facet, for a perfect facet: blur only takes away.
    pub(super) fn at(&self, distance: f64) -> f64 {
        let apart = 1.0 - distance / self.focus;
        let spread = 1.0 / (apart * apart);
        let disc = PI * SUN * SUN * distance * distance / CENTRE;
        self.reflected * self.area.map_or(spread, |area| spread.min(area / disc))
    }

    /// The most at its focus, where its area is known.
    pub(super) fn at_focus(&self) -> Option<f64> {
        self.area.map(|_| self.at(self.focus))
    }

    /// Its spot at a distance, mean irradiance and side: the outline of a square facet, drawn
    /// together or out, widened on every side by the sun and two standard deviations of blur.
    pub(super) fn spot(&self, distance: f64) -> Option<(f64, f64)> {
        let area = self.area?;
        let side = sqrt(area);
        let apart = (1.0 - distance / self.focus).abs();
        let spot = side * apart + 2.0 * distance * (SUN + 2.0 * self.blur);
        Some((self.reflected * area / (spot * spot), spot))
    }

    /// Where a level is reached: `|1 − d/p| ≤ q` and `d ≤ √(c·ρ·G·A/(π·θ²·E))`, with
    /// `q = √(ρ·G/E)` and c the brightness of the sun's middle.
    pub(super) fn reach(&self, level: f64) -> Option<Reach> {
        let share = sqrt(self.reflected / level);
        let from = (self.focus * (1.0 - share)).max(0.0);
        let to = self.focus * (1.0 + share);
        let most = self.area.map_or(f64::INFINITY, |area| {
            sqrt(CENTRE * self.reflected * area / (PI * SUN * SUN * level))
        });
        let to = to.min(most);
        (from <= to).then_some(Reach { from, to })
    }
}
