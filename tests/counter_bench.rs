//! Old and new side by side: what the part shows that came off this car, and a car built with another version
//! of its condenser. And the spacer behind a new compressor, from the straight edge to the weeks after.

#![allow(clippy::expect_used, clippy::panic)]

use runner::action::Action;
use runner::bay::Bay;
use runner::grade::{Complaint, Repair};
use runner::workshop::{Compared, Shown};
use scenarios::{Bank, Case, OtherOutcome};
use sim_core::instruments::Value;
use sim_core::repair::Job;

/// Opens a session for a repair: nothing is known, and nothing is in the loop.
const EMPTY: &str = "wear glasses\nwear gloves\nlook belt\nconclude no-fault because 1\nrecover 30 min\n\
    evacuate on\nwait 10 min\nevacuate off\n";

/// A case on a vehicle, with what else its file says.
fn case_on(vehicle: &str, condenser: &str, faults: &str) -> (Bank, Case) {
    let text = format!(
        "version = 1\ntitle = \"Another\"\nlevel = 2\nvehicle = \"{vehicle}\"\n{condenser}\n\
         arrival = \"driven-in\"\ncompetencies = []\n\
         weather = {{ temperature = \"30 °C\", humidity = \"50 %\", sun = \"300 W/m2\" }}\n\
         [work_order]\ncustomer = \"A customer\"\ncomplaint = \"Warm.\"\nmileage = \"90000 km\"\n\
         shop = \"A shop\"\n{faults}"
    );
    let bank = Bank::builtin().unwrap_or_else(|why| panic!("{why}"));
    let (bank, id) = bank
        .with_case("another.toml", &text)
        .unwrap_or_else(|why| panic!("{why}"));
    let case = Case::deal(&bank, &id, 1).expect("a case");
    (bank, case)
}

fn act(bay: &mut Bay, lines: &str) -> Option<Shown> {
    let mut last = None;
    for line in lines.lines() {
        let action = Action::parse(line).unwrap_or_else(|why| panic!("{line}: {why}"));
        let outcome = bay
            .act(&action)
            .unwrap_or_else(|why| panic!("{line}: {why}"));
        last = outcome.shown;
    }
    last
}

/// What lies side by side: a feature on the page, on the old part and on each at the counter.
struct Beside {
    page: Vec<String>,
    old: String,
    counter: Vec<String>,
}

fn beside(bay: &mut Bay, job: Job, feature: &str) -> Beside {
    let shown = act(bay, &format!("compare {}", job.info().name));
    let Some(Shown::Compared(Compared {
        page,
        old,
        candidates,
        ..
    })) = shown
    else {
        panic!("not compared");
    };
    let own = |shows: &Vec<(String, String)>| {
        let found = shows.iter().find(|(name, _)| name == feature);
        found.map(|(_, value)| value.clone()).expect("the feature")
    };
    Beside {
        page: page.iter().map(own).collect(),
        old: own(&old),
        counter: candidates.iter().map(own).collect(),
    }
}

fn bay_of(bank: &Bank, case: &Case) -> Bay {
    let mut bay = Bay::new(bank, case).expect("a known refrigerant");
    act(&mut bay, EMPTY);
    bay
}

/// Letter of the candidate that something is true of.
fn letter(bay: &Bay, job: Job, is: impl Fn(&scenarios::Candidate) -> bool) -> char {
    let candidates = bay.workshop().candidates(job);
    let index = candidates.iter().position(is).expect("such a part");
    runner::action::letter_of(index)
}

