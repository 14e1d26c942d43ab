//! The grade runs the model: it holds under other names, and what it says of another car that car shows.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::golden;
use coldtrail_checks::stand::bank;
use runner::action::{Action, command_of};
use runner::bay::{Bay, Note};
use runner::evidence::cues::Cue;
use runner::evidence::swing::Seen;
use runner::grade::{Grade, Weights, grade};
use scenarios::{Bank, BankFiles, Case, SourceFile};
use sim_core::instruments::{Unit, Value};

const SESSION: &str = "wear glasses\nwear gloves\ngauges connect\ngauges open\nengine idle\nac on\n\
    blower 4\nair recirculate\ndoors open\nengine 1500 rpm\nwait 15 min\ngauges read\n\
    clamp liquid-line\nthermometer centre-vent\nlook condenser-face";
/// Shop clock at the end of the long wait, s.
const SETTLED_AT_S: f64 = 1089.0;

fn actions(words: &str) -> Vec<Action> {
    words
        .lines()
        .map(|line| Action::parse(line).unwrap_or_else(|error| panic!("{line}: {error}")))
        .collect()
}

fn graded(bank: &Bank, case: &str, words: &str) -> Grade {
    let case = Case::deal(bank, case, 5).unwrap();
    grade(bank, &case, &actions(words), &Weights::default(), &mut ()).unwrap()
}

/// The files of a folder of `scenarios/`, names and texts.
fn files(folder: &str) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = std::fs::read_dir(golden::path(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            (path.to_string_lossy().into_owned(), text)
        })
        .collect();
    found.sort();
    found
}

/// The bank with every failure mode under a name that says nothing, in another order.
struct Anonymous {
    bank: Bank,
    names: Vec<(String, String)>,
}

impl Anonymous {
    fn new() -> Self {
        let count = bank().catalogue().modes().count();
        let names: Vec<(String, String)> = bank()
            .catalogue()
            .modes()
            .enumerate()
            .map(|(index, mode)| (mode.id.clone(), format!("x{:02}", count - index)))
            .collect();
        let mut texts: Vec<Vec<(String, String)>> = ["faults", "vehicles", "bank"]
            .iter()
            .map(|folder| files(&format!("scenarios/{folder}")))
            .collect();
        for (_, text) in texts.iter_mut().flatten() {
            for (old, new) in &names {
                *text = text
                    .replace(&format!("id = \"{old}\""), &format!("id = \"{new}\""))
                    .replace(&format!("mode = \"{old}\""), &format!("mode = \"{new}\""));
            }
            *text = without_words(text);
        }
        let mut together = golden::text("scenarios/together.toml");
        for (old, new) in &names {
            together = together.replace(&format!("\"{old}\""), &format!("\"{new}\""));
        }
        let together = without_words(&together);
        let components = golden::text("scenarios/components.toml");
        let sources = |index: usize| -> Vec<SourceFile<'_>> {
            texts[index]
                .iter()
                .map(|(name, text)| SourceFile { name, text })
                .collect()
        };
        let file = |name, text| SourceFile { name, text };
        let bank = Bank::from_parts(&BankFiles {
            components: &[file("components.toml", &components)],
            vehicles: &sources(1),
            faults: &sources(0),
            together: Some(file("together.toml", &together)),
            marks: None,
            cases: &sources(2),
        })
        .unwrap_or_else(|errors| panic!("{errors}"));
        Self { bank, names }
    }

    fn name(&self, id: &str) -> String {
        let found = self.names.iter().find(|(old, _)| old == id);
        found.map_or_else(|| id.to_owned(), |(_, new)| new.clone())
    }

    /// A conclusion in the new names.
    fn words(&self, words: &str) -> String {
        let words: Vec<String> = words.split(' ').map(|word| self.name(word)).collect();
        words.join(" ")
    }
}

/// Faults' names and what is said of them, blanked; `name` of vehicles may change as well.
fn without_words(text: &str) -> String {
    text.lines()
        .map(|line| match line.split_once(" = \"") {
            Some((key @ ("name" | "effect" | "cure" | "why"), _)) => format!("{key} = \"thing\"\n"),
            _ => format!("{line}\n"),
        })
        .collect()
}

