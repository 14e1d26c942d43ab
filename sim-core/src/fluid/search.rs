//! Roots of a function of one variable, bracketed so that they are always found.

/// The root in [low, high] of a function that rises, from its value and slope: Newton's
/// step where it stays inside the bracket and the bracket shrinks, bisection otherwise.
/// Without a sign change the nearer end comes back.
pub(super) fn solve_increasing(
    mut low: f64,
    mut high: f64,
    start: f64,
    function: impl Fn(f64) -> (f64, f64),
) -> f64 {
    let mut at = if start > low && start < high {
        start
    } else {
        0.5 * (low + high)
    };
    let mut width_before = high - low;
    for round in 0..200 {
        let (value, slope) = function(at);
        if value == 0.0 {
            return at;
        }
        if value < 0.0 {
            low = at;
        } else {
            high = at;
        }
        let newton = at - value / slope;
        let mut next = newton;
        // Every eighth round the bracket must have halved, or it is halved here.
        let slow = round % 8 == 7 && high - low > 0.5 * width_before;
        if round % 8 == 7 {
            width_before = high - low;
        }
        let outside = !(newton > low && newton < high);
        if outside && (newton - at).abs() <= 1e-14 * at.abs() {
            return at;
        }
        if outside || slow {
            next = 0.5 * (low + high);
        }
        if (next - at).abs() <= 1e-15 * at.abs() {
            return next;
        }
        at = next;
    }
    at
}

/// The first root met when a function is scanned from low to high in equal steps. Where
/// the function turns back towards zero within two steps it is looked at more closely.
pub(super) fn first_crossing(
    low: f64,
    high: f64,
    steps: usize,
    function: impl Fn(f64) -> f64,
) -> Option<f64> {
    let width = (high - low) / steps as f64;
    let mut before = (low, f64::INFINITY);
    let mut left = (low, function(low));
    for step in 1..=steps {
        if left.1 == 0.0 {
            return Some(left.0);
        }
        let at = low + width * step as f64;
        let right = (at, function(at));
        let rising = left.1 < 0.0;
        if rising != (right.1 < 0.0) {
            return Some(bisect(left.0, right.0, rising, &function));
        }
        if left.1.abs() < before.1.abs() && left.1.abs() < right.1.abs() {
            let sign = if rising { -1.0 } else { 1.0 };
            if let Some(turn) = below_zero(before.0, right.0, |x| sign * function(x)) {
                return Some(bisect(before.0, turn, rising, &function));
            }
        }
        before = left;
        left = right;
    }
    (left.1 == 0.0).then_some(left.0)
}

/// A place where a function with one minimum between low and high is not above zero,
/// sought by golden sections.
fn below_zero(mut low: f64, mut high: f64, function: impl Fn(f64) -> f64) -> Option<f64> {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let mut left = high - GOLDEN * (high - low);
    let mut right = low + GOLDEN * (high - low);
    let (mut left_value, mut right_value) = (function(left), function(right));
    for _ in 0..60 {
        if left_value <= 0.0 {
            return Some(left);
        }
        if right_value <= 0.0 {
            return Some(right);
        }
        if left_value < right_value {
            high = right;
            (right, right_value) = (left, left_value);
            left = high - GOLDEN * (high - low);
            left_value = function(left);
        } else {
            low = left;
            (left, left_value) = (right, right_value);
            right = low + GOLDEN * (high - low);
            right_value = function(right);
        }
    }
    None
}

fn bisect(mut low: f64, mut high: f64, rising: bool, function: &impl Fn(f64) -> f64) -> f64 {
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if (function(middle) < 0.0) == rising {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steep_and_flat_function_is_solved() {
        // x^9 at 2: Newton from the flat part would leave the bracket.
        let ninth = |x: f64| {
            let square = x * x;
            let eighth = square * square * square * square;
            (eighth * x - 512.0, 9.0 * eighth)
        };
        let root = solve_increasing(-1.0, 1e3, 1e-3, ninth);
        assert!((root - 2.0).abs() < 1e-12, "{root}");
    }

    #[test]
    fn without_a_root_the_nearer_end_comes_back() {
        let root = solve_increasing(1.0, 2.0, 1.5, |x| (x - 3.0, 1.0));
        assert!((root - 2.0).abs() < 1e-9, "{root}");
    }

    #[test]
    fn the_first_of_two_roots_is_found_even_within_one_step() {
        // (x − 0.51)(x − 0.53) is below zero only within one of the ten steps.
        let function = |x: f64| (x - 0.51) * (x - 0.53);
        let root = first_crossing(0.0, 1.0, 10, function);
        assert!((root.unwrap_or(0.0) - 0.51).abs() < 1e-12, "{root:?}");
        assert_eq!(first_crossing(0.0, 1.0, 10, |x| function(x) + 0.01), None);
    }
}
