//! The repair in words: what the owner says in the weeks after, and how the work was done.

use std::fmt::Write;

use scenarios::units::{
    UnitSystem, format_gauge_pressure, format_mass, format_temperature,
    format_temperature_difference,
};
use sim_core::car::Driven;
use sim_core::repair::Job;

use crate::debrief::text::{heading, say};
use crate::grade::{Complaint, Repair, RuleKind};
use crate::show;

pub(super) fn repair(page: &mut String, repair: &Repair, system: UnitSystem) {
    heading(page, "The repair");
    say!(page, "{}", verdict(repair));
    weeks(page, repair, system);
    parts(page, repair);
    rules(page, repair, system);
    heading(page, "How the work was done");
    for step in &repair.steps {
        let mark = if step.done { "yes" } else { "NO " };
        say!(page, "  {mark}  {}", step.kind.words());
    }
    let spent = repair.bay.workshop().bench();
    say!(
        page,
        "The bill: {:.0}, {} min of work among it; what was needed would have come to {:.0}, besides recovering, evacuating and charging.",
        repair.bill,
        show::clock(repair.seconds),
        repair.least_bill
    );
    if spent.misfits > 0 {
        say!(
            page,
            "Parts that would not go on: {}; comparing before fitting shows which.",
            spent.misfits
        );
    }
    say!(
        page,
        "Refrigerant let into the air during the repair: {}.",
        format_mass(repair.lost_kg, system, 0)
    );
    for slip in &repair.slips {
        say!(
            page,
            "{:>6}  {:>3.0}  {}",
            show::clock(slip.at_s),
            -slip.kind.cost(),
            slip.kind.caution()
        );
    }
    mark(page, repair);
}

fn verdict(repair: &Repair) -> &'static str {
    match (repair.handed_over, repair.is_cured(), repair.lasts()) {
        (false, _, _) => {
            "The car still stands in the bay: it was not given back. So nothing is earned; what follows is what would come of it as it is."
        }
        (true, true, true) => {
            "The car cools as it should, and in the six weeks after nothing comes back."
        }
        (true, true, false) => "The car cools when it leaves, and the customer comes back.",
        (true, false, _) => "The car leaves with its complaint.",
    }
}

fn weeks(page: &mut String, repair: &Repair, system: UnitSystem) {
    say!(
        page,
        "Driven on for six weeks, beside the same car sound. The vents are those at the end of a drive, and after standing with the engine idling."
    );
    say!(
        page,
        "  week  outside       this car         sound            high side  in it"
    );
    for (index, ((own, sound), complaints)) in
        repair.weeks.iter().zip(&repair.complaints).enumerate()
    {
        let degrees = |k: f64| format_temperature(k, system, 0);
        let vents = |one: &Driven| {
            let (road, standing) = (degrees(one.road_vent_k), degrees(one.standing_vent_k));
            format!("{road:>6} {standing:>6}")
        };
        say!(
            page,
            "  {:>3}   {:>6}, {:>2.0} %  {}    {}    {:>9}  {:>6}",
            index + 1,
            degrees(own.weather.temperature_k),
            own.weather.relative_humidity * 100.0,
            vents(own),
            vents(sound),
            format_gauge_pressure(own.peak_pa - own.weather.pressure_pa(), system, 0)
                .replace(" gauge", ""),
            format_mass(
                own.charge_kg,
                system,
                if system == UnitSystem::Si { 0 } else { 1 }
            )
        );
        if !complaints.is_empty() {
            let said: Vec<&str> = complaints.iter().copied().map(words).collect();
            say!(page, "        {}", said.join("; "));
        }
    }
}

fn words(complaint: Complaint) -> &'static str {
    match complaint {
        Complaint::WarmOnTheRoad => "it does not cool on the road as it should",
        Complaint::WarmStanding => "it gets warm as soon as it stands",
        Complaint::CutsOut => "the compressor is cut out by the high pressure again and again",
        Complaint::Relieves => "the relief valve blew refrigerant out",
        Complaint::Freezes => "it freezes inside, stops cooling, and comes back after a rest",
        Complaint::Leaks => "refrigerant is getting less",
        Complaint::Short => "refrigerant is missing",
        Complaint::Overfilled => "there is too much refrigerant in it",
        Complaint::BeltSlips => "the belt squeals and slips when the compressor works",
        Complaint::Wears => "the compressor binds more than it should: it is wearing out",
    }
}

/// Rules of thumb on this car, and whether they can be trusted on this day.
fn rules(page: &mut String, repair: &Repair, system: UnitSystem) {
    heading(
        page,
        "Rules of thumb on this car (common practice, no source)",
    );
    say!(
        page,
        "At 1500 rpm, doors open, blower full on, coldest, fresh air, after ten minutes:"
    );
    for seen in &repair.rules {
        let shown = |value: f64| match seen.rule.kind {
            RuleKind::Difference => format_temperature_difference(value, system, 0),
            RuleKind::Gauge => format_gauge_pressure(value, system, 0),
        };
        let verdict = match (seen.is_kept(), seen.can_be_trusted()) {
            (true, true) => "kept",
            (false, true) => "broken: a sound car keeps it",
            (_, false) => "no help here: a sound car breaks it on a day like this",
        };
        let [least, most] = seen.rule.between;
        let asked = if most.is_finite() {
            format!("{} to {}", shown(least), shown(most))
        } else {
            format!("at least {}", shown(least))
        };
        say!(
            page,
            "  {}: {}, sound {}; the rule asks for {asked}; {verdict}",
            seen.rule.words,
            shown(seen.own),
            shown(seen.sound)
        );
    }
}

fn parts(page: &mut String, repair: &Repair) {
    let name = |job: &Job| job.info().name;
    let list = |jobs: Vec<&str>| {
        if jobs.is_empty() {
            "nothing".to_owned()
        } else {
            jobs.join(", ")
        }
    };
    say!(
        page,
        "What had to be done to parts: {}.",
        list(repair.needed.iter().map(name).collect())
    );
    let open = repair.needed.difference(&repair.done);
    say!(
        page,
        "Left undone, or not rightly: {}.",
        list(open.map(name).collect())
    );
    say!(
        page,
        "Done for nothing: {}.",
        list(repair.needless.iter().map(name).collect())
    );
    let all = &repair.bay.workshop().bench().fitted;
    for (index, fitted) in all.iter().enumerate() {
        // What was taken off again no longer counts against the car.
        let after = all.get(index + 1..).unwrap_or_default();
        if after.iter().any(|later| later.job == fitted.job) {
            continue;
        }
        if !fitted.right {
            say!(
                page,
                "What went on as {} is not this car's: {}",
                name(&fitted.job),
                fitted.why
            );
        }
        if let Some(left) = &fitted.forgotten {
            say!(page, "The {} went on without {left}.", name(&fitted.job));
        }
    }
    for (job, joint) in &repair.bay.workshop().bench().joints {
        if !joint.is_sound() {
            say!(
                page,
                "The joints of the {} let out {:.0} g a year as they were made.",
                name(job),
                joint.leak_g_per_year()
            );
        }
    }
}

fn mark(page: &mut String, repair: &Repair) {
    heading(page, "Mark of the repair");
    for (name, earned, of) in repair.mark.parts(&repair.weights) {
        say!(page, "{name:<12}{earned:>5.1} of {of:.0}");
    }
    say!(
        page,
        "{:<12}{:>5.1} of 100, in {} min after the diagnosis",
        "together",
        repair.mark.total,
        show::clock(repair.seconds)
    );
}