/// A look-alike that somebody has fitted before shows what it is, beside a page that asks for another.
#[test]
fn an_old_part_of_another_size_shows_it() {
    let fault = |mode: &str, severity: f64| {
        format!("[[fault]]\nmode = \"{mode}\"\nseverity = {severity}\n")
    };
    let tubes = |faults: &str| {
        let (bank, case) = case_on("saloon", "", faults);
        let mut bay = bay_of(&bank, &case);
        act(&mut bay, "remove condenser");
        beside(&mut bay, Job::Condenser, "tubes")
    };
    for severity in [0.3, 0.6, 1.0] {
        let shown = tubes(&fault("condenser-look-alike", severity));
        assert_eq!(shown.old, "28 tubes");
        assert_eq!(shown.page, ["34 tubes", "38 tubes"]);
        assert!(shown.counter.contains(&"28 tubes".to_owned()));
    }
    // What blocks a right one makes it no other part.
    assert_eq!(tubes(&fault("condenser-face-blocked", 0.8)).old, "34 tubes");
    let (bank, _) = case_on("saloon", "", "");
    let with_tube = |vehicle: &&scenarios::Vehicle| vehicle.spec.expansion.valve().is_none();
    let vehicle = bank.vehicles().find(with_tube).expect("an orifice tube");
    let mark = |faults: &str| {
        let (bank, case) = case_on(&vehicle.id, "", faults);
        let mut bay = bay_of(&bank, &case);
        act(&mut bay, "remove expansion-device");
        beside(&mut bay, Job::ExpansionDevice, "size mark")
    };
    let right = mark("");
    assert_eq!(right.page, std::slice::from_ref(&right.old));
    let (small, big) = (
        mark(&fault("orifice-too-small", 0.6)).old,
        mark(&fault("orifice-too-big", 0.4)).old,
    );
    assert!(small != right.old && big != right.old && small != big);
    for shows in [small, big] {
        assert!(right.counter.contains(&shows), "{shows}");
    }
}

/// What is measured is measured on this car, and keeps its value on the bench when another part goes on.
#[test]
fn what_came_off_keeps_its_looks() {
    let faults = "[[fault]]\nmode = \"high-cut-out-low\"\nseverity = 0.5\n";
    let (bank, case) = case_on("saloon", "", faults);
    let mut bay = bay_of(&bank, &case);
    act(&mut bay, "remove pressure-switches");
    let first = beside(&mut bay, Job::PressureSwitches, "high cut-out");
    assert!(first.page[0] != first.old, "{}", first.old);
    let high = |one: &scenarios::Candidate| {
        one.features
            .iter()
            .any(|(_, value)| *value == first.page[0])
    };
    let wrong = letter(&bay, Job::PressureSwitches, |one| !one.right && !high(one));
    act(&mut bay, &format!("fit pressure-switches {wrong}"));
    act(&mut bay, "remove pressure-switches");
    let second = beside(&mut bay, Job::PressureSwitches, "high cut-out");
    let index = (wrong as u8 - b'A') as usize;
    assert_eq!(second.old, second.counter[index]);
}

/// A look-alike told by words that was fitted here is known when it comes off again; how a part was
/// delivered is gone with its first hour on a car.
#[test]
fn a_part_fitted_here_is_known_when_it_comes_off() {
    let (bank, case) = case_on("saloon", "", "");
    let mut bay = bay_of(&bank, &case);
    act(&mut bay, "remove transducer");
    assert_eq!(
        beside(&mut bay, Job::Transducer, "range").old,
        "0 to 3.5 MPa"
    );
    let wrong = letter(
        &bay,
        Job::Transducer,
        |one| matches!(&one.outcome, OtherOutcome::Fits(knobs) if !knobs.is_empty()),
    );
    act(
        &mut bay,
        &format!("fit transducer {wrong}\nremove transducer"),
    );
    assert_eq!(
        beside(&mut bay, Job::Transducer, "range").old,
        "0 to 5.0 MPa"
    );
    act(&mut bay, "remove drier");
    let caps = beside(&mut bay, Job::Drier, "caps");
    assert!(
        !caps.counter.contains(&caps.old) && !caps.page.contains(&caps.old),
        "{}",
        caps.old
    );
}

