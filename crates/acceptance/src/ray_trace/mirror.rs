//! The mirrors: single facets, or the whole paraboloid.

use libm::{cos, sin, sqrt};

use super::vector::{Vector, vector};
use crate::optics::{Paraboloid, legendre};

/// How a facet is curved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Curve {
    /// A piece of the dish's own paraboloid.
    Paraboloid,
    /// A sphere of a radius, m.
    Sphere(f64),
}

/// Where and how a facet is set; lengths in m, angles in rad.
#[derive(Debug, Clone, Copy)]
pub(super) struct Setting {
    pub(super) radius: f64,
    /// Clockwise from up, seen from the focus.
    pub(super) bearing: f64,
    /// Across the radius, and along it.
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) curve: Curve,
    /// Aim point in the focal plane.
    pub(super) aim: (f64, f64),
    /// Tilt of the normal, positive where the light goes: to the right and up.
    pub(super) tilt: (f64, f64),
}

/// A facet, ready for rays.
#[derive(Debug, Clone)]
pub(super) struct Patch {
    dish: Paraboloid,
    setting: Setting,
    centre: Vector,
    /// Across the radius, outward along it, normal; as designed for the focus.
    designed: [Vector; 3],
    /// The same as it is set.
    set: [Vector; 3],
}

/// A place on a mirror.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) at: Vector,
    pub(super) normal: Vector,
    /// Component of the normal along that of the surface over which places are drawn evenly.
    upright: f64,
}

impl Place {
    /// How much of the sun's light an even piece holds, over that of light along the upright.
    pub(super) fn weight(&self, to_sun: Vector) -> f64 {
        self.normal.dot(to_sun) / self.upright
    }
}

/// The largest weight that a place can have: the upright's cosine to the sun, and the surface's
/// slope against it times the sun's sine.
pub(super) fn heaviest(upright: Vector, slope: f64, sun: Vector, reach: f64) -> f64 {
    let cosine = upright.dot(sun);
    let sine = sqrt((1.0 - cosine * cosine).max(0.0));
    (cosine + reach).min(1.0) + slope * (sine + reach)
}

/// A place of the whole paraboloid at a radius and the sine and cosine of a bearing; rays are even
/// over its opening.
pub(super) fn of_whole(dish: &Paraboloid, radius: f64, (sine, cosine): (f64, f64)) -> Place {
    let (x, y) = (radius * sine, radius * cosine);
    let slope = 0.5 / dish.focal_length;
    let normal = vector(-x * slope, -y * slope, 1.0).unit();
    Place { at: vector(x, y, dish.height(radius)), normal, upright: normal.z }
}

impl Patch {
    pub(super) fn new(dish: Paraboloid, setting: Setting) -> Self {
        let (outward, across) = directions(setting.bearing);
        let half = 0.5 * dish.angle(setting.radius);
        let upward = vector(0.0, 0.0, 1.0);
        let normal = upward * cos(half) - outward * sin(half);
        let along = outward * cos(half) + upward * sin(half);
        let centre = outward * setting.radius + upward * dish.height(setting.radius);
        let aim = vector(setting.aim.0, setting.aim.1, dish.focal_length);
        let aimed = ((aim - centre).unit() + upward).unit();
        let tilt = across * (setting.tilt.0 * across.x + setting.tilt.1 * across.y)
            + along * (setting.tilt.0 * outward.x + setting.tilt.1 * outward.y);
        let set = (aimed + tilt).unit();
        let side = (across - set * across.dot(set)).unit();
        Self {
            dish,
            setting,
            centre,
            designed: [across, along, normal],
            set: [side, set.cross(side), set],
        }
    }

    /// Its normal as it is set.
    pub(super) const fn normal(&self) -> Vector {
        let [_, _, normal] = self.set;
        normal
    }

