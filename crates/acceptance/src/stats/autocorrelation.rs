//! How much a list of samples says when each resembles the one before.
//!
//! Source: G. V. Bayley, J. M. Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184, "The effective
//! number of independent observations in an autocorrelated time series", from memory:
//! n_eff = n/(1 + 2·Σ (1 − k/n)·ρ_k). The sum ends before the first ρ_k that is not positive, since
//! those beyond are mostly noise; ρ_k is taken within each run and never across a pause.

use super::{count, mean};

/// What the correlation from sample to sample leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Effective {
    /// The number of independent samples that would say as much; 1 to n.
    pub(crate) samples: f64,
    /// Correlation of a sample with the next one.
    pub(crate) first: f64,
}

/// The effective number of samples in runs of equally spaced ones, about the mean of all.
pub(crate) fn effective(runs: &[Vec<f64>]) -> Effective {
    let all: Vec<f64> = runs.iter().flatten().copied().collect();
    let (n, middle) = (count(all.len()), mean(&all));
    let squares: f64 = all.iter().map(|x| (x - middle) * (x - middle)).sum();
    if all.len() < 2 || squares <= 0.0 {
        return Effective { samples: n.min(1.0), first: 0.0 };
    }
    let correlation = |lag: usize| -> f64 {
        let products = |run: &Vec<f64>| -> f64 {
            run.iter().zip(run.iter().skip(lag)).map(|(a, b)| (a - middle) * (b - middle)).sum()
        };
        runs.iter().map(products).sum::<f64>() / squares
    };
    let longest = runs.iter().map(Vec::len).max().unwrap_or(0);
    let mut sum = 0.0;
    for lag in 1..longest {
        let rho = correlation(lag);
        if rho <= 0.0 {
            break;
        }
        sum += (1.0 - count(lag) / n) * rho;
    }
    Effective { samples: (n / (1.0 + 2.0 * sum)).clamp(1.0, n), first: correlation(1) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::Draw;

    /// A first-order chain with ρ has n_eff = n·(1 − ρ)/(1 + ρ) in the limit.
    #[test]
    fn a_chain_of_first_order() {
        for (rho, expected) in [(0.0_f64, 1.0), (0.5, 1.0 / 3.0), (0.8, 1.0 / 9.0)] {
            let mut draw = Draw::new(5, 0);
            let mut value = 0.0;
            let chain: Vec<f64> = (0..20_000)
                .map(|_| {
                    value = rho * value + libm::sqrt(1.0 - rho * rho) * draw.normal();
                    value
                })
                .collect();
            let found = effective(&[chain]);
            assert!((found.samples / 20_000.0 / expected - 1.0).abs() < 0.15, "{rho} {found:?}");
            assert!((found.first - rho).abs() < 0.02, "{rho} {found:?}");
        }
        assert!((effective(&[vec![1.0; 9]]).samples - 1.0).abs() < 1e-12, "a stuck sensor");
        // Two runs that each stand still say two things, not twenty.
        let runs = effective(&[vec![1.0; 10], vec![2.0; 10]]);
        assert!(runs.samples < 4.0, "{runs:?}");
    }
}
