//! A bar for long work, on a terminal only.

use std::io::IsTerminal;

use indicatif::{ProgressBar, ProgressStyle};

use crate::grade::Progress;

/// Shows how far the search for rivals has come.
pub struct Bar {
    bar: ProgressBar,
}

impl Bar {
    /// A bar on the error stream where that is a terminal, else nothing.
    #[must_use]
    pub fn new() -> Self {
        Self {
            bar: ProgressBar::hidden(),
        }
    }
}

impl Progress for Bar {
    fn start(&mut self, cars: usize) {
        if !std::io::stderr().is_terminal() {
            return;
        }
        let style = ProgressStyle::with_template(
            "Running your session on other cars {wide_bar} {pos} of {len}, {eta} left",
        );
        self.bar = ProgressBar::new(cars as u64);
        if let Ok(style) = style {
            self.bar.set_style(style);
        }
    }

    fn step(&mut self) {
        self.bar.inc(1);
    }

    fn finish(&mut self) {
        self.bar.finish_and_clear();
    }
}