    /// The place at two shares of its half width and half height, −1 to 1.
    pub(super) fn place(&self, across: f64, along: f64) -> Place {
        let (w, h) = (0.5 * self.setting.width * across, 0.5 * self.setting.height * along);
        let (sag, normal) = match self.setting.curve {
            Curve::Sphere(radius) => {
                let depth = sqrt(radius * radius - w * w - h * h);
                (radius - depth, vector(-w, -h, depth) * (1.0 / radius))
            }
            Curve::Paraboloid => self.of_paraboloid(w, h),
        };
        let [a, b, c] = self.set;
        Place {
            at: self.centre + a * w + b * h + c * sag,
            normal: a * normal.x + b * normal.y + c * normal.z,
            upright: normal.z,
        }
    }

    /// Sag and normal of the dish's surface above a place of the plane that touches it in the
    /// middle of the facet, in that plane's own directions.
    fn of_paraboloid(&self, w: f64, h: f64) -> (f64, Vector) {
        let [across, along, normal] = self.designed;
        let f = self.dish.focal_length;
        let flat = self.centre + across * w + along * h;
        // (flat + s·n) lies on x² + y² = 4f·z: a·s² + b·s + c = 0, and of its roots the near one.
        let a = normal.x * normal.x + normal.y * normal.y;
        let b = 2.0 * (flat.x * normal.x + flat.y * normal.y) - 4.0 * f * normal.z;
        let c = flat.x * flat.x + flat.y * flat.y - 4.0 * f * flat.z;
        let sag = 2.0 * c / (sqrt((b * b - 4.0 * a * c).max(0.0)) - b);
        let at = flat + normal * sag;
        let up = vector(-at.x / (2.0 * f), -at.y / (2.0 * f), 1.0).unit();
        (sag, vector(up.dot(across), up.dot(along), up.dot(normal)))
    }

    /// Area as the sun sees it.
    pub(super) fn area(&self, sun: Vector) -> f64 {
        let nodes = legendre(6);
        let mean: f64 = nodes
            .iter()
            .flat_map(|one| nodes.iter().map(move |two| (one, two)))
            .map(|((x, w_x), (y, w_y))| {
                w_x * w_y * self.place(2.0 * x - 1.0, 2.0 * y - 1.0).weight(sun).max(0.0)
            })
            .sum();
        mean * self.setting.width * self.setting.height
    }

    /// Height of its highest corner above the vertex.
    pub(super) fn top(&self) -> f64 {
        CORNERS.into_iter().map(|(x, y)| self.place(x, y).at.z).fold(0.0, f64::max)
    }

    /// Distance of its farthest corner from the axis.
    pub(super) fn reach(&self) -> f64 {
        let from_axis = |at: Vector| sqrt(at.x * at.x + at.y * at.y);
        CORNERS.into_iter().map(|(x, y)| from_axis(self.place(x, y).at)).fold(0.0, f64::max)
    }

    /// The steepest slope of its surface against the plane that touches it in the middle.
    pub(super) fn steepest(&self) -> f64 {
        CORNERS
            .into_iter()
            .map(|(across, along)| {
                let cosine = self.place(across, along).upright;
                sqrt((1.0 - cosine * cosine).max(0.0)) / cosine
            })
            .fold(0.0, f64::max)
    }
}

const CORNERS: [(f64, f64); 4] = [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)];

