//! `coldtrail author`: for those who write cases.

mod bar;
mod calibrate;
mod check;
mod files;
pub(crate) mod found;
mod new;
mod packs;
mod parallel;
pub mod preview;
mod schema;

use clap::{Args, Subcommand};
use scenarios::Library;

use crate::cli::Streams;

/// What `coldtrail author` is asked.
#[derive(Args, Clone, Debug)]
pub struct AuthorArgs {
    #[command(subcommand)]
    command: AuthorCommand,
}

#[derive(Clone, Debug, Subcommand)]
enum AuthorCommand {
    /// Answer a few questions, and have a case written with a remark above each line
    New(Box<new::NewArgs>),
    /// Find out whether a case can be solved, how, and what it is taken for
    Check(check::CheckArgs),
    /// Show a case: its work order, what healthy and faulty car read, and a model debrief
    Preview(preview::PreviewArgs),
    /// Measure how often what the ideal reader calls so and so likely is so
    Calibrate(calibrate::CalibrateArgs),
    /// Show how alike in difficulty the sittings are that a form deals
    Parallel(parallel::ParallelArgs),
    /// Print the form of a file as JSON Schema, for an editor to complete and check
    Schema(schema::SchemaArgs),
    /// Sign a bundle of your own and seal it, so that only the offices you name can read it
    Seal(packs::SealArgs),
    /// Open a bundle that was sealed for your office, and write its files
    Unseal(packs::UnsealArgs),
}

/// Runs one of the author's commands.
///
/// # Errors
/// A sentence saying why it could not be carried out.
pub fn run(
    library: &Library,
    args: &AuthorArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let bank = &library.bank;
    match &args.command {
        AuthorCommand::New(args) => new::run(bank, args, streams),
        AuthorCommand::Check(args) => check::run(bank, args, streams),
        AuthorCommand::Preview(args) => preview::run(bank, args, streams),
        AuthorCommand::Calibrate(args) => calibrate::run(bank, args, streams),
        AuthorCommand::Parallel(args) => parallel::run(library, args, streams),
        AuthorCommand::Schema(args) => schema::run(bank, args),
        AuthorCommand::Seal(args) => packs::sealed(args, streams),
        AuthorCommand::Unseal(args) => packs::unsealed(args, streams),
    }
}
