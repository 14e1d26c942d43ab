//! An answer as typed, and how right it is.

use std::fmt;

use super::Shown;
use super::deal::{Body, Dealt};
use crate::quantity::{Dimension, parse_as};

/// An answer that could be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// Which options, by their places as shown.
    Options(Vec<usize>),
    /// A number in SI.
    Number(f64),
    /// Steps by their places as shown, in the order they are to be done.
    Order(Vec<usize>),
}

/// Why an answer could not be read: a sentence that says what to type.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAnAnswer(
    /// The sentence.
    pub String,
);

impl fmt::Display for NotAnAnswer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NotAnAnswer {}

impl Dealt {
    /// What was answered, in words that mean the same however it was dealt: options and steps by their texts,
    /// since their letters are shuffled. What cannot be read stands as it was typed.
    #[must_use]
    pub fn in_words(&self, typed: &str) -> String {
        let text = |place: &usize| match &self.body {
            Body::Choices { options, .. } => options.get(*place).map(|(text, _)| text.as_str()),
            Body::Order { steps, .. } => steps.get(*place).map(String::as_str),
            Body::Number { .. } => None,
        };
        match self.read(typed) {
            Ok(Answer::Options(places)) => {
                let mut texts: Vec<&str> = places.iter().filter_map(text).collect();
                texts.sort_unstable();
                texts.join("; ")
            }
            Ok(Answer::Order(places)) => {
                let texts: Vec<&str> = places.iter().filter_map(text).collect();
                texts.join("; ")
            }
            Ok(Answer::Number(_)) | Err(_) => typed.trim().to_owned(),
        }
    }

    /// Reads what was typed: `b`, `a c`, `3.2 barg`, `2 1 3 4`.
    ///
    /// # Errors
    /// [`NotAnAnswer`] where it is none for this question; nothing is graded then.
    pub fn read(&self, typed: &str) -> Result<Answer, NotAnAnswer> {
        let fail = |sentence: String| Err(NotAnAnswer(sentence));
        match &self.body {
            Body::Choices { options, many } => {
                let words: Vec<char> = typed.chars().filter(|c| c.is_alphanumeric()).collect();
                let mut picked = Vec::new();
                for letter in words {
                    let place = (letter.to_ascii_lowercase() as usize).checked_sub('a' as usize);
                    match place.filter(|place| *place < options.len()) {
                        Some(place) if !picked.contains(&place) => picked.push(place),
                        Some(_) => {}
                        None => {
                            return fail(format!(
                                "no option is called `{letter}`; {}",
                                self.hint()
                            ));
                        }
                    }
                }
                match picked.len() {
                    0 => fail(format!("nothing is picked; {}", self.hint())),
                    2.. if !many => fail("only one option can be picked here".to_owned()),
                    _ => {
                        picked.sort_unstable();
                        Ok(Answer::Options(picked))
                    }
                }
            }
            Body::Number { shown, .. } => match number(typed, *shown) {
                Ok(number) => Ok(Answer::Number(number)),
                Err(sentence) => fail(sentence),
            },
            Body::Order { steps, .. } => {
                let mut order = Vec::new();
                for word in typed
                    .split(|c: char| !c.is_alphanumeric())
                    .filter(|w| !w.is_empty())
                {
                    let place = word
                        .parse::<usize>()
                        .ok()
                        .and_then(|one| one.checked_sub(1));
                    match place.filter(|place| *place < steps.len() && !order.contains(place)) {
                        Some(place) => order.push(place),
                        None => {
                            return fail(format!(
                                "`{word}` is no step or is named twice; {}",
                                self.hint()
                            ));
                        }
                    }
                }
                if order.len() < steps.len() {
                    return fail(format!("steps are missing; {}", self.hint()));
                }
                Ok(Answer::Order(order))
            }
        }
    }

