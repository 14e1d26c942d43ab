//! The journal under load: how long a write takes until it is durable, and how long a class takes to sum up.
//!
//! Before criterion's own it prints, for each store, the median and the 99th of 100 of: 500 sittings begun at
//! once, 100 actions a second over them for 20 s, and a burst of 500 actions; and the time to read 100,000 results.
#![allow(
    missing_docs,
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Barrier, Mutex};
use std::thread::sleep;
use std::time::{Duration, Instant};

use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::records::{Stand, action, draft, grade, result, start};
use coldtrail_checks::sitting::FORM;
use criterion::{Criterion, criterion_group, criterion_main};
use runner::records::entry::root;
use runner::records::store::Sitting;
use runner::records::{Draft, Entry, Filter, Office};

/// Sittings at once, a thread each.
const SITTINGS: u32 = 500;
/// Actions of each in the steady part, five seconds apart: 100 a second in all.
const STEADY: u32 = 4;
const APART: Duration = Duration::from_secs(5);
/// Results in the table, and how many a sitting has.
const RESULTS: u32 = 100_000;
const TASKS: u32 = 50;

/// What writes took, s.
#[derive(Default)]
struct Times(Mutex<Vec<f64>>);

impl Times {
    fn append(&self, office: &Office, draft: Draft) {
        let begun = Instant::now();
        let told = office.journal().append(draft).unwrap();
        assert!(!told.repeated);
        self.0.lock().unwrap().push(begun.elapsed().as_secs_f64());
    }

    fn told(&self) -> String {
        let mut times = self.0.lock().unwrap();
        times.sort_by(f64::total_cmp);
        let at = |share: f64| 1e3 * times[(share * (times.len() - 1) as f64) as usize];
        let (median, most, worst) = (at(0.5), at(0.99), at(1.0));
        format!(
            "{} writes, median {median:.1} ms, 99 of 100 under {most:.1} ms, slowest {worst:.1} ms",
            times.len()
        )
    }
}

/// Five hundred people at once.
fn load(name: &str, stand: &Stand) {
    let office = stand.office();
    let (begun, steady, burst) = (Times::default(), Times::default(), Times::default());
    let ready = Barrier::new(SITTINGS as usize);
    std::thread::scope(|scope| {
        for number in 0..SITTINGS {
            let (office, ready) = (&office, &ready);
            let (begun, steady, burst) = (&begun, &steady, &burst);
            let person = move || {
                let sitting = format!("s-{number:03}");
                ready.wait();
                begun.append(office, start(&sitting));
                ready.wait();
                // Everybody has their own moment, ten milliseconds after the one before.
                sleep(APART / SITTINGS * number);
                for round in 0..STEADY {
                    steady.append(office, action(&sitting, 2 + round));
                    sleep(APART);
                }
                ready.wait();
                burst.append(office, action(&sitting, 2 + STEADY));
            };
            let thread = std::thread::Builder::new().stack_size(256 * 1024);
            thread.spawn_scoped(scope, person).unwrap();
        }
    });
    println!("{name}: begun at once: {}", begun.told());
    println!("{name}: 100 a second: {}", steady.told());
    println!("{name}: burst: {}", burst.told());
    let report = office.verify().unwrap();
    assert!(report.is_clean(), "{:?}", report.faults);
    assert_eq!(report.entries, u64::from(SITTINGS * (2 + STEADY)));
}

/// Puts results in, as grading does, many in a transaction.
fn fill(office: &Office) {
    let mut store = office.store();
    let mut batch = store.batch().unwrap();
    for number in 0..RESULTS / TASKS {
        let id = format!("s-{number:05}");
        let mut link = root(&id);
        for task in 0..=TASKS {
            let mut row = result(&id, task, f64::from((number * 7 + task * 13) % 101));
            row.item = format!("item-{task}");
            let draft = if task == 0 {
                start(&id)
            } else {
                grade(task, &row)
            };
            let mut entry = Entry {
                sitting: id.clone(),
                number: u64::from(task) + 1,
                kind: draft.kind,
                body: draft.body,
                key: draft.key,
                wall_ms: draft.wall_ms,
                link: [0; 32],
            };
            link = entry.linked_to(&link);
            entry.link = link;
            if task == 0 {
                let sitting = Sitting {
                    id: id.clone(),
                    form: "yearly".to_owned(),
                    candidate: "c-17".to_owned(),
                    started_ms: entry.wall_ms,
                    count: 1,
                    link,
                };
                batch.add_sitting(&sitting).unwrap();
            }
            assert!(batch.add(&entry).unwrap());
            if task > 0 {
                batch.add_result(entry.number, &row).unwrap();
            }
        }
    }
    batch.commit().unwrap();
}

