//! Who keeps a sitting's steps.

/// Keeps steps.
pub(super) trait Keeper {
    /// Keeps a step of a task, by its number from 1; it is kept when this comes back.
    ///
    /// # Errors
    /// A sentence saying why it could not be kept: nothing may then be shown.
    fn keep(&mut self, task: usize, kind: &str, words: &str, wall_ms: i64) -> Result<(), String>;
}

/// Keeps nothing: practice.
pub(super) struct NothingKept;

impl Keeper for NothingKept {
    fn keep(&mut self, _: usize, _: &str, _: &str, _: i64) -> Result<(), String> {
        Ok(())
    }
}
