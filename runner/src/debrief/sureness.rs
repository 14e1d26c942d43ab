//! What could be believed and when, how sure the learner was, and how long it took.

use std::fmt::Write;

use scenarios::Bank;

use crate::debrief::proof::{percent, words_of};
use crate::debrief::text::{heading, say};
use crate::evidence::plan::Path;
use crate::grade::{Grade, Moment, name_of};
use crate::show;

/// The belief trace.
pub(super) fn trace(page: &mut String, bank: &Bank, grade: &Grade) {
    heading(page, "What could be believed, reading by reading");
    if grade.trace.is_empty() {
        say!(page, "Nothing was read and nothing stated.");
        return;
    }
    say!(
        page,
        "What a careful reader of all your readings would have held likeliest:"
    );
    for moment in &grade.trace {
        tell_moment(page, bank, grade, moment);
    }
}

fn tell_moment(page: &mut String, bank: &Bank, grade: &Grade, moment: &Moment) {
    let likeliest: Vec<String> = moment
        .likeliest
        .iter()
        .filter(|(_, probability)| *probability >= 0.05)
        .map(|(index, probability)| {
            format!(
                "{} {}",
                words_of(bank, &grade.explanations[*index]),
                percent(*probability)
            )
        })
        .collect();
    let likeliest = if likeliest.is_empty() {
        "nothing above 5 %".to_owned()
    } else {
        likeliest.join(", ")
    };
    let clock = show::clock(moment.at_s);
    if let Some(stated) = &moment.stated {
        say!(
            page,
            "{clock:>6}  you said {}: {:.0} %; the readings supported {}",
            name_of(bank, &stated.suspect),
            stated.stated * 100.0,
            percent(stated.ideal)
        );
        return;
    }
    let notes: Vec<String> = moment.notes.iter().map(ToString::to_string).collect();
    say!(
        page,
        "{clock:>6}  [{}]  {likeliest}; open: {:.1} bits",
        notes.join(", "),
        moment.open_bits
    );
}

/// Mean difference from which somebody is told that they are too sure or not sure enough.
const LEANS_FROM: f64 = 0.15;

/// How sure the learner was.
pub(super) fn sureness(page: &mut String, bank: &Bank, grade: &Grade) {
    heading(page, "How sure you were");
    let calibration = &grade.calibration;
    let (Some(brier), Some(ideal)) = (calibration.brier, calibration.ideal_brier) else {
        say!(
            page,
            "You stated no confidence that says anything, so nothing is earned here. `suspect undercharge 40 %` says how sure you are; say it early and again as readings come in. To call unlikely what nobody holds likely does not count."
        );
        return;
    };
    let lean = calibration.lean;
    let words = if lean >= LEANS_FROM {
        "You were surer than your readings allowed"
    } else if lean <= -LEANS_FROM {
        "You were less sure than your readings allowed"
    } else {
        "You were about as sure as your readings allowed"
    };
    say!(
        page,
        "{words}: on average you stated {:+.0} percentage points against them.",
        // A lean that rounds to nothing has no sign.
        (lean * 100.0).round() + 0.0
    );
    let apart = |one: &&crate::grade::Statement| (one.stated - one.ideal).abs();
    let furthest = calibration
        .statements
        .iter()
        .max_by(|a, b| apart(a).total_cmp(&apart(b)))
        .filter(|one| apart(one) >= LEANS_FROM);
    if let Some(one) = furthest {
        say!(
            page,
            "Furthest off: {} at {:.0} %, when the readings supported {}.",
            name_of(bank, &one.suspect),
            one.stated * 100.0,
            percent(one.ideal)
        );
    }
    say!(
        page,
        "Brier score of what you stated: {brier:.2} (0 is best; 0.25 is what calling everything fifty-fifty earns). A careful reader asked at the same moments: {ideal:.2}. Marks go by how far you were from that reader, not by luck: {:.2} on the same scale.",
        calibration.regret
    );
}

/// The learner's path beside the best one.
pub(super) fn efficiency(page: &mut String, grade: &Grade) {
    heading(page, "The way you took");
    let efficiency = &grade.efficiency;
    say!(
        page,
        "You: {} readings in {} min, which told {:.2} bits; {:.2} prove what is in the car.",
        grade.bay.notes().len(),
        show::clock(efficiency.spent_s),
        efficiency.told_bits,
        efficiency.wanted_bits
    );
    let best = &efficiency.best;
    if best.steps.is_empty() {
        say!(page, "No check promises anything on this car.");
        return;
    }
    let clock = show::clock(best.seconds());
    if best.proved {
        say!(
            page,
            "On a typical car of the model, always making the check that promises most bits a minute proves it with {:.1} bits in {clock} min:",
            best.bits()
        );
    } else {
        say!(
            page,
            "Always making the check that promises most bits a minute does not prove it on a typical car of the model, in {} checks and {clock} min: this is a hard case. It goes so:",
            best.steps.len()
        );
    }
    steps(page, best);
}

/// A number with its sign, to a tenth; nothing is never below nothing.
fn signed(bits: f64) -> String {
    let tenths = libm::round(10.0 * bits);
    format!("{:+.1}", 0.1 * tenths + 0.0)
}

/// A path, stop by stop.
pub(crate) fn steps(page: &mut String, path: &Path) {
    let mut set_up = None;
    for step in &path.steps {
        if set_up != Some(step.set_up) {
            say!(page, "  {}:", step.set_up);
            set_up = Some(step.set_up);
        }
        say!(
            page,
            "    {:<30} {:>5} min  told {} bits, now {}",
            format!("`{}`", step.action),
            show::clock(step.seconds),
            signed(step.told_bits),
            percent(step.probability)
        );
    }
}
