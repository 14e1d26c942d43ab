#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::*;
use crate::Library;

static LIBRARY: LazyLock<Library> = LazyLock::new(|| Library::builtin().unwrap());

const FORM: &str = include_str!("../../forms/before-you-touch-refrigerant.toml");

fn read(text: &str) -> Result<Form, String> {
    let file = SourceFile {
        name: "mine.toml",
        text,
    };
    read::read(&file, &[], &LIBRARY.bank, &LIBRARY.questions).map_err(|error| error.to_string())
}

#[test]
fn every_form_draws_tasks_of_its_slots_and_none_twice() {
    assert!(LIBRARY.forms.len() >= 2);
    for form in &LIBRARY.forms {
        let mut met: BTreeSet<String> = BTreeSet::new();
        for seed in 0..200 {
            let tasks = form.draw(seed);
            assert_eq!(tasks.len(), form.tasks(), "{}", form.id);
            let ids: BTreeSet<&str> = tasks.iter().map(|task| task.item.id()).collect();
            assert_eq!(ids.len(), tasks.len(), "{}: {ids:?}", form.id);
            let seeds: BTreeSet<u64> = tasks.iter().map(|task| task.seed).collect();
            assert_eq!(seeds.len(), tasks.len(), "{}: {seeds:?}", form.id);
            let mut drawn = tasks.iter();
            for slot in &form.cases {
                for task in drawn.by_ref().take(slot.count) {
                    assert!(slot.pool.iter().any(|id| id == task.item.id()), "{task:?}");
                }
            }
            for slot in &form.questions {
                for task in drawn.by_ref().take(slot.count) {
                    assert!(slot.pool.iter().any(|id| id == task.item.id()), "{task:?}");
                }
            }
            met.extend(ids.into_iter().map(str::to_owned));
        }
        // In so many draws nearly every question comes up, and most cars: those far harder than the others stand
        // in no draw that is alike.
        let cars = form.cases.iter().flat_map(|slot| &slot.pool);
        let questions = form.questions.iter().flat_map(|slot| &slot.pool);
        let (cars, questions): (BTreeSet<_>, BTreeSet<_>) = (cars.collect(), questions.collect());
        let came = |all: &BTreeSet<&String>| all.iter().filter(|id| met.contains(**id)).count();
        let [of_cars, of_questions] = [&cars, &questions].map(came);
        assert!(
            of_questions * 10 >= questions.len() * 9,
            "{}: {of_questions}",
            form.id
        );
        assert!(
            of_cars * 10 >= cars.len() * 7,
            "{}: {of_cars} of {}",
            form.id,
            cars.len()
        );
    }
}

#[test]
fn slots_that_share_a_pool_never_draw_the_same() {
    let two = "[[cases]]\ncount = 1\nfrom = [\"school-run\", \"every-summer\"]\n";
    let (head, tail) = FORM.split_once("# A car that anyone").unwrap();
    let (_, tail) = tail.split_once("[[questions]]").unwrap();
    let tail = tail.split_once("[[pass.needs]]\ncompetency").unwrap().0;
    let form = read(&format!("{head}{two}{two}[[questions]]{tail}")).unwrap();
    for seed in 0..50 {
        let tasks = form.draw(seed);
        assert_ne!(tasks[0].item, tasks[1].item);
    }
    let three = read(&format!("{head}{two}{two}{two}[[questions]]{tail}")).unwrap_err();
    assert!(
        three.contains("slots before it may draw 2 of them"),
        "{three}"
    );
}

#[test]
fn what_is_wrong_is_said_at_its_place() {
    let changes = [
        ("level = 1", "level = 4", "a level is 1, 2 or 3"),
        (
            "count = 1\nlevel = 1",
            "count = 0\nlevel = 1",
            "a slot draws 1 to 12 cases",
        ),
        (
            "count = 1\nlevel = 1",
            "count = 12\nfrom = [\"school-run\"]",
            "1 cases fit this slot",
        ),
        (
            "level = 1",
            "from = [\"school-rum\"]",
            "did you mean `school-run`?",
        ),
        ("[\"leaks\"]", "[\"leeks\"]", "did you mean `leaks`?"),
        ("[\"safety\"]", "[\"savety\"]", "did you mean `safety`?"),
        ("mark = 60", "mark = 160", "between 0 and 100"),
        ("wall = \"150 min\"", "wall = \"3 d\"", "a day at most"),
        ("shop = \"3 h\"", "shop = \"3 kg\"", "is a mass"),
        (
            "topic = \"safety\"\n",
            "",
            "either a `competency` or a `topic`",
        ),
        (
            "topic = \"safety\"\n",
            "topic = \"charts\"\n",
            "no task that shows this",
        ),
        ("hints = false", "hint = false", "did you mean `hints`?"),
        (
            "title = \"Before you touch refrigerant\"",
            "title = \" \"",
            "mine.toml:3",
        ),
    ];
    for (old, new, words) in changes {
        assert!(FORM.contains(old), "{old}");
        let error = read(&FORM.replacen(old, new, 1)).unwrap_err();
        let place = if error.contains("mine.toml:") {
            ""
        } else {
            "no place"
        };
        assert!(
            error.contains(words) && place.is_empty(),
            "{words}: {error}"
        );
    }
    let bare = FORM.split("# A car that anyone").next().unwrap();
    let (_, pass) = FORM.split_once("[pass]").unwrap();
    let pass = pass.split("[[pass.needs]]").next().unwrap();
    let error = read(&format!("{bare}[pass]{pass}")).unwrap_err();
    assert!(error.contains("asks nothing"), "{error}");
}

#[test]
fn cars_of_one_draw_are_as_hard_as_those_of_another() {
    let spread = |form: &Form| {
        let sums: Vec<f64> = (0..300)
            .map(|seed| {
                let cars = form.draw(seed).into_iter();
                cars.filter_map(|task| minutes_per_bit(task.item.id()))
                    .sum()
            })
            .collect();
        let mean = sums.iter().sum::<f64>() / sums.len() as f64;
        let furthest = sums.iter().map(|sum| (sum / mean - 1.0).abs());
        furthest.fold(0.0, f64::max)
    };
    for form in LIBRARY.forms.iter().filter(|form| !form.cases.is_empty()) {
        let within = form.alike_within.unwrap();
        let any = Form {
            alike_within: None,
            ..form.clone()
        };
        // Around the mean of what was drawn instead of the pool's: half as much again.
        assert!(spread(form) <= 1.5 * within, "{}", form.id);
        assert!(spread(&any) > spread(form), "{}", form.id);
    }
}

#[test]
fn of_a_case_that_nobody_has_measured_likeness_is_not_promised() {
    let own = include_str!("../../bank/school-run.toml");
    let files = [("cases/own.toml".to_owned(), own.to_owned())];
    let bundle = Bundle::from_files("mine", files).unwrap();
    let library = LIBRARY.clone().with(&bundle).unwrap();
    let head = FORM.split_once("# A car that anyone").unwrap().0;
    let tail = FORM.split_once("[pass]").unwrap().1;
    let tail = tail.split_once("[[pass.needs]]").unwrap().0;
    let form = format!("{head}[[cases]]\ncount = 1\nfrom = [\"own\"]\n\n[pass]{tail}");
    let file = SourceFile {
        name: "mine.toml",
        text: &form,
    };
    let read = read::read(&file, &[], &library.bank, &library.questions);
    let error = read.unwrap_err().to_string();
    assert!(
        error.contains("how hard `own` is nobody has measured"),
        "{error}"
    );
}
