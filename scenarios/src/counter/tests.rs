use super::*;
use crate::bank::COUNTER;
use crate::{Bank, LoadError};
use sim_core::repair::JOBS;

fn builtin() -> Bank {
    Bank::builtin().unwrap_or_else(|errors| panic!("{errors}"))
}

fn each_job(bank: &Bank, mut look: impl FnMut(&Vehicle, Job)) {
    for vehicle in bank.vehicles() {
        for info in JOBS {
            if info.kind != Kind::Care && info.job.is_on(&vehicle.spec) {
                look(vehicle, info.job);
            }
        }
    }
}

#[test]
fn every_job_is_at_the_counter_once() {
    let bank = builtin();
    let counter = bank.counter();
    assert_eq!(counter.parts.len(), JOBS.len());
    for info in JOBS {
        let of_job = counter.parts.iter().filter(|part| part.job == info.job);
        assert_eq!(of_job.count(), 1, "{}", info.name);
        let wanted = if info.job == Job::Compressor {
            1.0
        } else {
            0.0
        };
        let part = counter.part(info.job).expect(info.name);
        assert_eq!(part.oil_delivered_share, wanted, "{}", info.name);
    }
    assert!((8..=12).contains(&counter.seals.len()));
}

#[test]
fn every_part_lies_beside_one_that_is_wrong() {
    let bank = builtin();
    each_job(&bank, |vehicle, job| {
        let place = format!("{} of {}", job.info().name, vehicle.id);
        let candidates = bank.counter().candidates(vehicle, job, 3);
        assert!(candidates.len() >= 2, "{place}");
        let right = candidates.iter().filter(|candidate| candidate.right);
        assert_eq!(right.count(), 1, "{place}");
        for (index, one) in candidates.iter().enumerate() {
            let others = candidates.iter().skip(index + 1);
            assert!(
                others.clone().all(|other| other.features != one.features),
                "two cannot be told apart: {place}: {:?}",
                one.features
            );
            let names = one.features.iter().map(|(name, _)| name);
            for other in others {
                let same = other.features.iter().map(|(name, _)| name);
                assert!(names.clone().eq(same), "{place}");
            }
        }
    });
}

/// The part itself carries what is wrong: the job's own fields change, and nothing else need.
#[test]
fn a_look_alike_that_fits_changes_the_car_by_its_job() {
    let bank = builtin();
    let mut fitted = 0;
    each_job(&bank, |vehicle, job| {
        for candidate in bank.counter().candidates(vehicle, job, 3) {
            let OtherOutcome::Fits(knobs) = &candidate.outcome else {
                assert!(!candidate.right);
                continue;
            };
            assert_eq!(knobs.is_empty(), candidate.right);
            let new = turned(&vehicle.spec, knobs);
            let mut car = vehicle.spec.clone();
            job.turn(&mut car, &new);
            let place = format!("{} of {}", job.info().name, vehicle.id);
            assert_eq!(car != vehicle.spec, !candidate.right, "{place}");
            assert_eq!(car, new, "a knob of another part: {place}");
            fitted += usize::from(!candidate.right);
        }
    });
    assert!(fitted > 200, "{fitted}");
}

/// A look-alike nobody is ever offered is dead.
#[test]
fn every_look_alike_is_offered_for_some_vehicle() {
    let bank = builtin();
    for part in &bank.counter().parts {
        for other in &part.others {
            let offered = |vehicle: &Vehicle| {
                let candidates = bank.counter().candidates(vehicle, part.job, 1);
                candidates
                    .iter()
                    .any(|candidate| candidate.why == other.why)
            };
            assert!(bank.vehicles().any(offered), "{}", other.why);
        }
    }
}

#[test]
fn some_look_alike_of_a_part_does_not_fit_and_another_does() {
    let bank = builtin();
    for job in [Job::Compressor, Job::Condenser, Job::ExpansionDevice] {
        for vehicle in bank.vehicles() {
            let candidates = bank.counter().candidates(vehicle, job, 1);
            let wrong = candidates.iter().filter(|candidate| !candidate.right);
            let misfits =
                |candidate: &&Candidate| matches!(candidate.outcome, OtherOutcome::Misfit(_));
            let misfit = wrong.clone().filter(misfits).count();
            assert!(0 < misfit && misfit < wrong.count(), "{}", vehicle.id);
        }
    }
}

