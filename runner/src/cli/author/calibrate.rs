//! `coldtrail author calibrate`: whether the ideal reader is honest.

use std::fmt::Write as _;

use clap::{Args, ValueEnum};
use scenarios::{Bank, Case};

use crate::cli::bar::Bar;
use crate::cli::columns::table;
use crate::cli::{EXIT_OK, Streams};
use crate::evidence::explanation::Grain;
use crate::evidence::follow::Progress;
use crate::evidence::honesty::{Bin, Trial, bins, by_mode, calibration_error, confusions, trials};
use crate::evidence::layout::Spread;

/// What `coldtrail author calibrate` is asked.
#[derive(Args, Clone, Debug)]
pub struct CalibrateArgs {
    /// Random sessions to hold
    #[arg(long, default_value_t = 2000)]
    pub sessions: u64,
    /// Number the sessions are drawn from
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Hold them on this case's vehicle and day only
    #[arg(long)]
    pub case: Option<String>,
    /// From which cars the spread of individuals is taken
    #[arg(long, value_enum, default_value = "healthy")]
    pub spread: SpreadAsked,
    /// How finely severities are taken
    #[arg(long, value_enum, default_value = "fine")]
    pub grain: GrainAsked,
}

/// See [`Spread`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SpreadAsked {
    /// Healthy individuals
    Healthy,
    /// Individuals with each fault at its middle severity
    Each,
    /// Individuals at every severity: brute force
    All,
}

impl From<SpreadAsked> for Spread {
    fn from(asked: SpreadAsked) -> Self {
        match asked {
            SpreadAsked::Healthy => Self::Healthy,
            SpreadAsked::Each => Self::Each,
            SpreadAsked::All => Self::All,
        }
    }
}

/// See [`Grain`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum GrainAsked {
    /// Twelve severities
    Fine,
    /// Six
    Coarse,
}

impl From<GrainAsked> for Grain {
    fn from(asked: GrainAsked) -> Self {
        match asked {
            GrainAsked::Fine => Self::Fine,
            GrainAsked::Coarse => Self::Coarse,
        }
    }
}

/// Holds the sessions and prints what came of them.
///
/// # Errors
/// A sentence where there is no such case, or its refrigerant is not known.
pub fn run(
    bank: &Bank,
    args: &CalibrateArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let all = bank.cases().map(|case| case.id.clone());
    let days: Vec<String> = match &args.case {
        Some(id) => vec![id.clone()],
        None => all.collect(),
    };
    let bar = Bar::new("Holding sessions");
    bar.start(args.sessions as usize);
    let mut held: Vec<Trial> = Vec::with_capacity(args.sessions as usize);
    for (index, day) in days.iter().enumerate() {
        let case = Case::deal(bank, day, args.seed).map_err(|error| error.to_string())?;
        // Every session has a number of its own, and the days share them out.
        let numbers = (0..args.sessions).filter(|one| one % days.len() as u64 == index as u64);
        let numbers: Vec<u64> = numbers.map(|one| args.seed + one).collect();
        let grain = (args.grain.into(), args.spread.into());
        let more = trials(bank, &case, &numbers, grain, &bar);
        held.extend(more.map_err(|error| error.to_string())?);
    }
    bar.finish();
    Ok((page(&held, days.len(), streams.width), EXIT_OK))
}

/// Pairs told of those taken for each other.
const MOST_PAIRS: usize = 20;

fn page(held: &[Trial], days: usize, width: usize) -> String {
    let mut page = format!(
        "{} random sessions on {days} vehicles and days: a fault drawn as a shop meets them, 1 to 15 random checks.\n",
        held.len()
    );
    let share = |count: usize| 100.0 * count as f64 / held.len().max(1) as f64;
    let top = bins(
        held.iter()
            .map(|one| (one.confidence, one.top == one.truth)),
    );
    let every = bins(held.iter().flat_map(|one| one.stated.iter().copied()));
    let right = held.iter().filter(|one| one.top == one.truth).count();
    let covered = held.iter().filter(|one| one.covered).count();
    let size: usize = held.iter().map(|one| one.in_play).sum();
    let _ = writeln!(
        page,
        "\nWhat was thought likeliest: how sure, and how often it was so (expected calibration error {:.4})",
        calibration_error(&top)
    );
    page.push_str(&reliability(&top, width));
    let _ = writeln!(
        page,
        "\nEvery probability stated (expected calibration error {:.4})",
        calibration_error(&every)
    );
    page.push_str(&reliability(&every, width));
    let _ = writeln!(
        page,
        "\nThought likeliest and so: {:.1} %. In the set that holds 95 %: {:.1} %; the set holds {:.1} faults on average.",
        share(right),
        share(covered),
        size as f64 / held.len().max(1) as f64
    );
    let surprise: f64 = held.iter().map(|one| -libm::log2(one.of_truth)).sum();
    let _ = writeln!(
        page,
        "What was in the car was still {:.3} bits away on average (logarithmic score; 0 is best).",
        surprise / held.len().max(1) as f64
    );
    let _ = writeln!(page, "\nBy what was in the car");
    let mut rows = vec![[
        "in the car".to_owned(),
        "sessions".to_owned(),
        "likeliest".to_owned(),
        "in the set".to_owned(),
    ]];
    for (mode, of) in by_mode(held) {
        let part = |count: usize| format!("{:.0} %", 100.0 * count as f64 / of.sessions as f64);
        rows.push([
            mode.to_owned(),
            of.sessions.to_string(),
            part(of.top),
            part(of.covered),
        ]);
    }
    page.push_str(&listed(&rows, width));
    let _ = writeln!(page, "\nMost often taken for another");
    let mut rows = vec![[
        "times".to_owned(),
        "in the car".to_owned(),
        "taken for".to_owned(),
    ]];
    for ((truth, top), count) in confusions(held).into_iter().take(MOST_PAIRS) {
        rows.push([count.to_string(), truth.to_owned(), top.to_owned()]);
    }
    page.push_str(&listed(&rows, width));
    page
}

fn reliability(bins: &[Bin], width: usize) -> String {
    let mut rows = vec![["stated", "times", "on average", "so"].map(str::to_owned)];
    for (index, bin) in bins.iter().enumerate().filter(|(_, bin)| bin.count > 0) {
        rows.push([
            format!("{} to {} %", 10 * index, 10 * (index + 1)),
            bin.count.to_string(),
            format!("{:.1} %", 100.0 * bin.stated),
            format!("{:.1} %", 100.0 * bin.right),
        ]);
    }
    listed(&rows, width)
}

fn listed<const N: usize>(rows: &[[String; N]], width: usize) -> String {
    let rows: Vec<[&str; N]> = rows
        .iter()
        .map(|row| std::array::from_fn(|index| row[index].as_str()))
        .collect();
    table(2, &rows, width)
}
