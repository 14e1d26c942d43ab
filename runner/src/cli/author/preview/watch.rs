//! The preview again on every save.

use std::path::PathBuf;
use std::time::Duration;

use jiff::ZonedDateTime;
use scenarios::Bank;

use super::{PreviewArgs, once};
use crate::cache::TourCache;
use crate::cli::{EXIT_OK, Streams};

/// When a case's file has been saved.
pub trait Changes {
    /// The time of day, as it is to be shown.
    fn now(&self) -> String;

    /// Waits until the file says something else than before; false where it never will.
    fn wait(&mut self) -> bool;
}

/// Shows a case, and again after every change, for as long as there are any. A file with mistakes is
/// told of, and waited for.
///
/// # Errors
/// A sentence where the output cannot be written to.
pub fn watch(
    bank: &Bank,
    args: &PreviewArgs,
    tours: &TourCache,
    changes: &mut dyn Changes,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    loop {
        say(
            streams,
            &format!("== {}  {} ==\n", changes.now(), args.case),
        )?;
        let text = match once(bank, args, tours, streams) {
            Ok((text, _)) => text,
            Err(why) => why + "\n",
        };
        let waiting = format!(
            "\nWaiting for {} to be saved again; Ctrl-C ends.\n",
            args.case
        );
        say(streams, &(text + &waiting))?;
        if !changes.wait() {
            return Ok((String::new(), EXIT_OK));
        }
    }
}

fn say(streams: &mut Streams<'_>, text: &str) -> Result<(), String> {
    let written = streams.output.write_all(text.as_bytes());
    written
        .and_then(|()| streams.output.flush())
        .map_err(|error| format!("the output cannot be written to: {error}"))
}

/// A file looked at every half second: a case is a few kilobytes, and what is in it tells more surely
/// than its time whether there is something new to show.
pub(super) struct Saves {
    path: PathBuf,
    seen: Option<Vec<u8>>,
}

/// Time between two looks.
const LOOK_EVERY: Duration = Duration::from_millis(500);

impl Saves {
    /// Saves of a file after now.
    pub(super) fn of(name: &str) -> Self {
        let path = PathBuf::from(name);
        let seen = std::fs::read(&path).ok();
        Self { path, seen }
    }

    /// Whether the file says something else than when it was last looked at. An editor may take it
    /// away for a moment while it saves.
    fn is_new(&mut self) -> bool {
        let Ok(text) = std::fs::read(&self.path) else {
            return false;
        };
        if self.seen.as_ref() == Some(&text) {
            return false;
        }
        self.seen = Some(text);
        true
    }
}

impl Changes for Saves {
    fn now(&self) -> String {
        ZonedDateTime::now().strftime("%H:%M:%S").to_string()
    }

    fn wait(&mut self) -> bool {
        while !self.is_new() {
            std::thread::sleep(LOOK_EVERY);
        }
        true
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_save_is_what_changes_the_file() {
        let name = format!("coldtrail-{}-saves.toml", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::write(&path, "one").unwrap();
        let mut saves = Saves::of(path.to_str().unwrap());
        assert!(!saves.is_new());
        std::fs::write(&path, "two").unwrap();
        assert!(saves.is_new() && !saves.is_new());
        // Saved as it was, and away for a moment.
        std::fs::write(&path, "two").unwrap();
        assert!(!saves.is_new());
        std::fs::remove_file(&path).unwrap();
        assert!(!saves.is_new());
        std::fs::write(&path, "three").unwrap();
        assert!(saves.is_new());
        std::fs::remove_file(&path).unwrap();
    }
}
