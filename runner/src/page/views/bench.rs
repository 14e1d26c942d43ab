//! The bench: the parts that are off, what was laid beside them, and the joints to be made again.

use scenarios::units::UnitSystem;
use sim_core::repair::{JOBS, Job, Kind};

use crate::action::Work;
use crate::bay::{Bay, Worked};
use crate::cli::repair_told;
use crate::page::blanks::{Sheet, sealing, tightening};
use crate::page::said::{is_on_show, plain};
use crate::show;
use crate::workshop::Laid;

/// A part that is off.
pub(in crate::page) struct OnBench {
    /// Its name in actions.
    pub id: &'static str,
    pub name: String,
    /// What was done for it.
    pub done: Vec<&'static str>,
    /// What lies beside it, once it was compared.
    pub laid: Option<SideBySide>,
    /// What can be done with it: as it is typed, and as it is shown.
    pub does: Vec<(String, &'static str)>,
    /// New seals for its joints.
    pub seal: Option<Sheet>,
}

/// An old part between what the page asks for and what the counter has.
pub(in crate::page) struct SideBySide {
    pub features: Vec<String>,
    pub parts: Vec<LaidPart>,
    /// What a new one comes without.
    pub carry: Option<String>,
}

/// One of the parts that lie there.
pub(in crate::page) struct LaidPart {
    pub head: String,
    /// How it is put on, where it can be.
    pub fit: Option<String>,
    /// What it shows of each feature.
    pub shows: Vec<String>,
}

/// The parts that are off, in the order of the jobs.
pub(super) fn on_bench(bay: &Bay) -> Vec<OnBench> {
    let off = &bay.workshop().bench().off;
    off.iter().map(|job| part(*job, bay)).collect()
}

/// Sheets for the joints of the parts that were put on here, and how they are made so far.
pub(super) fn joints(bay: &Bay, units: UnitSystem) -> Vec<(Sheet, String)> {
    let bench = bay.workshop().bench();
    let made = JOBS.iter().map(|info| info.job);
    made.filter(|job| bench.joints.contains_key(job) && !bench.off.contains(job))
        .map(|job| (tightening(job, units), how_tight(job, bay, units)))
        .collect()
}

/// The work that was done, from the last back: when, what, and what it gave.
pub(super) fn worked(bay: &Bay, units: UnitSystem) -> Vec<(String, String, String)> {
    let line = |worked: &Worked| {
        // What lies on the bench or hangs on the wall is there to look at.
        let shown = worked.shown.as_ref().filter(|shown| !is_on_show(shown));
        let shown = shown.map(|shown| repair_told::told(shown, bay.workshop().vehicle(), units));
        let opened = worked.opened.as_ref();
        let told = shown
            .into_iter()
            .chain(opened.map(|one| show::opened(one, units)));
        let told: Vec<String> = told
            .map(|words| words.trim().replace("\n      ", " "))
            .collect();
        let action = bay.actions().get(worked.action);
        (
            show::clock(worked.at_s),
            action.map_or_else(String::new, |action| plain(action, units)),
            told.join("; "),
        )
    };
    bay.worked().iter().rev().map(line).collect()
}

fn how_tight(job: Job, bay: &Bay, units: UnitSystem) -> String {
    let workshop = bay.workshop();
    let tightness = (workshop.bench().joints.get(&job)).map_or(0.0, |joint| joint.tightness);
    let joint = workshop.vehicle().service.joint(job);
    match joint {
        Some(joint) if tightness > 0.0 => {
            let made = show::torque(tightness * joint.torque_n_m, units);
            format!("its joints are made to {made}")
        }
        _ => "its joints are made by hand".to_owned(),
    }
}

fn part(job: Job, bay: &Bay) -> OnBench {
    let bench = bay.workshop().bench();
    let is_laid = bench.compared.contains(&job);
    let is_in_loop = job.info().kind == Kind::InLoop;
    let done = [
        (bench.flushed.contains(&job), "It was flushed."),
        (
            bench.carried.contains(&job),
            "What a new one comes without was taken over.",
        ),
        (
            bench.waiting_seals.contains_key(&job),
            "New seals are laid ready.",
        ),
    ];
    let does = [
        (!is_laid, Work::Compare(job), "lay it beside the counter's"),
        (
            true,
            Work::CarryOver(job),
            "take over what a new one comes without",
        ),
        (is_in_loop, Work::Flush(job), "flush it"),
    ];
    let offered = does.into_iter().filter(|(can, ..)| *can);
    OnBench {
        id: job.info().name,
        name: job.info().name.replace('-', " "),
        done: (done.into_iter().filter(|(is, _)| *is))
            .map(|(_, words)| words)
            .collect(),
        laid: is_laid.then(|| side_by_side(job, bay)),
        does: offered
            .map(|(_, work, shown)| (work.to_string(), shown))
            .collect(),
        seal: is_in_loop.then(|| sealing(job, bay)),
    }
}

fn side_by_side(job: Job, bay: &Bay) -> SideBySide {
    let compared = bay.workshop().compared(job);
    let features: Vec<String> = compared.features().map(str::to_owned).collect();
    let part = |laid: &Laid<'_>| LaidPart {
        head: laid.head.clone(),
        fit: (laid.at_counter).map(|index| Work::Fit(job, index).to_string()),
        shows: (features.iter())
            .map(|feature| laid.shown(feature).to_owned())
            .collect(),
    };
    SideBySide {
        parts: compared.laid().iter().map(part).collect(),
        features,
        carry: compared.carry,
    }
}
