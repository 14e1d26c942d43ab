//! The journal in a real process that is killed, runs out of disk, or may not write.
//!
//! This program starts itself again for that: what it does then is said by `RECORDS_ROLE`.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::os::unix::fs::{PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use coldtrail_checks::postgres::server;
use coldtrail_checks::program::ScriptFile;
use coldtrail_checks::records::{Stand, action, draft, grade, result, start};
use coldtrail_checks::sitting::FORM;
use runner::records::entry::FINISHED;
use runner::records::store::Of;
use runner::records::{Draft, Entry, Fault, Office, StoreError, hex};
use sim_core::random::Draws;

/// Times that a process is killed: on SQLite, and on PostgreSQL where it is installed.
const KILLS: [u32; 2] = [150, 50];
/// Threads of the process, each with sittings of its own.
const THREADS: u32 = 3;
/// Entries of a sitting.
const LENGTH: u32 = 9;

fn main() {
    let role = std::env::var("RECORDS_ROLE").unwrap_or_default();
    let folder = std::env::var_os("RECORDS_FOLDER").map(PathBuf::from);
    let address = std::env::var("RECORDS_STORE").ok();
    match (role.as_str(), folder) {
        ("sit", Some(folder)) => sit_on(&folder, address.as_deref()),
        // The whole program, as it is typed.
        ("program", _) => drop(runner::cli::main()),
        ("fill", Some(folder)) => fill(&folder),
        ("open", Some(folder)) => match Office::open(&folder, None) {
            Ok(_) => println!("opened"),
            Err(why) => println!("{why}"),
        },
        _ => {
            killed_at_any_moment_nothing_shown_is_lost();
            println!("killed_at_any_moment_nothing_shown_is_lost ... ok");
            a_candidate_whose_program_is_killed_goes_on();
            println!("a_candidate_whose_program_is_killed_goes_on ... ok");
            a_file_that_may_not_grow();
            println!("a_file_that_may_not_grow ... ok");
            what_may_not_be_written();
            println!("what_may_not_be_written ... ok");
            a_server_that_goes_away();
            println!("a_server_that_goes_away ... ok");
        }
    }
}

/// This program once more, in a role.
fn again(role: &str, folder: &Path) -> Command {
    let mut child = Command::new(std::env::current_exe().unwrap());
    child
        .env("RECORDS_ROLE", role)
        .env("RECORDS_FOLDER", folder);
    child.stdin(Stdio::null());
    child
}

/// The draft of a place in a sitting, the same whenever it is asked for.
fn written(sitting: &str, number: u32) -> Draft {
    match number {
        1 => start(sitting),
        8 => grade(8, &result(sitting, 1, 77.0)),
        LENGTH => draft(sitting, FINISHED, LENGTH, "{}"),
        _ => action(sitting, number),
    }
}

/// Goes on with the sittings in the store until it is killed, and prints each entry once it is durable.
fn sit_on(folder: &Path, address: Option<&str>) {
    let office = Office::open(folder, address).unwrap();
    std::thread::scope(|scope| {
        for thread in 0..THREADS {
            let office = &office;
            scope.spawn(move || {
                let begun = office.store().sittings().unwrap();
                let own = format!("t{thread}-");
                let of_it = begun.iter().filter(|one| one.id.starts_with(&own)).count();
                // The last one is taken up: it may lack entries, or its head.
                for index in of_it.saturating_sub(1).. {
                    let sitting = format!("{own}{index:04}");
                    let there = office.journal().take_up(&sitting).unwrap().len() as u32;
                    for number in there.max(1)..=LENGTH {
                        let told = office.journal().append(written(&sitting, number)).unwrap();
                        assert_eq!(told.number, u64::from(number));
                        assert_eq!(told.repeated, number <= there);
                        let line = format!("{sitting} {number} {}\n", hex(&told.link));
                        std::io::stdout().write_all(line.as_bytes()).unwrap();
                    }
                }
            });
        }
    });
}

fn killed_at_any_moment_nothing_shown_is_lost() {
    kill(&Stand::file(), KILLS[0]);
    match Stand::server() {
        Some(stand) => kill(&stand, KILLS[1]),
        None => kill(&Stand::file(), KILLS[1]),
    }
}

