//! Forward-mode differentiation: a value and its slopes, carried together.
//!
//! The implicit step needs the slope of every flow with respect to its
//! neighbours' pressure and enthalpy. Writing each part's equation once, over
//! [`Dual`], gives the exact slope with the value, so that no part carries a
//! hand-made derivative that could drift from its equation.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A value with its partial derivatives with respect to `N` independent variables.
///
/// ```
/// use sim_core::dual::Dual;
/// let x = Dual::<1>::variable(3.0, 0);
/// let y = x * x + 1.0;
/// assert_eq!((y.value, y.slope[0]), (10.0, 6.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dual<const N: usize> {
    /// The value itself.
    pub value: f64,
    /// Partial derivatives of the value, one for each independent variable.
    pub slope: [f64; N],
}

impl<const N: usize> Dual<N> {
    /// A value that depends on nothing.
    #[must_use]
    pub fn constant(value: f64) -> Self {
        Self {
            value,
            slope: [0.0; N],
        }
    }

    /// The independent variable number `index`.
    #[must_use]
    pub fn variable(value: f64, index: usize) -> Self {
        let mut slope = [0.0; N];
        if let Some(own) = slope.get_mut(index) {
            *own = 1.0;
        }
        Self { value, slope }
    }

    /// The same quantity seen from a wider set of variables, its own starting at `offset`.
    ///
    /// Slopes that would fall outside the wider set are dropped.
    #[must_use]
    pub fn embed<const M: usize>(self, offset: usize) -> Dual<M> {
        let mut slope = [0.0; M];
        for (wide, own) in slope.iter_mut().skip(offset).zip(self.slope) {
            *wide = own;
        }
        Dual {
            value: self.value,
            slope,
        }
    }

    /// A function of this quantity, given its value and its slope here.
    #[must_use]
    pub fn chain(self, value: f64, outer_slope: f64) -> Self {
        Self {
            value,
            slope: self.slope.map(|s| s * outer_slope),
        }
    }

    /// Square root; the value must be positive.
    #[must_use]
    pub fn sqrt(self) -> Self {
        let root = self.value.sqrt();
        self.chain(root, 0.5 / root)
    }

    /// Cube root; the value must be positive.
    #[must_use]
    pub fn cube_root(self) -> Self {
        let root = libm::cbrt(self.value);
        self.chain(root, root / (3.0 * self.value))
    }

    /// Cubic step from 0 (at or below 0) to 1 (at or above 1), with zero slope at both ends.
    #[must_use]
    pub fn smooth_step(self) -> Self {
        let t = self.value.clamp(0.0, 1.0);
        self.chain(t * t * (3.0 - 2.0 * t), 6.0 * t * (1.0 - t))
    }

    /// The part above zero, rounded over a width of about `softness`.
    #[must_use]
    pub fn soft_positive(self, softness: f64) -> Self {
        let root = (self.value * self.value + softness * softness).sqrt();
        self.chain(0.5 * (self.value + root), 0.5 * (1.0 + self.value / root))
    }

    /// A share that rises from 0, far below zero, to 1, far above it, within a few times `softness`.
    #[must_use]
    pub fn soft_share(self, softness: f64) -> Self {
        let square = self.value * self.value + softness * softness;
        let root = square.sqrt();
        let slope = 0.5 * softness * softness / (square * root);
        self.chain(0.5 * (1.0 + self.value / root), slope)
    }

    /// The larger of this and a constant, with a kink where they meet.
    #[must_use]
    pub fn at_least(self, floor: f64) -> Self {
        if self.value < floor {
            Self::constant(floor)
        } else {
            self
        }
    }

    /// Signed square root of a pressure difference, made linear within about
    /// `softness` of zero so that its slope stays finite where flow reverses.
    #[must_use]
    pub fn signed_root(self, softness: f64) -> Self {
        let square = self.value * self.value + softness * softness;
        let quarter = square.sqrt().sqrt();
        let value = self.value / quarter;
        let slope = (1.0 - 0.5 * self.value * self.value / square) / quarter;
        self.chain(value, slope)
    }

    /// `self` where `share` is 0, `other` where it is 1, a straight mix between.
    #[must_use]
    pub fn mix(self, other: Self, share: Self) -> Self {
        self + (other - self) * share
    }
}

impl<const N: usize> Add for Dual<N> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let mut slope = self.slope;
        for (a, b) in slope.iter_mut().zip(other.slope) {
            *a += b;
        }
        Self {
            value: self.value + other.value,
            slope,
        }
    }
}

impl<const N: usize> Sub for Dual<N> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        let mut slope = self.slope;
        for (a, b) in slope.iter_mut().zip(other.slope) {
            *a -= b;
        }
        Self {
            value: self.value - other.value,
            slope,
        }
    }
}

impl<const N: usize> Mul for Dual<N> {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let mut slope = self.slope;
        for (a, b) in slope.iter_mut().zip(other.slope) {
            *a = *a * other.value + b * self.value;
        }
        Self {
            value: self.value * other.value,
            slope,
        }
    }
}

impl<const N: usize> Div for Dual<N> {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let inverse = 1.0 / other.value;
        let value = self.value * inverse;
        let mut slope = self.slope;
        for (a, b) in slope.iter_mut().zip(other.slope) {
            *a = (*a - value * b) * inverse;
        }
        Self { value, slope }
    }
}

impl<const N: usize> Neg for Dual<N> {
    type Output = Self;
    fn neg(self) -> Self {
        self.chain(-self.value, -1.0)
    }
}

impl<const N: usize> Add<f64> for Dual<N> {
    type Output = Self;
    fn add(self, other: f64) -> Self {
        Self {
            value: self.value + other,
            ..self
        }
    }
}

impl<const N: usize> Sub<f64> for Dual<N> {
    type Output = Self;
    fn sub(self, other: f64) -> Self {
        Self {
            value: self.value - other,
            ..self
        }
    }
}

impl<const N: usize> Mul<f64> for Dual<N> {
    type Output = Self;
    fn mul(self, other: f64) -> Self {
        self.chain(self.value * other, other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every function's slope against a central difference of its value.
    #[test]
    fn slopes_match_differences() {
        type Function = fn(Dual<1>) -> Dual<1>;
        let functions: [(&str, Function); 8] = [
            ("sqrt", |x| x.sqrt()),
            ("cube_root", |x| x.cube_root()),
            ("smooth_step", |x| x.smooth_step()),
            ("soft_positive", |x| (x - 0.5).soft_positive(0.1)),
            ("soft_share", |x| (x - 0.4).soft_share(0.1)),
            ("signed_root", |x| (x - 0.4).signed_root(0.05)),
            ("quotient", |x| (x * x + 2.0) / (x + 1.0)),
            ("mix", |x| (x * 3.0).mix(x * x, x.smooth_step())),
        ];
        for (name, function) in functions {
            for at in [0.1, 0.35, 0.6, 0.93] {
                let slope = function(Dual::variable(at, 0)).slope[0];
                let step = 1e-6;
                let above = function(Dual::variable(at + step, 0)).value;
                let below = function(Dual::variable(at - step, 0)).value;
                let difference = (above - below) / (2.0 * step);
                assert!(
                    (slope - difference).abs() < 1e-7 * (1.0 + slope.abs()),
                    "{name} at {at}: {slope} against {difference}"
                );
            }
        }
    }
}