#[test]
fn an_order_is_of_its_seed_and_its_job() {
    let bank = builtin();
    let vehicle = bank.vehicle("saloon").expect("the saloon");
    let order = |job, seed| bank.counter().candidates(vehicle, job, seed);
    assert_eq!(order(Job::Compressor, 5), order(Job::Compressor, 5));
    let place_of_right = |job, seed| order(job, seed).iter().position(|one| one.right);
    let places = |job| {
        (0..40)
            .map(|seed| place_of_right(job, seed))
            .collect::<Vec<_>>()
    };
    let compressor = places(Job::Compressor);
    for place in 0..4 {
        assert!(compressor.contains(&Some(place)), "{compressor:?}");
    }
    assert_ne!(compressor, places(Job::Condenser));
}

#[test]
fn what_is_measured_follows_from_the_part() {
    let bank = builtin();
    let vehicle = bank.vehicle("hatchback").expect("the hatchback");
    let shown = |job, right| {
        let candidates = bank.counter().candidates(vehicle, job, 1);
        let one = candidates.into_iter().filter(|one| one.right == right);
        one.map(|one| one.features).collect::<Vec<_>>()
    };
    let rating = |value: &str| vec![("rating".to_owned(), value.to_owned())];
    assert_eq!(shown(Job::Fuse, true), [rating("7.5 A")]);
    let mut wrong = shown(Job::Fuse, false);
    wrong.sort();
    assert_eq!(wrong, [rating("2 A"), rating("30 A")]);
    let whole = shown(Job::Compressor, true).concat();
    let displacement = ("displacement".to_owned(), "114 cm³".to_owned());
    assert!(whole.contains(&displacement), "{whole:?}");
}

/// What every car has in common a file may say otherwise, and the look-alike is then another one.
#[test]
fn a_file_may_say_otherwise_than_the_counter() {
    let bank = builtin();
    for (id, own, other) in [("saloon", "10 mm", "8 mm"), ("hatchback", "8 mm", "6.5 mm")] {
        let vehicle = bank.vehicle(id).expect(id);
        let candidates = bank.counter().candidates(vehicle, Job::DischargeHose, 1);
        let right = candidates.iter().find(|candidate| candidate.right);
        let bore = |value: &str| ("bore".to_owned(), value.to_owned());
        assert!(right.expect("one").features.contains(&bore(own)), "{id}");
        let wrong = |one: &Candidate| !one.right && one.features.contains(&bore(other));
        assert!(candidates.iter().any(wrong), "{id}");
    }
}

/// A bottle lies beside a bottle and a cartridge beside a cartridge, where the file knows both.
#[test]
fn like_lies_beside_like() {
    let bank = builtin();
    for (id, kind) in [("saloon", "cartridge"), ("liftback", "bottle")] {
        let vehicle = bank.vehicle(id).expect(id);
        for candidate in bank.counter().candidates(vehicle, Job::Drier, 1) {
            let mut features = candidate.features.iter();
            let body = features.find(|(name, _)| name == "body").expect("a body");
            assert!(body.1.starts_with(kind), "{id}: {}", body.1);
        }
    }
}

/// A valve's clamp is of no use to a car with an orifice tube.
#[test]
fn what_is_taken_over_matters_on_the_car() {
    let bank = builtin();
    let carry = |id: &str, job| {
        let vehicle = bank.vehicle(id).expect(id);
        bank.counter().carry(vehicle, job).is_some()
    };
    assert!(carry("saloon", Job::ExpansionDevice));
    assert!(!carry("estate", Job::ExpansionDevice));
    assert!(carry("estate", Job::Condenser));
    assert!(!carry("saloon", Job::Relay));
    for part in &bank.counter().parts {
        if part.carry.is_some() {
            let mut vehicles = bank.vehicles();
            assert!(
                vehicles.any(|one| carry(&one.id, part.job)),
                "{:?}",
                part.job
            );
        }
    }
}

