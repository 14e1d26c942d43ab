//! A bar for long work, on a terminal only.

use std::io::IsTerminal;

use indicatif::{ProgressBar, ProgressStyle};

use crate::evidence::follow::Progress;

/// Shows how far the running of many cars has come, with the time left.
pub struct Bar {
    bar: ProgressBar,
    what: &'static str,
}

impl Bar {
    /// A bar on the error stream where that is a terminal, else nothing.
    #[must_use]
    pub fn new(what: &'static str) -> Self {
        Self {
            bar: ProgressBar::hidden(),
            what,
        }
    }
}

impl Progress for Bar {
    fn start(&self, steps: usize) {
        if !std::io::stderr().is_terminal() {
            return;
        }
        let bar = &self.bar;
        bar.set_draw_target(indicatif::ProgressDrawTarget::stderr());
        bar.set_length(steps as u64);
        bar.reset();
        bar.set_message(self.what);
        let style = "{msg} {wide_bar} {pos} of {len}, {eta} left";
        if let Ok(style) = ProgressStyle::with_template(style) {
            bar.set_style(style);
        }
    }

    fn step(&self) {
        self.bar.inc(1);
    }

    fn finish(&self) {
        self.bar.finish_and_clear();
    }
}
