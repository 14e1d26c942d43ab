//! Cases of the bank carried through to a verified repair, each by good work and by a parts swapper's.
//!
//! Nothing here knows what is wrong with a car: the repaired one drives on beside the same car sound.

#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::{golden, repairs};
use runner::grade::{Complaint, Repair};
use scenarios::Bank;

fn scripts() -> Vec<String> {
    let folder = golden::path("tests/repairs");
    let files = std::fs::read_dir(&folder).expect("a folder of scripts");
    let names = files.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let mut names: Vec<String> = names
        .filter_map(|name| name.strip_suffix(".script").map(str::to_owned))
        .collect();
    names.sort();
    names
}

fn told(name: &str, repair: &Repair) -> String {
    let undone = repair.steps.iter().filter(|step| !step.done);
    let undone: Vec<&str> = undone.map(|step| step.words).collect();
    format!(
        "{name}: cured {}, lasts {}, {:?}, needed {:?}, done {:?}, needless {:?}, undone {undone:?}, lost {:.0} g, bill {:.0} (least {:.0}), mark {:?}",
        repair.is_cured(),
        repair.lasts(),
        repair.complaints,
        repair.needed,
        repair.done,
        repair.needless,
        repair.lost_kg * 1e3,
        repair.bill,
        repair.least_bill,
        repair.mark
    )
}

/// Good work cures and lasts, step by step; a parts swapper's customer comes back.
#[test]
fn good_work_lasts_and_a_parts_swappers_comes_back() {
    let bank = Bank::builtin().expect("the bank");
    let names = scripts();
    let mut marks: BTreeMap<String, [f64; 2]> = BTreeMap::new();
    let mut wrong = Vec::new();
    for name in &names {
        let script = golden::text(&format!("tests/repairs/{name}.script"));
        let repair = repairs::played(&bank, name, &script);
        println!("{}", told(name, &repair));
        let (case, way) = name.rsplit_once('-').expect("a case and a way");
        let good = way == "good";
        if good {
            let proved = repair.steps.iter().all(|step| step.done);
            if !repair.is_cured() || !repair.lasts() || !proved || !repair.slips.is_empty() {
                wrong.push(told(name, &repair));
            }
        } else if repair.lasts() && repair.needless.is_empty() {
            wrong.push(told(name, &repair));
        }
        marks.entry(case.to_owned()).or_default()[usize::from(good)] = repair.mark.total;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(marks.len() >= 12, "{marks:?}");
    for (case, [bad, good]) in marks {
        assert!(good >= 90.0 && bad < good - 25.0, "{case}: {bad} {good}");
    }
}

/// A wrong part has the consequence it would have, and it is the model that says so.
#[test]
fn traps_show_in_the_weeks_after() {
    let bank = Bank::builtin().expect("the bank");
    let seen = |name: &str, complaint: Complaint| {
        let script = golden::text(&format!("tests/repairs/{name}.script"));
        let repair = repairs::played(&bank, name, &script);
        let said = repair
            .complaints
            .iter()
            .flatten()
            .any(|one| *one == complaint);
        assert!(said, "{}", told(name, &repair));
    };
    seen("second-opinion-bad", Complaint::WarmStanding);
    seen("every-summer-bad", Complaint::Short);
    seen("town-and-country-bad", Complaint::WarmStanding);
}
