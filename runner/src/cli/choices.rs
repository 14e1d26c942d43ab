//! What can follow a first word on the car in the bay: the lists a typed session offers.

use sim_core::instruments::{
    Check, CondenserSide, LEAK_SPOTS, Line, Named, Room, Sense, Spot, Vent, Wheel, sensible,
};
use sim_core::repair::{JOBS, Job, Kind};

use crate::action::{METER, SCAN, letter_of};
use crate::bay::Bay;

/// What can follow a first word on this car.
pub(crate) fn choices(verb: &str, bay: &Bay) -> Vec<String> {
    let names = |list: &[&str]| {
        list.iter()
            .map(|name| (*name).to_owned())
            .collect::<Vec<_>>()
    };
    fn all<T: Named>() -> Vec<String> {
        T::ALL.iter().map(|one| one.name().to_owned()).collect()
    }
    let words = |table: &[(&str, Check)]| {
        table
            .iter()
            .map(|(word, _)| (*word).to_owned())
            .collect::<Vec<_>>()
    };
    match verb {
        "engine" => names(&["off", "idle", "1500 rpm", "2500 rpm"]),
        "ac" | "shop-fan" => names(&["on", "off"]),
        "blower" => (0..=bay.top_blower_step())
            .map(|step| step.to_string())
            .collect(),
        "air" => names(&["recirculate", "fresh"]),
        "temperature" => names(&["cold", "22 °C", "hot"]),
        "doors" => names(&["open", "closed"]),
        "road" => names(&["0 km/h", "30 km/h", "50 km/h", "90 km/h"]),
        "wait" => names(&["30 s", "1 min", "2 min", "5 min", "10 min"]),
        "wear" => names(&["glasses", "gloves"]),
        "gauges" => names(&[
            "zero",
            "connect",
            "open",
            "read",
            "watch",
            "close",
            "disconnect",
        ]),
        "infrared" => Line::ALL
            .iter()
            .filter(|line| bay.has_line(**line))
            .flat_map(|line| ["tape", "bare"].map(|how| format!("{} {how}", line.name())))
            .collect(),
        "tachometer" => all::<Wheel>(),
        "belt-tension" => names(&["right-span", "wrong-span"]),
        "pulley-line" => names(&["grooves", "rims"]),
        "dye" => names(&["add"]),
        "identifier" => names(&["vapour", "cold", "liquid"]),
        "recover" => names(&["5 min", "15 min", "30 min"]),
        "evacuate" | "ventilation" => names(&["on", "off"]),
        "charge" => names(&[
            "liquid 300 g",
            "liquid 500 g",
            "vapour 50 g",
            "vapour 100 g",
        ]),
        "warm-cylinder" => names(&["water", "flame"]),
        "vacuum-gauge" => names(&["read"]),
        "remove" => jobs(bay, |job| is_removable(job) && !is_off(bay, job)),
        "compare" | "carry-over" => jobs(bay, |job| is_off(bay, job)),
        "fit" => jobs(bay, |job| is_off(bay, job))
            .into_iter()
            .filter_map(|name| Some((bay.workshop().candidates(Job::by_name(&name)?).len(), name)))
            .flat_map(|(count, name)| {
                (0..count).map(move |index| format!("{name} {}", letter_of(index)))
            })
            .collect(),
        "mend" => jobs(bay, |job| job.info().kind == Kind::Care),
        "flush" => jobs(bay, |job| job.info().kind == Kind::InLoop),
        "caps" => names(&["on", "off"]),
        "press" => names(&["nitrogen 10 bar", "tracer 10 bar", "off"]),
        "clamp" | "loosen" => Line::ALL
            .iter()
            .filter(|line| bay.has_line(**line))
            .map(|l| l.name().to_owned())
            .collect(),
        "thermometer" => all::<Vent>()
            .into_iter()
            .chain(all::<CondenserSide>())
            .collect(),
        "air-speed" => all::<Vent>(),
        "hygrometer" => all::<Room>(),
        "meter" => words(METER),
        "feeler" => names(&["clutch-gap"]),
        "scan" => words(SCAN),
        "leak-search" | "lamp" | "wipe" | "soap" => LEAK_SPOTS
            .iter()
            .filter(|spot| bay.has_spot(**spot))
            .map(|spot| spot.name().to_owned())
            .collect(),
        _ => Sense::by_name(verb).map_or_else(Vec::new, |sense| {
            Spot::ALL
                .iter()
                .filter(|spot| sensible(sense, **spot) && bay.has_spot(**spot))
                .map(|spot| spot.name().to_owned())
                .collect()
        }),
    }
}

/// The parts of this car that can come off, those that are off among them.
pub(crate) fn removable(bay: &Bay) -> Vec<String> {
    jobs(bay, is_removable)
}

fn is_removable(job: Job) -> bool {
    job.info().kind != Kind::Care
}

fn is_off(bay: &Bay, job: Job) -> bool {
    bay.workshop().bench().off.contains(&job)
}

/// Names of the jobs that this car has a part for, of those that fit.
fn jobs(bay: &Bay, fits: impl Fn(Job) -> bool) -> Vec<String> {
    let spec = bay.session().car().spec();
    let here = JOBS.iter().map(|info| info.job);
    here.filter(|job| job.is_on(spec) && fits(*job))
        .map(|job| job.info().name.to_owned())
        .collect()
}
