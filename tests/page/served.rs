//! The program, serving as a process of its own, which can be killed.

use std::io::{BufRead, BufReader};
use std::process::{Child, ChildStdout, Command, Stdio};

use clap::Parser;
use coldtrail_checks::tours;
use runner::cli::{Cli, Streams, run, width_of};

/// Holds the arguments of a child.
const ROLE: &str = "COLDTRAIL_SERVES";

/// The program, serving.
pub struct Served {
    child: Child,
    /// Kept, so that nobody writes to a pipe without an end.
    _output: BufReader<ChildStdout>,
    /// The line that it says.
    pub said: String,
}

impl Served {
    /// Starts `coldtrail serve` with these arguments, a line each.
    pub fn start(arguments: &[&str]) -> Self {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "served::as_the_program",
                "--exact",
                "--ignored",
                "--nocapture",
            ])
            .env(ROLE, arguments.join("\n"))
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut output = BufReader::new(child.stdout.take().unwrap());
        let mut said = String::new();
        while !said.contains("://") {
            said.clear();
            let read = output.read_line(&mut said).unwrap();
            assert!(read > 0, "it does not say where it is");
        }
        Self {
            child,
            _output: output,
            said,
        }
    }

    /// Kills it in whatever it is doing.
    pub fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
#[ignore = "started by other tests, as a process of its own"]
fn as_the_program() {
    let arguments = std::env::var(ROLE).expect("arguments, a line each");
    let line = ["coldtrail", "serve"].into_iter().chain(arguments.lines());
    let cli = Cli::try_parse_from(line).unwrap();
    let mut streams = Streams {
        input: &mut std::io::empty(),
        input_is_terminal: false,
        output: &mut std::io::stdout(),
        errors: &mut std::io::stderr(),
        width: width_of(None),
        fresh_seed: 1,
        cache: Some(tours::folder()),
        records: None,
    };
    assert_eq!(run(&cli, &mut streams), 0);
}
