//! Hints: the step is taken at once, and what to check next is worked out in the background, one hint after the other.

use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use super::shelf::lock;

/// Said until a hint is there.
const IN_THE_MAKING: &str =
    "HINT  It is being worked out: your session is run on other cars. Go on meanwhile.";

/// A hint that was asked for.
#[derive(Clone, Debug, Default)]
pub(super) struct Asked(Arc<Mutex<Option<String>>>);

impl Asked {
    /// Whether it is still being worked out.
    pub fn is_awaited(&self) -> bool {
        lock(&self.0).is_none()
    }

    /// What stands on the page of it.
    pub fn words(&self) -> String {
        let told = lock(&self.0).clone();
        told.unwrap_or_else(|| IN_THE_MAKING.to_owned())
    }
}

type Job = Box<dyn FnOnce() + Send>;

/// Works hints out.
#[derive(Debug, Default)]
pub(super) struct Hints {
    jobs: Mutex<Option<Sender<Job>>>,
}

impl Hints {
    /// Has a hint worked out.
    pub fn ask(&self, work: impl FnOnce() -> Result<String, String> + Send + 'static) -> Asked {
        let asked = Asked::default();
        let slot = asked.clone();
        let job: Job = Box::new(move || {
            let told = work().unwrap_or_else(|why| why);
            *lock(&slot.0) = Some(told.trim().to_owned());
        });
        let mut jobs = self.jobs.lock().unwrap_or_else(PoisonError::into_inner);
        let worker = jobs.get_or_insert_with(|| {
            let (jobs, waiting) = channel::<Job>();
            std::thread::spawn(move || waiting.into_iter().for_each(|job| job()));
            jobs
        });
        // A worker that fell over is missed here: the hint then stays in the making, and the next one is begun anew.
        if worker.send(job).is_err() {
            *jobs = None;
        }
        asked
    }
}
