//! A case as an author answers for it, and as a file with a remark above each line.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use scenarios::{Bank, Scenario, Severity};

/// A case in the making. It starts as a whole one, so that every answer can be tried by reading it.
///
/// ```
/// use runner::author::draft::Draft;
/// let bank = scenarios::Bank::builtin()?;
/// let draft = Draft::new(&bank);
/// assert!(draft.refused(&bank, "a-draft").is_none());
/// # Ok::<(), scenarios::BankErrors>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// Its title.
    pub title: String,
    /// Its level, as typed.
    pub level: String,
    /// Id of its vehicle.
    pub vehicle: String,
    /// How the car comes in.
    pub arrival: String,
    /// Air temperature: one quantity as typed, or the two ends of a range.
    pub temperature: Vec<String>,
    /// Humidity, likewise.
    pub humidity: Vec<String>,
    /// Sunshine, likewise.
    pub sun: Vec<String>,
    /// Who brings the car.
    pub customer: String,
    /// What they say.
    pub complaint: String,
    /// Distance on the clock.
    pub mileage: String,
    /// What the shop knows of its past, a line each.
    pub history: Vec<String>,
    /// The shop.
    pub shop: String,
    /// What is wrong; nothing for a car that is sound.
    pub faults: Vec<DraftFault>,
}

/// A fault of a draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DraftFault {
    /// Id of the mode.
    pub mode: String,
    /// How bad, 0 to 1, as typed: one number, or the two ends of a range.
    pub severity: Vec<String>,
    /// It led to the fault before it.
    pub is_cause: bool,
}

impl Draft {
    /// A case with nothing wrong, on a warm day, with the first of the bank's vehicles.
    #[must_use]
    pub fn new(bank: &Bank) -> Self {
        let vehicle = bank.vehicles().next();
        let one = |text: &str| vec![text.to_owned()];
        Self {
            title: "Not cold any more".to_owned(),
            level: "1".to_owned(),
            vehicle: vehicle.map(|one| one.id.clone()).unwrap_or_default(),
            arrival: "driven-in".to_owned(),
            temperature: one("30 °C"),
            humidity: one("50 %"),
            sun: one("600 W/m2"),
            customer: "a teacher".to_owned(),
            complaint: "It does not get cold any more.".to_owned(),
            mileage: "85000 km".to_owned(),
            history: Vec::new(),
            shop: "The workshop on the corner".to_owned(),
            faults: Vec::new(),
        }
    }

    /// Why the bank would not take it, in a sentence; `None` where it would. `id` is what its file is
    /// to be called, without `.toml`.
    #[must_use]
    pub fn refused(&self, bank: &Bank, id: &str) -> Option<String> {
        let text = self.file(bank, id);
        let error = Scenario::read("draft", id, &text, bank.known()).err()?;
        let problem = error.problems().first()?;
        let label = problem.label.as_deref();
        let more = label.map_or(String::new(), |label| format!(": {label}"));
        Some(format!("{}{more}", problem.message))
    }

