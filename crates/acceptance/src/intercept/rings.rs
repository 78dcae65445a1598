//! The intercept of a dish with Gaussian errors, summed over its rings.

use libm::{atan, cos, erf, exp, sin, sqrt};

use super::rice::Rice;
use crate::optics::{Paraboloid, legendre};

/// Dish, receiver and errors, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Optics {
    pub(super) focal_length: f64,
    pub(super) rim: f64,
    /// Radius of the shadowed middle.
    pub(super) inner: f64,
    /// Radius of the receiver's aperture.
    pub(super) receiver: f64,
    /// Variance on one axis of the mirror's normal, rad².
    pub(super) normal: f64,
    /// Variance on one axis of the light's own errors, rad².
    pub(super) ray: f64,
    /// Fixed pointing error, rad.
    pub(super) bias: f64,
}

/// How finely to sum.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fineness {
    rings: u32,
    angles: u32,
    cells: u32,
}

/// For the results: within 1e-8 for rims up to 75°.
pub(super) const FINE: Fineness = Fineness { rings: 16, angles: 48, cells: 800 };
/// For trials and curves: within 1e-5.
pub(super) const COARSE: Fineness = Fineness { rings: 8, angles: 10, cells: 100 };

/// A ring of the dish.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ring {
    pub(super) radius: f64,
    /// Share of the light that it sends.
    pub(super) weight: f64,
    pub(super) angle: f64,
    /// From the ring to the focus.
    pub(super) distance: f64,
    /// Half-axes of the aperture as angles seen from the ring: along the radius, and across.
    pub(super) half_axes: (f64, f64),
}

impl Optics {
    pub(super) const fn dish(&self) -> Paraboloid {
        Paraboloid { focal_length: self.focal_length, rim: self.rim }
    }

    /// σ on one axis, every error of the normal doubled.
    pub(super) fn sigma(&self) -> f64 {
        sqrt(4.0 * self.normal + self.ray)
    }

    /// σ across the plane of incidence at an angle φ.
    pub(super) fn sigma_across(&self, angle: f64) -> f64 {
        let half = cos(0.5 * angle);
        sqrt(4.0 * self.normal * half * half + self.ray)
    }

    /// Rings at Gauss's places in r², so that each weighs as much as it sends.
    pub(super) fn rings(&self, count: u32) -> Vec<Ring> {
        let dish = self.dish();
        let (low, high) = (self.inner * self.inner, self.rim * self.rim);
        legendre(count)
            .into_iter()
            .map(|(place, weight)| {
                let radius = sqrt(low + (high - low) * place);
                let (angle, distance) = (dish.angle(radius), dish.focal_distance(radius));
                let across = self.receiver / distance;
                Ring { radius, weight, angle, distance, half_axes: (across * cos(angle), across) }
            })
            .collect()
    }

    /// Intercept by the elliptical rings, both axes with the same σ.
    pub(super) fn intercept(&self, fineness: Fineness) -> f64 {
        let within = self.within(fineness);
        let rings = self.rings(fineness.rings);
        rings.iter().map(|ring| ring.weight * ring.share(fineness, &within)).sum()
    }

    /// The share of each ring at the fineness of the results.
    pub(super) fn shares(&self) -> Vec<(Ring, f64)> {
        let within = self.within(FINE);
        let rings = self.rings(FINE.rings);
        rings.into_iter().map(|ring| (ring, ring.share(FINE, &within))).collect()
    }

    /// The probability that light lies within an angle of the middle, after a pointing error in
    /// any direction: all directions occur on a ring.
    fn within(&self, fineness: Fineness) -> impl Fn(f64) -> f64 {
        let sigma = self.sigma();
        let nearest = self.dish().focal_distance(self.inner);
        let rice = (self.bias > 0.0)
            .then(|| Rice::new(sigma, self.bias, self.receiver / nearest, fineness.cells));
        move |angle: f64| match &rice {
            Some(rice) => rice.within(angle),
            None => -libm::expm1(-0.5 * (angle / sigma) * (angle / sigma)),
        }
    }

    /// Intercept with the turn across the plane of incidence reduced by cos(φ/2).
    pub(super) fn refined(&self) -> f64 {
        let rings = self.rings(FINE.rings);
        rings
            .iter()
            .map(|ring| {
                let sigmas = (self.sigma(), self.sigma_across(ring.angle));
                ring.weight
                    * if self.bias > 0.0 {
                        displaced(ring.half_axes, sigmas, self.bias)
                    } else {
                        centred(ring.half_axes, sigmas)
                    }
            })
            .sum()
    }

    /// The paraxial form: every ring as near as the vertex, and its light upright.
    pub(super) fn paraxial(&self) -> f64 {
        let angle = self.receiver / self.focal_length;
        let sigma = self.sigma();
        if self.bias > 0.0 {
            return Rice::new(sigma, self.bias, angle, FINE.cells).within(angle);
        }
        -libm::expm1(-0.5 * (angle / sigma) * (angle / sigma))
    }

