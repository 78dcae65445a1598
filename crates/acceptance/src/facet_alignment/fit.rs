//! The rigid turn of a rack that explains the errors of its facets best.

use super::geometry::{Polar, Spot};

/// Components of a turn about x, y and z, in rad.
type Turn = [f64; 3];

/// A facet's place with the tilt of its normal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tilted {
    pub(super) spot: Spot,
    pub(super) tilt: Polar,
}

/// What the fit says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fit {
    /// The turn about x, y and z, in rad.
    pub(super) turn: Turn,
    /// Standard errors of the three.
    pub(super) errors: Turn,
    /// Share of the sum of squares that the turn explains, 0 to 1; 1 where there is nothing to
    /// explain.
    pub(super) explained: f64,
    /// RMS of what is left, in two dimensions, rad.
    pub(super) residual: f64,
    /// Tilt of the rack's mean normal by the turn, rad.
    pub(super) tilt: f64,
    /// How much softer the worst known turn is than the best: largest over smallest singular value
    /// of the equations.
    pub(super) condition: f64,
}

/// Fewest facets that a turn is fitted to: six components for three unknowns.
const FEWEST: usize = 3;
/// A determinant this small against its scale means normals too much alike to tell the turns apart.
const SINGULAR: f64 = 1e-12;

/// Fits a turn by least squares; none with too few facets, or with normals too much alike.
pub(super) fn fit(focal_length: f64, facets: &[Tilted]) -> Option<Fit> {
    if facets.len() < FEWEST {
        return None;
    }
    let mut matrix = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    let mut total = 0.0;
    let rows: Vec<(Turn, f64)> = facets.iter().flat_map(|f| rows(focal_length, f)).collect();
    for (row, value) in &rows {
        total += value * value;
        for i in 0..3 {
            right[i] += row[i] * value;
            for j in 0..3 {
                matrix[i][j] += row[i] * row[j];
            }
        }
    }
    let inverse = inverse(&matrix)?;
    let turn = apply(&inverse, right);
    let left: f64 = rows
        .iter()
        .map(|(row, value)| {
            let rest = value - dot(*row, turn);
            rest * rest
        })
        .sum();
    let spare = f64::from(u32::try_from(rows.len() - 3).unwrap_or(u32::MAX));
    let variance = left / spare;
    let count = f64::from(u32::try_from(facets.len()).unwrap_or(u32::MAX));
    Some(Fit {
        turn,
        errors: [0, 1, 2].map(|i| libm::sqrt(variance * inverse[i][i])),
        explained: if total > 0.0 { 1.0 - left / total } else { 1.0 },
        residual: libm::sqrt(left / count),
        tilt: size(cross(turn, mean_normal(focal_length, facets))),
        condition: condition(&matrix),
    })
}

/// The two equations of a facet: row of the turn's components, and the tilt.
fn rows(focal_length: f64, facet: &Tilted) -> [(Turn, f64); 2] {
    let half = facet.spot.half_angle(focal_length);
    let (s, c) = (libm::sin(half), libm::cos(half));
    let (sin, cos) = (libm::sin(facet.spot.bearing), libm::cos(facet.spot.bearing));
    [([-cos, sin, 0.0], facet.tilt.r), ([c * sin, c * cos, s], facet.tilt.t)]
}

fn mean_normal(focal_length: f64, facets: &[Tilted]) -> Turn {
    let mut sum = [0.0; 3];
    for facet in facets {
        let half = facet.spot.half_angle(focal_length);
        let s = libm::sin(half);
        sum[0] -= s * libm::sin(facet.spot.bearing);
        sum[1] -= s * libm::cos(facet.spot.bearing);
        sum[2] += libm::cos(half);
    }
    let length = size(sum);
    sum.map(|component| component / length)
}

fn dot(a: Turn, b: Turn) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: Turn, b: Turn) -> Turn {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn size(a: Turn) -> f64 {
    libm::sqrt(dot(a, a))
}

fn apply(matrix: &[Turn; 3], v: Turn) -> Turn {
    [dot(matrix[0], v), dot(matrix[1], v), dot(matrix[2], v)]
}

/// The inverse of a symmetric matrix by cofactors.
fn inverse(m: &[Turn; 3]) -> Option<[Turn; 3]> {
    let cofactors = [cross(m[1], m[2]), cross(m[2], m[0]), cross(m[0], m[1])];
    let determinant = dot(m[0], cofactors[0]);
    let scale = (m[0][0] + m[1][1] + m[2][2]) / 3.0;
    if determinant.is_nan() || determinant <= SINGULAR * scale * scale * scale {
        return None;
    }
    Some(cofactors.map(|row| row.map(|value| value / determinant)))
}

/// The condition of the equations from the matrix of their normal equations, by the eigenvalues of a
/// symmetric matrix of three rows in closed form (O. K. Smith, Comm. ACM 4 (1961) 168, from memory;
/// checked with NumPy). The smallest follows from the determinant, which keeps its digits.
fn condition(m: &[Turn; 3]) -> f64 {
    let mean = (m[0][0] + m[1][1] + m[2][2]) / 3.0;
    let determinant = |m: &[Turn; 3]| dot(m[0], cross(m[1], m[2]));
    let mut rest = *m;
    for (i, row) in rest.iter_mut().enumerate() {
        row[i] -= mean;
    }
    let spread = libm::sqrt(rest.iter().map(|row| dot(*row, *row)).sum::<f64>() / 6.0);
    if spread <= 0.0 {
        return 1.0;
    }
    let scaled = rest.map(|row| row.map(|value| value / spread));
    let angle = libm::acos((determinant(&scaled) / 2.0).clamp(-1.0, 1.0)) / 3.0;
    let third = 2.0 * core::f64::consts::PI / 3.0;
    let largest = mean + 2.0 * spread * libm::cos(angle);
    let middle = mean + 2.0 * spread * libm::cos(angle - third);
    libm::sqrt(largest * largest * middle / determinant(m))
}
