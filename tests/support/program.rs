//! The program run in process: words and bytes in, bytes and an exit code out.

use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

use clap::Parser;
use runner::cli::{Cli, Streams, run, width_of};

use crate::tours;

/// What a run of the program left behind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ran {
    /// Exit code.
    pub code: u8,
    /// Standard output.
    pub output: String,
    /// Standard error.
    pub errors: String,
}

/// Runs `coldtrail` with these arguments where nobody can type.
#[must_use]
pub fn coldtrail(arguments: &[&str]) -> Ran {
    launch(arguments, b"", false)
}

/// Runs `coldtrail` at a terminal at which these bytes are typed.
#[must_use]
pub fn typed(arguments: &[&str], keys: &[u8]) -> Ran {
    launch(arguments, keys, true)
}

/// The same at a terminal of so many columns.
#[must_use]
pub fn typed_on(columns: usize, arguments: &[&str], keys: &[u8]) -> Ran {
    launch_on(Some(columns), arguments, keys, true)
}

/// Plays a script from a file of its own; further arguments follow `practice`.
#[must_use]
pub fn play(script: &str, arguments: &[&str]) -> Ran {
    let file = ScriptFile::new(script);
    let mut all = vec!["practice", "--script", file.path()];
    all.extend(arguments);
    coldtrail(&all)
}

/// The actions that a session's JSON tells of, as a script.
///
/// # Panics
/// When it is no such JSON.
#[must_use]
pub fn script_of(json: &str) -> String {
    let told: serde_json::Value = serde_json::from_str(json).expect("JSON");
    let actions = told["actions"].as_array().expect("a list of actions");
    let lines = actions.iter().map(|action| action.as_str().expect("text"));
    lines.collect::<Vec<_>>().join("\n")
}

/// Runs `coldtrail` on these bytes; they come from a terminal or they do not.
///
/// # Panics
/// Where the arguments are not a command line.
#[must_use]
pub fn launch(arguments: &[&str], input: &[u8], input_is_terminal: bool) -> Ran {
    launch_on(None, arguments, input, input_is_terminal)
}

fn launch_on(
    columns: Option<usize>,
    arguments: &[&str],
    mut input: &[u8],
    input_is_terminal: bool,
) -> Ran {
    let line = ["coldtrail"].into_iter().chain(arguments.iter().copied());
    let cli = Cli::try_parse_from(line).unwrap_or_else(|error| panic!("{error}"));
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let code = run(
        &cli,
        &mut Streams {
            input: &mut input,
            input_is_terminal,
            output: &mut output,
            errors: &mut errors,
            width: width_of(columns),
            fresh_seed: 1,
            cache: Some(tours::folder()),
            records: None,
        },
    );
    Ran {
        code,
        output: String::from_utf8(output).expect("text"),
        errors: String::from_utf8(errors).expect("text"),
    }
}

/// A script on disk for as long as it is played.
pub struct ScriptFile(PathBuf);

impl ScriptFile {
    /// Writes it.
    ///
    /// # Panics
    /// Where there is no folder for temporary files.
    #[must_use]
    pub fn new(text: &str) -> Self {
        Self::ending(text, "script")
    }

    /// Writes another file than a script, by how its name ends.
    ///
    /// # Panics
    /// Where there is no folder for temporary files.
    #[must_use]
    pub fn ending(text: &str, ending: &str) -> Self {
        static MADE: AtomicUsize = AtomicUsize::new(0);
        let number = MADE.fetch_add(1, Ordering::Relaxed);
        let name = format!("coldtrail-{}-{number}.{ending}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::write(&path, text).expect("a folder for temporary files");
        Self(path)
    }

    /// Where it is.
    ///
    /// # Panics
    /// Where that is not plain text.
    #[must_use]
    pub fn path(&self) -> &str {
        self.0.to_str().expect("a path of plain text")
    }
}

impl Drop for ScriptFile {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}
