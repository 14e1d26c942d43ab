//! The ideal reader in the background of a typed session: it follows while the learner reads.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::{Scope, ScopedJoinHandle};

use scenarios::{Bank, Case};

use crate::action::Action;
use crate::bay::{Bay, Note};
use crate::evidence::follow::Progress;
use crate::evidence::reader::{Hint, Reader, Tours};
use crate::show;

/// A reader at work on its own thread.
pub struct Coach<'scope> {
    jobs: Sender<Job>,
    left: Arc<AtomicBool>,
    thread: ScopedJoinHandle<'scope, Option<Reader>>,
}

/// What the reader is asked.
enum Job {
    /// Follow up to here.
    Follow(Vec<Action>, Vec<Note>),
    /// Follow up to here and say what to check next.
    Hint(Box<Bay>, Sender<Option<Hint>>),
}

impl<'scope> Coach<'scope> {
    /// Starts a reader; the tour is made while the learner reads the work order.
    pub fn start<'env>(
        scope: &'scope Scope<'scope, 'env>,
        bank: &'env Bank,
        case: &'env Case,
        tours: &'env dyn Tours,
    ) -> Self {
        let (jobs, orders) = channel();
        let left = Arc::new(AtomicBool::new(false));
        let until = Arc::clone(&left);
        let thread = scope.spawn(move || work((bank, case), tours, &orders, &until));
        Self { jobs, left, thread }
    }

    /// Lets the reader go: what it has not begun it leaves undone, so that nobody waits for it.
    pub fn leave(self) {
        self.left.store(true, Ordering::Relaxed);
    }

    /// Lets the reader follow a session so far.
    pub fn follow(&self, bay: &Bay) {
        // A reader that is gone is missed when the grade starts one again.
        let _ = self
            .jobs
            .send(Job::Follow(bay.actions().to_vec(), bay.notes().to_vec()));
    }

    /// What the reader would check next, in words; waits until it has followed.
    #[must_use]
    pub fn hint(&self, bay: &Bay) -> String {
        let (reply, answer) = channel();
        let asked = self.jobs.send(Job::Hint(Box::new(bay.clone()), reply));
        let hint = asked.ok().and_then(|()| answer.recv().ok()).flatten();
        words(hint.as_ref())
    }

    /// The reader with all it has followed.
    #[must_use]
    pub fn finish(self) -> Option<Reader> {
        drop(self.jobs);
        self.thread.join().ok().flatten()
    }
}

fn work(
    (bank, case): (&Bank, &Case),
    tours: &dyn Tours,
    orders: &Receiver<Job>,
    left: &AtomicBool,
) -> Option<Reader> {
    let stays = || (!left.load(Ordering::Relaxed)).then_some(());
    stays()?;
    let mut reader = Reader::new(bank, case).ok()?;
    stays()?;
    let tour = tours.tour(bank, case, &()).ok()?;
    let (mut actions, mut notes) = (Vec::new(), Vec::new());
    loop {
        let job = match orders.try_recv() {
            Ok(job) => job,
            Err(TryRecvError::Empty) if reader.use_a_moment(&actions, &notes) => {
                stays()?;
                continue;
            }
            Err(TryRecvError::Empty) => match orders.recv() {
                Ok(job) => job,
                Err(_) => break,
            },
            Err(TryRecvError::Disconnected) => break,
        };
        stays()?;
        match job {
            Job::Follow(done, read) => {
                (actions, notes) = (done, read);
                reader.follow(&actions, &notes, &());
            }
            Job::Hint(bay, reply) => {
                reader.follow(bay.actions(), bay.notes(), &());
                // Whoever asked may have left.
                let _ = reply.send(reader.hint(&bay, &tour));
                (actions, notes) = (bay.actions().to_vec(), bay.notes().to_vec());
            }
        }
    }
    Some(reader)
}

/// A hint where there is no background: what a script asks.
///
/// # Errors
/// A sentence when the car's refrigerant is not known.
pub fn hint_now(
    (bank, case): (&Bank, &Case),
    reader: &mut Option<Reader>,
    tours: &dyn Tours,
    progress: &dyn Progress,
    bay: &Bay,
) -> Result<String, String> {
    let mut followed = match reader.take() {
        Some(reader) => reader,
        None => Reader::new(bank, case).map_err(|error| error.to_string())?,
    };
    followed.follow(bay.actions(), bay.notes(), progress);
    let tour = tours.tour(bank, case, progress);
    let tour: Arc<_> = tour.map_err(|error| error.to_string())?;
    let told = words(followed.hint(bay, &tour).as_ref());
    *reader = Some(followed);
    Ok(told)
}

fn words(hint: Option<&Hint>) -> String {
    let Some(hint) = hint else {
        return "      HINT  No check promises anything more: conclude.\n".to_owned();
    };
    let way = match hint.set_up {
        Some(set_up) => format!(", with the car {set_up}"),
        None => String::new(),
    };
    format!(
        "      HINT  `{}`{way}: about {} min, and it should tell {:.1} bits (1 bit halves what is still possible)\n",
        hint.action,
        show::clock(hint.seconds),
        hint.bits
    )
}
