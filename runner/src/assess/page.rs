//! A sitting in words: its rules before it begins, and what it comes to.

use std::fmt::Write;

use scenarios::Library;
use scenarios::form::{Form, NeedOf, Task};

use crate::assess::marked::{Marked, Parts};
use crate::assess::verdict::Verdict;
use crate::safety::SlipKind;
use crate::show::filled;

/// What a candidate is told before the sitting begins, at a terminal.
#[must_use]
pub fn rules_page(form: &Form, width: usize) -> String {
    let mut paragraphs = rules(form);
    paragraphs.push("Tasks come one after the other; nobody goes back. `give-up` goes on to the next, `quit` leaves and comes back later: the clock on the wall runs on.".to_owned());
    let filled: Vec<String> = paragraphs.iter().map(|one| filled(one, width)).collect();
    format!("{}\n\n{}", form.title, filled.join("\n"))
}

/// What holds wherever a form is sat, a paragraph each.
#[must_use]
pub fn rules(form: &Form) -> Vec<String> {
    let cases: usize = form.cases.iter().map(|slot| slot.count).sum();
    let questions: usize = form.questions.iter().map(|slot| slot.count).sum();
    let repaired = form.cases.iter().filter(|slot| slot.repair);
    let repaired: usize = repaired.map(|slot| slot.count).sum();
    let counted = |count: usize, one: &str, many: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        count => Some(format!("{count} {many}")),
    };
    let tasks = [
        counted(cases, "car", "cars"),
        counted(questions, "question", "questions"),
    ];
    let tasks: Vec<String> = tasks.into_iter().flatten().collect();
    let mut given = format!(
        "{}, {} in all. Each car has {} on the shop clock.",
        tasks.join(" and "),
        minutes(form.wall_s),
        minutes(form.shop_s)
    );
    match repaired {
        0 => {}
        1 => given.push_str(" One car is also repaired, proved and given back."),
        count => {
            let _ = write!(
                given,
                " {count} cars are also repaired, proved and given back."
            );
        }
    }
    given.push_str(if form.hints {
        " Hints may be asked for, and cost marks."
    } else {
        " There are no hints."
    });
    let pass = &form.pass;
    let marks = format!(
        "{:.0} of 100 marks pass. Marks are for what is said to be wrong, for the readings that prove it, and for being as sure as they allow; time spent is told and does not count.",
        pass.mark
    );
    let safety = format!(
        "Safe work is a gate: no mark makes up for {}.",
        match pass.most_grave {
            0 => "one grave unsafe act".to_owned(),
            most => format!("more than {most} grave unsafe acts"),
        }
    );
    vec![
        form.purpose.clone(),
        given,
        marks,
        safety,
        format!("How the mark was set: {}", pass.standard),
    ]
}

/// What a sitting comes to.
#[must_use]
pub fn verdict_page(
    library: &Library,
    form: &Form,
    tasks: &[Task],
    (marked, verdict): (&[Marked], &Verdict),
    official: bool,
) -> String {
    let said = match (official, verdict.passed) {
        (false, _) => "practice, no verdict",
        (true, true) => "passed",
        (true, false) => "not passed",
    };
    let mut page = format!(
        "{}: {said}, {:.0} of 100 marks, {:.0} needed.\n",
        form.title, verdict.mark, form.pass.mark
    );
    if verdict.within_error == Some(true) {
        page.push_str("The mark is nearer to what passes than the panel that set it can tell: whoever decides should look at the whole record.\n");
    }
    page.push('\n');
    page.push_str("  task                            mark  weight\n");
    let mut questions = Vec::new();
    for (number, (task, one)) in (1..).zip(tasks.iter().zip(marked)) {
        match &one.parts {
            Parts::Case { .. } => {
                let title = library.bank.case(&one.item).map_or("", |case| &case.title);
                let _ = writeln!(
                    page,
                    "  {:<30}  {:>4.0}  {:>6}",
                    format!("{number} {title}"),
                    one.mark,
                    task.weight
                );
                page.push_str(&told_of(one));
            }
            Parts::Question(_) => questions.push(one),
        }
    }
    if !questions.is_empty() {
        let right = questions.iter().filter(|one| one.right).count();
        let _ = writeln!(page, "  questions: {right} of {} right", questions.len());
    }
    page.push('\n');
    let gate = &verdict.gate;
    let _ = writeln!(
        page,
        "Safe work: {}.",
        if gate.passed {
            "the gate is open"
        } else {
            "the gate is shut, whatever the marks"
        }
    );
    for (what, slips) in [("grave", &gate.grave), ("other", &gate.light)] {
        for (slip, count) in counted(slips) {
            let times = if count > 1 {
                format!(" ({count} times)")
            } else {
                String::new()
            };
            let _ = writeln!(page, "  {what}{times}: {}", slip.caution());
        }
    }
    for need in &verdict.needs {
        let name = name_of(library, &need.need.of);
        let _ = writeln!(
            page,
            "Needed in {name}: {:.0}, got {:.0}: {}.",
            need.need.mark,
            need.mark,
            if need.met { "enough" } else { "not enough" }
        );
    }
    page
}

