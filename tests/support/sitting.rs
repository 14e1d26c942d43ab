//! A short form that sittings are tried on.

/// A car and two questions; the day is one that other tests work on, too.
pub const FORM: &str = r#"
version = 1
title = "One car, two questions"
purpose = "A test."

[time]
shop = "50 min"
wall = "60 min"

[[cases]]
count = 1
from = ["freezes-on-long-trips"]
repair = true

[[questions]]
count = 2
topics = ["safety"]
weight = 0.5

[pass]
mark = 50
standard = "A test."
"#;