    /// The form of one dimension, 1 − 2Q(n/2) with n = (2/σ)·arctan(r·cos φ/p); without pointing
    /// error only.
    pub(super) fn one_dimensional(&self) -> f64 {
        let sigma = self.sigma();
        let rings = self.rings(FINE.rings);
        rings
            .iter()
            .map(|ring| {
                let reach = atan(ring.half_axes.0) / sigma;
                ring.weight * erf(reach / core::f64::consts::SQRT_2)
            })
            .sum()
    }

    /// Concentration at the focus for a reflectance of 1:
    /// (sin²φ_r − sin²φ_i)/(2σ²)·exp(−b²/2σ²).
    pub(super) fn peak(&self) -> f64 {
        let dish = self.dish();
        let square = |radius: f64| {
            let sine = sin(dish.angle(radius));
            sine * sine
        };
        let variance = 4.0 * self.normal + self.ray;
        (square(self.rim) - square(self.inner)) / (2.0 * variance)
            * exp(-0.5 * self.bias * self.bias / variance)
    }
}

impl Ring {
    /// Share of its light that enters: the mean over the directions of the ellipse.
    fn share(&self, fineness: Fineness, within: &impl Fn(f64) -> f64) -> f64 {
        let (along, across) = self.half_axes;
        mean_of_quarter(fineness.angles, |sine, cosine| within(reach(along, across, sine, cosine)))
    }
}

/// Radius of an ellipse in a direction.
fn reach(along: f64, across: f64, sine: f64, cosine: f64) -> f64 {
    let (x, y) = (cosine / along, sine / across);
    1.0 / sqrt(x * x + y * y)
}

/// Mean of a function that repeats in every quarter of a turn, mirrored.
fn mean_of_quarter(count: u32, function: impl Fn(f64, f64) -> f64) -> f64 {
    let n = f64::from(count);
    let sum: f64 = (0..count)
        .map(|step| {
            let angle = 0.5 * core::f64::consts::PI * (f64::from(step) + 0.5) / n;
            function(sin(angle), cos(angle))
        })
        .sum();
    sum / n
}

/// Share within an ellipse of light with two σ about its middle.
fn centred((along, across): (f64, f64), (sigma_along, sigma_across): (f64, f64)) -> f64 {
    let (a, b) = (along / sigma_along, across / sigma_across);
    mean_of_quarter(FINE.angles, |sine, cosine| {
        let distance = reach(a, b, sine, cosine);
        -libm::expm1(-0.5 * distance * distance)
    })
}

/// The same about a place off the middle, as the mean over all directions of it: chords across the
/// ellipse, each weighed by the density along.
fn displaced((along, across): (f64, f64), sigmas: (f64, f64), bias: f64) -> f64 {
    /// Standard deviations beyond which nothing is left.
    const REACH: f64 = 8.5;
    let (sigma_along, sigma_across) = sigmas;
    let nodes = legendre(48);
    let phi = |z: f64| 0.5 * libm::erfc(-z / core::f64::consts::SQRT_2);
    mean_of_quarter(24, |sine, cosine| {
        let (x, y) = (bias * cosine, bias * sine);
        // Places on the long axis as along·sin t, so that the ends of the chords are smooth.
        let end = |place: f64| libm::asin((place / along).clamp(-1.0, 1.0));
        let (low, high) = (end(x - REACH * sigma_along), end(x + REACH * sigma_along));
        let sum: f64 = nodes
            .iter()
            .map(|(place, weight)| {
                let t = low + (high - low) * place;
                let (u, chord) = (along * sin(t), across * cos(t));
                let apart = (u - x) / sigma_along;
                let inside = phi((chord - y) / sigma_across) - phi((-chord - y) / sigma_across);
                weight * along * cos(t) * exp(-0.5 * apart * apart) * inside
            })
            .sum();
        sum * (high - low) / (sigma_along * sqrt(2.0 * core::f64::consts::PI))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn optics(sigma: f64) -> Optics {
        Optics {
            focal_length: 6.6,
            rim: 5.5,
            inner: 0.0,
            receiver: 0.1,
            normal: 0.0,
            ray: sigma * sigma,
            bias: 0.0,
        }
    }

    /// With one σ for both axes the two ways of summing agree, with and without pointing error.
    #[test]
    fn chords_and_rice_agree() {
        for bias in [0.0, 1e-4, 2e-3, 5.2e-3, 0.02] {
            let optics = Optics { bias, ..optics(4e-3) };
            let (rice, chords) = (optics.intercept(FINE), optics.refined());
            assert!((rice - chords).abs() < 2e-8, "{bias}: {rice} {chords}");
            let coarse = optics.intercept(COARSE);
            assert!((rice - coarse).abs() < 1e-5, "{bias}: {rice} {coarse}");
        }
    }

    /// A flat narrow annulus of light is the ring itself, and all of a dish of many.
    #[test]
    fn a_dish_is_made_of_its_annuli() {
        let whole = optics(6e-3);
        let square = |radius: f64| radius * radius;
        let edges = [0.0, 1.0, 2.5, 4.0, 5.5];
        let sum: f64 = edges
            .windows(2)
            .map(|edge| {
                let part = Optics { inner: edge[0], rim: edge[1], ..whole };
                part.intercept(FINE) * (square(edge[1]) - square(edge[0])) / square(5.5)
            })
            .sum();
        assert!((sum - whole.intercept(FINE)).abs() < 1e-10);
    }
}