/// What a competency or a topic is called.
fn name_of<'a>(library: &'a Library, of: &'a NeedOf) -> &'a str {
    match of {
        NeedOf::Competency(id) => {
            let mut all = library.bank.competencies().iter();
            all.find(|one| one.id == *id).map_or(id, |one| &one.name)
        }
        NeedOf::Topic(id) => {
            let mut all = library.questions.topics().iter();
            all.find(|one| one.id == *id).map_or(id, |one| &one.title)
        }
    }
}

/// Why a sitting does not pass, a short sentence for each rule that was not met.
#[must_use]
pub fn reasons(library: &Library, form: &Form, verdict: &Verdict) -> Vec<String> {
    let mut reasons = Vec::new();
    if !verdict.gate.passed {
        let gate = &verdict.gate;
        reasons.push(format!(
            "Unsafe work: {} grave and {} other slips.",
            gate.grave.len(),
            gate.light.len()
        ));
    }
    if verdict.mark < form.pass.mark {
        reasons.push(format!(
            "{:.0} of 100 marks, and {:.0} are needed.",
            verdict.mark, form.pass.mark
        ));
    }
    for need in verdict.needs.iter().filter(|need| !need.met) {
        reasons.push(format!(
            "{:.0} marks in {}, and {:.0} are needed.",
            need.mark,
            name_of(library, &need.need.of),
            need.need.mark
        ));
    }
    reasons
}

/// What of a car counted.
fn told_of(one: &Marked) -> String {
    let Parts::Case {
        shares: [diagnosis, evidence, calibration, efficiency],
        repair,
        hints,
        shop_s,
        ..
    } = &one.parts
    else {
        return String::new();
    };
    let percent = |share: &f64| format!("{:.0} %", share * 100.0);
    let said = if one.answer.is_empty() {
        "nothing"
    } else {
        &*one.answer
    };
    let mut text = format!(
        "    concluded {said}: {}\n    diagnosis {}, evidence {}, calibration {}",
        if one.right { "right" } else { "not right" },
        percent(diagnosis),
        percent(evidence),
        percent(calibration)
    );
    if let Some(repair) = repair {
        let _ = write!(text, ", repair {}", percent(repair));
    }
    if *hints > 0 {
        let _ = write!(text, ", hints {hints}");
    }
    let _ = writeln!(
        text,
        "\n    {} on the shop clock, efficiency {} (does not count)",
        minutes(*shop_s),
        percent(efficiency)
    );
    text
}

/// Slips, each once, with how often it happened.
fn counted(slips: &[SlipKind]) -> Vec<(SlipKind, usize)> {
    let mut all: Vec<(SlipKind, usize)> = Vec::new();
    for slip in slips {
        match all.iter_mut().find(|(known, _)| known == slip) {
            Some((_, count)) => *count += 1,
            None => all.push((*slip, 1)),
        }
    }
    all
}

fn minutes(seconds: f64) -> String {
    format!("{:.0} min", seconds / 60.0)
}
