//! How often somebody may ask: what is over it is answered with a plain word and costs next to nothing.

use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

/// Wrong codes and passwords from one address: five at once, then one each ten seconds.
const WRONG: (u32, Duration) = (5, Duration::from_secs(10));
/// What one person does: thirty at once, then eight a second. Nobody works faster at a car.
const DONE: (u32, Duration) = (30, Duration::from_millis(125));

/// Limits by address and by person.
#[derive(Debug)]
pub(in crate::page) struct Limits {
    wrong: DefaultKeyedRateLimiter<IpAddr>,
    done: DefaultKeyedRateLimiter<String>,
    turn: Mutex<()>,
}

fn quota((burst, each): (u32, Duration)) -> Quota {
    let burst = NonZeroU32::new(burst).unwrap_or(NonZeroU32::MIN);
    let quota = Quota::with_period(each).unwrap_or(Quota::per_second(burst));
    quota.allow_burst(burst)
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            wrong: RateLimiter::keyed(quota(WRONG)),
            done: RateLimiter::keyed(quota(DONE)),
            turn: Mutex::default(),
        }
    }
}

impl Limits {
    /// Whether an address has one more try: at a password, or at a code after one that nobody has.
    pub fn may_try(&self, address: IpAddr) -> bool {
        self.wrong.check_key(&address).is_ok()
    }

    /// Whether somebody may do one thing more.
    pub fn may_do(&self, who: &str) -> bool {
        self.done.check_key(&who.to_owned()).is_ok()
    }

    /// A turn at what only one may do at a time.
    pub fn turn(&self) -> MutexGuard<'_, ()> {
        self.turn.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Forgets those who have not asked for a while.
    pub fn tidy(&self) {
        self.wrong.retain_recent();
        self.done.retain_recent();
    }
}
