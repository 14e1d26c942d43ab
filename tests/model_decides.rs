//! The grade runs the model: it holds under other names, and what it says of another car that car shows.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::LazyLock;

use coldtrail_checks::golden;
use coldtrail_checks::stand::{bank, fluid_by_name};
use coldtrail_checks::tours::{actions, graded, tours};
use runner::action::{Action, command_of};
use runner::bay::{Bay, Note};
use runner::evidence::alike::Beside;
use runner::evidence::cues::Cue;
use runner::evidence::reader::Tours;
use runner::evidence::replay::Stage;
use runner::evidence::seen::Seen;
use runner::grade::{Grade, Rival, present};
use scenarios::{Bank, BankFiles, Case, SourceFile};
use sim_core::instruments::{Unit, Value};

const SESSION: &str = "wear glasses\nwear gloves\ngauges connect\ngauges open\nengine idle\nac on\n\
    blower 4\nair recirculate\ndoors open\nengine 1500 rpm\nwait 15 min\ngauges read\n\
    clamp liquid-line\nthermometer centre-vent\nlook condenser-face";
/// Shop clock at the end of the long wait, s.
const SETTLED_AT_S: f64 = 1089.0;

/// Cases with a conclusion each, right or wrong; on one day with one car, so that a tour serves all.
const TABLE: [(&str, &str); 4] = [
    ("night-porter", "undercharge because 1 2"),
    ("half-a-summer", "fan-dead because 2"),
    ("third-workshop", "valve-stuck-shut because 1"),
    ("cold-as-a-bottle", "condenser-face-blocked because 1 2"),
];

/// A case at the middle of its ranges.
fn dealt(bank: &Bank, case: &str) -> Case {
    Case::deal_version(bank, case, &[], 5).unwrap()
}

fn grade_of(bank: &Bank, case: &str, conclusion: &str) -> Grade {
    let case = dealt(bank, case);
    graded(bank, &case, &format!("{SESSION}\nconclude {conclusion}"))
}

/// Grades of the first two among all faults.
static AMONG_ALL: LazyLock<Vec<Grade>> = LazyLock::new(|| grades(bank(), &TABLE[..2]));

fn grades(bank: &Bank, table: &[(&str, &str)]) -> Vec<Grade> {
    let grades = table.iter();
    grades
        .map(|(case, words)| grade_of(bank, case, words))
        .collect()
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

/// Files of failure modes enough for the cases of [`TABLE`] and their nearest rivals: under other names
/// every tour is made afresh, and the whole catalogue takes minutes.
const PART: [&str; 6] = [
    "charge",
    "condenser",
    "compressor",
    "expansion_valve",
    "fan",
    "leaks",
];

/// Texts of a bank with [`PART`] of the catalogue and the cases of [`TABLE`].
struct Texts {
    faults: Vec<(String, String)>,
    vehicles: Vec<(String, String)>,
    cases: Vec<(String, String)>,
    together: String,
}

impl Texts {
    fn new() -> Self {
        let named = |names: &[&str]| {
            let names: Vec<String> = names.iter().map(|name| format!("/{name}.toml")).collect();
            move |path: &String| names.iter().any(|name| path.ends_with(name))
        };
        let in_part = named(&PART);
        let in_table = named(&TABLE.map(|(case, _)| case));
        let mut faults = files("scenarios/faults");
        faults.retain(|(path, _)| in_part(path));
        let mut cases = files("scenarios/bank");
        cases.retain(|(path, _)| in_table(path));
        // Groups of which every mode is in the part.
        let known: Vec<&str> = faults
            .iter()
            .flat_map(|(_, text)| text.lines())
            .filter_map(|line| line.strip_prefix("id = "))
            .collect();
        let together = golden::text("scenarios/together.toml");
        let mut blocks = together.split("\n[[together]]\n");
        let head = blocks.next().unwrap().to_owned();
        let kept = blocks.filter(|block| {
            let modes = block
                .lines()
                .find_map(|line| line.strip_prefix("modes = ["))
                .unwrap();
            let mut modes = modes.trim_end_matches(']').split(", ");
            modes.all(|mode| known.contains(&mode))
        });
        let together = kept.fold(head, |text, block| format!("{text}\n[[together]]\n{block}"));
        Self {
            faults,
            vehicles: files("scenarios/vehicles"),
            cases,
            together,
        }
    }

    fn bank(&self) -> Bank {
        fn sources(files: &[(String, String)]) -> Vec<SourceFile<'_>> {
            files
                .iter()
                .map(|(name, text)| SourceFile { name, text })
                .collect()
        }
        let components = golden::text("scenarios/components.toml");
        let file = |name, text| SourceFile { name, text };
        Bank::from_parts(&BankFiles {
            components: &[file("components.toml", &components)],
            vehicles: &sources(&self.vehicles),
            faults: &sources(&self.faults),
            together: Some(file("together.toml", &self.together)),
            marks: None,
            counter: None,
            competencies: None,
            cases: &sources(&self.cases),
        })
        .unwrap_or_else(|errors| panic!("{errors}"))
    }
}

