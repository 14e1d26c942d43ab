//! Draws from a seeded stream: the only chance in the library.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A stream of draws, fixed by a seed and a number that tells streams of one seed apart.
#[derive(Clone, Debug)]
pub struct Draws(ChaCha8Rng);

impl Draws {
    /// The stream `number` of a seed.
    #[must_use]
    pub fn new(seed: u64, number: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(number);
        Self(rng)
    }

    /// A number from 0 up to, not including, 1: the top 53 bits of a draw.
    pub fn uniform(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// A normal deviate, mean 0 and standard deviation 1 (Box & Muller 1958, with `libm`).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(1.0 - self.uniform())).sqrt();
        radius * libm::cos(2.0 * std::f64::consts::PI * self.uniform())
    }

    /// A normal deviate cut at two standard deviations: what passes a factory's final check.
    pub fn within_tolerance(&mut self) -> f64 {
        self.normal().clamp(-2.0, 2.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_deviates_have_mean_zero_and_spread_one() {
        let mut draws = Draws::new(7, 0);
        let count = 40_000;
        let (mut sum, mut squares) = (0.0, 0.0);
        for _ in 0..count {
            let x = draws.normal();
            sum += x;
            squares += x * x;
        }
        let mean = sum / f64::from(count);
        let variance = squares / f64::from(count) - mean * mean;
        // Three standard errors of mean and variance for this many draws.
        assert!(mean.abs() < 0.015, "mean {mean}");
        assert!((variance - 1.0).abs() < 0.0213, "variance {variance}");
    }

    #[test]
    fn streams_of_one_seed_differ_and_repeat() {
        let first = Draws::new(1, 0).uniform();
        assert_eq!(first.to_bits(), Draws::new(1, 0).uniform().to_bits());
        assert_ne!(first.to_bits(), Draws::new(1, 1).uniform().to_bits());
        assert_ne!(first.to_bits(), Draws::new(2, 0).uniform().to_bits());
    }
}