#[test]
fn care_and_parts_a_car_has_not_need_no_choice() {
    let bank = builtin();
    let none = |id: &str, job| {
        let vehicle = bank.vehicle(id).expect(id);
        bank.counter().candidates(vehicle, job, 1).is_empty()
    };
    assert!(none("saloon", Job::CondenserFace));
    assert!(none("saloon", Job::ControlValve));
    assert!(!none("crossover", Job::ControlValve));
    assert!(none("people-carrier", Job::Clutch));
}

/// What the first problem says, and the text it marks.
fn problem_of(error: &LoadError, text: &str) -> (String, Option<String>) {
    let problem = &error.problems()[0];
    let marked = problem.span.clone().and_then(|span| text.get(span));
    (problem.message.clone(), marked.map(str::to_owned))
}

/// A slip in the counter's file, the message, and what is marked.
#[test]
fn a_slip_in_the_file_is_answered_at_the_place() {
    let table = [
        (
            "job = \"drier\"",
            "job = \"dryer\"",
            "no job is called `dryer`",
            Some("\"dryer\""),
        ),
        (
            "compressor-size = 0.75",
            "compresor-size = 0.75",
            "no knob is called `compresor-size`",
            Some("compresor-size"),
        ),
        (
            "compressor-size = 0.75",
            "compressor-size = 7",
            "`compressor-size` cannot be 7",
            Some("7"),
        ),
        (
            "compressor-size = 0.75",
            "compressor-size = 1.0",
            "`compressor-size` changes nothing at 1",
            Some("1.0"),
        ),
        (
            "fits = { compressor-size = 0.75 }",
            "fits = {}",
            "this must turn at least one knob",
            Some("{}"),
        ),
        (
            "job = \"drier\"",
            "job = \"condenser\"",
            "two parts are for `condenser`",
            Some("\"condenser\""),
        ),
        (
            "feature = \"superheat\"",
            "feature = \"superheet\"",
            "no feature is called `superheet`",
            Some("\"superheet\""),
        ),
        (
            "job = \"drier\"\nprice = 45",
            "job = \"drier\"\nprice = 45\noil_delivered = \"50 %\"",
            "only a compressor is delivered with oil in it",
            Some("\"50 %\""),
        ),
        (
            "why = \"It is for another body.\"\nprice = 90\nmisfit",
            "why = \" \"\nprice = 90\nmisfit",
            "this must say something",
            Some("\" \""),
        ),
        (
            "shows = [\"28 tubes\"]\n",
            "",
            "this must say in `shows` what is seen",
            Some("\"tubes\""),
        ),
        (
            "[\"7.6 mm\", \"2.4 mm\"]",
            "[\"7.6 mm\", \"1.8 mm\"]",
            "this size is in the box already",
            Some("[\"7.6 mm\", \"1.8 mm\"]"),
        ),
        (
            "id = \"pag-150\"",
            "id = \"pag-46\"",
            "two oils are called `pag-46`",
            Some("\"pag-46\""),
        ),
        (
            "[[part]]\njob = \"fan-wires\"\nprice = 2\n",
            "",
            "the counter has no part for `fan-wires`",
            None,
        ),
        (
            "labour_per_hour = 90",
            "labour_per_hour = 0",
            "this must be more than zero",
            Some("0"),
        ),
    ];
    for (from, to, message, marked) in table {
        assert!(COUNTER.text.contains(from), "{from}");
        let text = COUNTER.text.replacen(from, to, 1);
        let error = Counter::read("counter.toml", &text).expect_err(to);
        let (found, at) = problem_of(&error, &text);
        assert_eq!(found, message, "{error}");
        assert_eq!(at.as_deref(), marked, "{error}");
    }
}

