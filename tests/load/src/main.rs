//! Candidates at a room of `coldtrail serve`: they come in, begin within two seconds of one another, and then each
//! does something every five seconds. `run` beside this sets the room up and starts it.

use std::collections::BTreeMap;
use std::net::Ipv4Addr;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use goose::prelude::*;
use hdrhistogram::Histogram;
use serde_json::json;

const EACH_S: u64 = 5;
const BEGIN_WITHIN_MS: u64 = 2000;
/// A morning's work at a car: set it up, wait, read.
const WORK: [&str; 20] = [
    "engine idle", "ac on", "blower 4", "wear glasses", "wear gloves", "look fuse", "wait 2 min",
    "thermometer centre-vent", "look compressor", "gauges connect", "gauges open", "gauges read",
    "feel suction-hose", "engine 1500 rpm", "wait 3 min", "gauges read", "thermometer centre-vent",
    "look condenser-face", "listen compressor", "suspect undercharge 30 %",
];

/// What is measured over everybody, in µs.
struct Measured {
    begin: Histogram<u64>,
    act: Histogram<u64>,
    /// Steps that the page has shown as kept, by code.
    shown: BTreeMap<String, u64>,
}

static MEASURED: Mutex<Option<Measured>> = Mutex::new(None);
static NEXT: AtomicUsize = AtomicUsize::new(0);
static FAILED: AtomicU64 = AtomicU64::new(0);
static START: Mutex<Option<Instant>> = Mutex::new(None);

#[derive(Clone)]
struct Seat {
    code: String,
    number: usize,
    page: String,
    done: usize,
}

fn codes() -> Vec<String> {
    let path = std::env::var("COLDTRAIL_CODES").expect("COLDTRAIL_CODES names the file of codes");
    let text = std::fs::read_to_string(path).expect("the file of codes");
    serde_json::from_str(&text).expect("a list of codes")
}

fn seconds(name: &str) -> u64 {
    std::env::var(name).expect(name).parse().expect(name)
}

/// The value of a hidden field.
fn hidden(page: &str, name: &str) -> Option<String> {
    let (_, after) = page.split_once(&format!("name=\"{name}\" value=\""))?;
    Some(after.split('"').next()?.to_owned())
}

fn failed(why: &str) {
    if FAILED.fetch_add(1, Ordering::Relaxed) < 5 {
        eprintln!("{why}");
    }
}

/// Sends a form; the page that it leads to, and how long both took together.
async fn sent(user: &mut GooseUser, address: &str, fields: &[(&str, &str)]) -> Option<(String, u64)> {
    let begun = Instant::now();
    let asked = if fields.is_empty() {
        user.get(address).await
    } else {
        user.post_form(address, &fields).await
    };
    let answer = asked.ok()?.response;
    let answer = match answer {
        Ok(answer) => answer,
        Err(why) => {
            failed(&format!("{address}: {why}"));
            return None;
        }
    };
    let status = answer.status();
    let page = answer.text().await.unwrap_or_default();
    let micros = u64::try_from(begun.elapsed().as_micros()).unwrap_or(u64::MAX);
    if !status.is_success() {
        failed(&format!("{address}: {status} {}", page.chars().take(200).collect::<String>()));
        return None;
    }
    Some((page, micros))
}

async fn begins(user: &mut GooseUser) -> TransactionResult {
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    let code = codes()[number].clone();
    let Some((door, _)) = sent(user, "/", &[]).await else { return Ok(()) };
    let token = hidden(&door, "token").unwrap_or_default();
    let Some((rules, _)) = sent(user, "/join", &[("token", &token), ("code", &code)]).await else {
        return Ok(());
    };
    // Everybody has read the rules, and now all begin.
    let people = seconds("COLDTRAIL_PEOPLE");
    let share_ms = BEGIN_WITHIN_MS * number as u64 / people;
    let at = START.lock().expect("nobody panics").expect("a start");
    let at = at + Duration::from_secs(seconds("COLDTRAIL_RULES_S")) + Duration::from_millis(share_ms);
    tokio::time::sleep_until(at.into()).await;
    let token = hidden(&rules, "token").unwrap_or_default();
    let Some((page, micros)) = sent(user, "/sit/begin", &[("token", &token), ("units", "si")]).await else {
        return Ok(());
    };
    if let Some(measured) = MEASURED.lock().expect("nobody panics").as_mut() {
        let _ = measured.begin.record(micros);
    }
    user.set_session_data(Seat { code, number, page, done: 0 });
    Ok(())
}

