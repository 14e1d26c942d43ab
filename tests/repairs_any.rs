//! Work on a car in any order, however senseless: no step of it stalls the simulation, no mass is made, and
//! what comes of it can be driven on.

#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use runner::action::Action;
use runner::bay::{Bay, NotTaken};
use runner::grade::Repair;
use runner::session::Refusal;
use runner::workshop::NotDone;
use scenarios::{Bank, Case};
use sim_core::random::Draws;
use sim_core::repair::JOBS;

/// Sessions tried.
const SESSIONS: u64 = 60;
/// Lines of each.
const LINES: usize = 40;

fn one_of<'a, T>(draws: &mut Draws, list: &'a [T]) -> &'a T {
    &list[((draws.uniform() * list.len() as f64) as usize).min(list.len() - 1)]
}

/// A line of work, most of it on the loop.
fn line(draws: &mut Draws) -> String {
    let of_the_loop = [
        "compressor",
        "condenser",
        "drier",
        "expansion-device",
        "discharge-hose",
        "liquid-line",
        "service-valves",
    ];
    let pipe = *one_of(draws, &of_the_loop);
    let any = one_of(draws, JOBS).name;
    let part = if draws.uniform() < 0.5 { pipe } else { any };
    let lines = [
        format!("remove {part}"),
        format!("fit {part} {}", one_of(draws, &["a", "b", "c"])),
        format!("seal {pipe} 7.6 x 1.8 mm"),
        format!("torque {pipe} 20 N m"),
        format!("flush {pipe}"),
    ];
    let others = [
        "caps on",
        "oil add 60 cm3 pag-46",
        "oil drain 50 cm3",
        "turn-hub",
        "press nitrogen 10 bar",
        "press off",
        "evacuate on",
        "evacuate off",
        "wait 20 min",
        "charge liquid 500 g",
        "charge vapour 300 g",
        "recover 20 min",
        "engine idle",
        "ac on",
        "blower 3",
        "engine off",
        "mend clutch-gap",
        "loosen liquid-line",
    ];
    if draws.uniform() < 0.35 {
        one_of(draws, &lines).clone()
    } else {
        (*one_of(draws, &others)).to_owned()
    }
}

fn is_stalled(why: &NotTaken) -> bool {
    match why {
        NotTaken::Refused(refusal) => matches!(refusal, Refusal::Stalled(_)),
        NotTaken::NotDone(NotDone::Refused(refusal)) => matches!(**refusal, Refusal::Stalled(_)),
        _ => false,
    }
}

#[test]
fn work_in_any_order_can_be_followed_and_driven_on() {
    let bank = Bank::builtin().expect("the bank");
    let ids: Vec<String> = bank.cases().map(|case| case.id.clone()).collect();
    for seed in 0..SESSIONS {
        let mut draws = Draws::new(seed, 1);
        let id = one_of(&mut draws, &ids);
        let case = Case::deal(&bank, id, seed).expect("a case of the bank");
        let mut bay = Bay::new(&bank, &case).expect("a known refrigerant");
        for line in ["look fuse", "conclude no-fault because 1"] {
            bay.act(&Action::parse(line).expect(line)).expect(line);
        }
        let concluded = bay.clone();
        let mut done = Vec::new();
        for _ in 0..LINES {
            let line = line(&mut draws);
            let Ok(action) = Action::parse(&line) else {
                continue;
            };
            match bay.act(&action) {
                Ok(_) => done.push(line),
                Err(why) => assert!(
                    !is_stalled(&why),
                    "{id} {seed}: {line} after {done:?}: {why}"
                ),
            }
            let refrigerant = &bay.session().car().state().refrigerant;
            let held = refrigerant.total_mass_kg();
            assert!(
                held.is_finite() && held > -1e-9,
                "{id} {seed}: {held} after {done:?}"
            );
        }
        let repair = Repair::weigh(&bank, &case, &concluded, bay);
        let repair = repair.unwrap_or_else(|why| panic!("{id} {seed}: {why} after {done:?}"));
        assert!((0.0..=100.0).contains(&repair.mark.total));
        for (own, _) in &repair.weeks {
            let vents =
                own.road_vent_k.min(own.standing_vent_k)..own.road_vent_k.max(own.standing_vent_k);
            assert!(
                vents.start > 250.0 && vents.end < 350.0,
                "{id} {seed}: {own:?} {done:?}"
            );
        }
    }
}
