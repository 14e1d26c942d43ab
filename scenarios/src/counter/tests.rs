use super::*;
use crate::Bank;

fn bank() -> Bank {
    Bank::builtin().unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn every_job_has_its_part_and_every_part_a_look_alike_that_changes_the_car() {
    let bank = bank();
    let counter = bank.counter();
    assert_eq!(counter.parts.len(), JOBS.len());
    for vehicle in bank.vehicles() {
        let kinds = JOBS.iter().filter(|info| info.kind != Kind::Care);
        for info in kinds.filter(|info| info.job.is_on(&vehicle.spec)) {
            let candidates = counter.candidates(vehicle, info.job, 3);
            let place = format!("{} {}", vehicle.id, info.name);
            assert!(candidates.len() >= 2, "{place}");
            let right: Vec<_> = candidates.iter().filter(|one| one.right).collect();
            assert_eq!(right.len(), 1, "{place}");
            for other in candidates.iter().filter(|one| !one.right) {
                assert_ne!(other.features, right[0].features, "{place}");
            }
        }
        assert!(
            counter.oil_of(&vehicle.label.oil).is_some(),
            "{}",
            vehicle.id
        );
    }
}

#[test]
fn every_part_of_a_loop_has_its_torque_and_a_seal_from_the_box() {
    let bank = bank();
    for vehicle in bank.vehicles() {
        let parts = JOBS.iter().filter(|info| info.kind == Kind::InLoop);
        for info in parts.filter(|info| info.job.is_on(&vehicle.spec)) {
            let data = vehicle.service.part(info.job);
            let data = data.unwrap_or_else(|| panic!("{} {}", vehicle.id, info.name));
            assert!(data.torque_n_m > 0.0);
            assert!(bank.counter().seals.contains(&data.seal), "{}", vehicle.id);
        }
        assert!(!vehicle.service.notes.is_empty());
    }
}

#[test]
fn the_order_at_the_counter_is_the_seeds() {
    let bank = bank();
    let vehicle = bank
        .vehicle("saloon")
        .unwrap_or_else(|| panic!("no saloon"));
    let letters = |seed| {
        let all = bank.counter().candidates(vehicle, Job::Condenser, seed);
        all.iter().position(|one| one.right)
    };
    assert_eq!(letters(4), letters(4));
    assert!((0..20).any(|seed| letters(seed) != letters(0)));
}

#[test]
fn what_does_not_fit_is_named_at_its_place() {
    let text = r#"version = 1
labour_per_hour = 80
seals = ["7.6 x 1.8 mm"]

[[oil]]
id = "pag-46"
name = "PAG 46"

[[part]]
job = "condensor"
price = 1

[[part]]
job = "condenser"
price = 1
feature = [{ name = "tubes", values = ["36", "28"] }]

[[part.other]]
feature = "tubs"
price = 1
why = "Fewer tubes."
turns = { condenser-sise = 0.7 }
"#;
    let error = match Counter::read("counter.toml", text) {
        Ok(_) => panic!("it was read"),
        Err(error) => error,
    };
    let said = error.to_string();
    for words in [
        "no job is called `condensor`",
        "did you mean `condenser`?",
        "this part has no feature `tubs`",
        "did you mean `tubes`?",
        "no knob is called `condenser-sise`",
        "did you mean `condenser-size`?",
        "there is no part for the job `compressor`",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}
