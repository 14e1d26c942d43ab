//! A round in words: a question on one screen, what is said of an answer, and the result.

use std::fmt::Write;

use scenarios::question::{Body, Dealt};

use super::chart;
use super::round::{Outcome, Round, RoundResult};
use crate::show::filled;

/// A question's screen.
#[must_use]
pub fn asked(round: &Round, number: usize, dealt: &Dealt, width: usize) -> String {
    let count = round.questions().len();
    let title = round.title(&dealt.topic);
    screen(
        &format!("Question {number} of {count} · {title}"),
        dealt,
        width,
    )
}

/// A question's screen under a heading of somebody else's.
#[must_use]
pub fn screen(heading: &str, dealt: &Dealt, width: usize) -> String {
    let mut page = format!("{heading}\n\n");
    page.push_str(&filled(&dealt.text, width));
    page.push('\n');
    if let Some(drawn) = &dealt.chart {
        page.push_str(&chart::drawn(drawn, dealt.units));
        page.push('\n');
    }
    match &dealt.body {
        Body::Choices { options, .. } => {
            for (letter, (option, _)) in ('a'..).zip(options) {
                page.push_str(&hung(&format!("{letter}) "), option, width));
            }
            page.push('\n');
        }
        Body::Order { steps, .. } => {
            for (number, step) in (1..).zip(steps) {
                page.push_str(&hung(&format!("{number}) "), step, width));
            }
            page.push('\n');
        }
        Body::Number { .. } => {}
    }
    let _ = writeln!(page, "{}", sentence(&dealt.hint()));
    page
}

/// What is said of an answer.
#[must_use]
pub fn told(dealt: &Dealt, outcome: &Outcome, width: usize) -> String {
    let verdict = match outcome.grade {
        _ if outcome.is_right() => "Right.".to_owned(),
        _ if outcome.not_taken.is_some() => "Not an answer.".to_owned(),
        grade if grade > 0.0 => format!("Partly right ({:.0} %).", grade * 100.0),
        _ if outcome.answer.is_empty() => "Passed over.".to_owned(),
        _ => "Wrong.".to_owned(),
    };
    let mut page = verdict;
    if let Some(why) = &outcome.not_taken {
        let _ = write!(page, " {}", sentence(why));
    }
    if !outcome.is_right() {
        let _ = write!(page, " The answer is: {}.", outcome.key);
    }
    let memory = match dealt.from_memory && !dealt.source.contains("from memory") {
        true => " (from memory)",
        false => "",
    };
    let _ = write!(
        page,
        "\n{}\nSource: {}{memory}.\n",
        dealt.explanation, dealt.source
    );
    filled(&page, width)
}

/// The result by topic.
#[must_use]
pub fn result_page(result: &RoundResult, width: usize) -> String {
    let mut page = format!(
        "Result: {} of {} right, grade {:.0} % (seed {})\n",
        result.right,
        result.asked,
        result.grade * 100.0,
        result.seed
    );
    let widest = result
        .topics
        .iter()
        .map(|one| one.title.chars().count())
        .max();
    let widest = widest.unwrap_or(0).min(width.saturating_sub(24));
    for topic in &result.topics {
        let _ = writeln!(
            page,
            "  {:widest$}  {:>2} of {:>2}  {:>3.0} %",
            topic.title,
            topic.right,
            topic.asked,
            topic.grade * 100.0
        );
    }
    page.push_str(&filled(
        "Several options and steps give a part of the grade; a letter or a number is right or wrong.",
        width,
    ));
    page
}

/// Words with a capital letter before them and a full stop behind.
#[must_use]
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|letter| letter.to_uppercase());
    let first = first.map_or_else(String::new, |letter| letter.to_string());
    format!("{first}{}.", letters.as_str())
}

/// A line with what follows hung below its start.
fn hung(start: &str, text: &str, width: usize) -> String {
    let below = " ".repeat(start.len() + 2);
    let first = format!("  {start}");
    let options = textwrap::Options::new(width)
        .initial_indent(&first)
        .subsequent_indent(&below)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::fill(text, options) + "\n"
}