    /// The file's text, with a remark above each line that says what it is and what else may stand
    /// there.
    #[must_use]
    pub fn file(&self, bank: &Bank, id: &str) -> String {
        let ids: Vec<&str> = bank.vehicles().map(|one| one.id.as_str()).collect();
        let trained = trained(bank, &self.faults);
        let title = quoted(&self.title);
        let level = &self.level;
        let vehicle = quoted(&self.vehicle);
        let arrival = quoted(&self.arrival);
        let trained = listed(&trained);
        let ids_of_all: Vec<&str> = bank.competencies().iter().map(|one| &*one.id).collect();
        let competencies = remark(&format!("Some of {}.", ids_of_all.join(", ")));
        let temperature = one_or_two(&self.temperature, quoted);
        let humidity = one_or_two(&self.humidity, quoted);
        let sun = one_or_two(&self.sun, quoted);
        let customer = quoted(&self.customer);
        let complaint = quoted(&self.complaint);
        let mileage = quoted(&self.mileage);
        let history = listed(&self.history);
        let shop = quoted(&self.shop);
        let cars = remark(&format!("The car: one of {}.", ids.join(", ")));
        let mut text = format!(
            r##"# A case. Lines that begin with `#` are remarks for people; the program skips
# them. Words stand between double quotes, a quantity has its unit with it, a
# number has a point (0.5, never 0,5), and a list stands in square brackets
# with commas. After a change: `coldtrail author check {id}.toml`.

# The form of this file. It stays 1.
version = 1

# What the case is called in lists. The learner sees it: it must not give the
# fault away.
title = {title}

# How hard it is: 1, 2 or 3.
level = {level}

{cars}
# A list lets each learner's seed choose: vehicle = ["hatchback", "saloon"]
vehicle = {vehicle}

# How it comes in: "driven-in" with a hot engine, or "cold" after hours of
# standing.
arrival = {arrival}

# What the case trains, for results to count by. The learner does not see it.
{competencies}
competencies = {trained}

[weather]
# The air, from "-5 °C" to "50 °C" ("30 C" will do). Two values are a range,
# from which each learner's seed draws: temperature = ["28 °C", "34 °C"]
temperature = {temperature}

# From "0 %" to "100 %"; a range as well: humidity = ["40 %", "60 %"]
humidity = {humidity}

# "0 W/m2" at night, "300 W/m2" under thin cloud, "900 W/m2" at a summer's
# noon; a range as well.
sun = {sun}

# Height above the sea, where it matters. Take the `#` away to use the line.
# altitude = "1500 m"

[work_order]
# Who brings the car.
customer = {customer}

# What they say, in their own words. Several wordings let the seed choose:
# complaint = ["It does not cool.", "It only blows warm."]
# {{charge}} becomes what the label of the car says, such as 500 g; in `history`
# as well.
complaint = {complaint}

# Distance on the clock.
mileage = {mileage}

# What the shop knows of the car's past, each line in quotes:
# history = ["Battery renewed in spring.", "Last serviced two years ago."]
history = {history}

# The shop's name.
shop = {shop}
"##
        );
        self.write_faults(bank, &mut text);
        text
    }

    fn write_faults(&self, bank: &Bank, text: &mut String) {
        if self.faults.is_empty() {
            text.push_str(
                "\n# Nothing is broken. A fault is three lines; `coldtrail faults` lists them:\n\
                 # [[fault]]\n# mode = \"...\"\n# severity = 0.5\n",
            );
        }
        for (index, fault) in self.faults.iter().enumerate() {
            text.push('\n');
            if index == 0 {
                text.push_str(
                    "# What is wrong. A second fault is a second `[[fault]]` with its own lines.\n",
                );
            }
            let mode = bank.catalogue().get(&fault.mode);
            let _ = writeln!(text, "[[fault]]\n# Any fault of `coldtrail faults`.");
            if let Some(mode) = mode {
                let _ = writeln!(text, "{}", remark(&format!("This one: {}.", mode.name)));
            }
            let _ = writeln!(text, "mode = {}\n", quoted(&fault.mode));
            let mut words = "How bad it is, above 0 and up to 1.".to_owned();
            let mut example = String::new();
            if let Some(scale) = mode.map(|mode| &mode.severity) {
                let _ = write!(
                    words,
                    " 1 is {} ({}). A shop usually meets {}; under {} it counts as no fault. A range \
                     lets the seed draw:",
                    scale.show(1.0),
                    scale.meaning,
                    scale.typical,
                    scale.least
                );
                let (low, high) = around(scale);
                example = format!("# severity = [{low:?}, {high:?}]\n");
            }
            let _ = write!(text, "{}\n{example}", remark(&words));
            let severity = one_or_two(&fault.severity, str::to_owned);
            let _ = writeln!(text, "severity = {severity}");
            if fault.is_cause {
                text.push_str(
                    "\n# \"cause\": it led to the fault above, and would again. Without this line it\n\
                     # is a fault of its own.\nrole = \"cause\"\n",
                );
            }
        }
    }
}

