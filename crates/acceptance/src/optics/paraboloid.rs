//! The paraboloid z = r²/(4f) with its rim.
//!
//! Sources: W. B. Stine, M. Geyer, Power From The Sun (2001), chapter 8; J. A. Duffie,
//! W. A. Beckman, Solar Engineering of Thermal Processes, chapter 7 (both from memory), derived
//! again here.

use libm::{atan, cos, pow, sqrt};

/// A paraboloid of revolution; lengths in m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Paraboloid {
    /// From vertex to focus.
    pub(crate) focal_length: f64,
    /// Radius of the rim.
    pub(crate) rim: f64,
}

impl Paraboloid {
    /// Height above the vertex at a radius: r²/(4f).
    pub(crate) fn height(&self, radius: f64) -> f64 {
        radius * radius / (4.0 * self.focal_length)
    }

    /// From the surface to the focus: p = f + r²/(4f).
    pub(crate) fn focal_distance(&self, radius: f64) -> f64 {
        self.focal_length + self.height(radius)
    }

    /// Angle φ between the light of a radius and the axis: tan(φ/2) = r/(2f).
    pub(crate) fn angle(&self, radius: f64) -> f64 {
        2.0 * atan(radius / (2.0 * self.focal_length))
    }

    /// Radius of curvature in the plane through the axis: 2f/cos³(φ/2).
    pub(crate) fn meridional_radius(&self, radius: f64) -> f64 {
        2.0 * self.focal_length / pow(cos(0.5 * self.angle(radius)), 3.0)
    }

    /// Radius of curvature across that plane: 2f/cos(φ/2).
    pub(crate) fn sagittal_radius(&self, radius: f64) -> f64 {
        2.0 * self.focal_length / cos(0.5 * self.angle(radius))
    }

    /// Area of the opening.
    pub(crate) fn opening(&self) -> f64 {
        core::f64::consts::PI * self.rim * self.rim
    }

    /// Area of the surface: (8πf²/3)·[(1 + (r/2f)²)^{3/2} − 1].
    pub(crate) fn surface(&self) -> f64 {
        let f = self.focal_length;
        let square = 1.0 + (self.rim / (2.0 * f)) * (self.rim / (2.0 * f));
        8.0 * core::f64::consts::PI * f * f / 3.0 * (square * sqrt(square) - 1.0)
    }
}
