//! Gauss–Legendre quadrature (Abramowitz & Stegun 25.4.29).

/// Places between 0 and 1 with their weights, which add up to 1.
pub(crate) fn legendre(count: u32) -> Vec<(f64, f64)> {
    let n = f64::from(count);
    (1..=count)
        .map(|place| {
            let first = core::f64::consts::PI * (f64::from(place) - 0.25) / (n + 0.5);
            let mut x = libm::cos(first);
            let mut slope = 1.0;
            // Newton's steps from a start that is good to n⁻⁴: six are more than enough.
            for _ in 0..6 {
                let (mut before, mut value) = (1.0, x);
                for degree in 2..=count {
                    let k = f64::from(degree);
                    (before, value) =
                        (value, ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k);
                }
                slope = n * (x * value - before) / (x * x - 1.0);
                x -= value / slope;
            }
            (0.5 - 0.5 * x, 1.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against `numpy.polynomial.legendre.leggauss` (NumPy 2.4.6), moved to 0…1.
    #[test]
    fn nodes_of_numpy() {
        let got = legendre(5);
        let expected = [
            (0.04691007703066802, 0.11846344252809464),
            (0.23076534494715845, 0.23931433524968324),
            (0.5, 0.28444444444444444),
            (0.7692346550528415, 0.23931433524968324),
            (0.9530899229693319, 0.11846344252809464),
        ];
        for ((x, w), (x_0, w_0)) in got.iter().zip(expected) {
            assert!((x - x_0).abs() < 1e-15 && (w - w_0).abs() < 1e-15, "{x} {w}");
        }
        assert_eq!(got.len(), 5);
    }

    /// Exact for polynomials of degree 2n − 1 and not beyond.
    #[test]
    fn exact_to_its_degree() {
        let mean = |count, power: i32| -> f64 {
            legendre(count).iter().map(|(x, w)| w * x.powi(power)).sum()
        };
        assert!((mean(16, 31) - 1.0 / 32.0).abs() < 1e-15);
        assert!((mean(40, 0) - 1.0).abs() < 1e-14);
        assert!((mean(4, 9) - 0.1).abs() > 1e-9);
    }
}
