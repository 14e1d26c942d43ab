//! The fault catalogue: what can be wrong with a car, and what each fault does to its parts.
//!
//! A fault turns knobs of sim-core and nothing else: no field says what an instrument shows.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::faults::{Effect, Fault, KNOBS, Knob};
use sim_core::spec::CarSpec;

use crate::checked::{Positive, Version};
use crate::spanned::Spanned;
use crate::{LoadError, Problem, load, nearest};

/// A place in the car where something can be wrong.
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct Component {
    /// Its name in files.
    pub id: String,
    /// Its name in a workshop.
    pub name: String,
}

/// A failure mode.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// Its name in files.
    pub id: String,
    /// What a workshop calls it.
    pub name: String,
    /// What it is at.
    pub component: Component,
    /// What is wrong with the component.
    pub mode: String,
    /// What that changes in the part, in a sentence on its physics.
    pub effect: String,
    /// How it comes about.
    pub onset: Onset,
    /// What is done about it.
    pub cure: String,
    /// A mode that readings cannot tell it from, where there is one.
    pub twin: Option<Twin>,
    /// How its severity is measured.
    pub severity: Severity,
    /// How often a workshop meets it, against the other modes.
    pub prior: f64,
    /// What it does to the car.
    pub fault: Fault,
}

impl Mode {
    /// Whether a car has what this is a fault of: applied as bad as can be, it changes something.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// let valve = bank.catalogue().get("heater-valve-leaks").unwrap();
    /// for vehicle in bank.vehicles() {
    ///     assert_eq!(valve.concerns(&vehicle.spec), vehicle.spec.air_box.heater_valve);
    /// }
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn concerns(&self, spec: &CarSpec) -> bool {
        let mut broken = spec.clone();
        self.fault.apply(&mut broken, 1.0);
        broken != *spec
    }
}

/// Another mode that changes the car in the same way, and what tells the two apart all the same.
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct Twin {
    /// Its id.
    pub mode: String,
    /// What is looked at, and when.
    pub apart: String,
}

/// How a fault comes about: sudden, with time, with heat or intermittent.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Onset {
    /// From one moment to the next.
    Sudden,
    /// Over weeks or years.
    WithTime,
    /// Sudden, by somebody's work on the car.
    AfterWork,
    /// Only once something is hot; gone again when it has cooled.
    WithHeat,
    /// Comes and goes by itself: with shaking, speed, or ice that thaws again.
    Intermittent,
}

/// How a fault's severity, 0 to 1, is said in the trade.
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Severity {
    /// What is measured.
    pub meaning: String,
    /// Its unit; empty for a plain number.
    pub unit: String,
    /// Its value at severity 1; it is 0 at severity 0 and in proportion between.
    pub at_full: f64,
    /// Least severity worth calling a fault.
    pub least: f64,
    /// Severity at which a workshop usually meets it.
    pub typical: f64,
}

impl Severity {
    /// A severity in the trade's unit, rounded to what can be told apart.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// let mode = bank.catalogue().get("undercharge").unwrap();
    /// assert_eq!(mode.severity.show(0.4), "38 %");
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn show(&self, severity: f64) -> String {
        let value = severity * self.at_full;
        let number = match value.abs() {
            tens if tens >= 9.95 => format!("{value:.0}"),
            ones if ones >= 0.995 || self.at_full.abs() >= 9.95 => format!("{value:.1}"),
            _ => format!("{value:.2}"),
        };
        match self.unit.as_str() {
            "" => number,
            unit => format!("{number} {unit}"),
        }
    }
}

/// Every failure mode, by id.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Catalogue {
    modes: BTreeMap<String, Mode>,
}

impl Catalogue {
    /// The mode of an id.
    #[must_use]
    pub fn get(&self, id: &str) -> Option<&Mode> {
        self.modes.get(id)
    }

    /// Every mode, in the order of their ids.
    pub fn modes(&self) -> impl Iterator<Item = &Mode> {
        self.modes.values()
    }

    /// The id somebody probably meant.
    #[must_use]
    pub fn nearest(&self, id: &str) -> Option<&str> {
        nearest(id, self.modes.keys().map(String::as_str))
    }

    /// Adds the modes of a file.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place; nothing is added then.
    pub fn add(
        &mut self,
        file_name: &str,
        text: &str,
        components: &[Component],
    ) -> Result<(), LoadError> {
        let mut found = self.read(file_name, text, components)?;
        self.modes.append(&mut found);
        Ok(())
    }