/// Outward along a bearing, and across in the sense of growing bearings.
fn directions(bearing: f64) -> (Vector, Vector) {
    let (sine, cosine) = (sin(bearing), cos(bearing));
    (vector(sine, cosine, 0.0), vector(cosine, -sine, 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DISH: Paraboloid = Paraboloid { focal_length: 6.0, rim: 5.2 };

    fn setting(radius: f64, bearing: f64) -> Setting {
        Setting {
            radius,
            bearing,
            width: 0.56,
            height: 0.58,
            curve: Curve::Paraboloid,
            aim: (0.0, 0.0),
            tilt: (0.0, 0.0),
        }
    }

    /// Where light along the axis meets the focal plane.
    fn meets(place: Place) -> (f64, f64) {
        let ray = vector(0.0, 0.0, -1.0).reflected(place.normal);
        let way = (DISH.focal_length - place.at.z) / ray.z;
        (place.at.x + ray.x * way, place.at.y + ray.y * way)
    }

    /// Every place of an untilted piece of the paraboloid lies on it and sends its light to the
    /// focus.
    #[test]
    fn a_piece_of_the_paraboloid_has_one_focus() {
        let patch = Patch::new(DISH, setting(4.6, 0.7));
        for (across, along) in [(0.0, 0.0), (-1.0, 1.0), (0.3, -0.8), (1.0, 1.0)] {
            let place = patch.place(across, along);
            let r = libm::hypot(place.at.x, place.at.y);
            assert!((place.at.z - DISH.height(r)).abs() < 1e-12);
            let (x, y) = meets(place);
            assert!(x.abs() < 1e-9 && y.abs() < 1e-9, "{x} {y}");
        }
    }

    /// First order of the alignment survey: 2pδ/cos φ along the radius, 2pδ·cos(φ/2) across, to the
    /// side of the tilt's sign; aim points are met.
    #[test]
    fn tilts_send_the_light_where_they_say() {
        let (p, phi) = (DISH.focal_distance(4.6), DISH.angle(4.6));
        for bearing in [0.0, 1.0, 4.0] {
            let delta = 1e-4;
            let (outward, across) = directions(bearing);
            for (direction, factor) in
                [(outward, 2.0 * p / cos(phi)), (across, 2.0 * p * cos(0.5 * phi))]
            {
                let tilt = (delta * direction.x, delta * direction.y);
                let patch = Patch::new(DISH, Setting { tilt, ..setting(4.6, bearing) });
                let (x, y) = meets(patch.place(0.0, 0.0));
                let (wanted_x, wanted_y) = (tilt.0 * factor, tilt.1 * factor);
                assert!((x - wanted_x).abs() < 2e-3 * factor * delta, "{x} {wanted_x}");
                assert!((y - wanted_y).abs() < 2e-3 * factor * delta, "{y} {wanted_y}");
            }
            let aim = (0.03, -0.02);
            let patch = Patch::new(DISH, Setting { aim, ..setting(4.6, bearing) });
            let (x, y) = meets(patch.place(0.0, 0.0));
            assert!((x - aim.0).abs() < 1e-9 && (y - aim.1).abs() < 1e-9, "{x} {y}");
        }
    }

    /// A spherical facet: light parallel to its normal meets at half its radius (to first order).
    #[test]
    fn a_sphere_has_half_its_radius_as_focal_length() {
        let curve = Curve::Sphere(12.0);
        let patch = Patch::new(DISH, Setting { curve, ..setting(0.0, 0.0) });
        let (x, y) = meets(patch.place(0.5, -0.5));
        assert!(x.abs() < 2e-4 && y.abs() < 2e-4, "{x} {y}");
    }

    /// Seen along the axis a facet's area is that of the opening below it: cos(φ/2) of its own.
    #[test]
    fn area_as_the_sun_sees_it() {
        let patch = Patch::new(DISH, setting(4.6, 2.0));
        let seen = patch.area(vector(0.0, 0.0, 1.0));
        let flat = 0.56 * 0.58 * cos(0.5 * DISH.angle(4.6));
        assert!((seen / flat - 1.0).abs() < 1e-3, "{seen} {flat}");
        let bound = heaviest(patch.normal(), patch.steepest(), vector(0.0, 0.0, 1.0), 0.005);
        for (across, along) in [(-1.0, -1.0), (1.0, 1.0), (0.0, -1.0), (1.0, -1.0)] {
            let weight = patch.place(across, along).weight(vector(0.0, 0.0, 1.0));
            assert!(weight <= bound && weight > 0.9 * bound, "{weight} {bound}");
        }
    }
}