fn kill(stand: &Stand, kills: u32) {
    drop(stand.office());
    let mut draws = Draws::new(7, u64::from(kills));
    let mut shown: BTreeMap<(String, u64), String> = BTreeMap::new();
    for round in 0..kills {
        let mut child = again("sit", stand.folder.path());
        if let Some(address) = &stand.address {
            child.env("RECORDS_STORE", address);
        }
        let mut child = child.stdout(Stdio::piped()).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // One in four is killed while it opens or soon after, the others after so many entries and a moment.
        let entries = (draws.uniform() * 24.0) as usize;
        let early = round % 4 == 0;
        let mut seen: Vec<String> = Vec::new();
        if !early {
            seen.extend((&mut lines).take(entries).map(Result::unwrap));
        }
        let moment = draws.uniform() * if early { 20e-3 } else { 2e-3 };
        std::thread::sleep(Duration::from_secs_f64(moment));
        // `Child::kill` is SIGKILL. What was printed until then counts as shown.
        child.kill().unwrap();
        child.wait().unwrap();
        seen.extend(lines.map(Result::unwrap));
        for line in seen {
            let mut words = line.split(' ');
            let place = (
                words.next().unwrap().to_owned(),
                words.next().unwrap().parse().unwrap(),
            );
            // The kill may cut the last line, never one that was shown whole.
            if let Some(link) = words.next().filter(|link| link.len() == 64) {
                shown.insert(place, link.to_owned());
            }
        }
        if round % 10 == 9 || round + 1 == kills {
            check(stand, &shown);
        }
    }
    assert!(
        shown.len() > kills as usize,
        "only {} entries were shown",
        shown.len()
    );
}

/// Everything shown is there, and nothing is wrong but, at most, a signature that the kill came before.
fn check(stand: &Stand, shown: &BTreeMap<(String, u64), String>) {
    let office = stand.office();
    let mut there = BTreeMap::new();
    let mut store = office.store();
    store
        .each_entry(Of::All, &mut |entry| {
            there.insert((entry.sitting, entry.number), hex(&entry.link));
            Ok(())
        })
        .unwrap();
    drop(store);
    for (place, link) in shown {
        assert_eq!(there.get(place), Some(link), "{place:?}");
    }
    for thread in 0..THREADS {
        let own = format!("t{thread}-");
        let last = there.keys().rfind(|place| place.0.starts_with(&own));
        let Some((sitting, number)) = last else {
            continue;
        };
        // Asked for again, as who was killed does, its head is written.
        let entry = written(sitting, *number as u32);
        office.journal().take_up(sitting).unwrap();
        assert!(office.journal().append(entry).unwrap().repeated);
    }
    let report = office.verify().unwrap();
    let faults: Vec<&Fault> = report.faults.iter().collect();
    assert!(faults.is_empty(), "{faults:?}");
}

/// What the candidate types, again and again; every other line is a reading.
const TYPED: [&str; 4] = [
    "wait 10 s",
    "look clutch-hub",
    "wait 20 s",
    "feel suction-hose",
];
/// Times that the program is killed under the candidate.
const FALLS: u32 = 24;

/// `coldtrail assess` in a process of its own, killed while a candidate types: each reading that was on the screen
/// is in the journal, the same command goes on behind it, and no step is there twice.
fn a_candidate_whose_program_is_killed_goes_on() {
    let stand = Stand::file();
    let at = stand.folder.path().join("office");
    drop(Office::create(&at).unwrap());
    // Time enough for all that may be done between two kills.
    let form = ScriptFile::ending(&FORM.replace("50 min", "12 h"), "toml");
    let mut draws = Draws::new(11, 0);
    let steps: Vec<&str> = TYPED.into_iter().cycle().take(2400).collect();
    for fall in 0..FALLS {
        let before = acted(&at);
        let mut child = again("program", stand.folder.path());
        child.args(["assess", form.path(), "--candidate", "Ines Okafor"]);
        child.arg("--records").arg(&at);
        child.stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = child.spawn().unwrap();
        let mut keys = child.stdin.take().unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // It may be killed before it has read all; without an end it would wait for more.
        let _ = keys.write_all((steps[before.len()..].join("\n") + "\n").as_bytes());
        drop(keys);
        let most = before.len().div_euclid(2) + 1 + (draws.uniform() * 4.0) as usize;
        let mut shown = 0;
        for line in lines.map_while(Result::ok) {
            // A reading's line begins with its number in the notebook.
            let number = line.trim_start().strip_prefix('[');
            let number = number.and_then(|rest| rest.split_once(']'));
            shown = number.map_or(shown, |(number, _)| number.parse().unwrap());
            if shown == most {
                let moment = draws.uniform() * 3e-3;
                std::thread::sleep(Duration::from_secs_f64(moment));
                child.kill().unwrap();
            }
        }
        let status = child.wait().unwrap();
        assert!(!status.success(), "fall {fall}: it was over by itself");
        let kept = acted(&at);
        assert_eq!(kept, steps[..kept.len()], "fall {fall}");
        assert!(
            kept.len() >= 2 * shown,
            "fall {fall}: {shown} of {}",
            kept.len()
        );
        assert!(kept.len() > before.len(), "fall {fall}");
    }
    let office = Office::open(&at, None).unwrap();
    let report = office.verify().unwrap();
    assert!(report.is_clean(), "{:?}", report.faults);
}

/// The words of all actions that an office has kept.
fn acted(at: &Path) -> Vec<String> {
    let office = Office::open(at, None).unwrap();
    let mut words = Vec::new();
    let see = &mut |entry: Entry| {
        if entry.kind == "acted" {
            let body: serde_json::Value = serde_json::from_str(&entry.body).unwrap();
            words.push(body["words"].as_str().unwrap().to_owned());
        }
        Ok(())
    };
    office.store().each_entry(Of::All, see).unwrap();
    words
}

