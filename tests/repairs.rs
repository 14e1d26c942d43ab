//! Cases of the bank carried through to a verified repair, each by good work and by a parts swapper's.
//!
//! Nothing here knows what is wrong with a car: the repaired one drives on beside the same car sound.

#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::{golden, repairs};
use runner::action::Action;
use runner::bay::Bay;
use runner::grade::{Complaint, Repair};
use scenarios::{Bank, Case};

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
    let undone: Vec<&str> = undone.map(|step| step.kind.words()).collect();
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
    seen("after-the-seal-bad", Complaint::WarmOnTheRoad);
}

/// What a line of a repair on a case's car says: the slips it was, or why it was not taken.
fn said(case: &str, lines: &str) -> Vec<String> {
    let bank = Bank::builtin().expect("the bank");
    let case = Case::deal(&bank, case, 1).expect("a case of the bank");
    let mut bay = Bay::new(&bank, &case).expect("a known refrigerant");
    let start = "wear glasses\nwear gloves\nlook fuse\nconclude no-fault because 1\n";
    let mut last = Vec::new();
    for line in start.lines().chain(lines.lines()) {
        let action = Action::parse(line).unwrap_or_else(|why| panic!("{line}: {why}"));
        last = match bay.act(&action) {
            Ok(outcome) => {
                let slips = outcome.slips.iter();
                slips.map(|slip| slip.kind.name().to_owned()).collect()
            }
            Err(why) => vec![why.to_string()],
        };
    }
    last
}

/// Unsafe acts have their caution at the moment; what would only spill or mislead is refused.
#[test]
fn unsafe_acts_are_cautioned_and_senseless_ones_refused() {
    const EMPTY: &str = "recover 30 min\nevacuate on\nwait 5 min\nevacuate off\n";
    let slip = |lines: &str| said("fifty-grams", &format!("{EMPTY}{lines}"));
    assert_eq!(slip("press air 8 bar"), ["pressed-with-air"]);
    assert_eq!(slip("press nitrogen 18 bar"), ["pressed-too-high"]);
    assert_eq!(slip("press nitrogen 10 bar"), [""; 0]);
    assert_eq!(
        slip("press nitrogen 10 bar\nremove drier"),
        ["opened-under-gas"]
    );
    assert_eq!(slip("oil add 20 cm3 pag-150"), ["mixed-oils"]);
    assert_eq!(slip("oil add 20 cm3 pag-46-yf"), [""; 0]);
    assert_eq!(
        said("fifty-grams", "remove drier"),
        ["opened-charged-loop", "flammable-release"]
    );
    assert_eq!(
        said(
            "same-again",
            "remove connector\nloosen liquid-line\nwait 2 min\nfit connector A"
        ),
        ["flame-near-gas"]
    );
    // High voltage is for people qualified for it; a compressor with a belt has none, and one without has
    // no hub.
    let hybrid = |lines: &str| said("after-the-seal", &format!("recover 30 min\n{lines}"));
    assert_eq!(hybrid("remove compressor"), ["high-voltage"]);
    assert_eq!(hybrid("call-in\nremove compressor"), [""; 0]);
    assert_eq!(hybrid("oil add 20 cm3 pag-46-yf"), ["mixed-oils"]);
    assert_eq!(hybrid("oil add 20 cm3 poe-68"), [""; 0]);
    assert!(hybrid("turn-hub")[0].contains("no hub"));
    assert!(said("school-run", "call-in")[0].contains("no high voltage"));
    // Whatever the refrigerant, a flame never goes to a cylinder; a bath of water is the usual way.
    assert_eq!(slip("warm-cylinder flame"), ["flame-at-cylinder"]);
    assert_eq!(
        said("school-run", "warm-cylinder flame"),
        ["flame-at-cylinder"]
    );
    assert_eq!(slip("warm-cylinder water"), [""; 0]);
    // What is let out lies at the floor where no air moves: it is more than people may be in, and no
    // place for an iron, with a refrigerant that burns and with one that does not.
    let released =
        |case: &str, air: &str, after: &str| said(case, &format!("{air}remove drier\n{after}"));
    assert_eq!(
        released("same-again", "", ""),
        ["opened-charged-loop", "flammable-release", "gas-in-the-air"]
    );
    assert_eq!(
        released("same-again", "ventilation on\n", ""),
        ["opened-charged-loop", "flammable-release"]
    );
    assert_eq!(
        released("topped-up", "", ""),
        ["opened-charged-loop", "gas-in-the-air"]
    );
    for air in ["ventilation on\n", "shop-fan on\n"] {
        assert_eq!(released("topped-up", air, ""), ["opened-charged-loop"]);
    }
    let flame = "loosen liquid-line\nwait 2 min\nwarm-cylinder flame";
    assert_eq!(
        said("topped-up", flame),
        ["flame-at-cylinder", "flame-near-gas"]
    );
    assert_eq!(
        said("topped-up", &format!("ventilation on\n{flame}")),
        ["flame-at-cylinder"]
    );
    for case in ["same-again", "topped-up"] {
        let iron = "remove connector\nloosen liquid-line\nwait 2 min\nfit connector A";
        assert_eq!(said(case, iron), ["flame-near-gas"], "{case}");
        let aired = format!("ventilation on\n{iron}");
        assert_eq!(said(case, &aired), [""; 0], "{case}");
    }
    for (lines, words) in [
        ("remove drier\ncharge liquid 290 g", "the loop stands open"),
        ("remove drier\nevacuate on", "the loop stands open"),
        ("press nitrogen 10 bar\nevacuate on", "`press off`"),
        ("press nitrogen 10 bar\nhand-over", "`press off`"),
        ("evacuate on\nremove drier", "`evacuate off`"),
        ("evacuate on\npress nitrogen 10 bar", "`evacuate off`"),
        ("remove drier\npress nitrogen 10 bar", "put on what is off"),
        (
            "loosen liquid-line\npress nitrogen 10 bar",
            "a fitting at `liquid-line` is loose",
        ),
        (
            "remove drier\ncaps on\npress nitrogen 10 bar",
            "put on what is off",
        ),
        (
            "warm-cylinder water\nwarm-cylinder water",
            "no higher than 40 °C",
        ),
        ("flush discharge-hose", "flushed through its open ends"),
        ("remove drier\nengine idle", "is off the car"),
        ("remove drier\nfit drier H", "it has A to"),
        ("remove blower\nthermometer centre-vent", "`blower` is off"),
        ("seal drier 9.9 x 9.9 mm", "the box holds no seal"),
        ("oil add 20 cm3 pag-1", "no oil here is `pag-1`"),
        ("carry-over fuse", "nothing has to be taken over"),
        ("engine idle\nremove drier", "`engine off`"),
        ("hand-over\nwait 1 min", "has been given back"),
        ("conclude no-fault because 1", "what is left is the repair"),
    ] {
        let told = slip(lines);
        assert!(
            told.iter().any(|one| one.contains(words)),
            "{lines}: {told:?}"
        );
    }
}

