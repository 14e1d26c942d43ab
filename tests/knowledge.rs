//! The knowledge round: enough questions, keys that hold outside, the same bytes for the same seed.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::sync::OnceLock;

use coldtrail_checks::golden;
use coldtrail_checks::program::{Ran, coldtrail, launch, typed};
use scenarios::Library;
use scenarios::question::{Body, Dealt, Kind, Questions};
use scenarios::units::UnitSystem;

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| Library::builtin().unwrap())
}

fn questions() -> &'static Questions {
    &library().questions
}

fn dealt(id: &str, seed: u64) -> Dealt {
    let question = questions().question(id).unwrap_or_else(|| panic!("{id}"));
    question.deal(seed, UnitSystem::Si).unwrap()
}

#[test]
fn there_are_enough_questions_of_each_kind() {
    let mut kinds: BTreeMap<Kind, usize> = BTreeMap::new();
    for question in questions().all() {
        *kinds.entry(question.kind()).or_default() += 1;
        assert!(!question.explanation.is_empty() && !question.source.is_empty());
    }
    assert!(questions().all().len() >= 120, "{kinds:?}");
    for kind in Kind::ALL {
        assert!(kinds[&kind] >= 10, "{kinds:?}");
    }
}

/// A rule was at hand for nobody here: whatever names one says that it is from memory.
#[test]
fn what_names_a_rule_is_marked_as_from_memory() {
    for question in questions().all() {
        let names = [
            "CFR",
            "2024/573",
            "2025/1893",
            "2006/40",
            "SAE J27",
            "SAE J28",
            "Ozone Protection",
            "Span and Wagner",
        ];
        if names.iter().any(|name| question.source.contains(name)) {
            assert!(question.from_memory, "{}", question.id);
        }
    }
}

/// The numbers a text tells, in their order.
fn numbers(text: &str) -> Vec<f64> {
    let words = text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    words
        .filter_map(|word| word.trim_end_matches('.').parse().ok())
        .collect()
}

fn key(dealt: &Dealt) -> f64 {
    match dealt.body {
        Body::Number { key, .. } => key,
        _ => panic!("{} asks for no number", dealt.id),
    }
}

/// Ohm's law and the divided voltage, reckoned from the text by hand.
#[test]
fn circuits_hold_against_the_numbers_told() {
    for seed in 0..20 {
        let one = dealt("current-of-a-coil", seed);
        let told = numbers(&one.text);
        let (ohm, volt) = (told[0], told[1]);
        assert!((key(&one) - volt / ohm).abs() < 1e-9, "{}", one.text);
        let one = dealt("what-the-coil-gets", seed);
        let told = numbers(&one.text);
        let wanted = told[0] * told[2] / (told[1] + told[2]);
        assert!((key(&one) - wanted).abs() < 1e-9, "{}", one.text);
    }
}

/// CoolProp 8.0.0, R-134a and R-1234yf, kPa absolute at 0, 10, 20, 30, 40 °C: between them ln p is nearly
/// straight in 1/T, to 0.1 %.
#[test]
fn pressures_at_rest_hold_against_coolprop() {
    let tables: [(&str, [f64; 5]); 2] = [
        ("R-134a", [292.80, 414.61, 571.71, 770.20, 1016.59]),
        ("R-1234yf", [315.88, 437.63, 591.84, 783.62, 1018.47]),
    ];
    let mut seen = [false; 2];
    for seed in 0..20 {
        let one = dealt("gauge-at-rest", seed);
        let at = tables
            .iter()
            .position(|(name, _)| one.text.contains(name))
            .unwrap();
        seen[at] = true;
        let celsius = numbers(one.text.split("is at ").nth(1).unwrap())[0];
        let low = (celsius / 10.0).floor().min(3.0);
        let inverse = |celsius: f64| 1.0 / (celsius + 273.15);
        let share = (inverse(celsius) - inverse(10.0 * low))
            / (inverse(10.0 * low + 10.0) - inverse(10.0 * low));
        let (from, to) = (tables[at].1[low as usize], tables[at].1[low as usize + 1]);
        let wanted = from * (to / from).powf(share) - 101.325;
        let found = key(&one) / 1e3;
        assert!(
            (found / wanted - 1.0).abs() < 2e-3,
            "{} {found} {wanted}",
            one.text
        );
    }
    assert_eq!(seen, [true, true]);
}

/// ASHRAE 2017, ch. 1, table 3: water boils at 20 °C at 2.3389 kPa; seeds whose draw is 20 °C are held.
#[test]
fn vacuum_holds_against_steam_tables() {
    let twenty = (0..200).map(|seed| dealt("vacuum-that-boils-water", seed));
    let found: Vec<Dealt> = twenty.filter(|one| one.text.contains(" 20 °C")).collect();
    assert!(!found.is_empty());
    for one in found {
        assert!((key(&one) - 2338.9).abs() < 2.0, "{}", key(&one));
    }
}

