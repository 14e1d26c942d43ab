//! The beta and F distributions, with `libm`.

/// Most terms of the continued fraction; a few dozen are enough for any form.
const TERMS: u32 = 10_000;
/// The fraction ends where a term changes nothing any more.
const SETTLED: f64 = 1e-15;
/// Stands for a denominator of nothing.
const TINY: f64 = 1e-300;

/// The regularised incomplete beta function: the share of a beta distribution below `x`.
///
/// By its continued fraction (Abramowitz & Stegun 1964, 26.5.8), in the way of Lentz (1976).
///
/// ```
/// use runner::figures::special::beta_below;
/// assert!((beta_below(1.0, 1.0, 0.3) - 0.3).abs() < 1e-14);
/// ```
#[must_use]
pub fn beta_below(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    // The fraction converges fast on this side of the mean, and the other side mirrors it.
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - beta_below(b, a, 1.0 - x);
    }
    let log_front = a * libm::log(x) + b * libm::log1p(-x) - ln_beta(a, b);
    libm::exp(log_front) / a * fraction(a, b, x)
}

/// Logarithm of the beta function.
#[must_use]
pub fn ln_beta(a: f64, b: f64) -> f64 {
    libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b)
}

fn fraction(a: f64, b: f64, x: f64) -> f64 {
    let held = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / held(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    for index in 1..=TERMS {
        let m = f64::from(index);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut change = 1.0;
        for term in [even, odd] {
            d = 1.0 / held(1.0 + term * d);
            c = held(1.0 + term / c);
            change = c * d;
            value *= change;
        }
        if (change - 1.0).abs() < SETTLED {
            break;
        }
    }
    value
}

/// The value of an F distribution that a share of it lies above.
#[must_use]
pub fn f_above(share: f64, above_freedom: f64, below_freedom: f64) -> f64 {
    let (a, b) = (0.5 * above_freedom, 0.5 * below_freedom);
    // What lies below in the beta distribution of x = d1 F / (d1 F + d2) grows with x.
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if beta_below(a, b, middle) < 1.0 - share {
            low = middle;
        } else {
            high = middle;
        }
    }
    let x = 0.5 * (low + high);
    below_freedom * x / (above_freedom * (1.0 - x))
}
