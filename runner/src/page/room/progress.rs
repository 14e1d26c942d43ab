//! How far everybody is, from the last entry of each sitting.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::Room;
use super::candidates::BASE;
use crate::assess::{MORE_TIME, Step, minutes, minutes_ms};
use crate::invigilate::kept::Words;
use crate::invigilate::open::sitting_id;
use crate::page::doors::{Behind, Doors, ago};
use crate::page::shelf::lock;
use crate::page::views::Line;
use crate::records::entry::FINISHED;
use crate::records::office::now_ms;
use crate::records::store::Of;
use crate::records::{Entry, StoreError};

/// How often it is looked for more time that another program gave, ms.
const LOOKS_EACH_MS: i64 = 5000;

/// Time that sittings were given.
#[derive(Debug, Default)]
pub(super) struct More {
    looked_ms: i64,
    found: BTreeMap<String, i64>,
}

/// The time that an entry gives, ms.
pub(super) fn more_ms(entry: &Entry) -> i64 {
    let words: Option<Words> = serde_json::from_str(&entry.body).ok();
    words.map_or(0, |words| minutes_ms(minutes(&words.words)))
}

/// Where somebody is who is at a task, or past the last one.
fn where_at(task: usize, tasks: usize) -> String {
    if task > tasks {
        "all tasks done, not handed in".to_owned()
    } else {
        format!("task {task} of {tasks}")
    }
}

impl Behind for Room {
    const HOME: &'static str = BASE;
    const IS_FORM: bool = true;

    fn doors(&self) -> &Doors {
        &self.doors
    }

    fn begun(&self) -> Result<BTreeMap<String, u32>, String> {
        let sittings = self.doors.office.store().sittings();
        let sittings = sittings.map_err(|why| why.to_string())?;
        let mut begun: BTreeMap<String, u32> = BTreeMap::new();
        for sitting in sittings.into_iter().filter(|one| one.form == self.form.id) {
            *begun.entry(sitting.candidate).or_default() += 1;
        }
        Ok(begun)
    }

    fn renamed(&self, candidate: &str, attempt: u32, name: &str) {
        let seat = self
            .seats
            .get(&sitting_id(&self.form.id, candidate, attempt));
        if let Some(seat) = seat {
            name.clone_into(&mut lock(&seat).name);
        }
    }

    fn lines(&self) -> Result<Vec<Line>, String> {
        let failed = |why: StoreError| why.to_string();
        let on_roster = self.doors.roster().candidates()?;
        let (people, sittings, last) = {
            let mut store = self.doors.office.store();
            let people = store.people().map_err(failed)?;
            let sittings = store.sittings().map_err(failed)?;
            let mut last: BTreeMap<String, Entry> = BTreeMap::new();
            let of = Of::LastOfForm(&self.form.id);
            store
                .each_entry(of, &mut |entry| {
                    last.insert(entry.sitting.clone(), entry);
                    Ok(())
                })
                .map_err(failed)?;
            (people, sittings, last)
        };
        // The last attempt of each: attempts have one after the other their sitting.
        let mut begun: BTreeMap<&str, u32> = BTreeMap::new();
        let mut started: BTreeMap<&str, i64> = BTreeMap::new();
        for sitting in sittings.iter().filter(|one| one.form == self.form.id) {
            *begun.entry(&sitting.candidate).or_default() += 1;
            started.insert(&sitting.id, sitting.started_ms);
        }
        let now_ms = now_ms();
        let more = self.more_time(now_ms)?;
        let mut lines = Vec::new();
        for person in &people {
            let attempts = begun.get(person.id.as_str()).copied();
            if attempts.is_none() && !on_roster.contains(&person.id) {
                continue;
            }
            let mut line = Line {
                candidate: person.id.clone(),
                name: person.name.clone(),
                ..Line::default()
            };
            let Some(attempt) = attempts else {
                line.code = Some(self.doors.code(&person.id, 1));
                "not begun".clone_into(&mut line.state);
                lines.push(line);
                continue;
            };
            let id = sitting_id(&self.form.id, &person.id, attempt);
            line.attempt = attempt;
            if let (Some(entry), Some(started_ms)) = (last.get(&id), started.get(id.as_str())) {
                let more_ms = more.get(&id).copied().unwrap_or_default();
                self.tell(&mut line, entry, (*started_ms + more_ms, now_ms));
            }
            if !line.is_over {
                line.code = Some(self.doors.code(&person.id, attempt));
            }
            self.look_at(&mut line, &id);
            line.sitting = Some(id);
            lines.push(line);
        }
        lines.sort_by(|a, b| a.name.cmp(&b.name).then(a.candidate.cmp(&b.candidate)));
        Ok(lines)
    }
}

