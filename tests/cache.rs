//! Tours on disk: a file may be missing, damaged or impossible to write, and the tour is the same.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use coldtrail_checks::folder::Folder;
use coldtrail_checks::golden;
use coldtrail_checks::stand::bank;
use runner::cache::TourCache;
use runner::evidence::follow::Progress;
use runner::evidence::reader::Tours;
use runner::evidence::tour::Tour;
use scenarios::{Bank, BankFiles, Case, SourceFile};

fn case(id: &str) -> Case {
    Case::deal(bank(), id, 1).unwrap()
}

/// A bank with few faults, so that its tours are quickly made, and a case of it.
fn small() -> (Bank, Case) {
    let [components, vehicle, clutch, fan, case] = [
        "components.toml",
        "vehicles/hatchback.toml",
        "faults/clutch_supply.toml",
        "faults/fan.toml",
        "bank/again-and-again.toml",
    ]
    .map(|name| (name, golden::text(&format!("scenarios/{name}"))));
    fn file<'a>((name, text): &'a (&'static str, String)) -> SourceFile<'a> {
        SourceFile { name, text }
    }
    let bank = Bank::from_parts(&BankFiles {
        components: &[file(&components)],
        vehicles: &[file(&vehicle)],
        faults: &[file(&clutch), file(&fan)],
        cases: &[file(&case)],
        ..BankFiles::default()
    });
    let bank = bank.unwrap_or_else(|errors| panic!("{errors}"));
    let case = Case::deal(&bank, "again-and-again", 1).unwrap();
    (bank, case)
}

/// What a program started afresh gets, with what it has to say.
fn afresh(folder: &Path) -> (Tour, Vec<String>) {
    let cache = TourCache::new(Some(folder.to_owned()));
    let (bank, case) = small();
    let tour = cache.tour(&bank, &case, &()).unwrap();
    ((*tour).clone(), cache.notices())
}

#[test]
fn a_file_that_is_gone_or_damaged_is_made_again_and_that_is_said() {
    let folder = Folder::new();
    let (made, notices) = afresh(folder.path());
    assert_eq!(notices, Vec::<String>::new());
    let cache = TourCache::new(Some(folder.path().to_owned()));
    let (bank, case) = small();
    let file = cache.file(&bank, &case).unwrap();
    let whole = std::fs::read(&file).unwrap();
    // Nothing else is left lying about.
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    let (loaded, notices) = afresh(folder.path());
    assert!(loaded == made, "what is read back is what was made");
    assert_eq!(notices, Vec::<String>::new());

    let mut flipped = whole.clone();
    let middle = flipped.len() / 2;
    flipped[middle] ^= 1;
    let cut = whole[..whole.len() - 1].to_vec();
    for damaged in [Some(flipped), Some(cut), Some(Vec::new()), None] {
        let said = damaged.is_some();
        match damaged {
            Some(bytes) => std::fs::write(&file, bytes).unwrap(),
            None => std::fs::remove_file(&file).unwrap(),
        }
        let (again, notices) = afresh(folder.path());
        assert!(again == made, "the same tour");
        assert_eq!(std::fs::read(&file).unwrap(), whole, "the same file");
        if said {
            let expected = format!(
                "the cache file {} was damaged; it has been made again",
                file.display()
            );
            assert_eq!(notices, [expected]);
        } else {
            assert_eq!(notices, Vec::<String>::new());
        }
    }

    // A folder that cannot be: there is a file where it should stand. It is said, and that is all.
    let blocked = TourCache::new(Some(file.join("below")));
    let tour = blocked.tour(&bank, &case, &()).unwrap();
    assert!(*tour == made);
    let notices = blocked.notices();
    assert!(
        notices.len() == 1 && notices[0].contains("cannot be written"),
        "{notices:?}"
    );
    assert_eq!(blocked.notices(), Vec::<String>::new(), "told once");
}

/// Counts how often a tour is made.
#[derive(Default)]
struct Made(AtomicUsize);

impl Progress for Made {
    fn start(&self, _cars: usize) {
        self.0.fetch_add(1, Ordering::Relaxed);
    }
    fn step(&self) {}
    fn finish(&self) {}
}

/// Whoever asks for a tour while it is made waits for it, by whichever cache of the folder.
#[test]
fn a_tour_that_several_ask_for_at_once_is_made_once() {
    let folder = Folder::new();
    let (bank, case) = small();
    let made = Made::default();
    let shared = TourCache::new(Some(folder.path().to_owned()));
    let of = |cache: &TourCache| cache.tour(&bank, &case, &made).unwrap();
    let apart = || of(&TourCache::new(Some(folder.path().to_owned())));
    let tours = std::thread::scope(|threads| {
        let others = [threads.spawn(apart), threads.spawn(apart)];
        let sharing = threads.spawn(|| of(&shared));
        let others = others.map(|other| other.join().unwrap());
        let shared = [of(&shared), sharing.join().unwrap()];
        [others, shared].concat()
    });
    assert!(tours.iter().all(|tour| *tour == tours[0]));
    assert_eq!(made.0.load(Ordering::Relaxed), 1);
}

/// A file serves the car it was made for: another vehicle, weather, arrival or dye has another, another
/// fault or seed has not.
#[test]
fn each_vehicle_and_day_has_a_file_of_its_own() {
    let cache = TourCache::new(Some(PathBuf::from("somewhere")));
    let file = |case: &Case| cache.file(bank(), case).unwrap();
    let known = case("school-run");
    let text = golden::text("scenarios/bank/school-run.toml");
    let changed = |old: &str, new: &str| {
        assert!(text.contains(old), "{old}");
        let (bank, id) = bank()
            .clone()
            .with_case("other.toml", &text.replacen(old, new, 1))
            .unwrap();
        Case::deal(&bank, &id, 1).unwrap()
    };
    assert_ne!(file(&case("every-summer")), file(&known));
    assert_ne!(file(&changed("\"saloon\"", "\"hatchback\"")), file(&known));
    let humid = text
        .lines()
        .find(|line| line.starts_with("humidity"))
        .unwrap();
    assert_ne!(file(&changed(humid, "humidity = \"33 %\"")), file(&known));
    let arrival = text
        .lines()
        .find(|line| line.starts_with("arrival"))
        .unwrap();
    assert_ne!(
        file(&changed(arrival, &format!("{arrival}\ndyed_for = \"9 d\""))),
        file(&known)
    );
    let fault = changed("mode = \"valve-stuck-shut\"", "mode = \"undercharge\"");
    assert_eq!(file(&fault), file(&known));
    assert_eq!(
        file(&Case::deal(bank(), "school-run", 2).unwrap()),
        file(&known)
    );
    assert_eq!(TourCache::new(None).file(bank(), &known), None);
}
