//! What takes long and uses every core, hints and debriefs, one after the other in the background.

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

/// Does one job after the other.
#[derive(Debug, Default)]
pub(super) struct Worker {
    jobs: Mutex<Option<Sender<Job>>>,
}

impl Worker {
    /// Has something done.
    pub fn does(&self, job: impl FnOnce() + Send + 'static) {
        let mut jobs = self.jobs.lock().unwrap_or_else(PoisonError::into_inner);
        let worker = jobs.get_or_insert_with(|| {
            let (jobs, waiting) = channel::<Job>();
            std::thread::spawn(move || waiting.into_iter().for_each(|job| job()));
            jobs
        });
        // A worker that fell over is missed here: this job is lost with it, and the next one is taken on anew.
        if worker.send(Box::new(job)).is_err() {
            *jobs = None;
        }
    }

    /// Has a hint worked out.
    pub fn hint(&self, work: impl FnOnce() -> Result<String, String> + Send + 'static) -> Asked {
        let asked = Asked::default();
        let slot = asked.clone();
        self.does(move || {
            let told = work().unwrap_or_else(|why| why);
            *lock(&slot.0) = Some(told.trim().to_owned());
        });
        asked
    }
}
