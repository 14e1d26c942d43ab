//! What the readings prove, and what would have proved more.

use std::fmt::Write;

use scenarios::Bank;
use scenarios::units::UnitSystem;

use crate::action::command_of;
use crate::debrief::text::{heading, say};
use crate::debrief::{CUES_TOLD, IN_PLAY_TOLD};
use crate::evidence::cues::Cue;
use crate::evidence::explanation::Explanation;
use crate::grade::{Grade, Reliance, Rival, Verdict, name_of};
use crate::show;

/// An explanation as one thinks of it: the modes' plain names.
pub(crate) fn words_of(bank: &Bank, explanation: &Explanation) -> String {
    let names: Vec<String> = explanation
        .modes
        .iter()
        .map(|mode| name_of(bank, mode))
        .collect();
    if names.is_empty() {
        "nothing is broken".to_owned()
    } else {
        names.join(" with ")
    }
}

/// A probability in percent; certainty is never claimed.
pub(crate) fn percent(probability: f64) -> String {
    match probability * 100.0 {
        p if p < 0.5 => "under 1 %".to_owned(),
        p if p >= 99.5 => "over 99 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// What the readings relied on prove.
pub(super) fn proof(page: &mut String, bank: &Bank, grade: &Grade, system: UnitSystem) {
    heading(page, "What your readings prove");
    let evidence = &grade.evidence;
    say!(page, "{}", verdict(bank, grade));
    if grade.conclusion.is_some() {
        for reliance in &evidence.relied_on {
            relied(page, grade, reliance, system);
        }
    }
    if !evidence.relied_on.is_empty() {
        still_in_play(page, bank, grade);
    }
    when_to_stop(page, grade);
}

fn verdict(bank: &Bank, grade: &Grade) -> String {
    let claim = grade
        .conclusion
        .as_ref()
        .map_or(String::new(), |conclusion| name_of(bank, &conclusion.fault));
    let truth = name_of(bank, &grade.diagnosis.true_mode);
    let of_claim = percent(grade.evidence.of_claim);
    let of_truth = percent(grade.evidence.of_truth);
    let none = grade.evidence.relied_on.is_empty();
    match grade.evidence.verdict {
        Verdict::Proved => format!(
            "Proved: from the readings you relied on, a careful reader would hold {claim} at {of_claim}."
        ),
        Verdict::Likely => format!(
            "Right and likely, not proved: the readings you relied on make {claim} {of_claim} likely. The rest is spread over other faults that would have shown the same."
        ),
        Verdict::Lucky if none => format!(
            "Right without proof: you named no reading you relied on. A right answer without evidence is a guess; of all cars that come in with a warm complaint, {of_claim} have {claim}."
        ),
        Verdict::Lucky if is_likeliest(grade) => format!(
            "Right, and the likeliest of many, but not shown: the readings you relied on make {claim} {of_claim} likely and leave the rest to others."
        ),
        Verdict::Lucky => format!(
            "Right, and lucky: the readings you relied on make {claim} {of_claim} likely. The next car that shows them will more often have something else."
        ),
        Verdict::Misread if names_part_of_it(grade) => format!(
            "The readings you relied on show {claim} ({of_claim}), and it is in this car, but it is not all: {truth} is what the customer brought, {of_truth} likely by the same readings. Name that, and this as its cause."
        ),
        Verdict::Misread => format!(
            "Your readings were good and you read them wrongly: from those you relied on, {truth} is {of_truth} likely and {claim}, which you named, {of_claim}. The evidence earns marks, the conclusion does not."
        ),
        Verdict::Misled if names_part_of_it(grade) => format!(
            "The readings you relied on do make {claim} likely ({of_claim}), and it is in this car, but it is not all: {truth} is what the customer brought. Name that, and this as its cause."
        ),
        Verdict::Misled => format!(
            "The readings you relied on do make {claim} likely ({of_claim}), and yet it is not in this car. One more check would have shown that: see below."
        ),
        Verdict::Guessed if none => format!(
            "You named no reading you relied on, so nothing is proved. Of all cars that come in, {of_claim} have {claim}."
        ),
        Verdict::Guessed => format!(
            "The readings you relied on do not show {claim}: from them it is {of_claim} likely."
        ),
        Verdict::GaveUp => format!(
            "You came to no conclusion. All your readings together make {truth} {of_truth} likely; half of what they prove is counted."
        ),
    }
}

/// Whether what was named is what led to the fault, or the other one of two.
fn names_part_of_it(grade: &Grade) -> bool {
    let named = grade.conclusion.as_ref().map(|one| one.fault.as_str());
    named.is_some() && named == grade.diagnosis.true_cause.as_deref()
}

/// Whether what was named is what the readings relied on make likeliest.
fn is_likeliest(grade: &Grade) -> bool {
    let named = grade.conclusion.as_ref().map(|one| one.fault.as_str());
    let first = grade.evidence.in_play.first();
    first.is_some_and(|index| named.is_some_and(|name| grade.explanations[*index].holds(name)))
}

/// Bits from which a reading says something.
const SAYS_FROM: f64 = 0.1;

fn relied(page: &mut String, grade: &Grade, reliance: &Reliance, system: UnitSystem) {
    let mut notes = grade.bay.notes().iter();
    let Some(note) = notes.find(|note| note.number == reliance.number) else {
        return;
    };
    let bits = reliance.bits();
    let (before, after) = (percent(reliance.before), percent(reliance.after));
    let change = if before == after {
        format!("{before} before it and after it")
    } else {
        format!("from {before} to {after}")
    };
    let verdict = if bits >= SAYS_FROM {
        format!("speaks for your conclusion: {change}")
    } else if bits <= -SAYS_FROM {
        format!("speaks against your conclusion: {change}")
    } else {
        format!("tells next to nothing of your conclusion: {change}")
    };
    say!(page, "{}", show::note(note, system));
    say!(page, "             {verdict}");
}

fn still_in_play(page: &mut String, bank: &Bank, grade: &Grade) {
    let evidence = &grade.evidence;
    if evidence.in_play.len() == 1 {
        say!(page, "Nothing else is in play.");
        return;
    }
    say!(
        page,
        "Still in play by these readings, 95 % of the probability together:"
    );
    for index in evidence.in_play.iter().take(IN_PLAY_TOLD) {
        say!(
            page,
            "  - {}: {}",
            words_of(bank, &grade.explanations[*index]),
            percent(evidence.belief.probabilities[*index])
        );
    }
    if evidence.in_play.len() > IN_PLAY_TOLD {
        say!(
            page,
            "  - and {} more",
            evidence.in_play.len() - IN_PLAY_TOLD
        );
    }
    if !grade.alike.is_empty() {
        let names: Vec<String> = grade.alike.iter().map(|id| name_of(bank, id)).collect();
        say!(
            page,
            "No check on this car tells {} from {} for certain; either counts as right.",
            name_of(bank, &grade.diagnosis.true_mode),
            names.join(" or ")
        );
    }
}

/// Whether the learner stopped too soon or went on after it was proved.
fn when_to_stop(page: &mut String, grade: &Grade) {
    let notes = grade.bay.notes();
    let Some(number) = grade.evidence.proved_by else {
        if !notes.is_empty() && grade.conclusion.is_some() {
            say!(
                page,
                "You stopped too soon: not even all {} of your readings together prove what is in the car.",
                notes.len()
            );
        }
        return;
    };
    let Some(note) = notes.iter().find(|note| note.number == number) else {
        return;
    };
    let after = notes.iter().filter(|one| one.number > number).count();
    let ignored = grade
        .conclusion
        .as_ref()
        .is_some_and(|conclusion| !conclusion.because.contains(&number));
    say!(
        page,
        "All your readings together had proved it at {} with reading {number}{}.{}",
        show::clock(note.at_s),
        if ignored {
            ", which you did not rely on"
        } else {
            ""
        },
        match after {
            0 => String::new(),
            1 => " One more reading came after that.".to_owned(),
            more => format!(" {more} more came after that."),
        }
    );
}

/// The cues missed, rival by rival.
pub(super) fn missed(page: &mut String, bank: &Bank, grade: &Grade, system: UnitSystem) {
    heading(page, "Missed cues");
    if grade.rivals.is_empty() {
        say!(page, "There is nothing to set your session against.");
        return;
    }
    for rival in &grade.rivals {
        tell_rival(page, bank, grade, rival, system);
    }
}

fn tell_rival(page: &mut String, bank: &Bank, grade: &Grade, rival: &Rival, system: UnitSystem) {
    let words = words_of(bank, &grade.explanations[rival.explanation]);
    let at = percent(rival.probability);
    let what = if rival.is_claim && names_part_of_it(grade) {
        format!("What you named and nothing besides, {words}, {at} by the readings you relied on")
    } else if rival.is_claim {
        format!("What you named, {words}, {at} by the readings you relied on")
    } else if rival.in_play {
        format!("Still in play, {at}: {words}")
    } else {
        format!("Ruled out, {at}; the closest all the same: {words}")
    };
    say!(page, "{what}.");
    for (mode, severity) in &rival.faults {
        if let Some(mode) = bank.catalogue().get(mode) {
            say!(
                page,
                "  Run again with {}, as bad as fits best: {} ({}).",
                name_of(bank, &mode.id),
                mode.severity.show(*severity),
                mode.severity.meaning
            );
        }
    }
    if rival.cues.is_empty() {
        say!(
            page,
            "  No check in the set-ups you used would have told it from this car beyond what you relied on."
        );
        return;
    }
    let told = if rival.is_claim || grade.rivals.len() == 1 {
        CUES_TOLD
    } else {
        CUES_TOLD.div_ceil(2)
    };
    for cue in rival.cues.iter().take(told) {
        tell_cue(page, grade, cue, system);
    }
}

fn tell_cue(page: &mut String, grade: &Grade, cue: &Cue, system: UnitSystem) {
    let words = grade.bay.words_of(cue.check);
    let unit = cue.error.map(|(_, unit)| unit);
    let numbers = |notes: &[usize]| {
        let words: Vec<String> = notes.iter().map(ToString::to_string).collect();
        format!(
            "reading{} {}",
            if notes.len() == 1 { "" } else { "s" },
            words.join(", ")
        )
    };
    let taken = match (cue.ignored_notes.as_slice(), cue.other_notes.as_slice()) {
        ([], []) => "not taken".to_owned(),
        ([], other) => {
            format!(
                "you took it ({}), but when it could not tell them apart",
                numbers(other)
            )
        }
        (told, _) if grade.conclusion.is_none() => format!("you took it ({})", numbers(told)),
        (told, _) => format!("you took it ({}) and did not rely on it", numbers(told)),
    };
    say!(
        page,
        "  `{}`  {words}: {taken}; tells {:.2} of 1 bit",
        command_of(cue.check),
        cue.bits
    );
    say!(
        page,
        "      at {}, {}",
        show::clock(cue.at_s),
        show::setup(&cue.setup, system)
    );
    say!(
        page,
        "      this car:   {}",
        show::seen(&cue.truth, unit, system)
    );
    say!(
        page,
        "      the rival:  {}",
        show::seen(&cue.rival, unit, system)
    );
    if let Some((error, unit)) = cue.error {
        say!(
            page,
            "      the instrument errs by at most {}",
            show::tolerance(error, unit, system)
        );
    }
}
