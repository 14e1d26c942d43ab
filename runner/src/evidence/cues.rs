//! Missed cues: readings in which the car would have differed from a rival, found by running both.

use scenarios::SenseSlips;
use sim_core::instruments::{Check, Gas, Unit, Vent, every_check};
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

use crate::action::Action;
use crate::bay::Note;
use crate::evidence::alike::seen_bits;
use crate::evidence::replay::Stage;
use crate::evidence::seen::Seen;

/// A reading that would have told two cars apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// What to check.
    pub check: Check,
    /// Shop clock at which it would have told most, s.
    pub at_s: f64,
    /// How the car was set up then.
    pub setup: Setup,
    /// What this car shows.
    pub truth: Seen,
    /// What the rival shows.
    pub rival: Seen,
    /// What it tells of the two, in bits at even odds.
    pub bits: f64,
    /// Limit of the instrument's error, SI, and its quantity, for numbers.
    pub error: Option<(f64, Unit)>,
    /// Numbers of notes in which the learner had it and did not rely on it.
    pub ignored_notes: Vec<usize>,
    /// Numbers of notes of the same check, taken when it could not tell the two apart.
    pub other_notes: Vec<usize>,
}

/// All the checks possible at one moment of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Index of the action it ends.
    pub action: usize,
    /// Shop clock, s.
    pub at_s: f64,
    /// How the car was set up.
    pub setup: Setup,
    /// How long it had been set up so, s.
    pub settled_s: f64,
    /// What each check would have shown, in the order of [`every_check`].
    pub seen: Vec<Option<Seen>>,
}

/// Actions shorter than this leave no time to read anything else, s; clocks add up to within round-off.
const SHORTEST_LOOK_S: f64 = 9.5;
/// Time after which a set-up has settled enough to be worth a reading, s.
const SETTLED_S: f64 = 60.0;
/// Bits below which a reading is no cue.
const CUE_FROM: f64 = 0.3;

/// Replays a session and notes everything that could have been read along the way.
#[must_use]
pub fn panels(
    stage: &Stage<'_>,
    car: &CarSpec,
    faults: &[(String, f64)],
    actions: &[Action],
) -> Vec<Panel> {
    let checks = every_check();
    let mut replay = stage.start(car, faults);
    let mut panels = Vec::new();
    for (action, act) in actions.iter().enumerate() {
        let before_s = replay.car().state().time_s;
        replay.perform(act, &[]);
        let at_s = replay.car().state().time_s;
        if at_s - before_s >= SHORTEST_LOOK_S {
            panels.push(Panel {
                action,
                at_s,
                setup: replay.car().setup().clone(),
                settled_s: replay.settled_s(),
                seen: replay.look_around(&checks),
            });
        }
    }
    panels
}

/// Two cars through the same session, and the spread of individuals around them.
#[derive(Clone, Copy, Debug)]
pub struct Pair<'a> {
    /// The car in the bay.
    pub truth: &'a [Panel],
    /// The rival.
    pub rival: &'a [Panel],
    /// Individuals of the model with what is in the car.
    pub individuals: &'a [Vec<Panel>],
}