/// A car built with the other condenser: its own version is the right one, the usual one bolts on and holds
/// another charge, and the page names both with their charges.
#[test]
fn a_car_with_the_other_condenser_gets_its_own() {
    for (vehicle, version) in [("saloon", "drier-right"), ("crossover", "screw-plug")] {
        let (bank, case) = case_on(vehicle, &format!("condenser = \"{version}\""), "");
        let model = bank.vehicle(vehicle).expect("the vehicle");
        let own = model
            .other_condensers
            .iter()
            .find(|one| one.id == version)
            .expect("the version");
        assert_eq!(case.healthy.label_charge_kg, own.charge_kg);
        assert_eq!(case.vehicle.label, model.label);
        let mut bay = bay_of(&bank, &case);
        act(&mut bay, "remove condenser");
        let tubes = beside(&mut bay, Job::Condenser, "tubes");
        let words =
            |condenser: &scenarios::vehicle::CondenserVersion| condenser.features["tubes"].clone();
        assert_eq!(tubes.old, words(own));
        assert_eq!(tubes.page, [words(&model.usual_condenser), words(own)]);
        let candidates = bay.workshop().candidates(Job::Condenser);
        assert_eq!(candidates.iter().filter(|one| one.right).count(), 1);
        for (index, one) in candidates.iter().enumerate() {
            let mut later = candidates.iter().skip(index + 1);
            assert!(later.all(|other| other.features != one.features), "{one:?}");
        }
        let right = letter(&bay, Job::Condenser, |one| one.right);
        assert_eq!(tubes.counter[(right as u8 - b'A') as usize], words(own));
        let usual = letter(&bay, Job::Condenser, |one| {
            matches!(one.outcome, OtherOutcome::Version(_))
        });
        let fitted = |letter: char| {
            let mut bay = bay.clone();
            act(&mut bay, &format!("fit condenser {letter}"));
            let spec = bay.session().car().spec().clone();
            assert_eq!(spec.label_charge_kg, own.charge_kg);
            spec.condenser.volume_m3
        };
        assert_eq!(fitted(right), own.condenser.volume_m3);
        assert_eq!(fitted(usual), model.usual_condenser.condenser.volume_m3);
    }
}

/// The usual car has the other version among the counter's, and it is not the right one there.
#[test]
fn the_other_condenser_lies_at_the_counter_of_a_usual_car() {
    let (bank, case) = case_on("saloon", "", "");
    let mut bay = bay_of(&bank, &case);
    act(&mut bay, "remove condenser");
    let drier = beside(&mut bay, Job::Condenser, "drier");
    assert_eq!(drier.old, "on the left, fixed by two bolts");
    let other = letter(&bay, Job::Condenser, |one| {
        matches!(one.outcome, OtherOutcome::Version(_))
    });
    assert_eq!(
        drier.counter[(other as u8 - b'A') as usize],
        "on the right, welded on"
    );
}

#[test]
fn a_case_names_a_condenser_that_there_is() {
    let bank = Bank::builtin().unwrap_or_else(|why| panic!("{why}"));
    let text = std::fs::read_to_string(coldtrail_checks::golden::path(
        "scenarios/bank/school-run.toml",
    ))
    .expect("a case");
    let text = text.replacen("arrival", "condenser = \"drier-rihgt\"\narrival", 1);
    let error = bank.with_case("another.toml", &text).expect_err("a slip");
    let problem = &error.problems()[0];
    assert_eq!(
        problem.message,
        "no other condenser of `saloon` is called `drier-rihgt`"
    );
    let near = problem.label.as_deref();
    assert_eq!(near, Some("did you mean `drier-right`?"));
}

