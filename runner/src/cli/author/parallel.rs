//! `coldtrail author parallel`: whether the forms that one blueprint deals are as hard as each other.

use std::fmt::Write as _;

use clap::Args;
use scenarios::form::{Form, Item};
use scenarios::{Case, Library};

use crate::author::check;
use crate::cache::TourCache;
use crate::cli::assess::{form_of, with_own};
use crate::cli::author::bar::CasesBar;
use crate::cli::columns::table;
use crate::cli::records::{OfficeArgs, results};
use crate::cli::{EXIT_OK, Streams};
use crate::figures::moments::mean;
use crate::figures::parallel::{Spread, luck, minutes_per_bit, spread, versions};
use crate::figures::rows::Sittings;
use crate::records::store::Filter;
use crate::show;

/// What `coldtrail author parallel` is asked.
#[derive(Args, Clone, Debug)]
pub struct ParallelArgs {
    /// The form, by its id or as a TOML file
    pub form: String,
    /// How many candidates to draw for; each car that is new takes some twenty seconds
    #[arg(long, default_value_t = 8, value_name = "N", value_parser = clap::value_parser!(u64).range(2..=200))]
    pub draws: u64,
    /// Where records are kept, for what marks say
    #[command(flatten)]
    pub at: OfficeArgs,
}

/// A form dealt to several candidates.
struct Dealt {
    /// The cases each was given.
    cases: Vec<Vec<String>>,
    /// How hard each of those was, minutes for each bit.
    difficulties: Vec<Vec<f64>>,
}

/// Says how parallel a form's draws are: before there are marks by what the evidence engine knows of each
/// car, afterwards by marks, too.
///
/// # Errors
/// A sentence where there is no such form, or a car of it cannot be used.
pub fn run(
    library: &Library,
    args: &ParallelArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let own = with_own(library, &args.form)?;
    let library = own.as_ref().map_or(library, |(library, _)| library);
    let id = own.as_ref().map_or(args.form.as_str(), |(_, id)| id);
    let form = form_of(library, id)?;
    let mut text = format!("{}\n", form.title);
    if form.cases.is_empty() {
        text.push_str("\nIt deals questions alone: how hard those are only marks can say.\n");
    } else {
        let tours = TourCache::new(streams.cache.clone());
        let cases: usize = form.cases.iter().map(|slot| slot.count).sum();
        let bar = CasesBar::new(cases * usize::try_from(args.draws).unwrap_or(1));
        let dealt = deal(form, args.draws, &mut |id, seed| {
            bar.begin(id);
            let case = Case::deal(&library.bank, id, seed).map_err(|why| why.to_string())?;
            let found = check(&library.bank, &case, &tours, &bar).map_err(|why| why.to_string())?;
            bar.end();
            let minutes = found.path.seconds() / 60.0;
            minutes_per_bit(found.path.bits(), minutes).ok_or("no check tells anything".to_owned())
        });
        bar.clear();
        for notice in tours.notices() {
            let _ = writeln!(streams.errors, "note: {notice}");
        }
        text.push_str(&promised(&dealt?, streams.width));
    }
    let office = args.at.office(streams)?;
    let marks = match office {
        None => "No office is set up here, so there are no marks to go by.\n".to_owned(),
        Some(office) => {
            let filter = Filter {
                form: Some(form.id.clone()),
                ..Filter::default()
            };
            let found = results(library, &office, &filter).map_err(|why| why.to_string())?;
            let sittings = Sittings::of(&found.rows).map_err(|why| why.to_string())?;
            marked(&sittings.first_of_each(), streams.width)
        }
    };
    let _ = write!(
        text,
        "\nWhat marks say\n\n{}",
        show::wrapped(&marks, streams.width)
    );
    Ok((text, EXIT_OK))
}

/// The cars that the first seeds draw, and how hard each is.
fn deal(
    form: &Form,
    draws: u64,
    difficulty: &mut dyn FnMut(&str, u64) -> Result<f64, String>,
) -> Result<Dealt, String> {
    let mut dealt = Dealt {
        cases: Vec::new(),
        difficulties: Vec::new(),
    };
    for seed in 1..=draws {
        let (mut cases, mut difficulties) = (Vec::new(), Vec::new());
        for task in form.draw(seed) {
            if let Item::Case { id, .. } = task.item {
                let hard = difficulty(&id, task.seed);
                difficulties
                    .push(hard.map_err(|why| format!("{id}, as draw {seed} has it: {why}"))?);
                cases.push(id);
            }
        }
        dealt.cases.push(cases);
        dealt.difficulties.push(difficulties);
    }
    Ok(dealt)
}