/// A fitting loosened on any line is named by the part at it, and its torque makes it hold again.
#[test]
fn a_loose_fitting_holds_no_gas_until_its_torque() {
    const EMPTY: &str = "recover 30 min\nevacuate on\nwait 5 min\nevacuate off\n";
    for (case, lines) in [
        (
            "school-run",
            &[
                "compressor-suction",
                "compressor-discharge",
                "condenser-inlet",
                "condenser-outlet",
                "liquid-line",
                "evaporator-inlet",
                "evaporator-outlet",
            ][..],
        ),
        (
            "clicks-too-often",
            &["accumulator-outlet", "condenser-outlet"][..],
        ),
    ] {
        for line in lines {
            let loose = format!("{EMPTY}loosen {line}\npress nitrogen 10 bar");
            let told = said(case, &loose).join("\n");
            let (_, name) = told
                .split_once("a fitting at `")
                .unwrap_or_else(|| panic!("{line}: {told}"));
            let (name, _) = name.split_once('`').expect("a name");
            let made = format!("{loose}\ntorque {name} 15 N m\npress nitrogen 10 bar");
            assert_eq!(said(case, &made), [""; 0], "{line}: {name}");
        }
    }
}

/// Airing the bay is a step of good work with a refrigerant that does not burn, too.
#[test]
fn a_bay_that_is_not_aired_is_a_step_left_out() {
    let bank = Bank::builtin().expect("the bank");
    let script = golden::text("tests/repairs/school-run-good.script");
    let still = script.replace("ventilation on\n", "");
    assert_ne!(script, still);
    let undone = |script: &str| -> Vec<&'static str> {
        let repair = repairs::played(&bank, "school-run-good", script);
        let steps = repair.steps.iter().filter(|step| !step.done);
        steps.map(|step| step.kind.words()).collect()
    };
    assert_eq!(undone(&script), [""; 0]);
    assert_eq!(
        undone(&still),
        [
            "the bay was aired, by ventilation or fan, while refrigerant was drawn out or the loop opened"
        ]
    );
}
