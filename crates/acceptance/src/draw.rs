//! Random draws that come out the same everywhere, and doubt carried through by them.
//!
//! A seed and the number of a stream fix every draw: ChaCha with 8 rounds as a generator of numbers
//! (the `rand_chacha` crate), normal draws by Box and Muller's method (Ann. Math. Statist. 29
//! (1958) 610). Nothing here reads a source of randomness. Propagation: JCGM 101:2008, 5.9 and 7.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore as _, SeedableRng as _};

/// A stream of draws.
#[derive(Debug, Clone)]
pub(crate) struct Draw {
    generator: ChaCha8Rng,
    spare: Option<f64>,
}

/// 2⁻⁵³, the step of a draw between 0 and 1.
const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;

impl Draw {
    /// The stream of a number under a seed.
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(stream);
        Self { generator, spare: None }
    }

    /// Evenly between 0 and 1, both excluded.
    pub(crate) fn even(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits are what a float holds")]
        let bits = (self.generator.next_u64() >> 11) as f64;
        (bits + 0.5) * STEP
    }

    /// Normal with mean 0 and standard deviation 1.
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = libm::sqrt(-2.0 * libm::log(self.even()));
        let angle = 2.0 * core::f64::consts::PI * self.even();
        self.spare = Some(radius * libm::sin(angle));
        radius * libm::cos(angle)
    }
}

/// What came out of many trials.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Propagated {
    /// Mean of the trials.
    pub(crate) mean: f64,
    /// Their standard deviation.
    pub(crate) standard: f64,
    /// Below it lie 2.5 % of them.
    pub(crate) low: f64,
    /// Below it lie 97.5 % of them.
    pub(crate) high: f64,
    /// How many.
    pub(crate) trials: u32,
}

/// Carries doubt through a model that is not linear: the model is run on `trials` draws.
pub(crate) fn propagate(
    trials: u32,
    seed: u64,
    mut model: impl FnMut(&mut Draw) -> f64,
) -> Propagated {
    let mut draw = Draw::new(seed, 0);
    let mut values: Vec<f64> = (0..trials).map(|_| model(&mut draw)).collect();
    values.sort_by(f64::total_cmp);
    let n = f64::from(trials);
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    let at = |share: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of the number of trials"
        )]
        let place = (share * n) as usize;
        values.get(place.min(values.len().saturating_sub(1))).copied().unwrap_or(f64::NAN)
    };
    Propagated {
        mean,
        standard: libm::sqrt(squares / (n - 1.0)),
        low: at(0.025),
        high: at(0.975),
        trials,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_are_normal_and_even_and_the_same_again() {
        let even = propagate(200_000, 7, Draw::even);
        assert!((even.mean - 0.5).abs() < 0.003 && (even.low - 0.025).abs() < 0.002, "{even:?}");
        let normal = propagate(200_000, 7, Draw::normal);
        assert!(normal.mean.abs() < 0.01 && (normal.standard - 1.0).abs() < 0.01, "{normal:?}");
        assert!((normal.high - 1.96).abs() < 0.02, "{normal:?}");
        assert_eq!(normal, propagate(200_000, 7, Draw::normal));
        assert_ne!(normal, propagate(200_000, 8, Draw::normal));
        let streams: Vec<u64> =
            (0..3).map(|stream| Draw::new(1, stream).even().to_bits()).collect();
        assert!(streams[0] != streams[1] && streams[1] != streams[2], "{streams:?}");
    }
}
