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

/// The first root met when a function is scanned from low to high in equal steps. An
/// end at which it is zero to rounding counts.
pub(super) fn first_crossing(
    low: f64,
    high: f64,
    steps: usize,
    function: impl Fn(f64) -> f64,
) -> Option<f64> {
    let width = (high - low) / steps as f64;
    let mut left = low;
    let mut left_value = function(left);
    for step in 1..=steps {
        let right = low + width * step as f64;
        let right_value = function(right);
        if left_value == 0.0 {
            return Some(left);
        }
        if (left_value < 0.0) != (right_value < 0.0) {
            return Some(bisect(left, right, left_value < 0.0, &function));
        }
        left = right;
        left_value = right_value;
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