/// A slip in a vehicle's service page, the message, and what is marked.
#[test]
fn a_slip_in_a_service_page_is_answered_at_the_place() {
    let saloon = include_str!("../../vehicles/saloon.toml");
    let table = [
        (
            "seal = [\"13.9 mm\", \"2.4 mm\"]",
            "seal = [\"13.8 mm\", \"2.4 mm\"]",
            "this seal is not in the counter's box",
            Some("[\"13.8 mm\", \"2.4 mm\"]"),
        ),
        (
            "torque = \"25 N m\"",
            "torque = \"0 N m\"",
            "this must be more than zero",
            Some("\"0 N m\""),
        ),
        (
            "oil = \"60 cm3\"",
            "oil = \"40 cm3\"",
            "this is not the oil that such a part takes along",
            Some("\"40 cm3\""),
        ),
        (
            "\nsuction-hose = ",
            "\nsuction-hoze = ",
            "no job in the loop of this car is called `suction-hoze`",
            Some("suction-hoze"),
        ),
        (
            "[service.features.belt]",
            "[service.features.bolt]",
            "no job is called `bolt`",
            Some("bolt"),
        ),
        (
            "length = \"1188 mm\"\n",
            "",
            "`belt` has no `length`",
            Some("[service.features.belt]"),
        ),
        (
            "drier = \"on the left",
            "dryer = \"on the left",
            "no feature of `condenser` on this car is called `dryer`",
            Some("dryer"),
        ),
        (
            "{ drier = ",
            "{ dryer = ",
            "no feature of a condenser is called `dryer`",
            Some("dryer"),
        ),
        (
            "{ drier = \"on the right, welded on\", tubes = \"38 tubes\" }",
            "{ tubes = \"34 tubes\" }",
            "nothing tells this condenser from the usual one",
            Some("{ tubes = \"34 tubes\" }"),
        ),
        (
            "id = \"drier-right\"",
            "id = \"usual\"",
            "two condensers are called `usual`",
            Some("\"usual\""),
        ),
        (
            "\noil = \"PAG 46\"",
            "\noil = \"PAG 64\"",
            "no oil at the counter is called `PAG 64`",
            Some("\"PAG 64\""),
        ),
        (
            "seal = [\"13.9 mm\", \"2.4 mm\"]",
            "seal = [\"13.9 mm\", \"2.4 mm\"], glue = 1",
            "no field is called `glue` here",
            Some("glue"),
        ),
    ];
    let counter = Counter::read(COUNTER.name, COUNTER.text).expect("the counter");
    for (from, to, message, marked) in table {
        assert!(saloon.contains(from), "{from}");
        let text = saloon.replacen(from, to, 1);
        let error = Vehicle::read("saloon.toml", "saloon", &text, &counter).expect_err(to);
        let (found, at) = problem_of(&error, &text);
        assert_eq!(found, message, "{error}");
        assert_eq!(at.as_deref(), marked, "{error}");
    }
    let line = saloon
        .lines()
        .find(|line| line.starts_with("liquid-line = "));
    let text = saloon.replace(line.expect("the line"), "");
    let error = Vehicle::read("saloon.toml", "saloon", &text, &counter).expect_err("missing");
    let (found, _) = problem_of(&error, &text);
    assert_eq!(found, "the joints of `liquid-line` are missing");
    assert!(error.problems()[0].span.is_some());
}

/// Two sizes on one car that a hurried hand takes for each other.
#[test]
fn every_vehicle_has_two_seals_that_are_nearly_the_same() {
    let bank = builtin();
    for vehicle in bank.vehicles() {
        let joints = JOBS
            .iter()
            .filter_map(|info| vehicle.service.joint(info.job));
        let seals: Vec<SealSize> = joints.map(|joint| joint.seal).collect();
        let near = |one: &SealSize, other: &SealSize| {
            one != other && (one.inner_m - other.inner_m).abs() < 0.5e-3
        };
        let trap = seals
            .iter()
            .any(|one| seals.iter().any(|other| near(one, other)));
        assert!(trap, "{}", vehicle.id);
        assert!(
            (2..=4).contains(&vehicle.service.notes.len()),
            "{}",
            vehicle.id
        );
    }
}
