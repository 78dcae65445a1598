//! Directions and places in space: x to the right, y up, seen from the focus looking at the mirror;
//! z from the mirror to the focus.

use core::ops::{Add, Mul, Sub};

/// A vector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Vector {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) z: f64,
}

pub(super) const fn vector(x: f64, y: f64, z: f64) -> Vector {
    Vector { x, y, z }
}

impl Add for Vector {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        vector(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vector {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        vector(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f64> for Vector {
    type Output = Self;

    fn mul(self, by: f64) -> Self {
        vector(self.x * by, self.y * by, self.z * by)
    }
}

impl Vector {
    pub(super) fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub(super) fn cross(self, other: Self) -> Self {
        vector(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// The same direction with length 1.
    pub(super) fn unit(self) -> Self {
        self * (1.0 / libm::sqrt(self.dot(self)))
    }

    /// Two directions across this one and each other; this one has length 1 and does not point
    /// straight back to the mirror (T. Duff et al., J. Computer Graphics Techniques 6 (2017) 1).
    pub(super) fn across(self) -> (Self, Self) {
        let a = -1.0 / (1.0 + self.z);
        let b = self.x * self.y * a;
        (
            vector(1.0 + self.x * self.x * a, b, -self.x),
            vector(b, 1.0 + self.y * self.y * a, -self.y),
        )
    }

    /// This direction of length 1, turned by two small angles across it; longer than 1 thereby.
    pub(super) fn turned(self, (first, second): (f64, f64)) -> Self {
        let (a, b) = self.across();
        self + a * first + b * second
    }

    /// Light along this direction after a mirror with a normal of any length.
    pub(super) fn reflected(self, normal: Self) -> Self {
        self - normal * (2.0 * self.dot(normal) / normal.dot(normal))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_across_are_across() {
        for at in [vector(0.0, 0.0, 1.0), vector(0.3, -0.5, 0.8), vector(-0.9, 0.1, -0.2)] {
            let at = at.unit();
            let (a, b) = at.across();
            for (one, two, expected) in
                [(a, b, 0.0), (a, at, 0.0), (b, at, 0.0), (a, a, 1.0), (b, b, 1.0)]
            {
                assert!((one.dot(two) - expected).abs() < 1e-15);
            }
        }
    }

    /// Angle of incidence and of reflection are the same, and the length stays.
    #[test]
    fn law_of_reflection() {
        let normal = vector(0.2, -0.1, 1.0);
        let light = vector(0.05, 0.02, -1.0).unit();
        let ray = light.reflected(normal);
        assert!((ray.dot(normal) + light.dot(normal)).abs() < 1e-15);
        assert!((ray.dot(ray) - 1.0).abs() < 1e-15);
        let plane = light.cross(normal);
        assert!(ray.dot(plane).abs() < 1e-15);
    }
}
