//! Means, variances and correlations.

/// The mean; `None` of nothing.
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The sample's variance, with one less than the count below; `None` of fewer than two.
#[must_use]
pub fn variance(values: &[f64]) -> Option<f64> {
    let middle = mean(values)?;
    let squares: f64 = values.iter().map(|x| (x - middle) * (x - middle)).sum();
    (values.len() > 1).then(|| squares / (values.len() - 1) as f64)
}

/// A correlation with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlation {
    /// Pearson's r.
    pub r: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Quantile of the normal distribution that leaves 2.5 % above.
pub const TWO_SIDED_95: f64 = 1.959_963_984_540_054;

/// Pearson's correlation of pairs, its interval by Fisher's transform (Fisher 1921). `None` of fewer
/// than four pairs, or where one side is the same throughout.
#[must_use]
pub fn correlation(pairs: &[(f64, f64)]) -> Option<Correlation> {
    let count = pairs.len() as f64;
    if pairs.len() < 4 {
        return None;
    }
    let (sum_x, sum_y) = pairs
        .iter()
        .fold((0.0, 0.0), |(x, y), pair| (x + pair.0, y + pair.1));
    let (mean_x, mean_y) = (sum_x / count, sum_y / count);
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (x, y) in pairs {
        let (dx, dy) = (x - mean_x, y - mean_y);
        xx += dx * dx;
        yy += dy * dy;
        xy += dx * dy;
    }
    // Marks go to 100: a spread that is only round-off of their mean is none.
    let nothing = 1e-18 * count;
    if xx <= nothing * (1.0 + mean_x * mean_x) || yy <= nothing * (1.0 + mean_y * mean_y) {
        return None;
    }
    let r = (xy / (xx * yy).sqrt()).clamp(-1.0, 1.0);
    let reach = TWO_SIDED_95 / (count - 3.0).sqrt();
    let turned = libm::atanh(r);
    Some(Correlation {
        r,
        low: libm::tanh(turned - reach),
        high: libm::tanh(turned + reach),
    })
}
