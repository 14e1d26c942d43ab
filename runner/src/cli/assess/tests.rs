#![allow(clippy::panic, clippy::unwrap_used)]

use scenarios::units::UnitSystem;

use super::*;

const HOUR_MS: i64 = 3_600_000;

/// Keeps some steps, and then the disk is full.
struct Filling {
    room: usize,
    kept: Vec<String>,
}

impl Keeper for Filling {
    fn keep(&mut self, _: usize, kind: &str, words: String, _: i64) -> Result<(), String> {
        if self.kept.len() == self.room {
            return Err("the disk is full".to_owned());
        }
        self.kept.push(format!("{kind} {words}").trim().to_owned());
        Ok(())
    }
}

/// What was kept, what was said and how it ended.
fn sat(typed: &str, started_ms: i64, room: usize) -> (Vec<String>, String, Result<(), String>) {
    let library = Library::builtin().unwrap();
    let form = library.form("first-weeks").unwrap();
    let mut sitting = Sitting::new(&library, form, (3, UnitSystem::Si), started_ms).unwrap();
    let mut keeper = Filling {
        room,
        kept: Vec::new(),
    };
    let mut output = Vec::new();
    let mut streams = Streams {
        input: &mut typed.as_bytes(),
        input_is_terminal: true,
        output: &mut output,
        errors: &mut std::io::sink(),
        width: 88,
        fresh_seed: 1,
        cache: None,
        records: None,
    };
    let mut sat = Sat {
        sitting: &mut sitting,
        keeper: &mut keeper,
    };
    let tours = TourCache::default();
    let ended = sit(&mut sat, "", &tours, &mut streams);
    let ended = ended.map_err(|stop| match stop {
        Stop::Broken(why) | Stop::Over(why) => why,
        Stop::Leave => "left".to_owned(),
        Stop::GiveUp => "gave up".to_owned(),
    });
    (keeper.kept, String::from_utf8(output).unwrap(), ended)
}

#[test]
fn a_step_that_cannot_be_kept_is_not_shown_and_hands_nothing_in() {
    let (kept, said, ended) = sat("engine idle\nlook clutch-hub\nquit\n", now_ms(), 1);
    assert_eq!(kept, ["acted engine idle"]);
    assert!(said.contains("now: ") && !said.contains("[1]"), "{said}");
    assert!(
        ended
            .unwrap_err()
            .starts_with("the disk is full. All before")
    );
}

#[test]
fn when_the_time_is_over_it_is_handed_in_and_said() {
    let (kept, said, ended) = sat("engine idle\n", now_ms() - 2 * HOUR_MS, 9);
    assert_eq!(kept, ["handed-in"]);
    assert!(said.contains("The time for this sitting is over"), "{said}");
    assert_eq!(ended, Ok(()));
}

#[test]
fn giving_up_goes_on_and_leaving_hands_nothing_in() {
    let (kept, said, ended) = sat("give-up\nyes\nquit\n", now_ms(), 9);
    assert_eq!(kept, ["left"]);
    assert!(said.contains("Task 2 of 12: a car, 89 min left"), "{said}");
    assert_eq!(ended, Err("left".to_owned()));
}