/// Cues the learner missed: not taken, or taken and not relied on; those that tell most first, and of
/// those that tell as much the quickest.
#[must_use]
pub fn missed(pair: Pair<'_>, notes: &[Note], relied_on: &[usize], slips: &SenseSlips) -> Vec<Cue> {
    // A car still settling differs from itself: such moments serve only where there is no better.
    let settled = pair.truth.iter().any(|panel| panel.settled_s >= SETTLED_S);
    let least_s = if settled { SETTLED_S } else { 0.0 };
    let mut best: Vec<Cue> = Vec::new();
    for (moment, (ours, theirs)) in pair.truth.iter().zip(pair.rival).enumerate() {
        if ours.settled_s < least_s {
            continue;
        }
        for (index, check) in every_check().into_iter().enumerate() {
            let (Some(truth), Some(rival)) = (&ours.seen[index], &theirs.seen[index]) else {
                continue;
            };
            if truth == rival {
                continue;
            }
            let spread = spread(pair.individuals, moment, index, truth);
            let bits = seen_bits(check, &truth.into(), &rival.into(), spread, slips);
            let known = best.iter().position(|cue| cue.check == check);
            // A little more later on is not worth waiting for.
            if bits < CUE_FROM || known.is_some_and(|known| best[known].bits + 0.01 >= bits) {
                continue;
            }
            let cue = Cue {
                check,
                at_s: ours.at_s,
                setup: ours.setup.clone(),
                truth: truth.clone(),
                rival: rival.clone(),
                bits,
                error: error_of(check, truth),
                ignored_notes: Vec::new(),
                other_notes: Vec::new(),
            };
            match known {
                Some(index) => best[index] = cue,
                None => best.push(cue),
            }
        }
    }
    let told = told(pair, notes, slips);
    best.retain(|cue| {
        !told
            .iter()
            .any(|(number, check)| is_same(*check, cue.check) && relied_on.contains(number))
    });
    for cue in &mut best {
        let same = notes
            .iter()
            .filter(|note| is_same(note.reading.check, cue.check));
        let (ignored, other): (Vec<&Note>, Vec<&Note>) =
            same.partition(|note| told.iter().any(|(number, _)| *number == note.number));
        cue.ignored_notes = ignored.iter().map(|note| note.number).collect();
        cue.other_notes = other.iter().map(|note| note.number).collect();
    }
    // Who looks for what tells a tenth of a bit more looks for nothing: then comes what the learner had
    // in hand, then what takes least time.
    let tenths = |cue: &Cue| libm::round(10.0 * cue.bits) as i64;
    best.sort_by(|a, b| {
        tenths(b)
            .cmp(&tenths(a))
            .then(a.ignored_notes.is_empty().cmp(&b.ignored_notes.is_empty()))
            .then(a.check.time_s().total_cmp(&b.check.time_s()))
            .then(a.check.cmp(&b.check))
    });
    // Three vents side by side are one cue, and so is one circuit's voltage from point to point.
    let mut kinds = Vec::new();
    best.retain(|cue| {
        let kind = kind_of(cue.check);
        let new = !kinds.contains(&kind);
        kinds.push(kind);
        new
    });
    best
}

fn kind_of(check: Check) -> Check {
    match check {
        Check::VentTemperature(_) => Check::VentTemperature(Vent::Centre),
        Check::AirSpeed(_) => Check::AirSpeed(Vent::Centre),
        Check::Voltage(_) | Check::VoltageDrop(_) => Check::CoilVoltage,
        // One sample tells the shares of all gases.
        Check::GasShare(_) => Check::GasShare(Gas::Air),
        other => other,
    }
}

/// Standard deviation of a number between individuals, SI; 0 for a finding.
fn spread(individuals: &[Vec<Panel>], moment: usize, index: usize, truth: &Seen) -> f64 {
    let Some(typical) = truth.number() else {
        return 0.0;
    };
    let mut squares = 0.0;
    let mut sum = 0.0;
    let mut count = 0.0;
    for one in individuals {
        let seen = one.get(moment).and_then(|panel| panel.seen[index].as_ref());
        if let Some(other) = seen.and_then(Seen::number) {
            let off = other.mean() - typical.mean();
            squares += off * off;
            sum += off;
            count += 1.0;
        }
    }
    if count < 2.0 {
        return 0.0;
    }
    let variance: f64 = (squares - sum * sum / count) / (count - 1.0);
    variance.max(0.0).sqrt()
}

fn error_of(check: Check, seen: &Seen) -> Option<(f64, Unit)> {
    let spec = check.tool()?.spec();
    let (low, high) = seen.number()?.ends();
    let mean = (0.5 * (low + high)).clamp(spec.least, spec.most);
    Some((spec.limit_of_error(mean), spec.unit))
}

/// Whether a check made serves for another: the same place searched with a detector set finer or coarser.
fn is_same(made: Check, other: Check) -> bool {
    match (made, other) {
        (Check::LeakSearch(here, _), Check::LeakSearch(there, _)) => here == there,
        _ => made == other,
    }
}

/// Notes taken when the two cars differed in that check, by number.
fn told(pair: Pair<'_>, notes: &[Note], slips: &SenseSlips) -> Vec<(usize, Check)> {
    let checks = every_check();
    let mut told = Vec::new();
    for note in notes {
        let Some(index) = checks
            .iter()
            .position(|check| is_same(note.reading.check, *check))
        else {
            continue;
        };
        // What could be read when the action was over is what it read.
        let at = |panels: &[Panel]| panels.iter().position(|panel| panel.action == note.action);
        let Some(moment) = at(pair.truth) else {
            continue;
        };
        let seen = |panels: &[Panel]| panels.get(moment).and_then(|one| one.seen[index].clone());
        if let (Some(truth), Some(rival)) = (seen(pair.truth), seen(pair.rival)) {
            let spread = spread(pair.individuals, moment, index, &truth);
            if seen_bits(
                note.reading.check,
                &(&truth).into(),
                &(&rival).into(),
                spread,
                slips,
            ) >= CUE_FROM
            {
                told.push((note.number, note.reading.check));
            }
        }
    }
    told
}
