//! Rays: from the sun by way of a mirror to the plane.
//!
//! Rays are cut into blocks of a fixed number, each with a stream of draws of its own, and counted
//! in whole numbers. So the result is the same bits however the blocks are spread over threads.

use super::disc::{direction, normals};
use super::mirror::{Patch, Place, heaviest, of_whole};
use super::sun::Sky;
use super::tally::{CELLS, STEPS, Share, Tally, WITHIN};
use super::vector::Vector;
use crate::draw::Draw;
use crate::optics::Paraboloid;

/// Rays of a block.
pub(super) const BLOCK: u32 = 8192;
/// Rings of equal area into which a whole dish is cut, as if each were a facet.
pub(super) const RINGS: usize = 16;
/// A place that the sun can't light from any side is given up after so many draws.
const PATIENCE: u32 = 1000;

/// What reflects.
#[derive(Debug)]
pub(super) enum Mirror {
    /// The whole paraboloid from an inner radius to the rim.
    Whole { dish: Paraboloid, inner: f64, heaviest: f64 },
    /// Facets, with the sums of their areas as the sun sees them.
    Facets(Vec<Facet>),
}

/// A facet that reflects.
#[derive(Debug)]
pub(super) struct Facet {
    pub(super) patch: Patch,
    /// One-axis standard deviations, rad: of the normal, and of the light.
    pub(super) slope: f64,
    pub(super) specularity: f64,
    /// Largest weight of a place.
    pub(super) heaviest: f64,
    /// Area as the sun sees it, of all facets up to this one.
    pub(super) up_to: f64,
}

/// Everything that rays meet; SI units.
#[derive(Debug)]
pub(super) struct Scene {
    pub(super) mirror: Mirror,
    pub(super) sky: Sky,
    /// Of a whole dish, as of a facet.
    pub(super) slope: f64,
    pub(super) specularity: f64,
    /// Height of the plane above the vertex.
    pub(super) plane: f64,
    /// Middle of the aperture, and its radius.
    pub(super) middle: (f64, f64),
    pub(super) receiver: f64,
    /// Width of the map about the middle of the aperture.
    pub(super) map: f64,
    /// Height and radius of the receiver's body, which shades the mirror.
    pub(super) body: Option<(f64, f64)>,
    pub(super) rays: u32,
    pub(super) seed: u64,
}

impl Scene {
    /// Area of the mirrors as the sun sees it.
    pub(super) fn area(&self) -> f64 {
        match &self.mirror {
            Mirror::Whole { dish, inner, .. } => {
                // Light off the axis sees the opening turned.
                core::f64::consts::PI * (dish.rim * dish.rim - inner * inner) * self.sky.middle.z
            }
            Mirror::Facets(facets) => facets.last().map_or(0.0, |facet| facet.up_to),
        }
    }

    /// Facets, or rings of the whole dish.
    pub(super) fn parts(&self) -> usize {
        match &self.mirror {
            Mirror::Whole { .. } => RINGS,
            Mirror::Facets(facets) => facets.len(),
        }
    }

    pub(super) const fn blocks(&self) -> u32 {
        self.rays.div_ceil(BLOCK)
    }

    /// Traces a block into a tally.
    pub(super) fn trace(&self, block: u32, tally: &mut Tally) {
        let times = usize::try_from(block).ok().and_then(|place| tally.blocks.get_mut(place));
        let Some(times) = times else { return };
        *times += 1;
        let mut draw = Draw::new(self.seed, u64::from(block));
        let first = block.saturating_mul(BLOCK);
        for number in first..self.rays.min(first.saturating_add(BLOCK)) {
            self.ray(number, &mut draw, tally);
        }
    }

    fn ray(&self, number: u32, draw: &mut Draw, tally: &mut Tally) {
        // One draw in each of as many equal parts as there are rays: every facet has its due.
        let due = (f64::from(number) + draw.even()) / f64::from(self.rays);
        let (part, slope, specularity, drawn) = match &self.mirror {
            Mirror::Whole { dish, inner, heaviest } => {
                let radius =
                    libm::sqrt(inner * inner + due * (dish.rim * dish.rim - inner * inner));
                let drawn =
                    self.lit(draw, *heaviest, |draw| of_whole(dish, radius, direction(draw)));
                (whole(due * float(RINGS)), self.slope, self.specularity, drawn)
            }
            Mirror::Facets(facets) => {
                let sought = due * self.area();
                let part = facets.partition_point(|facet| facet.up_to <= sought);
                let Some(facet) = facets.get(part).or_else(|| facets.last()) else { return };
                let drawn = self.lit(draw, facet.heaviest, |draw| {
                    facet.patch.place(2.0 * draw.even() - 1.0, 2.0 * draw.even() - 1.0)
                });
                (part, facet.slope, facet.specularity, drawn)
            }
        };
        let last = tally.shares.len().saturating_sub(1);
        let Some(share) = tally.shares.get_mut(part.min(last)) else { return };
        share.rays += 1;
        let Some((place, to_sun)) = drawn else {
            share.astray += 1;
            return;
        };
        if self.shaded(&place, to_sun) {
            share.shaded += 1;
            return;
        }
        let normal = scattered(place.normal, slope, draw);
        let ray = scattered((to_sun * -1.0).reflected(normal), specularity, draw);
        match self.meets(place.at, ray) {
            Some((x, y)) => {
                let parity = usize::from(number % 2 == 1);
                let inside = count(self, x, y, parity, &mut tally.maps, &mut tally.radial);
                share.land(self, x, y, inside);
            }
            None => share.astray += 1,
        }
    }