/// The part of the bank under the names that everybody knows, and its grades.
static PLAIN: LazyLock<Bank> = LazyLock::new(|| Texts::new().bank());
static PLAIN_GRADES: LazyLock<Vec<Grade>> = LazyLock::new(|| grades(&PLAIN, &TABLE));

/// The same with every failure mode under a name that says nothing.
struct Anonymous {
    bank: Bank,
    names: Vec<(String, String)>,
}

impl Anonymous {
    /// Names that sort as the old ones do, or the other way round.
    fn new(turned_round: bool) -> Self {
        let modes = || PLAIN.catalogue().modes();
        let count = modes().count();
        let names: Vec<(String, String)> = modes()
            .enumerate()
            .map(|(index, mode)| {
                let number = if turned_round { count - index } else { index };
                (mode.id.clone(), format!("x{number:03}"))
            })
            .collect();
        let mut texts = Texts::new();
        let files = [&mut texts.faults, &mut texts.vehicles, &mut texts.cases];
        for (_, text) in files.into_iter().flatten() {
            for (old, new) in &names {
                *text = text
                    .replace(&format!("id = \"{old}\""), &format!("id = \"{new}\""))
                    .replace(&format!("mode = \"{old}\""), &format!("mode = \"{new}\""));
            }
            *text = without_words(text);
        }
        for (old, new) in &names {
            texts.together = texts
                .together
                .replace(&format!("\"{old}\""), &format!("\"{new}\""));
        }
        texts.together = without_words(&texts.together);
        let bank = texts.bank();
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

/// What a grade says, in names that do not matter: every part of the mark, every reading's bits, what
/// is in play, what could have been checked and what would have been best.
fn told(grade: &Grade, name: &dyn Fn(&str) -> String) -> (Vec<f64>, Vec<String>) {
    let mark = &grade.mark;
    let mut numbers = vec![
        mark.diagnosis,
        mark.evidence,
        mark.calibration,
        mark.efficiency,
        mark.safety,
        mark.total,
        grade.evidence.of_claim,
        grade.evidence.of_truth,
        grade.efficiency.told_bits,
        grade.efficiency.best.bits(),
    ];
    numbers.extend(grade.evidence.relied_on.iter().map(|one| one.bits()));
    numbers.extend(grade.trace.iter().map(|moment| moment.open_bits));
    let modes = |index: usize| -> String {
        let modes = grade.explanations[index].modes.iter();
        modes.map(|id| name(id)).collect::<Vec<_>>().join(" + ")
    };
    let mut words: Vec<String> = vec![format!("{:?}", grade.evidence.verdict)];
    let mut in_play: Vec<String> = grade
        .evidence
        .in_play
        .iter()
        .map(|one| modes(*one))
        .collect();
    in_play.sort();
    words.extend(in_play);
    for step in &grade.efficiency.best.steps {
        words.push(format!("{} {}", step.set_up, step.action));
    }
    for rival in &grade.rivals {
        words.push(modes(rival.explanation));
        words.push(format!("{:?}", rival.cues));
        numbers.push(rival.probability);
    }
    (numbers, words)
}

/// No table of symptoms: called something else, a fault is graded the same to the last digit.
#[test]
fn the_grade_holds_under_other_names() {
    let anonymous = Anonymous::new(false);
    assert!(PLAIN.catalogue().get("undercharge").is_some());
    assert!(anonymous.bank.catalogue().get("undercharge").is_none());
    for ((case, conclusion), known) in TABLE.iter().zip(PLAIN_GRADES.iter()).take(2) {
        let other = grade_of(&anonymous.bank, case, &anonymous.words(conclusion));
        assert_eq!(
            told(known, &|id| anonymous.name(id)),
            told(&other, &str::to_owned),
            "{conclusion}"
        );
    }
}

/// Nor does it matter in which order they are gone through, but for the rounding of sums.
#[test]
fn the_grade_holds_in_another_order() {
    let anonymous = Anonymous::new(true);
    for ((case, conclusion), known) in TABLE.iter().zip(PLAIN_GRADES.iter()).skip(2) {
        let other = grade_of(&anonymous.bank, case, &anonymous.words(conclusion));
        let (numbers, words) = told(known, &|id| anonymous.name(id));
        let (others, their_words) = told(&other, &str::to_owned);
        assert_eq!(words, their_words, "{conclusion}");
        assert_eq!(numbers.len(), others.len());
        for (one, other) in numbers.iter().zip(&others) {
            assert!(
                (one - other).abs() < 1e-9,
                "{conclusion}: {one} and {other}"
            );
        }
    }
}

/// What a cue says each car would have shown, real sessions on those two cars read.
#[test]
fn cues_are_what_the_two_cars_read() {
    let among_part = TABLE.iter().zip(PLAIN_GRADES.iter());
    let among_all = TABLE.iter().zip(AMONG_ALL.iter());
    for ((case, _), grade) in among_part.chain(among_all) {
        assert!(!grade.rivals.is_empty(), "{case}");
        let mut told = 0;
        for rival in &grade.rivals {
            told += cues_of(case, rival);
        }
        assert!(told >= 3, "{case}: {:?}", grade.rivals);
    }
}

/// Checks the cues of a rival; returns how many there were.
fn cues_of(case: &str, rival: &Rival) -> usize {
    // The rival as a case of its own: same vehicle, weather and seed, its faults instead.
    let text = with_faults(case, &rival.faults);
    let (rivals, id) = bank().clone().with_case("rival.toml", &text).unwrap();
    let air_k = dealt(bank(), case).scenario.weather.temperature_k;
    // Taking a reading takes up to a minute; only cars that have settled wait for it.
    let settled = rival.cues.iter().filter(|cue| cue.at_s >= SETTLED_AT_S);
    let mut count = 0;
    for cue in settled {
        let (ours, theirs) = (take(bank(), case, cue), take(&rivals, &id, cue));
        for (note, seen, whose) in [(ours, &cue.truth, "truth"), (theirs, &cue.rival, "rival")] {
            assert!(
                shows(&note, seen, air_k),
                "{case}, {whose}: {note:?} is not in {cue:?}"
            );
        }
        count += 1;
    }
    count
}

/// What counts as right besides what is in the car is told from it by no check of the tour; what a path
/// that went astray ended with does not.
#[test]
fn only_what_no_check_tells_apart_counts_as_right() {
    for ((case, _), grade) in TABLE.iter().zip(AMONG_ALL.iter()) {
        let case = dealt(bank(), case);
        let tour = tours().tour(bank(), &case, &()).unwrap();
        let stage = Stage {
            bank: bank(),
            case: &case,
            fluid: fluid_by_name(&case.healthy.refrigerant),
        };
        let shown = tour.walk(&stage, &case.healthy, &present(&case));
        let beside = Beside {
            tour: &tour,
            truth: &shown,
            slips: &bank().marks().slips,
        };
        let all = beside.nearest();
        for id in &grade.alike {
            let modes = |index: usize| tour.explanations[index].modes.first();
            let mut alike = all.iter().filter(|one| beside.is_alike(one));
            assert!(
                alike.any(|one| modes(one.explanation).map_or("no-fault", |id| id) == id),
                "{id} is told from what is in {}",
                case.scenario.id
            );
        }
        // None of these is a twin of much in the catalogue.
        assert!(
            grade.alike.len() <= 1,
            "{}: {:?}",
            case.scenario.id,
            grade.alike
        );
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
    let case = dealt(bank, case);
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
        (Value::Number { shown, error, .. }, Seen::Range(..) | Seen::Swing(_)) => {
            let (low, high) = seen.number().expect("a number").ends();
            let spec = note.reading.check.tool().expect("an instrument").spec();
            let behind = match spec.unit {
                Unit::Temperature => (-spec.time_s / spec.lag_s).exp() * (shown - air_k).abs(),
                _ => 0.0,
            };
            let off = error + behind;
            shown >= low - off && shown <= high + off
        }
        (Value::OutOfRange(above), Seen::Range(..) | Seen::Swing(_)) => {
            let (low, high) = seen.number().expect("a number").ends();
            let spec = note.reading.check.tool().expect("an instrument").spec();
            if above {
                high > spec.most
            } else {
                low < spec.least
            }
        }
        (Value::Finding { key, .. }, Seen::Findings(findings)) => {
            findings.iter().any(|finding| finding.key == key)
        }
        _ => false,
    }
}
