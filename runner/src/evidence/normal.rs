//! The normal distribution, with `libm` so that every machine gets the same bits.

/// Density of the standard normal distribution.
#[must_use]
pub fn density(x: f64) -> f64 {
    libm::exp(-0.5 * x * x) / (2.0 * std::f64::consts::PI).sqrt()
}

/// Probability that a standard normal deviate lies below a value.
///
/// ```
/// use runner::evidence::normal::below;
/// assert_eq!(below(0.0), 0.5);
/// // SciPy 1.16, `scipy.stats.norm.cdf(1.96)`.
/// assert!((below(1.96) - 0.975_002_104_851_779_5).abs() < 1e-15);
/// ```
#[must_use]
pub fn below(x: f64) -> f64 {
    0.5 * libm::erfc(-x / std::f64::consts::SQRT_2)
}
