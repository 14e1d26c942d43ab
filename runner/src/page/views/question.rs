//! A question of a sitting.

use askama::Template;
use scenarios::question::{Body, Dealt};

use crate::knowledge::sentence;
use crate::page::said::quoted;
use crate::page::views::Clock;

/// How an answer is given.
pub(in crate::page) enum Given {
    /// One option, or several: letter and text.
    Options(bool, Vec<(char, String)>),
    /// A number with its unit.
    Number,
    /// Steps by their numbers, in the order they are done.
    Order(Vec<(usize, String)>),
}

#[derive(Template)]
#[template(path = "question.html")]
pub(in crate::page) struct QuestionPage<'a> {
    pub base: &'a str,
    pub token: &'a str,
    pub who: &'a str,
    pub heading: String,
    pub steps: u64,
    pub wall: Clock,
    pub said: &'a str,
    /// What was typed last and refused.
    pub typed: &'a str,
    pub text: &'a str,
    pub has_chart: bool,
    pub given: Given,
    pub hint: String,
}

impl Given {
    /// How an answer to a question is given; nothing of what is right.
    pub fn of(dealt: &Dealt) -> Self {
        match &dealt.body {
            Body::Choices { options, many } => {
                let lettered = ('a'..).zip(options);
                let lettered = lettered.map(|(letter, (text, _))| (letter, text.clone()));
                Self::Options(*many, lettered.collect())
            }
            Body::Number { .. } => Self::Number,
            Body::Order { steps, .. } => Self::Order((1..).zip(steps.iter().cloned()).collect()),
        }
    }
}

impl<'a> QuestionPage<'a> {
    /// The page of a question.
    pub fn of(
        (base, token): (&'a str, &'a str),
        who: &'a str,
        heading: String,
        (steps, wall): (u64, Clock),
        (said, typed): (&'a str, &'a str),
        dealt: &'a Dealt,
    ) -> Self {
        Self {
            base,
            token,
            who,
            heading,
            steps,
            wall,
            said,
            typed,
            text: &dealt.text,
            has_chart: dealt.chart.is_some(),
            given: Given::of(dealt),
            hint: quoted(&sentence(&dealt.hint())),
        }
    }
}