/// What the evidence engine says of the cars.
fn promised(dealt: &Dealt, width: usize) -> String {
    let Some(spread) = spread(&dealt.difficulties) else {
        return String::new();
    };
    let mut rows = vec![["car", "mean", "SD", "least", "most", "cases"].map(str::to_owned)];
    for (slot, deviation) in spread.by_slot.iter().enumerate() {
        let column: Vec<f64> = dealt.difficulties.iter().map(|form| form[slot]).collect();
        let mut cases: Vec<&str> = dealt.cases.iter().map(|form| form[slot].as_str()).collect();
        cases.sort_unstable();
        cases.dedup();
        rows.push([
            (slot + 1).to_string(),
            number(mean(&column).unwrap_or_default()),
            number(*deviation),
            number(column.iter().copied().fold(f64::INFINITY, f64::min)),
            number(column.iter().copied().fold(f64::NEG_INFINITY, f64::max)),
            cases.join(", "),
        ]);
    }
    let Spread {
        candidates,
        mean,
        deviation,
        least,
        most,
        ..
    } = spread;
    let share = 100.0 * spread.share();
    let mut said = format!(
        "From one candidate to the next that is {mean:.1} minutes in all, with a standard deviation of {deviation:.1} ({share:.0} %), the easiest {least:.1} and the hardest {most:.1}."
    );
    let widest = spread.by_slot.iter().enumerate();
    let widest = widest.max_by(|a, b| a.1.total_cmp(b.1));
    if let Some((slot, _)) = widest.filter(|(_, deviation)| **deviation > 0.0) {
        let _ = write!(
            said,
            " Car {} differs most: to make the draws more alike, name the cases it is drawn from, or narrow their ranges.",
            slot + 1
        );
    }
    format!(
        "\nWhat the evidence engine says of the cars of {candidates} draws: minutes of the best path for each bit it tells\n\n{}\n{}",
        table(2, &rows, width),
        show::wrapped(&format!("{said}\n"), width)
    )
}

fn number(value: f64) -> String {
    format!("{value:.2}")
}

/// What marks say of the versions of each task.
fn marked(sittings: &Sittings<'_>, width: usize) -> String {
    let people = sittings.all().len();
    if people == 0 {
        return "Nobody has finished this form yet.\n".to_owned();
    }
    let found = versions(sittings);
    let mut rows = vec![["task", "version", "people", "mean mark"].map(str::to_owned)];
    for one in &found {
        for (item, people, mean) in &one.items {
            rows.push([
                one.task.to_string(),
                item.clone(),
                people.to_string(),
                format!("{mean:.0}"),
            ]);
        }
    }
    let known = found.iter().filter(|one| one.deviation.is_some()).count();
    let luck = luck(&found);
    let said = match known {
        0 => "No two people got one version of a task and others another: how much luck the draw is cannot be told yet.".to_owned(),
        _ => format!(
            "Luck of the draw moves a candidate's mean mark by {luck:.1} either way, as far as {people} first sittings tell ({known} of {} tasks have enough).",
            found.len()
        ),
    };
    format!("{}\n{said}\n", table(2, &rows, width))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_slot_whose_cars_differ_most_is_named() {
        let library = Library::builtin().unwrap();
        let form = library.form("before-you-touch-refrigerant").unwrap();
        // As if each letter of a case's name made it harder, and the second car grew harder from draw to draw.
        let mut car = 0;
        let dealt = deal(form, 5, &mut |id, _| {
            car += 1;
            let grown = if car % 3 == 2 { 20.0 } else { 0.0 };
            Ok(grown * f64::from(car) + id.len() as f64)
        });
        let dealt = dealt.unwrap();
        assert_eq!(dealt.cases.len(), 5);
        let text = promised(&dealt, 98);
        assert!(text.contains("Car 2 differs most"), "{text}");
        let sums = dealt
            .difficulties
            .iter()
            .map(|form| form.iter().sum::<f64>());
        let hardest = sums.fold(0.0, f64::max);
        assert!(text.contains(&format!("hardest {hardest:.1}")), "{text}");
        // Cars that are all alike name none.
        let alike = deal(form, 5, &mut |_, _| Ok(2.0)).unwrap();
        let text = promised(&alike, 98);
        assert!(
            text.contains("6.0 minutes in all") && !text.contains("differs most"),
            "{text}"
        );
        let broken = deal(form, 2, &mut |_, _| Err("no path".to_owned()));
        assert!(broken.err().unwrap().contains("as draw 1 has it: no path"));
    }
}
