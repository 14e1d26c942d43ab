//! One fault over its range of severities: a few cars run side by side, and what lies between them.
//!
//! Nobody tells how bad a fault is, so a reading rules a fault out only when no
//! severity would give it. Between two severities that were run, readings are
//! taken to change in a straight line. At severity 0 every fault is the healthy
//! car, which is run once and serves them all as the mild end.

use crate::bay::Note;
use crate::evidence::compare::{fit, misfit, pairs};
use crate::evidence::hypothesis::Hypothesis;
use crate::evidence::replay::{Predicted, Replay, Stage};

/// One fault at rising severities.
#[derive(Clone, Debug, PartialEq)]
pub struct Family {
    /// The cars that are run.
    pub members: Vec<Hypothesis>,
    /// The least severity that counts, where the mild end is the healthy car itself.
    pub milder_down_to: Option<f64>,
}

impl Family {
    /// Cars that stand for themselves, with nothing milder.
    #[must_use]
    pub fn of(members: Vec<Hypothesis>) -> Self {
        Self {
            members,
            milder_down_to: None,
        }
    }
}

/// The member of a family that fits a notebook best.
#[derive(Clone, Debug, PartialEq)]
pub struct BestFit {
    /// The car, at its severity.
    pub hypothesis: Hypothesis,
    /// Sum of squares in limits of error.
    pub misfit: f64,
    /// The notes relied on rule every member out.
    pub ruled_out: bool,
    /// Index of the action whose reading ruled the last member out.
    pub ruled_out_by: Option<usize>,
    /// What its readings would have been.
    pub predicted: Vec<Predicted>,
    /// Numbers of the notes that rule every member out by themselves.
    pub ruling_notes: Vec<usize>,
}

/// Parts each stretch between two severities is looked at in.
const PARTS: usize = 16;

/// Runs a family through the session and finds its best member.
///
/// `healthy` is what the healthy car shows. The run ends early once nothing
/// further can matter: the notes relied on have all been compared, or rule every
/// member out already, and none fits as well as `bound`.
#[must_use]
pub fn best_fit(
    stage: &Stage<'_>,
    healthy: &[Predicted],
    family: &Family,
    notes: &[Note],
    relied_on: &[usize],
    bound: f64,
) -> Option<BestFit> {
    let members = family.members.iter();
    let mut runs: Vec<Replay> = members.map(|member| stage.start(member)).collect();
    let relied = notes.iter().filter(|note| relied_on.contains(&note.number));
    let last_relied_on = relied.map(|note| note.action).max().unwrap_or(0);
    let mut best = None;
    let mut ruled_out_by = None;
    for index in 0..stage.actions.len() {
        let mut read = false;
        for run in &mut runs {
            read |= run.perform(stage, index);
        }
        if !read {
            continue;
        }
        let shown = healthy.partition_point(|one| one.action <= index);
        let now = best_member(&healthy[..shown], family, &runs, notes, relied_on);
        let decided = |fit: &BestFit| fit.ruled_out || index >= last_relied_on;
        let hopeless = now
            .as_ref()
            .is_some_and(|fit| decided(fit) && fit.misfit > bound);
        if now.as_ref().is_some_and(|fit| fit.ruled_out) {
            ruled_out_by = ruled_out_by.or(Some(index));
        }
        best = now;
        if hopeless {
            break;
        }
    }
    let best = best.or_else(|| best_member(healthy, family, &runs, notes, relied_on));
    best.map(|fit| BestFit {
        ruled_out_by,
        ..fit
    })
}

fn best_member(
    healthy: &[Predicted],
    family: &Family,
    runs: &[Replay],
    notes: &[Note],
    relied_on: &[usize],
) -> Option<BestFit> {
    let mut best: Option<BestFit> = None;
    let mut all_ruled_out = true;
    let mut ruling: Option<Vec<usize>> = None;
    let mut consider = |hypothesis: Hypothesis, predicted: Vec<Predicted>| {
        let (sum, ruled_out) = misfit(notes, relied_on, &predicted);
        all_ruled_out &= ruled_out;
        let against: Vec<usize> = pairs(notes, &predicted)
            .filter(|(note, seen)| fit(note, seen).rules_out())
            .map(|(note, _)| note.number)
            .collect();
        match &mut ruling {
            Some(ruling) => ruling.retain(|number| against.contains(number)),
            None => ruling = Some(against),
        }
        if best.as_ref().is_none_or(|known| sum < known.misfit) {
            best = Some(BestFit {
                hypothesis,
                misfit: sum,
                ruled_out,
                ruled_out_by: None,
                predicted,
                ruling_notes: Vec::new(),
            });
        }
    };
    let members = &family.members;
    for (member, run) in members.iter().zip(runs) {
        consider(member.clone(), run.readings.clone());
    }
    let mut stretch =
        |mild: (&Hypothesis, &[Predicted]), bad: (&Hypothesis, &[Predicted]), from: f64| {
            for part in 0..PARTS {
                let share = from + (1.0 - from) * part as f64 / PARTS as f64;
                if share > 0.0
                    && let Some(predicted) = between(mild.1, bad.1, share)
                {
                    let milder = mild.0.towards(bad.0, share);
                    consider(milder.no_milder_than(family.milder_down_to), predicted);
                }
            }
        };
    if let (Some(least), Some(first), Some(run)) =
        (family.milder_down_to, members.first(), runs.first())
    {
        let from = least / first.severity().max(least);
        stretch((&first.at_zero(), healthy), (first, &run.readings), from);
    }
    for (pair, ends) in members.windows(2).zip(runs.windows(2)) {
        stretch(
            (&pair[0], &ends[0].readings),
            (&pair[1], &ends[1].readings),
            0.0,
        );
    }
    best.map(|fit| BestFit {
        ruled_out: all_ruled_out,
        ruling_notes: ruling.unwrap_or_default(),
        ..fit
    })
}

/// Readings a share of the way from one car's to another's; `None` where they were not the same checks.
fn between(one: &[Predicted], other: &[Predicted], share: f64) -> Option<Vec<Predicted>> {
    if one.len() != other.len() {
        return None;
    }
    one.iter()
        .zip(other)
        .map(|(a, b)| {
            let same = a.action == b.action && a.check == b.check;
            same.then(|| Predicted {
                seen: a.seen.between(&b.seen, share),
                ..*a
            })
        })
        .collect()
}