/// A compressor put on, with the spacer of the old one or without, to the end of the work.
fn new_compressor(carried: bool) -> (Bay, Repair) {
    let (bank, case) = case_on("saloon", "", "");
    let mut bay = Bay::new(&bank, &case).expect("a known refrigerant");
    act(&mut bay, EMPTY);
    let concluded = bay.clone();
    act(&mut bay, "remove compressor");
    let right = letter(&bay, Job::Compressor, |one| one.right);
    if carried {
        act(&mut bay, "carry-over compressor");
    }
    act(&mut bay, "seal compressor 13.9 x 2.4 mm");
    act(
        &mut bay,
        &format!(
            "fit compressor {right}\ntorque compressor 25 N m\nturn-hub\noil drain 60 cm3\n\
             evacuate on\nwait 40 min\nevacuate off\ncharge liquid 420 g\n"
        ),
    );
    let mut given = bay.clone();
    act(&mut given, "hand-over");
    let repair = Repair::weigh(&bank, &case, &concluded, given).expect("driven on");
    (bay, repair)
}

/// What a check or a sense shows: a length in mm, or a finding's key.
fn seen(bay: &mut Bay, line: &str) -> (f64, &'static str) {
    let action = Action::parse(line).unwrap_or_else(|why| panic!("{line}: {why}"));
    let outcome = bay
        .act(&action)
        .unwrap_or_else(|why| panic!("{line}: {why}"));
    match outcome.notes[0].reading.value {
        Value::Number { shown, .. } => (1e3 * shown, ""),
        Value::Finding { key, .. } => (f64::NAN, key),
        other => panic!("{other:?}"),
    }
}

/// A forgotten spacer shows on the straight edge, to eye and ear, and in the weeks after; carried over, it
/// shows nowhere. A new belt does not put it right, a compressor with its spacer does.
#[test]
fn a_forgotten_spacer_shows_and_comes_back() {
    let look = |bay: &mut Bay| {
        let (line_mm, _) = seen(bay, "pulley-line grooves");
        let (rims_mm, _) = seen(bay, "pulley-line rims");
        assert!(rims_mm - line_mm > 1.0, "{rims_mm} {line_mm}");
        act(bay, "engine idle");
        let keys = (seen(bay, "look belt").1, seen(bay, "listen belt").1);
        act(bay, "engine off");
        (line_mm, keys)
    };
    let (mut right, kept) = new_compressor(true);
    let (line_mm, keys) = look(&mut right);
    assert!(line_mm.abs() <= 0.5, "{line_mm}");
    assert_eq!(keys, ("runs-true", "quiet"));
    let (mut wrong, left) = new_compressor(false);
    let (line_mm, keys) = look(&mut wrong);
    assert!((line_mm - 4.0).abs() <= 0.5, "{line_mm}");
    assert_eq!(keys, ("walks", "chirps"));

    let slips = |repair: &Repair| {
        let of = |(own, _): &(sim_core::car::Driven, _)| own.belt_slip;
        repair.weeks.iter().map(of).collect::<Vec<f64>>()
    };
    assert!(slips(&kept).iter().all(|slip| *slip == 0.0));
    assert!(
        kept.complaints
            .iter()
            .flatten()
            .all(|one| *one != Complaint::BeltSlips)
    );
    let slips = slips(&left);
    assert!(slips[0] < 0.1 && slips[5] > 0.25, "{slips:?}");
    assert!(slips.windows(2).all(|two| two[0] < two[1]), "{slips:?}");
    assert!(!left.complaints[0].contains(&Complaint::BeltSlips));
    assert!(left.complaints[5].contains(&Complaint::BeltSlips));

    let belt = letter(&wrong, Job::Belt, |one| one.right);
    act(&mut wrong, &format!("remove belt\nfit belt {belt}"));
    assert!(seen(&mut wrong, "pulley-line grooves").0 > 3.0);
    act(
        &mut wrong,
        "recover 30 min\nremove compressor\ncarry-over compressor",
    );
    let again = letter(&wrong, Job::Compressor, |one| one.right);
    act(&mut wrong, &format!("fit compressor {again}"));
    assert!(seen(&mut wrong, "pulley-line grooves").0.abs() <= 0.5);
}
