//! What is open, in memory: so much and no more. What lies longest untouched goes first, since all of it can be opened
//! again from what was kept of it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Things by their id.
#[derive(Debug)]
pub(super) struct Shelf<T> {
    most: usize,
    inside: Mutex<Inside<T>>,
}

#[derive(Debug)]
struct Inside<T> {
    /// Counts every touch.
    clock: u64,
    things: BTreeMap<String, (u64, Arc<Mutex<T>>)>,
}

impl<T> Shelf<T> {
    /// An empty shelf with room for so many.
    pub fn new(most: usize) -> Self {
        let inside = Inside {
            clock: 0,
            things: BTreeMap::new(),
        };
        Self {
            most,
            inside: Mutex::new(inside),
        }
    }

    // A thread that fell over while it had them leaves them whole: a thing is put there or not.
    fn inside(&self) -> MutexGuard<'_, Inside<T>> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The thing of an id, where it is open.
    pub fn get(&self, id: &str) -> Option<Arc<Mutex<T>>> {
        let mut inside = self.inside();
        inside.clock += 1;
        let clock = inside.clock;
        let (touched, thing) = inside.things.get_mut(id)?;
        *touched = clock;
        Some(Arc::clone(thing))
    }

    /// Puts a thing there, unless somebody else has in the meantime: there is one for an id.
    pub fn put(&self, id: &str, thing: T) -> Arc<Mutex<T>> {
        let mut inside = self.inside();
        inside.clock += 1;
        let clock = inside.clock;
        let things = &mut inside.things;
        while things.len() >= self.most && !things.contains_key(id) {
            // What somebody is at work with stays.
            let idle = things
                .iter()
                .filter(|(_, (_, one))| Arc::strong_count(one) == 1);
            let oldest = idle.min_by_key(|(_, (touched, _))| *touched);
            let Some(oldest) = oldest.map(|(id, _)| id.clone()) else {
                break;
            };
            things.remove(&oldest);
        }
        let (touched, thing) = things
            .entry(id.to_owned())
            .or_insert_with(|| (clock, Arc::new(Mutex::new(thing))));
        *touched = clock;
        Arc::clone(thing)
    }

    /// Takes a thing off: it is opened anew when it is asked for again.
    pub fn take_off(&self, id: &str) {
        self.inside().things.remove(id);
    }
}

/// A thing. A thread that fell over while it had one leaves it as it was before the step.
pub(super) fn lock<T>(thing: &Mutex<T>) -> MutexGuard<'_, T> {
    thing.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_longest_untouched_goes_first_and_what_is_in_use_stays() {
        let shelf = Shelf::new(2);
        let held = shelf.put("a", 1);
        drop(shelf.put("b", 2));
        drop(shelf.put("c", 3));
        assert!(shelf.get("b").is_none());
        assert_eq!(*lock(&held), 1);
        drop(shelf.get("a"));
        drop(held);
        drop(shelf.get("c"));
        drop(shelf.put("d", 4));
        assert!(shelf.get("a").is_none() && shelf.get("c").is_some());
        assert_eq!(*lock(&shelf.put("c", 30)), 3);
    }
}
