//! One bar over many cases, on a terminal only.

use std::io::IsTerminal;
use std::sync::atomic::{AtomicU64, Ordering};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::evidence::follow::Progress;

/// Shows how many cases are done and which is at work; the running of its cars moves the bar within it.
pub struct CasesBar {
    bar: ProgressBar,
    cases: u64,
    done: AtomicU64,
    /// Steps of the tour at work, and how many of them are done.
    tour: (AtomicU64, AtomicU64),
}

/// Parts of the bar that stand for a case.
const PARTS: u64 = 1000;

impl CasesBar {
    /// A bar on the error stream where that is a terminal, else nothing.
    #[must_use]
    pub fn new(cases: usize) -> Self {
        let cases = cases as u64;
        let bar = ProgressBar::hidden();
        if std::io::stderr().is_terminal() {
            bar.set_draw_target(ProgressDrawTarget::stderr());
            bar.set_length(PARTS * cases);
            if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {elapsed}") {
                bar.set_style(style);
            }
        }
        Self {
            bar,
            cases,
            done: AtomicU64::new(0),
            tour: (AtomicU64::new(0), AtomicU64::new(0)),
        }
    }

    /// Says which case is at work.
    pub fn begin(&self, case: &str) {
        let done = self.done.load(Ordering::Relaxed);
        self.bar.set_message(at_work(done, self.cases, case));
    }

    /// Counts the case as done.
    pub fn end(&self) {
        let done = 1 + self.done.fetch_add(1, Ordering::Relaxed);
        self.bar.set_position(PARTS * done);
    }

    /// Takes the bar off the screen.
    pub fn clear(&self) {
        self.bar.finish_and_clear();
    }
}

fn at_work(done: u64, cases: u64, case: &str) -> String {
    let plural = if cases == 1 { "" } else { "s" };
    format!("{done} of {cases} case{plural}, {case}")
}

/// The tours of a case: one with several vehicles has several, and the bar does not go back for them.
impl Progress for CasesBar {
    fn start(&self, steps: usize) {
        self.tour.0.store(steps as u64, Ordering::Relaxed);
        self.tour.1.store(0, Ordering::Relaxed);
    }

    fn step(&self) {
        let step = 1 + self.tour.1.fetch_add(1, Ordering::Relaxed);
        let steps = self.tour.0.load(Ordering::Relaxed).max(1);
        let within = PARTS * step.min(steps) / (steps + 1);
        let position = PARTS * self.done.load(Ordering::Relaxed) + within;
        if position > self.bar.position() {
            self.bar.set_position(position);
        }
    }

    fn finish(&self) {}
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_counts_cases_and_moves_within_one() {
        assert_eq!(at_work(12, 60, "school-run"), "12 of 60 cases, school-run");
        assert_eq!(at_work(0, 1, "school-run"), "0 of 1 case, school-run");
        let bar = CasesBar::new(2);
        bar.begin("one");
        bar.start(4);
        bar.step();
        bar.step();
        let half = bar.bar.position();
        assert!(half > 0 && half < PARTS, "{half}");
        // Another tour of the same case.
        bar.start(4);
        bar.step();
        assert_eq!(bar.bar.position(), half);
        bar.end();
        assert_eq!(bar.bar.position(), PARTS);
    }
}
