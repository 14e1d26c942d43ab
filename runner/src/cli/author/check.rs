//! `coldtrail author check`: can a case be solved, how, and what is it taken for.

use clap::Args;
use scenarios::Bank;

use crate::author::check;
use crate::author::versions::versions;
use crate::cache::TourCache;
use crate::cli::author::bar::CasesBar;
use crate::cli::author::files::{case_named, id_of, named};
use crate::cli::author::found::{self, Checked};
use crate::cli::{EXIT_FAILED, EXIT_OK, Output, Streams};
use crate::show;

/// What `coldtrail author check` is asked.
#[derive(Args, Clone, Debug)]
pub struct CheckArgs {
    /// Cases, as `coldtrail cases` names them, as TOML files or as folders of them; left out, all of
    /// the bank
    pub cases: Vec<String>,
    /// Number that makes the car
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Look at this many drawn versions more of a case that has ranges
    #[arg(long, default_value_t = 0, value_name = "N")]
    pub versions: u64,
    /// How to print the result
    #[arg(long, value_enum, default_value = "text")]
    pub format: Output,
}

/// Checks cases; fails when one of them cannot be used. A file with mistakes is a case that cannot be
/// used, and the others are checked all the same.
///
/// # Errors
/// A sentence where there is nothing of a name.
pub fn run(
    bank: &Bank,
    args: &CheckArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let asked = named(bank, &args.cases)?;
    let tours = TourCache::new(streams.cache.clone());
    let bar = CasesBar::new(asked.len());
    let mut unusable: Vec<&str> = Vec::new();
    let (mut pages, mut results) = (Vec::new(), Vec::new());
    // One case after the other: the cars of its tour are run on every core already, and two tours at
    // once would only hold twice the memory. Cases on one vehicle and day share a tour besides.
    for name in &asked {
        bar.begin(id_of(name));
        let (page, result) = match case_named(bank, name, args.seed) {
            Ok((bank, case)) => {
                let found = check(&bank, &case, &tours, &bar);
                let dealt = versions(&bank, &case.scenario.id, args.versions, &tours, &bar);
                if found.is_err() || dealt.narrow.is_some() {
                    unusable.push(id_of(name));
                }
                let page = found::page(&bank, &case, &found, &dealt);
                let result = Checked::of(&case, &found, &dealt);
                (
                    show::wrapped(&page, streams.width),
                    serde_json::to_value(result),
                )
            }
            Err(why) => {
                unusable.push(id_of(name));
                let result = Checked::not_read(id_of(name), args.seed, &why);
                // Its mistakes are drawn below the lines they are in, and stay as they are.
                (
                    format!("{name}: this case cannot be read\n{why}\n"),
                    serde_json::to_value(result),
                )
            }
        };
        pages.push(page);
        results.push(result.map_err(|error| error.to_string())?);
        bar.end();
    }
    bar.clear();
    for notice in tours.notices() {
        let _ = writeln!(streams.errors, "note: {notice}");
    }
    let page = match args.format {
        Output::Text => {
            if pages.len() > 1 {
                let summary = summary(pages.len(), &unusable);
                pages.push(show::wrapped(&summary, streams.width));
            }
            pages.join("\n")
        }
        Output::Json => {
            serde_json::to_string_pretty(&results).map_err(|error| error.to_string())? + "\n"
        }
    };
    let code = if unusable.is_empty() {
        EXIT_OK
    } else {
        EXIT_FAILED
    };
    Ok((page, code))
}

/// The last line of many: an error further up has left the screen.
fn summary(cases: usize, unusable: &[&str]) -> String {
    if unusable.is_empty() {
        return format!("{cases} cases; all can be used.\n");
    }
    let can = cases - unusable.len();
    format!(
        "{cases} cases, {can} can be used. Not yet: {}.\n",
        unusable.join(", ")
    )
}
