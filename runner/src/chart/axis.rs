//! From a quantity to a place along an edge of a chart, and where its lines go.

/// An edge of a chart: values from `from` to `to` lie evenly, or evenly in their logarithm,
/// between two pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Value at the first pixel.
    pub from: f64,
    /// Value at the last one.
    pub to: f64,
    /// First pixel.
    pub from_px: f64,
    /// Last pixel.
    pub to_px: f64,
    /// Even in the logarithm.
    pub logarithmic: bool,
}

impl Axis {
    /// The pixel of a value.
    #[must_use]
    pub fn px(&self, value: f64) -> f64 {
        let share = if self.logarithmic {
            libm::log(value / self.from) / libm::log(self.to / self.from)
        } else {
            (value - self.from) / (self.to - self.from)
        };
        self.from_px + share * (self.to_px - self.from_px)
    }

    /// The value at a pixel.
    #[must_use]
    pub fn value(&self, px: f64) -> f64 {
        let share = (px - self.from_px) / (self.to_px - self.from_px);
        if self.logarithmic {
            self.from * libm::exp(share * libm::log(self.to / self.from))
        } else {
            self.from + share * (self.to - self.from)
        }
    }

    /// Whether a value is on the edge.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        let slack = 1e-9 * (self.to - self.from).abs();
        value >= self.from - slack && value <= self.to + slack
    }

    /// Multiples of a step that are on the edge.
    #[must_use]
    pub fn multiples(&self, step: f64) -> Vec<f64> {
        let first = libm::ceil(self.from / step - 1e-9) as i64;
        let last = libm::floor(self.to / step + 1e-9) as i64;
        (first..=last).map(|count| count as f64 * step).collect()
    }

    /// Numbers that start with one of `digits` and go on in zeros, of those on the edge.
    #[must_use]
    pub fn round_numbers(&self, digits: &[f64]) -> Vec<f64> {
        let mut decade = 1e-3;
        let mut found = Vec::new();
        while decade <= self.to {
            found.extend(
                digits
                    .iter()
                    .map(|digit| digit * decade)
                    .filter(|value| self.holds(*value)),
            );
            decade *= 10.0;
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINEAR: Axis = Axis {
        from: -30.0,
        to: 30.0,
        from_px: 100.0,
        to_px: 700.0,
        logarithmic: false,
    };

    #[test]
    fn places_and_values_are_each_others_inverse() {
        let pressure = Axis {
            from: 50.0,
            to: 5000.0,
            from_px: 700.0,
            to_px: 100.0,
            logarithmic: true,
        };
        assert!((pressure.px(500.0) - 400.0).abs() < 1e-9);
        for axis in [LINEAR, pressure] {
            let value = axis.value(250.0);
            assert!((axis.px(value) - 250.0).abs() < 1e-9);
        }
    }

    #[test]
    fn lines_go_where_a_person_would_put_them() {
        assert_eq!(LINEAR.multiples(20.0), [-20.0, 0.0, 20.0]);
        let pressure = Axis {
            from: 50.0,
            to: 5000.0,
            ..LINEAR
        };
        let numbers: Vec<i64> = pressure
            .round_numbers(&[1.0, 2.0, 5.0])
            .into_iter()
            .map(|value| libm::round(value) as i64)
            .collect();
        assert_eq!(numbers, [50, 100, 200, 500, 1000, 2000, 5000]);
    }
}