    /// Reads a file beside these modes, which stay as they are.
    pub(crate) fn read(
        &self,
        file_name: &str,
        text: &str,
        components: &[Component],
    ) -> Result<BTreeMap<String, Mode>, LoadError> {
        let file: File = load::parse(file_name, text)?;
        let mut problems = Vec::new();
        let mut found: BTreeMap<String, Mode> = BTreeMap::new();
        for written in file.fault {
            let id = written.id.get_ref().clone();
            if self.modes.contains_key(&id) || found.contains_key(&id) {
                let problem = Problem::new(format!("two faults are called `{id}`"));
                problems.push(problem.at(written.id.span()));
            }
            if !is_kebab(&id) {
                problems.push(not_kebab(&written.id));
            }
            if let Some(mode) = written.check(components, &mut problems) {
                found.insert(id, mode);
            }
        }
        if !problems.is_empty() {
            return Err(LoadError::new(file_name, text, problems));
        }
        Ok(found)
    }
}

/// Reads the list of components.
///
/// # Errors
/// A [`LoadError`] where the text is not such a list or names one twice.
pub fn read_components(file_name: &str, text: &str) -> Result<Vec<Component>, LoadError> {
    let file: Components = load::parse(file_name, text)?;
    let mut components: Vec<Component> = Vec::new();
    let mut problems = Vec::new();
    for written in file.component {
        let span = written.span();
        let component = written.into_inner();
        if components.iter().any(|known| known.id == component.id) {
            let problem = Problem::new(format!("two components are called `{}`", component.id));
            problems.push(problem.at(span.clone()));
        }
        if !is_kebab(&component.id) {
            let problem = Problem::new(format!("`{}` is no id of a component", component.id));
            let label = "small letters, digits and single hyphens";
            problems.push(problem.at(span).label(label));
        }
        components.push(component);
    }
    if problems.is_empty() {
        Ok(components)
    } else {
        Err(LoadError::new(file_name, text, problems))
    }
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Components {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    component: Vec<Spanned<Component>>,
}

/// Whether a name is of small letters, digits and single hyphens.
#[must_use]
pub(crate) fn is_kebab(id: &str) -> bool {
    !id.is_empty()
        && id.split('-').all(|word| {
            !word.is_empty()
                && word
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
        })
}

fn not_kebab(id: &Spanned<String>) -> Problem {
    Problem::new("an id is made of small letters, digits and single hyphens").at(id.span())
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    fault: Vec<Written>,
}

/// A failure mode as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Written {
    id: Spanned<String>,
    name: String,
    component: Spanned<String>,
    mode: String,
    effect: String,
    onset: Onset,
    cure: String,
    twin: Option<Twin>,
    prior: Positive<f64>,
    severity: Spanned<Severity>,
    effects: Spanned<Vec<WrittenEffect>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenEffect {
    knob: Spanned<String>,
    full: Spanned<f64>,
}

impl Written {
    fn check(self, components: &[Component], problems: &mut Vec<Problem>) -> Option<Mode> {
        let before = problems.len();
        let component = components
            .iter()
            .find(|known| known.id == *self.component.get_ref());
        if component.is_none() {
            let ids = components.iter().map(|known| known.id.as_str());
            problems.push(unknown("component", &self.component, ids));
        }
        let severity = self.severity.get_ref();
        let in_order =
            0.0 < severity.least && severity.least <= severity.typical && severity.typical <= 1.0;
        if !in_order {
            let problem = Problem::new("`least` and `typical` must be in order, from 0 to 1");
            problems.push(problem.at(self.severity.span()));
        }
        if self.effects.get_ref().is_empty() {
            let problem = Problem::new("a fault must change something");
            problems.push(problem.at(self.effects.span()));
        }
        let mut effects = Vec::new();
        for effect in self.effects.get_ref() {
            effects.extend(effect.check(problems));
        }
        (problems.len() == before).then_some(())?;
        Some(Mode {
            id: self.id.into_inner(),
            name: self.name,
            component: component?.clone(),
            mode: self.mode,
            effect: self.effect,
            onset: self.onset,
            cure: self.cure,
            twin: self.twin,
            severity: self.severity.into_inner(),
            prior: self.prior.0,
            fault: Fault { effects },
        })
    }
}

impl WrittenEffect {
    fn check(&self, problems: &mut Vec<Problem>) -> Option<Effect> {
        let Some(knob) = Knob::by_name(self.knob.get_ref()) else {
            problems.push(unknown(
                "knob",
                &self.knob,
                KNOBS.iter().map(|info| info.name),
            ));
            return None;
        };
        let (info, full) = (knob.info(), *self.full.get_ref());
        if !(info.least..=info.most).contains(&full) {
            problems.push(
                Problem::new(format!("`{}` cannot be {full}", info.name))
                    .at(self.full.span())
                    .label(format!(
                        "from {} to {}, in {}",
                        info.least, info.most, info.unit
                    )),
            );
        }
        Some(Effect { knob, full })
    }
}

/// "No `what` is called so", with the nearest name that is.
pub(crate) fn unknown<'a>(
    what: &str,
    name: &Spanned<String>,
    known: impl Iterator<Item = &'a str>,
) -> Problem {
    let written = name.get_ref();
    let problem = Problem::new(format!("no {what} is called `{written}`")).at(name.span());
    match nearest(written, known) {
        Some(near) => problem.label(format!("did you mean `{near}`?")),
        None => problem,
    }
}