/// No table of symptoms: called something else, a fault is graded the same to the last digit.
#[test]
fn the_grade_holds_under_other_names() {
    let anonymous = Anonymous::new();
    assert!(anonymous.bank.catalogue().get("undercharge").is_none());
    let table = [
        ("school-run", "valve-stuck-shut because 1 2 3"),
        ("school-run", "undercharge because 1 3"),
        (
            "every-summer",
            "undercharge cause leak-condenser because 1 2 5",
        ),
        ("second-opinion", "condenser-tubes-blocked because 2 3"),
        ("hot-day-out", "no-fault because 1 2 3 4"),
    ];
    for (case, conclusion) in table {
        let known = graded(bank(), case, &format!("{SESSION}\nconclude {conclusion}"));
        let renamed = anonymous.words(conclusion);
        let other = graded(
            &anonymous.bank,
            case,
            &format!("{SESSION}\nconclude {renamed}"),
        );
        assert_eq!(known.mark, other.mark, "{conclusion}");
        assert_eq!(known.evidence.share, other.evidence.share, "{conclusion}");
        assert_eq!(known.cues, other.cues, "{conclusion}");
        let supports = |grade: &Grade| -> Vec<_> {
            let relied_on = &grade.evidence.relied_on;
            relied_on
                .iter()
                .map(|one| (one.number, one.support))
                .collect()
        };
        assert_eq!(supports(&known), supports(&other), "{conclusion}");
        let mut standing: Vec<String> = known
            .evidence
            .standing
            .iter()
            .map(|id| anonymous.name(id))
            .collect();
        let mut others = other.evidence.standing.clone();
        standing.sort();
        others.sort();
        assert_eq!(standing, others, "{conclusion}");
        let rival = |grade: &Grade| grade.rival.clone().expect("a rival").hypothesis;
        assert_eq!(
            anonymous.name(rival(&known).name()),
            rival(&other).name(),
            "{conclusion}"
        );
    }
}

/// What a cue says each car would have shown, real sessions on those two cars read.
#[test]
fn cues_are_what_the_two_cars_read() {
    let table = [
        ("school-run", "undercharge because 1"),
        ("every-summer", "fan-dead because 2"),
        ("second-opinion", "valve-stuck-shut because 1"),
        ("hot-day-out", "condenser-face-blocked because 1"),
    ];
    for (case, conclusion) in table {
        let grade = graded(bank(), case, &format!("{SESSION}\nconclude {conclusion}"));
        let rival = &grade.rival.as_ref().expect("a rival").hypothesis;
        // The rival as a case of its own: same vehicle, weather and seed, its faults instead.
        let text = with_faults(case, &rival.faults);
        let (rivals, id) = bank().clone().with_case("rival.toml", &text).unwrap();
        let air_k = bank().case(case).unwrap().weather.temperature_k;
        // Taking a reading takes up to a minute; only cars that have settled wait for it.
        let settled: Vec<&Cue> = grade
            .cues
            .iter()
            .filter(|cue| cue.at_s >= SETTLED_AT_S)
            .collect();
        assert!(settled.len() >= 3, "{case}: {:?}", grade.cues);
        for cue in settled {
            let (ours, theirs) = (take(bank(), case, cue), take(&rivals, &id, cue));
            for (note, seen, whose) in [(ours, &cue.truth, "truth"), (theirs, &cue.rival, "rival")]
            {
                assert!(
                    shows(&note, seen, air_k),
                    "{case}, {whose}: {note:?} is not in {cue:?}"
                );
            }
        }
    }
}

/// A case's text with other faults.
fn with_faults(case: &str, faults: &[(String, f64)]) -> String {
    let text = golden::text(&format!("scenarios/bank/{case}.toml"));
    let mut text = text.split("[[fault]]").next().unwrap().to_owned();
    for (mode, severity) in faults {
        text.push_str(&format!(
            "[[fault]]\nmode = \"{mode}\"\nseverity = {severity:?}\n"
        ));
    }
    text
}

/// Plays the session up to a cue's moment and makes its check.
fn take(bank: &Bank, case: &str, cue: &Cue) -> Note {
    let case = Case::deal(bank, case, 5).unwrap();
    let mut bay = Bay::new(bank, &case).unwrap();
    for action in actions(SESSION) {
        if bay.clock_s() < cue.at_s - 0.1 {
            bay.act(&action).unwrap();
        }
    }
    assert!((bay.clock_s() - cue.at_s).abs() < 0.1);
    let check = Action::parse(&command_of(cue.check)).unwrap();
    let taken = bay
        .act(&check)
        .unwrap_or_else(|why| panic!("{cue:?}: {why}"));
    let of_it = |note: &Note| note.reading.check == cue.check;
    taken.notes.into_iter().find(of_it).expect("a reading")
}

/// Whether a note is what was foretold, give or take the limit of the instrument's error and
/// what its lag leaves of the way from the air it comes from.
fn shows(note: &Note, seen: &Seen, air_k: f64) -> bool {
    match (note.reading.value, seen) {
        (Value::Number { shown, error, .. }, Seen::Range(low, high)) => {
            let spec = note.reading.check.tool().expect("an instrument").spec();
            let behind = match spec.unit {
                Unit::Temperature => (-spec.time_s / spec.lag_s).exp() * (shown - air_k).abs(),
                _ => 0.0,
            };
            let off = error + behind;
            shown >= low - off && shown <= high + off
        }
        (Value::Finding { key, .. }, Seen::Findings(findings)) => {
            findings.iter().any(|finding| finding.key == key)
        }
        _ => false,
    }
}