    /// A place and a direction to the sun, together as likely as the place is lit from there.
    fn lit(
        &self,
        draw: &mut Draw,
        heaviest: f64,
        place: impl Fn(&mut Draw) -> Place,
    ) -> Option<(Place, Vector)> {
        (0..PATIENCE).find_map(|_| {
            let place = place(draw);
            let to_sun = self.sky.drawn(draw);
            (draw.even() * heaviest < place.weight(to_sun)).then_some((place, to_sun))
        })
    }

    fn shaded(&self, place: &Place, to_sun: Vector) -> bool {
        self.body.is_some_and(|(height, radius)| {
            let way = (height - place.at.z) / to_sun.z;
            let at = place.at + to_sun * way;
            way > 0.0 && at.x * at.x + at.y * at.y < radius * radius
        })
    }

    /// Where a ray meets the plane.
    fn meets(&self, from: Vector, ray: Vector) -> Option<(f64, f64)> {
        let way = (self.plane - from.z) / ray.z;
        let at = from + ray * way;
        (ray.z > 0.0 && way > 0.0 && at.x.abs() < FAR && at.y.abs() < FAR).then_some((at.x, at.y))
    }
}

/// Beyond so many metres from the axis nothing is counted as meeting the plane.
const FAR: f64 = 1000.0;

fn scattered(ray: Vector, sigma: f64, draw: &mut Draw) -> Vector {
    if sigma > 0.0 { ray.turned(normals(sigma, draw)) } else { ray }
}

impl Share {
    fn land(&mut self, scene: &Scene, x: f64, y: f64, inside: bool) {
        self.hits += u64::from(inside);
        self.x += micrometres(x - scene.middle.0);
        self.y += micrometres(y - scene.middle.1);
    }
}

/// Counts a ray on the map and by its distance; true if it enters the aperture.
fn count(
    scene: &Scene,
    x: f64,
    y: f64,
    parity: usize,
    maps: &mut [Vec<u32>; 2],
    radial: &mut [u32],
) -> bool {
    let (x, y) = (x - scene.middle.0, y - scene.middle.1);
    let per_metre = float(CELLS) / scene.map;
    let place = |at: f64| at * per_metre + 0.5 * float(CELLS);
    let (column, row) = (place(x), place(y));
    let on = |at: f64| at >= 0.0 && at < float(CELLS);
    if on(column)
        && on(row)
        && let Some(cell) =
            maps.get_mut(parity).and_then(|map| map.get_mut(whole(row) * CELLS + whole(column)))
    {
        *cell += 1;
    }
    let distance = libm::sqrt(x * x + y * y);
    let step = whole(float(WITHIN) * (distance / scene.receiver).min(float(STEPS)));
    if let Some(step) = radial.get_mut(step) {
        *step += 1;
    }
    distance <= scene.receiver
}

#[expect(clippy::cast_precision_loss, reason = "numbers of cells and steps")]
const fn float(count: usize) -> f64 {
    count as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place of a list, not below zero and not beyond its size"
)]
const fn whole(at: f64) -> usize {
    at as usize
}

#[expect(clippy::cast_possible_truncation, reason = "less than a kilometre")]
const fn micrometres(metres: f64) -> i64 {
    (metres * 1e6) as i64
}

/// The facets of a list, with the sums of their areas; those that are dark are left out.
pub(super) fn facets(patches: Vec<(Patch, f64, f64)>, sky: &Sky) -> Mirror {
    let mut up_to = 0.0;
    let facets = patches
        .into_iter()
        .map(|(patch, slope, specularity)| {
            up_to += patch.area(sky.middle);
            let heaviest = heaviest(patch.normal(), patch.steepest(), sky.middle, sky.reach());
            Facet { patch, slope, specularity, heaviest, up_to }
        })
        .collect();
    Mirror::Facets(facets)
}

/// The whole dish.
pub(super) fn whole_dish(dish: Paraboloid, inner: f64, sky: &Sky) -> Mirror {
    let slope = dish.rim / (2.0 * dish.focal_length);
    let upward = super::vector::vector(0.0, 0.0, 1.0);
    Mirror::Whole { dish, inner, heaviest: heaviest(upward, slope, sky.middle, sky.reach()) }
}