/// For each item how many there are, how many are right, and their mean mark.
fn class(office: &Office) -> BTreeMap<String, (u32, u32, f64)> {
    let mut items: BTreeMap<String, (u32, u32, f64)> = BTreeMap::new();
    let mut add = |(_, row): (u64, runner::records::ResultRow)| {
        let item = items.entry(row.item).or_default();
        item.0 += 1;
        item.1 += u32::from(row.right);
        item.2 += row.mark;
        Ok(())
    };
    let filter = Filter {
        form: Some("yearly".to_owned()),
        ..Filter::default()
    };
    office.store().each_result(&filter, &mut add).unwrap();
    for item in items.values_mut() {
        item.2 /= f64::from(item.0);
    }
    items
}

/// How long the program takes for its class page, from its start to its last line, s.
fn class_page(stand: &Stand) -> f64 {
    let mine = Folder::new();
    let forms = mine.path().join("forms");
    std::fs::create_dir_all(&forms).unwrap();
    std::fs::write(forms.join("yearly.toml"), FORM).unwrap();
    let folder = stand.folder.text();
    let mut words = vec!["records", "class", "yearly", "--records", folder];
    words.extend(["--bundle", mine.text()]);
    words.extend(stand.address.iter().flat_map(|at| ["--store", at.as_str()]));
    let begun = Instant::now();
    let ran = coldtrail(&words);
    let took = begun.elapsed().as_secs_f64();
    assert_eq!(ran.code, 0, "{}", ran.errors);
    assert!(ran.output.contains("item-50"), "{}", ran.output);
    took
}

fn stands() -> Vec<(&'static str, Stand)> {
    let server = Stand::server().map(|stand| ("PostgreSQL", stand));
    [("SQLite", Stand::file())]
        .into_iter()
        .chain(server)
        .collect()
}

fn records(criterion: &mut Criterion) {
    for (name, stand) in stands() {
        load(name, &stand);
    }
    for (name, stand) in stands() {
        let office = stand.office();
        fill(&office);
        let begun = Instant::now();
        let items = class(&office);
        let took = begun.elapsed().as_secs_f64();
        assert_eq!(items.len(), TASKS as usize);
        assert!(items.values().all(|item| item.0 == RESULTS / TASKS));
        println!("{name}: {RESULTS} results summed up in {took:.2} s");
        let took = class_page(&stand);
        println!("{name}: `records class` over {RESULTS} results in {took:.2} s");
        // One after the other against all at once: what a common commit saves.
        let made = AtomicU32::new(0);
        let sitting = || format!("b-{}", made.fetch_add(1, Ordering::Relaxed));
        let mut group = criterion.benchmark_group(name);
        group.sample_size(10);
        group.bench_function("64 entries one after the other", |bencher| {
            bencher.iter(|| {
                let sitting = sitting();
                office.journal().append(start(&sitting)).unwrap();
                for number in 2..65 {
                    office.journal().append(action(&sitting, number)).unwrap();
                }
            });
        });
        group.bench_function("64 entries on 64 threads", |bencher| {
            bencher.iter(|| {
                std::thread::scope(|scope| {
                    for _ in 0..64 {
                        let begun = draft(&sitting(), "started", 1, &start("").body);
                        let journal = office.journal();
                        scope.spawn(move || journal.append(begun).unwrap());
                    }
                });
            });
        });
        group.finish();
    }
}

criterion_group!(benches, records);
criterion_main!(benches);