impl Room {
    /// What the last entry of a sitting tells of it.
    fn tell(&self, line: &mut Line, entry: &Entry, (started_ms, now_ms): (i64, i64)) {
        line.steps = Some(entry.number.saturating_sub(1));
        line.last = ago(now_ms - entry.wall_ms);
        let tasks = self.form.cases.iter().map(|slot| slot.count).sum::<usize>()
            + self
                .form
                .questions
                .iter()
                .map(|slot| slot.count)
                .sum::<usize>();
        if entry.kind == FINISHED {
            // What came of each task, and of all, is no step of the candidate's.
            line.steps = (line.steps).map(|steps| steps.saturating_sub(tasks as u64 + 1));
            line.is_over = true;
            line.state = outcome(&entry.body);
            return;
        }
        let words: Option<Words> = serde_json::from_str(&entry.body).ok();
        let task = words.as_ref().map_or(1, |words| words.task).min(tasks);
        let typed = match entry.kind.as_str() {
            MORE_TIME => words.as_ref().map_or("", |words| words.words.as_str()),
            // What was done is not read again to tell where somebody is.
            _ => "look belt",
        };
        match Step::read(&entry.kind, typed) {
            Ok(Some(Step::HandIn)) => {
                line.is_over = true;
                line.state = match self.marker.why_not(&entry.sitting) {
                    Some(why) => format!("handed in; it cannot be marked: {why}"),
                    None => "handed in, being marked".to_owned(),
                };
            }
            // Time that was given says nothing of where somebody is.
            Ok(Some(Step::MoreTime(minutes))) => {
                line.state = format!("task {task} of {tasks}");
                line.did = format!("was given {minutes} min more");
                line.left_min = Some(self.left_min(started_ms, now_ms));
            }
            Ok(Some(step)) => {
                // Who answered or left a task is at the next one.
                let is_past = !matches!(step, Step::Act(_));
                line.state = where_at(task + usize::from(is_past), tasks);
                let words = words.map_or_else(String::new, |words| words.words);
                line.did = match step {
                    Step::Act(_) => words,
                    // What was answered is between the candidate and the key.
                    Step::Answer(_) => "answered".to_owned(),
                    _ => "left the task".to_owned(),
                };
                line.left_min = Some(self.left_min(started_ms, now_ms));
            }
            // Its start, or a mark.
            _ if entry.number == 1 => {
                line.state = format!("task 1 of {tasks}");
                "begun".clone_into(&mut line.did);
                line.left_min = Some(self.left_min(started_ms, now_ms));
            }
            _ => {
                line.is_over = true;
                line.steps = None;
                "handed in, being marked".clone_into(&mut line.state);
            }
        }
    }

    /// What is known of a sitting beyond its last entry where its car is here: which task it is at, and safety slips.
    fn look_at(&self, line: &mut Line, id: &str) {
        let Some(seat) = self.seats.get(id) else {
            return;
        };
        // Who acts in this moment is looked at the next time.
        let Ok(seat) = seat.try_lock() else {
            return;
        };
        line.slips = Some(seat.sitting.slips());
        if !line.is_over && line.attempt > 0 {
            // Its start is no step, nor is time that was given.
            line.steps = Some(seat.steps().saturating_sub(1));
            line.state = where_at(seat.sitting.at(), seat.sitting.given().len());
        }
    }

    /// Time that sittings were given beyond the form's, ms; looked up anew now and then.
    fn more_time(&self, now_ms: i64) -> Result<BTreeMap<String, i64>, String> {
        let mut more = lock(&self.more);
        if now_ms - more.looked_ms >= LOOKS_EACH_MS {
            let mut found: BTreeMap<String, i64> = BTreeMap::new();
            let of = Of::KindOfForm(MORE_TIME, &self.form.id);
            let looked = self.doors.office.store().each_entry(of, &mut |entry| {
                *found.entry(entry.sitting.clone()).or_default() += more_ms(&entry);
                Ok(())
            });
            looked.map_err(|why| why.to_string())?;
            *more = More {
                looked_ms: now_ms,
                found,
            };
        }
        Ok(more.found.clone())
    }

    /// Has the time that sittings were given looked up at once.
    pub(super) fn more_was_given(&self) {
        lock(&self.more).looked_ms = 0;
    }

    fn left_min(&self, started_ms: i64, now_ms: i64) -> i64 {
        let wall_ms = (self.form.wall_s * 1000.0) as i64;
        (wall_ms - (now_ms - started_ms)).max(0) / 60_000
    }
}

fn outcome(body: &str) -> String {
    #[derive(Deserialize)]
    struct Finished {
        passed: bool,
        mark: f64,
        gate: bool,
    }
    match serde_json::from_str::<Finished>(body) {
        Ok(ended) => {
            let said = if ended.passed { "passed" } else { "not passed" };
            let gate = if ended.gate { "" } else { ", safety gate shut" };
            format!("{said}, {:.0} of 100{gate}", ended.mark)
        }
        Err(_) => "marked".to_owned(),
    }
}
