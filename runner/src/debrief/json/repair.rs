//! The repair as JSON.

use serde::Serialize;
use sim_core::car::Driven;
use sim_core::repair::Job;

use crate::debrief::json::Slip;
use crate::grade::{self, Complaint};

#[derive(Serialize)]
pub(super) struct Repair {
    actions: Vec<String>,
    handed_over: bool,
    cured: bool,
    lasts: bool,
    weeks: Vec<Week>,
    needed: Vec<&'static str>,
    done: Vec<&'static str>,
    needless: Vec<&'static str>,
    rules_of_thumb: Vec<Rule>,
    steps: Vec<Step>,
    seconds: f64,
    bill: f64,
    least_bill: f64,
    refrigerant_lost_kg: f64,
    slips: Vec<Slip>,
    mark: Mark,
}

#[derive(Serialize)]
struct Week {
    temperature_k: f64,
    relative_humidity: f64,
    this_car: Shown,
    sound_car: Shown,
    complaints: Vec<&'static str>,
}

#[derive(Serialize)]
struct Shown {
    road_vent_k: f64,
    standing_vent_k: f64,
    peak_pa: f64,
    cut_outs: u32,
    charge_kg: f64,
    least_open: f64,
    drag_n_m: f64,
    belt_slip: f64,
}

#[derive(Serialize)]
struct Rule {
    rule: &'static str,
    this_car: f64,
    sound_car: f64,
    kept: bool,
    can_be_trusted: bool,
}

#[derive(Serialize)]
struct Step {
    what: &'static str,
    done: bool,
}

#[derive(Serialize)]
struct Mark {
    cured: f64,
    lasting: f64,
    parts: f64,
    order: f64,
    cost: f64,
    air: f64,
    safety: f64,
    total: f64,
}

pub(super) fn of(repair: &grade::Repair) -> Repair {
    let concluded = repair.bay.actions().iter().position(is_conclusion);
    let actions = repair.bay.actions().iter();
    let names = |jobs: &std::collections::BTreeSet<Job>| {
        jobs.iter().map(|job| job.info().name).collect::<Vec<_>>()
    };
    let weeks = repair.weeks.iter().zip(&repair.complaints);
    let mark = &repair.mark;
    Repair {
        actions: actions
            .skip(concluded.map_or(0, |index| index + 1))
            .map(ToString::to_string)
            .collect(),
        handed_over: repair.handed_over,
        cured: repair.is_cured(),
        lasts: repair.lasts(),
        weeks: weeks
            .map(|((own, sound), complaints)| Week {
                temperature_k: own.weather.temperature_k,
                relative_humidity: own.weather.relative_humidity,
                this_car: shown(own),
                sound_car: shown(sound),
                complaints: complaints.iter().copied().map(name).collect(),
            })
            .collect(),
        needed: names(&repair.needed),
        done: names(&repair.done),
        needless: names(&repair.needless),
        rules_of_thumb: repair
            .rules
            .iter()
            .map(|seen| Rule {
                rule: seen.rule.words,
                this_car: seen.own,
                sound_car: seen.sound,
                kept: seen.is_kept(),
                can_be_trusted: seen.can_be_trusted(),
            })
            .collect(),
        steps: repair
            .steps
            .iter()
            .map(|step| Step {
                what: step.kind.words(),
                done: step.done,
            })
            .collect(),
        seconds: repair.seconds,
        bill: repair.bill,
        least_bill: repair.least_bill,
        refrigerant_lost_kg: repair.lost_kg,
        slips: repair.slips.iter().map(Slip::from).collect(),
        mark: Mark {
            cured: mark.cured,
            lasting: mark.lasting,
            parts: mark.parts,
            order: mark.order,
            cost: mark.cost,
            air: mark.air,
            safety: mark.safety,
            total: mark.total,
        },
    }
}

fn is_conclusion(action: &crate::action::Action) -> bool {
    matches!(action, crate::action::Action::Conclude(_))
}

fn shown(driven: &Driven) -> Shown {
    Shown {
        road_vent_k: driven.road_vent_k,
        standing_vent_k: driven.standing_vent_k,
        peak_pa: driven.peak_pa,
        cut_outs: driven.cut_outs,
        charge_kg: driven.charge_kg,
        least_open: driven.least_open,
        drag_n_m: driven.drag_n_m,
        belt_slip: driven.belt_slip,
    }
}

fn name(complaint: Complaint) -> &'static str {
    match complaint {
        Complaint::WarmOnTheRoad => "warm-on-the-road",
        Complaint::WarmStanding => "warm-standing",
        Complaint::CutsOut => "cuts-out",
        Complaint::Relieves => "relieves",
        Complaint::Freezes => "freezes",
        Complaint::Leaks => "leaks",
        Complaint::Short => "short",
        Complaint::Overfilled => "overfilled",
        Complaint::BeltSlips => "belt-slips",
        Complaint::Wears => "wears",
    }
}
