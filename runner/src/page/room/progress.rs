//! How far everybody is, from the last entry of each sitting.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::Room;
use super::candidates::BASE;
use crate::assess::Step;
use crate::invigilate::kept::Words;
use crate::invigilate::open::sitting_id;
use crate::page::doors::{Behind, Doors, ago};
use crate::page::views::Line;
use crate::records::entry::FINISHED;
use crate::records::office::now_ms;
use crate::records::store::Of;
use crate::records::{Entry, StoreError};

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
                self.tell(&mut line, entry, (*started_ms, now_ms));
            }
            if !line.is_over {
                line.code = Some(self.doors.code(&person.id, attempt));
            }
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
        line.steps = entry.number.saturating_sub(1);
        line.last = ago(now_ms - entry.wall_ms);
        let tasks = self.form.cases.iter().map(|slot| slot.count).sum::<usize>()
            + self
                .form
                .questions
                .iter()
                .map(|slot| slot.count)
                .sum::<usize>();
        if entry.kind == FINISHED {
            line.is_over = true;
            line.state = outcome(&entry.body);
            return;
        }
        let words: Option<Words> = serde_json::from_str(&entry.body).ok();
        let task = words.as_ref().map_or(1, |words| words.task).min(tasks);
        match Step::read(&entry.kind, "look belt") {
            Ok(Some(Step::HandIn)) => {
                line.is_over = true;
                line.state = match self.marker.why_not(&entry.sitting) {
                    Some(why) => format!("handed in; it cannot be marked: {why}"),
                    None => "handed in, being marked".to_owned(),
                };
            }
            Ok(Some(step)) => {
                // Who answered or left a task is at the next one.
                let is_past = !matches!(step, Step::Act(_));
                let task = (task + usize::from(is_past)).min(tasks);
                line.state = format!("task {task} of {tasks}");
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
                "handed in, being marked".clone_into(&mut line.state);
            }
        }
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
