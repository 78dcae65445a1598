//! The light near the axis before and behind the focus.
//!
//! A ring at φ puts its light at x·tan φ from the axis in a plane at x from the focus, spread by
//! p′·σ/cos φ along the radius and p′·σ across, p′ = p ± x/cos φ being the way to that plane. On the
//! axis that adds up to ρ·G·∫ r·cos φ/(p′σ)²·exp(−(x·sin φ)²/(2p′²σ²)) dr.

use libm::{cos, exp, sin, tan};

use super::rings::Optics;
use crate::optics::legendre;

/// The light in a plane at a distance from the focus, for 1 W/m² and a reflectance of 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beam {
    /// On the axis, away from the mirror.
    pub(super) beyond: f64,
    /// On the axis, towards the mirror; none where the plane cuts the mirror.
    pub(super) before: Option<f64>,
    /// The rule (f/x)².
    pub(super) rule: f64,
    /// Radius of the cone of light without errors.
    pub(super) radius: f64,
    /// Mean over that cone.
    pub(super) mean: f64,
    /// Standard deviation along the radius at the edge of the cone.
    pub(super) blur: f64,
}

impl Beam {
    pub(super) fn at(optics: &Optics, distance: f64) -> Self {
        let dish = optics.dish();
        let radius = distance * tan(dish.angle(optics.rim));
        let hollow = distance * tan(dish.angle(optics.inner));
        let area = |outer: f64, inner: f64| outer * outer - inner * inner;
        let f = optics.focal_length;
        let slant = cos(dish.angle(optics.rim));
        Self {
            beyond: on_axis(optics, distance),
            before: (distance < f - dish.height(optics.rim)).then(|| on_axis(optics, -distance)),
            rule: (f / distance) * (f / distance),
            radius,
            mean: area(optics.rim, optics.inner) / area(radius, hollow),
            blur: (dish.focal_distance(optics.rim) + distance / slant) * optics.sigma() / slant,
        }
    }
}

/// On the axis at a distance beyond the focus, or before it where that is negative.
fn on_axis(optics: &Optics, x: f64) -> f64 {
    let dish = optics.dish();
    let sigma = optics.sigma();
    let nodes = legendre(40);
    // Only rings whose light comes near the axis count: their radius is about p²σ/|x|.
    let scale = sigma * optics.focal_length * (optics.focal_length + x.abs()) / x.abs();
    let mut edges = vec![optics.inner];
    edges.extend(
        [2.0, 5.0, 10.0, 20.0]
            .map(|times| times * scale)
            .into_iter()
            .filter(|edge| *edge > optics.inner && *edge < optics.rim),
    );
    edges.push(optics.rim);
    let part = |from: f64, to: f64| -> f64 {
        nodes
            .iter()
            .map(|(place, weight)| {
                let r = from + (to - from) * place;
                let angle = dish.angle(r);
                let way = dish.focal_distance(r) + x / cos(angle);
                let width = way * sigma;
                let off = x * sin(angle) / width;
                weight * (to - from) * r * cos(angle) / (width * width) * exp(-0.5 * off * off)
            })
            .sum()
    };
    edges.iter().zip(edges.iter().skip(1)).map(|(from, to)| part(*from, *to)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Far from the focus the rule (f/x)² holds, and near it the peak of the focus.
    #[test]
    fn between_peak_and_rule() {
        let optics = Optics {
            focal_length: 6.6,
            rim: 5.5,
            inner: 0.0,
            receiver: 0.1,
            normal: 0.0,
            ray: 25e-6,
            bias: 0.0,
        };
        let near = Beam::at(&optics, 1e-6);
        assert!((near.beyond / optics.peak() - 1.0).abs() < 1e-6, "{near:?}");
        let far = Beam::at(&optics, 5.0);
        assert!((far.beyond / far.rule - 1.0).abs() < 1e-3, "{far:?}");
        assert!(far.mean < far.rule);
        assert!(Beam::at(&optics, 5.4).before.is_some());
        assert!(Beam::at(&optics, 5.5).before.is_none());
    }
}
