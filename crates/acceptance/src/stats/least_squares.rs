//! Linear least squares by singular values, with what the fit says of itself.
//!
//! The decomposition is that of the crate `nalgebra`, compiled without `std` and with `libm`, so
//! that it is the same on every machine.

use nalgebra::DMatrix;

use super::count;

/// A fit.
#[derive(Debug, Clone)]
pub(crate) struct Fit {
    /// The coefficients, one a column.
    pub(crate) coefficients: Vec<f64>,
    /// (MᵀM)⁻¹, row by row: times s² it is the covariance of the coefficients.
    pub(crate) cofactors: Vec<Vec<f64>>,
    /// Singular values of M, largest first.
    pub(crate) singular: Vec<f64>,
    /// The direction of each singular value in the space of the coefficients.
    pub(crate) directions: Vec<Vec<f64>>,
    /// What the fit leaves of each value.
    pub(crate) residuals: Vec<f64>,
    /// Diagonal of M(MᵀM)⁻¹Mᵀ: how far a value pulls the fit to itself, 0 to 1.
    pub(crate) leverages: Vec<f64>,
}

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum NoFit {
    /// Fewer rows than columns, or no column.
    TooFew,
    /// These columns can't be told apart: one follows from the others.
    Dependent(Vec<usize>),
}

/// Singular values below this share of the largest are nothing but rounding.
const NOTHING: f64 = 1e-10;
/// Share of a direction that a column has to have to be named as part of it.
const PART: f64 = 1e-3;

/// Fits `values` by the columns of `rows`; every row has the same length.
pub(crate) fn least_squares(rows: &[Vec<f64>], values: &[f64]) -> Result<Fit, NoFit> {
    let columns = rows.first().map_or(0, Vec::len);
    if columns == 0 || rows.len() < columns || rows.len() != values.len() {
        return Err(NoFit::TooFew);
    }
    let at = |row: usize, column: usize| {
        rows.get(row).and_then(|row| row.get(column)).copied().unwrap_or(0.0)
    };
    let matrix = DMatrix::from_fn(rows.len(), columns, at);
    let right = DMatrix::from_column_slice(values.len(), 1, values);
    let Some(parts) = matrix.clone().try_svd(true, true, f64::EPSILON, 10_000) else {
        return Err(NoFit::Dependent((0..columns).collect()));
    };
    let (Some(u), Some(v)) = (parts.u, parts.v_t) else { return Err(NoFit::TooFew) };
    let singular: Vec<f64> = parts.singular_values.iter().copied().collect();
    let largest = singular.iter().copied().fold(0.0, f64::max);
    let lost = |value: f64| value.is_nan() || value <= NOTHING * largest;
    let dependent: Vec<usize> = (0..columns)
        .filter(|&column| {
            singular.iter().enumerate().any(|(k, &s)| lost(s) && v[(k, column)].abs() > PART)
        })
        .collect();
    if singular.iter().any(|&value| lost(value)) {
        return Err(NoFit::Dependent(dependent));
    }
    // x = V·S⁻¹·Uᵀ·y and (MᵀM)⁻¹ = V·S⁻²·Vᵀ.
    let inverse = DMatrix::from_fn(columns, columns, |i, k| v[(k, i)] / parts.singular_values[k]);
    let solution = &inverse * (u.transpose() * &right);
    let cofactors = &inverse * inverse.transpose();
    let left = &right - &matrix * &solution;
    Ok(Fit {
        coefficients: solution.iter().copied().collect(),
        cofactors: cofactors.row_iter().map(|row| row.iter().copied().collect()).collect(),
        singular,
        directions: v.row_iter().map(|row| row.iter().copied().collect()).collect(),
        residuals: left.iter().copied().collect(),
        leverages: u.row_iter().map(|row| row.iter().map(|x| x * x).sum()).collect(),
    })
}

impl Fit {
    /// Sum of the squares that are left.
    pub(crate) fn left(&self) -> f64 {
        self.residuals.iter().map(|residual| residual * residual).sum()
    }

    /// s² = Σ r²/(rows − columns); `rows` is how many of them count. Not a number where none is
    /// spare.
    pub(crate) fn variance(&self, rows: usize) -> f64 {
        let spare = count(rows) - count(self.coefficients.len());
        if spare > 0.0 { self.left() / spare } else { f64::NAN }
    }

    /// Largest over smallest singular value.
    pub(crate) fn condition(&self) -> f64 {
        let low = self.singular.iter().copied().fold(f64::INFINITY, f64::min);
        self.singular.iter().copied().fold(0.0, f64::max) / low
    }

    /// The cofactor of two coefficients.
    pub(crate) fn cofactor(&self, one: usize, other: usize) -> f64 {
        self.cofactors.get(one).and_then(|row| row.get(other)).copied().unwrap_or(f64::NAN)
    }

    /// The correlation of two coefficients.
    pub(crate) fn correlation(&self, one: usize, other: usize) -> f64 {
        self.cofactor(one, other)
            / libm::sqrt(self.cofactor(one, one) * self.cofactor(other, other))
    }

    /// xᵀ(MᵀM)⁻¹x: times s² it is the variance of what the fit says at a row x.
    pub(crate) fn spread_at(&self, row: &[f64]) -> f64 {
        row.iter()
            .enumerate()
            .flat_map(|(i, a)| row.iter().enumerate().map(move |(j, b)| (i, j, a * b)))
            .map(|(i, j, product)| product * self.cofactor(i, j))
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008 (GUM) H.3, calibration of a thermometer: y1 −0.1712 (0.0029), y2 0.002 18
    /// (0.000 67), r −0.930, s 0.0035.
    #[test]
    fn the_thermometer_of_the_guide() {
        let t = [
            21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511,
        ];
        let b = [
            -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160,
        ];
        let rows: Vec<Vec<f64>> = t.iter().map(|t| vec![1.0, t - 20.0]).collect();
        let fit = least_squares(&rows, &b).unwrap();
        let s2 = fit.variance(rows.len());
        let near = |got: f64, expected: f64, half: f64| {
            assert!((got - expected).abs() <= half, "{got} for {expected}");
        };
        near(fit.coefficients[0], -0.1712, 5e-5);
        near(fit.coefficients[1], 0.002_18, 5e-6);
        near(libm::sqrt(s2 * fit.cofactor(0, 0)), 0.0029, 5e-5);
        near(libm::sqrt(s2 * fit.cofactor(1, 1)), 0.000_67, 5e-6);
        near(fit.correlation(0, 1), -0.930, 5e-4);
        near(libm::sqrt(s2), 0.0035, 5e-5);
        near(libm::sqrt(s2 * fit.spread_at(&[1.0, 10.0])), 0.0041, 5e-5);
        near(fit.leverages.iter().sum::<f64>(), 2.0, 1e-12);
    }

    #[test]
    fn columns_that_cannot_be_told_apart() {
        let rows: Vec<Vec<f64>> =
            (0..6).map(f64::from).map(|x| vec![1.0, x, x * x, 2.0 * x - 3.0]).collect();
        let values = [0.0, 1.0, 4.0, 9.0, 16.0, 25.0];
        assert_eq!(least_squares(&rows, &values).unwrap_err(), NoFit::Dependent(vec![0, 1, 3]));
        assert_eq!(least_squares(&rows[..3], &values[..3]).unwrap_err(), NoFit::TooFew);
        assert_eq!(least_squares(&[], &[]).unwrap_err(), NoFit::TooFew);
    }
}
