//! What an author is shown of a case: both cars, the picture, and a debrief that a learner could earn.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::{Mutex, MutexGuard, PoisonError};

use coldtrail_checks::program::ScriptFile;
use coldtrail_checks::stand::bank;
use coldtrail_checks::{golden, program, tours};
use runner::author::compared::compared;
use runner::cache::TourCache;
use runner::cli::author::preview::{Changes, PreviewArgs, watch};
use runner::cli::{Output, Streams, Units, width_of};
use scenarios::Case;
use serde_json::Value;

fn temporary(name: &str) -> String {
    format!("{}/{name}", env!("CARGO_TARGET_TMPDIR"))
}

/// One test after the other where they need the same tour: the second finds it on disk.
fn in_turn() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

#[test]
fn a_preview_shows_the_work_order_both_cars_the_picture_and_a_debrief() {
    let _turn = in_turn();
    let picture = temporary("preview.svg");
    let arguments = ["author", "preview", "school-run", "--picture", &picture];
    let ran = program::coldtrail(&arguments);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    let page = ran.output;
    let orders = [
        "WORK ORDER  ",
        "In the car, which",
        "Healthy and faulty",
        "The cycle, idling",
        "A model attempt",
        "What your readings prove",
        "together ",
    ];
    let places: Vec<usize> = orders
        .iter()
        .map(|words| {
            page.find(words)
                .unwrap_or_else(|| panic!("{words}: {page}"))
        })
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    for line in page.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    // The work order is the learner's, line for line.
    let script = ScriptFile::new("engine idle\n");
    let learner = program::coldtrail(&[
        "practice",
        "school-run",
        "--seed",
        "1",
        "--script",
        script.path(),
    ]);
    let order = &learner.output[..learner.output.find("\n\n").unwrap()];
    assert!(page.contains(order), "{order}\n\n{page}");
    let svg = std::fs::read_to_string(&picture).unwrap();
    let drawn = roxmltree::Document::parse(&svg).unwrap();
    assert_eq!(drawn.root_element().tag_name().name(), "svg");
    assert!(svg.contains("ealthy"), "both cycles");
}

/// The debrief is that of a real attempt: played as a script, the same actions earn the same.
#[test]
fn the_model_attempt_is_a_session_like_any_other() {
    let _turn = in_turn();
    let ran = program::coldtrail(&["author", "preview", "school-run", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.errors);
    let preview: Value = serde_json::from_str(&ran.output).expect(&ran.output);
    let model = &preview["model"];
    let script = program::script_of(&model.to_string());
    let played = program::play(&script, &["school-run", "--seed", "1", "--format", "json"]);
    let played: Value = serde_json::from_str(&played.output).expect(&played.output);
    assert_eq!(model, &played);
    assert_eq!(model["slips"].as_array().unwrap().len(), 0);
    assert_eq!(
        model["diagnosis"]["mode_right"], true,
        "{:#}",
        model["diagnosis"]
    );
    assert!(
        model["mark"]["total"].as_f64().unwrap() > 90.0,
        "{:#}",
        model["mark"]
    );
    assert!(!preview["cycle"].as_array().unwrap().is_empty());
    assert_ne!(preview["cycle"], preview["healthy_cycle"]);
}

#[test]
fn a_sound_car_reads_as_itself_and_a_blocked_condenser_does_not() {
    let sound = Case::deal(bank(), "hot-day-out", 3).unwrap();
    for set_up in compared(bank(), &sound).unwrap() {
        assert!(set_up.numbers.iter().all(|one| !one.differs), "{set_up:#?}");
        assert!(set_up.findings.is_empty(), "{set_up:#?}");
        assert!(!set_up.numbers.is_empty());
    }
    let blocked = Case::deal(bank(), "harvest-dust", 3).unwrap();
    let set_ups = compared(bank(), &blocked).unwrap();
    let idling = set_ups
        .iter()
        .find(|one| one.name.starts_with("idling with the air conditioning on"))
        .unwrap();
    let high = idling
        .numbers
        .iter()
        .find(|one| one.words == "high-side pressure")
        .unwrap();
    // Less air takes less heat away: both ends of what it swings over lie above the sound car's.
    assert!(high.differs && high.faulty.unwrap().0 > high.healthy.unwrap().1);
    // A vent that is shut shows at that vent, though it is not among what is always shown.
    let shut = Case::deal(bank(), "cold-on-one-side", 3).unwrap();
    let set_ups = compared(bank(), &shut).unwrap();
    let mut numbers = set_ups.iter().flat_map(|one| &one.numbers);
    let left = numbers.any(|one| one.differs && one.words.ends_with("left vent"));
    assert!(left, "{set_ups:#?}");
    assert!(
        idling
            .findings
            .iter()
            .any(|one| one.action.to_string() == "look condenser-face"),
        "{:#?}",
        idling.findings
    );
}

/// Saves a file as a script says, instead of a person.
struct Typed {
    path: String,
    texts: Vec<String>,
    saves: usize,
}

impl Changes for Typed {
    fn now(&self) -> String {
        format!("12:00:0{}", self.saves)
    }

    fn wait(&mut self) -> bool {
        let Some(text) = self.texts.get(self.saves) else {
            return false;
        };
        std::fs::write(&self.path, text).unwrap();
        self.saves += 1;
        true
    }
}

#[test]
fn watching_shows_it_again_on_every_save_and_waits_on_mistakes() {
    let _turn = in_turn();
    let path = temporary("watched.toml");
    let wrong =
        golden::text("scenarios/bank/school-run.toml").replace("mode = \"", "mode = \"not-");
    let right = golden::text("scenarios/bank/school-run.toml");
    std::fs::write(&path, &wrong).unwrap();
    let args = PreviewArgs {
        case: path.clone(),
        seed: 1,
        picture: None,
        watch: true,
        units: Units::Us,
        format: Output::Text,
    };
    let mut saves = Typed {
        path,
        texts: vec![right, wrong],
        saves: 0,
    };
    let tours = TourCache::new(Some(tours::folder()));
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let mut streams = Streams {
        input: &mut std::io::empty(),
        input_is_terminal: false,
        output: &mut output,
        errors: &mut errors,
        width: width_of(None),
        fresh_seed: 1,
        cache: None,
        records: None,
    };
    let ended = watch(bank(), &args, &tours, &mut saves, &mut streams);
    assert_eq!(ended, Ok((String::new(), 0)));
    let page = String::from_utf8(output).unwrap();
    let passes: Vec<&str> = page.split("== 12:00:0").skip(1).collect();
    assert_eq!(passes.len(), 3, "{page}");
    for (index, pass) in passes.iter().enumerate() {
        assert!(pass.starts_with(&index.to_string()), "{pass}");
        assert!(pass.contains("Waiting for "), "{pass}");
        let is_wrong = index != 1;
        assert_eq!(pass.contains("| mode = \"not-"), is_wrong, "{pass}");
        assert_eq!(pass.contains("together "), !is_wrong, "{pass}");
        assert_eq!(pass.contains(" °F"), !is_wrong, "{pass}");
    }
}

#[test]
fn watching_wants_a_file() {
    let ran = program::coldtrail(&["author", "preview", "school-run", "--watch"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.errors.contains("--watch waits for a file"),
        "{}",
        ran.errors
    );
}
