//! A long list worked through from both halves at once: what uses one processor and a half by itself uses two so.

use std::panic::resume_unwind;
use std::thread::scope;

/// What `of` makes of each, in order. Threads of its own and none of a pool's: `of` may wait for one.
pub fn halves<T: Sync, R: Send>(items: &[T], of: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let (first, second) = items.split_at(items.len() / 2);
    let all = |half: &[T]| half.iter().map(&of).collect::<Vec<R>>();
    scope(|threads| {
        let second = threads.spawn(|| all(second));
        let mut made = all(first);
        made.extend(second.join().unwrap_or_else(|why| resume_unwind(why)));
        made
    })
}
