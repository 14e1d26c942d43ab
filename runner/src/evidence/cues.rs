//! Missed cues: readings in which two cars would have differed, found by running both.

use sim_core::instruments::{Check, Gas, Sense, Unit, Vent};
use sim_core::setup::Setup;

use crate::bay::Note;
use crate::evidence::compare::{Fit, fit, pairs};
use crate::evidence::replay::{Panel, Trail};
use crate::evidence::swing::Seen;

/// A reading that would have told two cars apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// What to check.
    pub check: Check,
    /// Shop clock at which it would have told most, s.
    pub at_s: f64,
    /// How the car was set up then.
    pub setup: Setup,
    /// What the true car shows.
    pub truth: Seen,
    /// What the rival shows.
    pub rival: Seen,
    /// How far apart, as a share of the limit of the instrument's error.
    pub apart: f64,
    /// Limit of the instrument's error, SI, and its quantity, for numbers.
    pub error: Option<(f64, Unit)>,
    /// Numbers of notes in which the learner had it and did not rely on it.
    pub ignored_notes: Vec<usize>,
    /// Numbers of notes of the same check, taken when it could not tell the two apart.
    pub other_notes: Vec<usize>,
}

/// Time after which a set-up has settled enough to be worth a reading, s.
const SETTLED_S: f64 = 60.0;
/// How far apart two findings count, in limits of error.
const FINDINGS_APART: f64 = 5.0;
/// The same for a hand's feel, which tells classes and not degrees.
const TOUCH_APART: f64 = 2.0;
/// Differences beyond this many limits of error tell no more than this many.
const MOST_APART: f64 = 12.0;

/// Cues the learner missed: not taken, or taken and not relied on; best first.
#[must_use]
pub fn missed(truth: &Trail, rival: &Trail, notes: &[Note], relied_on: &[usize]) -> Vec<Cue> {
    let mut best: Vec<Cue> = Vec::new();
    // A car still settling differs from itself: such moments serve only where there is no better.
    let settled = |panel: &&Panel| panel.settled_s >= SETTLED_S;
    let least_s = if truth.panels.iter().any(|panel| settled(&panel)) {
        SETTLED_S
    } else {
        0.0
    };
    for (ours, theirs) in same_moments(truth, rival) {
        if ours.settled_s < least_s {
            continue;
        }
        for (check, seen) in &ours.seen {
            let Some((_, other)) = theirs.seen.iter().find(|(one, _)| one == check) else {
                continue;
            };
            let Some((apart, error)) = distance(*check, seen, other) else {
                continue;
            };
            let known = best.iter().position(|cue| cue.check == *check);
            if known.is_some_and(|index| best[index].apart >= apart) {
                continue;
            }
            let cue = Cue {
                check: *check,
                at_s: ours.at_s,
                setup: ours.setup.clone(),
                truth: seen.clone(),
                rival: other.clone(),
                apart,
                error,
                ignored_notes: Vec::new(),
                other_notes: Vec::new(),
            };
            match known {
                Some(index) => best[index] = cue,
                None => best.push(cue),
            }
        }
    }
    let telling = telling_notes(rival, notes);
    best.retain(|cue| {
        !telling
            .iter()
            .any(|note| is_same(note.reading.check, cue.check) && relied_on.contains(&note.number))
    });
    for cue in &mut best {
        let same = notes
            .iter()
            .filter(|note| is_same(note.reading.check, cue.check));
        let (told, other): (Vec<&Note>, Vec<&Note>) =
            same.partition(|note| telling.iter().any(|one| one.number == note.number));
        cue.ignored_notes = told.iter().map(|note| note.number).collect();
        cue.other_notes = other.iter().map(|note| note.number).collect();
    }
    // A stable order: how much it tells, what the learner had in hand, then the order checks are listed in.
    best.sort_by(|a, b| {
        b.apart
            .total_cmp(&a.apart)
            .then(a.ignored_notes.is_empty().cmp(&b.ignored_notes.is_empty()))
            .then(a.check.cmp(&b.check))
    });
    // Three vents side by side are one cue, and so is one circuit's voltage from point to point.
    let mut kinds = Vec::new();
    best.retain(|cue| {
        let kind = match cue.check {
            Check::VentTemperature(_) => Check::VentTemperature(Vent::Centre),
            Check::AirSpeed(_) => Check::AirSpeed(Vent::Centre),
            Check::Voltage(_) | Check::VoltageDrop(_) => Check::CoilVoltage,
            // One sample tells the shares of all gases.
            Check::GasShare(_) => Check::GasShare(Gas::Air),
            other => other,
        };
        let new = !kinds.contains(&kind);
        kinds.push(kind);
        new
    });
    best
}

/// Whether a check made serves for another: the same place searched with a detector set finer or coarser.
fn is_same(made: Check, other: Check) -> bool {
    match (made, other) {
        (Check::LeakSearch(here, _), Check::LeakSearch(there, _)) => here == there,
        _ => made == other,
    }
}

/// Panels of both cars at the end of the same action.
fn same_moments<'a>(
    truth: &'a Trail,
    rival: &'a Trail,
) -> impl Iterator<Item = (&'a Panel, &'a Panel)> {
    truth.panels.iter().filter_map(|ours| {
        rival
            .panels
            .iter()
            .find(|theirs| theirs.action == ours.action)
            .map(|theirs| (ours, theirs))
    })
}

/// Notes in which the reading as taken does not fit the rival.
fn telling_notes<'a>(rival: &Trail, notes: &'a [Note]) -> Vec<&'a Note> {
    let telling = |note: &Note| {
        pairs(std::slice::from_ref(note), &rival.readings).any(|(note, truth)| {
            match fit(note, truth) {
                Fit::Distance(distance) => distance > 1.0,
                Fit::Same => false,
                Fit::Different => true,
            }
        })
    };
    notes.iter().filter(|note| telling(note)).collect()
}

/// How far apart two things seen are, where further than the instrument can err.
fn distance(check: Check, one: &Seen, other: &Seen) -> Option<(f64, Option<(f64, Unit)>)> {
    match (one, other) {
        (Seen::Range(low, high), Seen::Range(other_low, other_high)) => {
            let spec = check.tool()?.spec();
            // Readings the instrument cannot show tell nothing.
            let show = |value: f64| value.clamp(spec.least, spec.most);
            let gap = (show(*low) - show(*other_high)).max(show(*other_low) - show(*high));
            let error = spec.limit_of_error(0.5 * (low + high));
            let apart = (gap / error).min(MOST_APART);
            (apart > 1.0).then_some((apart, Some((error, spec.unit))))
        }
        (Seen::Findings(ours), Seen::Findings(theirs))
            if !ours.iter().any(|finding| theirs.contains(finding)) =>
        {
            let apart = match check {
                Check::Sense(Sense::Feel, _) => TOUCH_APART,
                _ => FINDINGS_APART,
            };
            Some((apart, None))
        }
        _ => None,
    }
}