/// A range of severities about the usual one, to show how one is written.
#[must_use]
pub fn around(scale: &Severity) -> (f64, f64) {
    let cents = |value: f64| libm::round(100.0 * value) / 100.0;
    let low = cents(scale.typical - 0.05).max(scale.least);
    (low, cents(scale.typical + 0.05).min(1.0))
}

/// Text as TOML has it between quotes: JSON's way of writing it is one of TOML's. The one character
/// that JSON lets stand and TOML does not is a control character that no keyboard types.
/// What the bank's own cases with these faults train, what most of them do first.
fn trained(bank: &Bank, faults: &[DraftFault]) -> Vec<String> {
    let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
    for case in bank.cases() {
        let alike = match faults {
            [] => case.faults.is_empty(),
            some => case
                .faults
                .iter()
                .any(|one| some.iter().any(|fault| fault.mode == one.mode_id)),
        };
        if alike {
            for id in &case.competencies {
                *counted.entry(id).or_default() += 1;
            }
        }
    }
    let mut ids: Vec<(&str, usize)> = counted.into_iter().collect();
    ids.sort_by_key(|(_, cases)| std::cmp::Reverse(*cases));
    ids.truncate(MOST_TRAINED);
    ids.into_iter().map(|(id, _)| id.to_owned()).collect()
}

/// Competencies that a drafted case is given at most.
const MOST_TRAINED: usize = 3;

fn quoted(text: &str) -> String {
    serde_json::Value::from(text.replace('\u{7f}', "")).to_string()
}

fn listed(texts: &[String]) -> String {
    let quoted: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
    format!("[{}]", quoted.join(", "))
}

fn one_or_two(values: &[String], written: impl Fn(&str) -> String) -> String {
    let values: Vec<String> = values.iter().map(|value| written(value)).collect();
    match values.as_slice() {
        [one] => one.clone(),
        more => format!("[{}]", more.join(", ")),
    }
}

/// A sentence as remarks, its lines broken.
fn remark(sentence: &str) -> String {
    let options = textwrap::Options::new(78)
        .initial_indent("# ")
        .subsequent_indent("# ")
        .break_words(false)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::fill(sentence, options)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn whatever_is_typed_stands_in_the_file_as_it_was_typed() {
        let bank = Bank::builtin().unwrap();
        let mut draft = Draft::new(&bank);
        draft.customer = r#"a "friend" of C:\new, 日本"#.to_owned();
        draft.complaint = "It said: \"warm\"\\".to_owned();
        draft.history = vec!["# no remark".to_owned(), "charged {charge}".to_owned()];
        draft.temperature = vec!["28 °C".to_owned(), "34 °C".to_owned()];
        let text = draft.file(&bank, "mine");
        let read = Scenario::read("mine.toml", "mine", &text, bank.known()).unwrap();
        assert_eq!(read.work_order.customer, draft.customer);
        assert_eq!(read.work_order.complaint, draft.complaint);
        assert_eq!(read.work_order.history[0], draft.history[0]);
        assert_eq!(read.ranges.len(), 1);
    }

    #[test]
    fn an_answer_that_does_not_fit_is_refused_with_the_reason() {
        let bank = Bank::builtin().unwrap();
        let refused = |change: &dyn Fn(&mut Draft)| {
            let mut draft = Draft::new(&bank);
            change(&mut draft);
            draft.refused(&bank, "mine").unwrap_or_default()
        };
        let said = refused(&|draft| draft.level = "4".to_owned());
        assert!(said.contains("a level is 1, 2 or 3"), "{said}");
        let said = refused(&|draft| draft.vehicle = "salon".to_owned());
        assert!(said.contains("did you mean `saloon`?"), "{said}");
        let said = refused(&|draft| draft.temperature = vec!["30".to_owned()]);
        assert!(!said.is_empty());
        // Nothing typed can be a line of its own.
        let said = refused(&|draft| draft.level = "1\ntitle = 2".to_owned());
        assert!(!said.is_empty());
        assert_eq!(refused(&|_| ()), "");
    }
}