#[test]
fn seeds_vary_the_numbers_and_repeat() {
    for question in questions().all() {
        let deal = |seed| question.deal(seed, UnitSystem::Si).unwrap();
        assert_eq!(deal(5), deal(5));
        assert!((1..12).any(|seed| deal(seed) != deal(5)), "{}", question.id);
        if question.kind() == Kind::Numeric {
            let keys: Vec<u64> = (1..12).map(|seed| key(&deal(seed)).to_bits()).collect();
            assert!(keys.iter().any(|one| *one != keys[0]), "{}", question.id);
        }
    }
}

/// A share of the grade for a share of the answer, and nothing for ticking all.
#[test]
fn several_options_and_steps_are_graded_in_part() {
    let one = dealt("what-to-wear", 1);
    let right = one.right_answer();
    let first = right.split(' ').next().unwrap();
    let grade = |typed: &str| one.grade(&one.read(typed).unwrap());
    assert_eq!(grade(&right), 1.0);
    assert_eq!(grade(first), 0.5);
    assert_eq!(grade("a b c d"), 0.0);
    let one = dealt("four-parts-order", 1);
    let mut steps: Vec<_> = one.right_answer().split(' ').map(str::to_owned).collect();
    steps.swap(0, 1);
    // Nine of ten pairs are in order: 2 · 0.9 − 1.
    let grade = one.grade(&one.read(&steps.join(" ")).unwrap());
    assert!((grade - 0.8).abs() < 1e-12, "{grade}");
}

#[test]
fn a_gauge_is_not_answered_by_an_absolute_pressure() {
    let one = dealt("gauge-at-rest", 1);
    let error = one.read("5 bar").unwrap_err().to_string();
    assert!(error.contains("is an absolute pressure"), "{error}");
    assert!(one.read("5 barg").is_ok() && one.read("500 kPa gauge").is_ok());
}

fn round(arguments: &[&str], answers: &str) -> Ran {
    let mut all = vec!["knowledge", "--answers", "-"];
    all.extend(arguments);
    launch(&all, answers.as_bytes(), false)
}

/// A round as a learner reads it: read the difference as one would.
#[test]
fn a_round_of_answers_is_these_bytes() {
    let answers = golden::text("tests/knowledge/answers.txt");
    let ran = round(&["--seed", "1", "--count", "8"], &answers);
    // One of the answers has no unit.
    assert_eq!((ran.code, ran.errors.as_str()), (3, ""));
    assert_eq!(ran, round(&["--seed", "1", "--count", "8"], &answers));
    assert!(ran.output.lines().all(|line| line.chars().count() <= 80));
    golden::expect("tests/knowledge/round.txt", &ran.output);
}

/// Every question of the bank, answered by its own key as it is shown, is right.
#[test]
fn keys_from_a_first_round_make_the_second_one_right() {
    for units in ["si", "us"] {
        let arguments = [
            "--seed", "3", "--count", "999", "--units", units, "--format", "json",
        ];
        let first: serde_json::Value = serde_json::from_str(&round(&arguments, "").output).unwrap();
        assert_eq!(
            (first["right"].as_u64(), first["grade"].as_f64()),
            (Some(0), Some(0.0))
        );
        let outcomes = first["answers"].as_array().unwrap();
        let keys: Vec<_> = outcomes
            .iter()
            .map(|one| one["key"].as_str().unwrap())
            .collect();
        let ran = round(&arguments, &keys.join("\n"));
        let second: serde_json::Value = serde_json::from_str(&ran.output).unwrap();
        assert_eq!(second["right"], second["asked"]);
        assert_eq!(
            second["asked"].as_u64(),
            Some(questions().all().len() as u64)
        );
    }
}

#[test]
fn a_typed_round_asks_again_and_can_be_left() {
    let ran = typed(
        &[
            "knowledge",
            "--topic",
            "safety",
            "--seed",
            "1",
            "--count",
            "2",
        ],
        b"?\n\nleave\n",
    );
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    assert!(
        ran.output.contains("Passed over. The answer is"),
        "{}",
        ran.output
    );
    assert!(
        ran.output.contains("Result: 0 of 2 right"),
        "{}",
        ran.output
    );
    assert!(ran.output.matches("\n> ").count() >= 2, "{}", ran.output);
}

#[test]
fn what_cannot_be_asked_is_said() {
    let refused = |arguments: &[&str], answers: &str| {
        let ran = round(arguments, answers);
        assert_eq!((ran.code, ran.output.as_str()), (1, ""));
        ran.errors
    };
    assert!(refused(&["--topic", "luck"], "").contains("no topic is called `luck`"));
    assert!(refused(&["--count", "0"], "").contains("at least one question"));
    assert!(refused(&["--count", "1"], "a\nb\n").contains("one answer more than questions"));
    let nobody = coldtrail(&["knowledge"]);
    assert!(
        nobody.errors.contains("nobody can type here"),
        "{}",
        nobody.errors
    );
    // An answer that is none counts nothing, and the exit code says so.
    assert_eq!(round(&["--count", "1", "--seed", "1"], "%%%\n").code, 3);
}
