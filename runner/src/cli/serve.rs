//! `coldtrail serve`: the page in a browser, from this program and for this machine.

use clap::Args;
use scenarios::Bank;

use crate::cache::TourCache;
use crate::cli::{EXIT_OK, Streams};
use crate::page;

/// What `coldtrail serve` is asked.
#[derive(Args, Clone, Debug)]
pub struct ServeArgs {
    /// The port to listen at; 0 takes one that is free
    #[arg(long, default_value_t = 8137)]
    pub port: u16,
    /// Folder to keep practice sessions in; left out, one in the system's data folder
    #[arg(long, value_name = "FOLDER")]
    pub sessions: Option<std::path::PathBuf>,
}

/// Opens the page until it is interrupted.
///
/// # Errors
/// A sentence saying why it cannot be opened.
pub fn run(
    bank: &Bank,
    args: &ServeArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let usual = streams.records.as_ref().map(|one| one.join("sessions"));
    let sessions = args.sessions.clone().or(usual).ok_or(
        "the system names no folder for a program's data: name one with --sessions FOLDER",
    )?;
    let tours = TourCache::new(streams.cache.clone());
    let output = &mut streams.output;
    let told = |at| {
        let said = format!(
            "The page is at http://{at}/ for people at this machine, and for nobody else. Ctrl-C closes it.\n"
        );
        // Whoever started it may have closed its output.
        let _ = output.write_all(said.as_bytes());
        let _ = output.flush();
    };
    page::serve(bank.clone(), sessions, tours, args.port, told)
        .map(|()| (String::new(), EXIT_OK))
        .map_err(|why| why.to_string())
}
