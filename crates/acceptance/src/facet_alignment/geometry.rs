//! The ray from lamp to facet to board, and what a shift of the spot says about the facet's normal.

/// A place on the mirror: radius in m and bearing in rad, clockwise from up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub(super) radius: f64,
    pub(super) bearing: f64,
}

/// A pair of components in the dish's own x and y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    pub(super) x: f64,
    pub(super) y: f64,
}

impl Pair {
    pub(super) fn size(self) -> f64 {
        libm::hypot(self.x, self.y)
    }

    pub(super) fn minus(self, other: Self) -> Self {
        Self { x: self.x - other.x, y: self.y - other.y }
    }

    /// The larger of the two without sign.
    pub(super) fn larger(self) -> f64 {
        self.x.abs().max(self.y.abs())
    }
}

/// A pair of components along the radius and along increasing bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Polar {
    pub(super) r: f64,
    pub(super) t: f64,
}

impl Spot {
    pub(super) fn to_polar(self, at: Pair) -> Polar {
        let (sin, cos) = (libm::sin(self.bearing), libm::cos(self.bearing));
        Polar { r: at.x * sin + at.y * cos, t: at.x * cos - at.y * sin }
    }

    pub(super) fn to_pair(self, at: Polar) -> Pair {
        let (sin, cos) = (libm::sin(self.bearing), libm::cos(self.bearing));
        Pair { x: at.r * sin + at.t * cos, y: at.r * cos - at.t * sin }
    }

    /// Half the angle φ between the light and the axis: the slope of the paraboloid.
    pub(super) fn half_angle(self, focal_length: f64) -> f64 {
        libm::atan(self.radius / (2.0 * focal_length))
    }
}

/// Where the light comes from and where the board stands, in m from the vertex along the axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bench {
    pub(super) focal_length: f64,
    /// Distance of the lamp; none for light parallel to the axis.
    pub(super) lamp: Option<f64>,
    /// Distance of the board.
    pub(super) board: f64,
}

/// The ray of a correctly set facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ray {
    /// From facet to board, m.
    pub(super) p: f64,
    /// Cosine of the angle between this ray and the axis.
    pub(super) cos_axis: f64,
    /// Cosine of the incidence.
    pub(super) cos_incidence: f64,
    /// Where it meets the board, m outward on the facet's own side.
    pub(super) meets: f64,
}

impl Bench {
    /// Light parallel to the axis and a board in the focal plane, for which aim points are given.
    pub(super) const fn focal_plane(focal_length: f64) -> Self {
        Self { focal_length, lamp: None, board: focal_length }
    }

    /// The ray by way of a facet.
    pub(super) fn ray(&self, spot: Spot) -> Ray {
        let (f, r) = (self.focal_length, spot.radius);
        let z = r * r / (4.0 * f);
        let crosses = f + self.lamp.map_or(0.0, |s| (f + z) * (f + z) / (s - f));
        let meets = r * (crosses - self.board) / (crosses - z);
        let (across, along) = (meets - r, self.board - z);
        let p = libm::hypot(across, along);
        // Cosine between the ray and the way back to the lamp, which is twice the incidence.
        let cos_between = match self.lamp {
            None => along / p,
            Some(s) => (-across * r + along * (s - z)) / (p * libm::hypot(r, s - z)),
        };
        Ray { p, cos_axis: along / p, cos_incidence: libm::sqrt((1.0 + cos_between) / 2.0), meets }
    }
}

impl Ray {
    /// Tilt of the normal, in rad for each m of shift, along the radius and across.
    pub(super) fn tilt_of_shift(&self) -> Polar {
        Polar { r: self.cos_axis / (2.0 * self.p), t: 1.0 / (2.0 * self.p * self.cos_incidence) }
    }
}
