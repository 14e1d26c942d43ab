//! The `coldtrail` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(runner::cli::main())
}