async fn acts(user: &mut GooseUser) -> TransactionResult {
    let Some(seat) = user.get_session_data::<Seat>() else {
        failed("somebody never began");
        return Ok(());
    };
    // Each five seconds from when they began, whatever the answer takes.
    let (number, done) = (seat.number, seat.done);
    let people = seconds("COLDTRAIL_PEOPLE");
    let since_ms = BEGIN_WITHIN_MS * number as u64 / people + 1000 * EACH_S * (done as u64 + 1);
    let at = START.lock().expect("nobody panics").expect("a start");
    let at = at + Duration::from_secs(seconds("COLDTRAIL_RULES_S")) + Duration::from_millis(since_ms);
    tokio::time::sleep_until(at.into()).await;
    let (token, steps) = (hidden(&seat.page, "token"), hidden(&seat.page, "steps"));
    let (token, steps) = (token.unwrap_or_default(), steps.unwrap_or_default());
    let fields = [("token", token.as_str()), ("steps", steps.as_str()), ("words", WORK[done % WORK.len()])];
    let answer = sent(user, "/sit/act", &fields).await;
    if let Some(seat) = user.get_session_data_mut::<Seat>() {
        seat.done += 1;
        if let Some((page, micros)) = answer {
            let kept = hidden(&page, "steps").and_then(|steps| steps.parse().ok());
            let Some(kept) = kept else {
                failed("a page without its step");
                return Ok(());
            };
            seat.page = page;
            if let Some(measured) = MEASURED.lock().expect("nobody panics").as_mut() {
                let _ = measured.act.record(micros);
                measured.shown.insert(seat.code.clone(), kept);
            }
        }
    }
    Ok(())
}

#[tokio::main(worker_threads = 2)]
async fn main() -> Result<(), GooseError> {
    let at = std::env::var("COLDTRAIL_AT").expect("COLDTRAIL_AT says where the room is");
    let port = at.strip_prefix(&format!("https://{}:", Ipv4Addr::LOCALHOST));
    assert!(port.is_some_and(|port| port.parse::<u16>().is_ok()), "only https://127.0.0.1:PORT is asked");
    let people = seconds("COLDTRAIL_PEOPLE");
    let (rules_s, work_s) = (seconds("COLDTRAIL_RULES_S"), seconds("COLDTRAIL_WORK_S"));
    let histogram = || Histogram::new_with_bounds(1, 120_000_000, 3).expect("bounds");
    *MEASURED.lock().expect("nobody panics") = Some(Measured {
        begin: histogram(),
        act: histogram(),
        shown: BTreeMap::new(),
    });
    *START.lock().expect("nobody panics") = Some(Instant::now());
    // All have come in when half of the time for the rules is over.
    let come_in = (people * 2).div_ceil(rules_s).to_string();
    let users = usize::try_from(people).expect("some people");
    GooseAttack::initialize()?
        .register_scenario(
            scenario!("sitting")
                .register_transaction(transaction!(begins).set_on_start())
                .register_transaction(transaction!(acts)),
        )
        .set_default(GooseDefault::Host, at.as_str())?
        .set_default(GooseDefault::Users, users)?
        .set_default(GooseDefault::IncreaseRate, come_in.as_str())?
        .set_default(GooseDefault::RunTime, usize::try_from(rules_s / 2 + work_s).expect("some time"))?
        .set_default(GooseDefault::AcceptInvalidCerts, true)?
        .set_default(GooseDefault::NoPrintMetrics, true)?
        .set_default(GooseDefault::NoMetrics, true)?
        .set_default(GooseDefault::Quiet, 2_usize)?
        .execute()
        .await?;
    let measured = MEASURED.lock().expect("nobody panics").take().expect("what was measured");
    let ms = |histogram: &Histogram<u64>, share: f64| (histogram.value_at_quantile(share) as f64 / 100.0).round() / 10.0;
    println!(
        "{}",
        json!({
            "failures": FAILED.load(Ordering::Relaxed),
            "begun": measured.begin.len(),
            "begin p50 ms": ms(&measured.begin, 0.5),
            "begin p99 ms": ms(&measured.begin, 0.99),
            "acts": measured.act.len(),
            "act p50 ms": ms(&measured.act, 0.5),
            "act p99 ms": ms(&measured.act, 0.99),
            "act max ms": measured.act.max() as f64 / 1000.0,
            "shown": measured.shown,
        })
    );
    Ok(())
}