/// The system lets no file grow past a megabyte or two: what was shown is there, and the sentence says what to do.
fn a_file_that_may_not_grow() {
    let stand = Stand::file();
    drop(stand.office());
    let exe = std::env::current_exe().unwrap();
    let mut child = Command::new("sh");
    // Dash counts in 512 bytes, others in 1,024. Ignored, the signal becomes an error of the write.
    child
        .arg("-c")
        .arg("trap '' XFSZ; ulimit -f 2048; exec \"$0\"")
        .arg(exe);
    child
        .env("RECORDS_ROLE", "fill")
        .env("RECORDS_FOLDER", stand.folder.path());
    let told = child.output().unwrap();
    let text = String::from_utf8(told.stdout).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let (last, kept) = lines.split_last().unwrap();
    assert!(kept.len() > 20, "{text}");
    assert!(
        last.contains("copy its folder") || last.contains("disk is full"),
        "{last}"
    );
    let office = stand.office();
    let there = office.store().entries("s").unwrap().len();
    assert!(there >= kept.len(), "{there} of {}", kept.len());
    // With room again it goes on.
    let next = there as u32 + 1;
    office.journal().append(action("s", next)).unwrap();
    let report = office.verify().unwrap();
    assert!(report.is_clean(), "{:?}", report.faults);
}

fn fill(folder: &Path) {
    let office = Office::open(folder, None).unwrap();
    office.journal().append(start("s")).unwrap();
    for number in 2..10_000 {
        let mut draft = action("s", number);
        draft.body = format!("{{\"filling\":\"{}\"}}", "x".repeat(3000));
        match office.journal().append(draft) {
            Ok(told) => println!("{}", told.number),
            Err(why) => {
                println!("{why}");
                return;
            }
        }
    }
}

/// Who may not write is told so. Root may write anywhere: there, somebody else tries.
fn what_may_not_be_written() {
    let id = |arguments: &[&str]| {
        let told = Command::new("id").args(arguments).output().unwrap();
        String::from_utf8(told.stdout)
            .unwrap()
            .trim()
            .parse::<u32>()
            .unwrap()
    };
    let other = (id(&["-u"]) == 0).then(|| id(&["-u", "nobody"]));
    let place = std::env::temp_dir().join(format!("coldtrail-read-only-{}", std::process::id()));
    std::fs::create_dir(&place).unwrap();
    let program = place.join("program");
    std::fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
    let folder = place.join("office");
    drop(Office::create(&folder).unwrap());
    let allow = |path: &Path, mode| {
        std::fs::set_permissions(path, PermissionsExt::from_mode(mode)).unwrap();
    };
    let tried = || {
        let mut child = Command::new(&program);
        child
            .env("RECORDS_ROLE", "open")
            .env("RECORDS_FOLDER", &folder);
        if let Some(other) = other {
            child.uid(other);
        }
        String::from_utf8(child.output().unwrap().stdout).unwrap()
    };
    allow(&place, 0o755);
    allow(&folder, 0o755);
    if let Some(other) = other {
        for file in std::fs::read_dir(&folder).unwrap() {
            chown(file.unwrap().path(), Some(other), None).unwrap();
        }
        chown(&folder, Some(other), None).unwrap();
    }
    let open = tried();
    let store = folder.join("records.sqlite");
    allow(&store, 0o444);
    let file = tried();
    allow(&store, 0o644);
    allow(&folder, 0o555);
    let folder_shut = tried();
    allow(&folder, 0o755);
    std::fs::remove_dir_all(&place).unwrap();
    assert_eq!(open, "opened\n");
    assert!(file.contains("may not be written"), "{file}");
    let said =
        folder_shut.contains("may not be written") || folder_shut.contains("cannot be opened");
    assert!(said, "{folder_shut}");
}

/// The server falls over and comes back: nothing shown is lost, and asking again is enough to go on.
fn a_server_that_goes_away() {
    let (Some(server), Some(stand)) = (server(), Stand::server()) else {
        return;
    };
    let office = stand.office();
    office.journal().append(start("s")).unwrap();
    office.journal().append(action("s", 2)).unwrap();
    server.run("stop");
    let refused = office.journal().append(action("s", 3)).unwrap_err();
    assert!(matches!(refused, StoreError::Gone(_)), "{refused}");
    server.run("start");
    // What was asked before the fall is known again, and what was refused is new.
    assert!(office.journal().append(action("s", 2)).unwrap().repeated);
    assert_eq!(office.journal().append(action("s", 3)).unwrap().number, 3);
    // Between two entries it goes unnoticed.
    server.run("stop");
    server.run("start");
    let told = office.journal().append(action("s", 4)).unwrap();
    assert_eq!((told.number, told.repeated), (4, false));
    let report = stand.office().verify().unwrap();
    assert!(report.is_clean(), "{:?}", report.faults);
    assert_eq!(report.entries, 4);
}
