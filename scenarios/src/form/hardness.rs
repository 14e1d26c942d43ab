//! How hard the built-in cases are, so that one candidate's cars can be as hard as another's.
//!
//! A case that promises few bits a minute is hard: its number is the minutes of the best path for each bit it
//! tells, in the middle of the case's ranges. The evidence engine finds it; `tests/bank_check.rs` holds the
//! table against what it finds, and rewrites it.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

/// A file as written.
#[derive(Deserialize)]
struct File {
    minutes_per_bit: BTreeMap<String, f64>,
}

static TABLE: LazyLock<BTreeMap<String, f64>> = LazyLock::new(|| {
    let file = toml::from_str::<File>(include_str!("../../hardness.toml"));
    file.map(|file| file.minutes_per_bit).unwrap_or_default()
});

/// Minutes of the best path through a built-in case for each bit it tells; none of a case that is not built in.
///
/// ```
/// assert!(scenarios::form::minutes_per_bit("school-run").is_some_and(|minutes| minutes > 0.0));
/// assert_eq!(scenarios::form::minutes_per_bit("of-my-own"), None);
/// ```
#[must_use]
pub fn minutes_per_bit(case: &str) -> Option<f64> {
    TABLE.get(case).copied()
}
