//! Exact reflection at the middle of a facet, for turning: errors as large as those of a new dish
//! don't fit the first order.
//!
//! Vectors have three components: outward along the facet's radius, along increasing bearing, and
//! along the axis. A tilt is the slope of the normal against the design's, outward in the facet's
//! own plane and along increasing bearing; it is positive where it sends the light.

use super::geometry::{Bench, Polar, Spot};

type Vector = [f64; 3];

impl Bench {
    /// The tilt with which a facet sends the middle of its light to a place on the board: its
    /// normal halves the angle between the ways to the light and to that place.
    pub(super) fn tilt_to(&self, spot: Spot, place: Polar) -> Polar {
        let at = self.middle(spot);
        let out = unit([place.r - at[0], place.t, self.board - at[2]]);
        let back = self.to_light(at);
        let half = spot.half_angle(self.focal_length);
        let (sin, cos) = (libm::sin(half), libm::cos(half));
        let sum = [back[0] + out[0], back[1] + out[1], back[2] + out[2]];
        let along_normal = sum[2] * cos - sum[0] * sin;
        Polar { r: (sum[0] * cos + sum[2] * sin) / along_normal, t: sum[1] / along_normal }
    }

    /// Where on the board a facet with that tilt sends the middle of its light.
    pub(super) fn lands(&self, spot: Spot, tilt: Polar) -> Polar {
        let at = self.middle(spot);
        let half = spot.half_angle(self.focal_length);
        let (sin, cos) = (libm::sin(half), libm::cos(half));
        let normal = unit([tilt.r * cos - sin, tilt.t, tilt.r * sin + cos]);
        let back = self.to_light(at);
        let twice = 2.0 * (back[0] * normal[0] + back[1] * normal[1] + back[2] * normal[2]);
        let out =
            [twice * normal[0] - back[0], twice * normal[1] - back[1], twice * normal[2] - back[2]];
        let far = (self.board - at[2]) / out[2];
        Polar { r: at[0] + far * out[0], t: far * out[1] }
    }

    fn middle(&self, spot: Spot) -> Vector {
        [spot.radius, 0.0, spot.radius * spot.radius / (4.0 * self.focal_length)]
    }

    fn to_light(self, at: Vector) -> Vector {
        self.lamp.map_or([0.0, 0.0, 1.0], |lamp| unit([-at[0], 0.0, lamp - at[2]]))
    }
}

fn unit(v: Vector) -> Vector {
    let size = libm::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    v.map(|component| component / size)
}