    /// What an answer looks like.
    #[must_use]
    pub fn hint(&self) -> String {
        match &self.body {
            Body::Choices { many: false, .. } => "answer with a letter, such as `b`".to_owned(),
            Body::Choices { many: true, .. } => {
                "answer with every letter that is right, such as `a c`".to_owned()
            }
            Body::Number { shown, .. } => match shown.typed_unit(self.units) {
                "" => "answer with a number, such as `2.5`".to_owned(),
                unit => format!("answer with a number and its unit, such as `12 {unit}`"),
            },
            Body::Order { steps, .. } => {
                let all: Vec<_> = (1..=steps.len())
                    .rev()
                    .map(|step| step.to_string())
                    .collect();
                format!(
                    "answer with the numbers in their order, such as `{}`",
                    all.join(" ")
                )
            }
        }
    }

    /// How right an answer is, 0 to 1.
    ///
    /// One option and a number are right or wrong. Of several options each right one brings its share of
    /// one, and each wrong one takes its share of one away: ticking all comes to nothing. Steps bring the
    /// share of pairs in their order, counted from one half, which is what a coin would get.
    #[must_use]
    pub fn grade(&self, answer: &Answer) -> f64 {
        match (&self.body, answer) {
            (Body::Choices { options, .. }, Answer::Options(picked)) => {
                let right = options.iter().filter(|(_, right)| *right).count() as f64;
                let wrong = options.len() as f64 - right;
                let hits = picked
                    .iter()
                    .filter(|place| options.get(**place).is_some_and(|one| one.1));
                let hits = hits.count() as f64;
                let misses = picked.len() as f64 - hits;
                (hits / right - misses / wrong).clamp(0.0, 1.0)
            }
            (Body::Number { key, tolerance, .. }, Answer::Number(number)) => {
                f64::from(u8::from((number - key).abs() <= *tolerance))
            }
            (Body::Order { places, .. }, Answer::Order(order)) => {
                let done: Vec<_> = order.iter().filter_map(|step| places.get(*step)).collect();
                let (mut pairs, mut in_order) = (0.0, 0.0);
                for (index, first) in done.iter().enumerate() {
                    for second in done.iter().skip(index + 1) {
                        pairs += 1.0;
                        in_order += f64::from(u8::from(first < second));
                    }
                }
                (2.0 * in_order / pairs - 1.0).clamp(0.0, 1.0)
            }
            // An answer of another kind of question.
            _ => 0.0,
        }
    }

    /// The right answer, as it would be typed.
    #[must_use]
    pub fn right_answer(&self) -> String {
        match &self.body {
            Body::Choices { options, .. } => {
                let letters = (b'a'..).zip(options).filter(|(_, (_, right))| *right);
                let letters: Vec<_> = letters.map(|(c, _)| char::from(c).to_string()).collect();
                letters.join(" ")
            }
            Body::Number { key, shown, .. } => shown.text(*key, self.units),
            Body::Order { places, .. } => {
                let mut steps: Vec<usize> = (0..places.len()).collect();
                steps.sort_by_key(|step| places.get(*step));
                let steps: Vec<_> = steps.iter().map(|step| (step + 1).to_string()).collect();
                steps.join(" ")
            }
        }
    }
}

/// A number with its unit; the ways people write gauge pressures and differences count too.
fn number(typed: &str, shown: Shown) -> Result<f64, String> {
    let typed = typed.trim();
    let Some(dimension) = shown.dimension else {
        let number = typed
            .parse::<f64>()
            .ok()
            .filter(|number| number.is_finite());
        return number.ok_or_else(|| format!("`{typed}` is no number; type one such as `2.5`"));
    };
    let first = parse_as(typed, dimension);
    let again = match dimension {
        Dimension::GaugePressure => typed
            .strip_suffix(" gauge")
            .map(|start| format!("{start}g")),
        Dimension::TemperatureDifference => Some(format!("{typed} diff")),
        _ => None,
    };
    let second = again.and_then(|text| parse_as(&text, dimension).ok());
    first.or_else(|error| second.ok_or_else(|| error.to_string()))
}
