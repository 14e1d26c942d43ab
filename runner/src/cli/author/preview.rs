//! `coldtrail author preview`: a case as a learner, and as nobody but its author, gets to see it.

mod json;
mod page;
mod watch;

use std::path::PathBuf;

use clap::Args;
use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};

pub use watch::{Changes, watch};

use crate::action::Action;
use crate::author::compared::{compared, idling};
use crate::author::{check, model};
use crate::bay::Bay;
use crate::cache::TourCache;
use crate::cli::author::files::{case_named, is_file};
use crate::cli::author::found::heading;
use crate::cli::bar::Bar;
use crate::cli::chart::Cycles;
use crate::cli::{EXIT_FAILED, EXIT_OK, Output, Streams, Units, readings, script, work_order};
use crate::debrief;
use crate::grade::{Grade, grade};
use crate::show;

/// What `coldtrail author preview` is asked.
#[derive(Args, Clone, Debug)]
pub struct PreviewArgs {
    /// The case, as `coldtrail cases` names it or as a TOML file
    pub case: String,
    /// Number that makes the car
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Draw the cycle of the healthy and of the faulty car into a file
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,
    /// Show it again whenever the case's file is saved, until Ctrl-C
    #[arg(long)]
    pub watch: bool,
    /// Units to show
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
    /// How to print the result
    #[arg(long, value_enum, default_value = "text")]
    pub format: Output,
}

/// How long the cars of the picture have run, s.
const PICTURED_AFTER_S: f64 = 600.0;
/// What a bar says while the model attempt is made and graded.
const RUNNING: &str = "Looking for the best path, and grading it";

/// Shows a case; fails where nobody could solve it.
///
/// # Errors
/// A sentence, or the file's mistakes, each drawn at its place.
pub fn run(
    bank: &Bank,
    args: &PreviewArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let tours = TourCache::new(streams.cache.clone());
    if !args.watch {
        return once(bank, args, &tours, streams);
    }
    if !is_file(&args.case) {
        return Err(format!(
            "--watch waits for a file to be saved, and `{}` is none: name a file that ends in `.toml`",
            args.case
        ));
    }
    if args.format == Output::Json {
        return Err("--watch shows text: leave --format json out".to_owned());
    }
    let mut saves = watch::Saves::of(&args.case);
    watch(bank, args, &tours, &mut saves, streams)
}

/// Shows a case once. What takes long comes last, so what is there before it is shown before it.
fn once(
    bank: &Bank,
    args: &PreviewArgs,
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let (bank, case) = case_named(bank, &args.case, args.seed)?;
    let system = UnitSystem::from(args.units);
    let as_text = args.format == Output::Text;
    let order = work_order::work_order(&case, system);
    let set_ups = compared(&bank, &case).map_err(|error| error.to_string())?;
    let cycles = Cycles::of(&case, &idling(&case), PICTURED_AFTER_S, true)?;
    let mut page = format!("{}\n\n{order}\n", heading(&case));
    page.push_str(&page::in_the_car(&case));
    let mut page = show::wrapped(&page, streams.width);
    page.push_str(&page::table(&case, &set_ups, system, streams.width));
    page.push_str(&page::states(&cycles, system, streams.width));
    if let Some(path) = &args.picture {
        let svg = cycles.svg(
            format!("{}, {}", case.vehicle.name, case.scenario.id),
            system,
        );
        readings::save(path, svg.as_bytes())?;
        page.push_str(&format!("\nThe picture is in {}.\n", path.display()));
    }
    if as_text {
        page.push_str("\nThe best path through it, and its debrief, take a moment.\n");
        // A reader that has gone away, such as `head`, is no fault of ours.
        let _ = streams.output.write_all(page.as_bytes());
        let _ = streams.output.flush();
    }
    let model = modelled(&bank, &case, tours);
    for notice in tours.notices() {
        let _ = writeln!(streams.errors, "note: {notice}");
    }
    let code = if model.is_ok() { EXIT_OK } else { EXIT_FAILED };
    let text = if as_text {
        let page = match &model {
            Ok(model) => model.page(&bank, &case, system)?,
            Err(why) => format!(
                "\n{}\n  ERROR  {why}\n",
                page::underlined("A model attempt")
            ),
        };
        show::wrapped(&page, streams.width)
    } else {
        json::json((&case, &order), &set_ups, &cycles, &model)?
    };
    Ok((text, code))
}

/// An attempt by the best path, and its grade.
struct Modelled {
    actions: Vec<Action>,
    grade: Grade,
}

fn modelled(bank: &Bank, case: &Case, tours: &TourCache) -> Result<Modelled, String> {
    let bar = Bar::new(RUNNING);
    let found = check(bank, case, tours, &bar).map_err(|error| error.to_string())?;
    let actions =
        model::attempt(bank, case, &found.path.steps).map_err(|error| error.to_string())?;
    let grade =
        grade(bank, case, &actions, None, tours, &bar).map_err(|error| error.to_string())?;
    Ok(Modelled { actions, grade })
}

impl Modelled {
    /// The session and its debrief, as practice shows them.
    fn page(&self, bank: &Bank, case: &Case, system: UnitSystem) -> Result<String, String> {
        let lines: Vec<String> = self.actions.iter().map(ToString::to_string).collect();
        let mut bay = Bay::new(bank, case).map_err(|error| error.to_string())?;
        // A model attempt asks for no hint.
        let played = script::play(&mut bay, &lines.join("\n"), system, &mut |_| {
            Ok(String::new())
        })?;
        let debrief = debrief::text(bank, case, &self.grade, system);
        let title = page::underlined("A model attempt: the best path, taken with care");
        Ok(format!("\n{title}\n{}{debrief}", played.log))
    }
}
