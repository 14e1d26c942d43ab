//! From text to an action.

use std::fmt;

use scenarios::nearest;
use scenarios::quantity::{Dimension, parse_as};
use sim_core::instruments::{Check, Line, Named, Sense, Spot, sensible};

use crate::action::commands::{COMMANDS, GAUGE_STEPS, PHASES, WARMTHS};
use crate::action::{Action, Conclusion, Control, EngineSpeed, Gear, Request};
use crate::action::{fold, group_of, tools, work};

/// Why a text is not an action, and what would be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAnAction {
    message: String,
}

impl NotAnAction {
    pub(super) fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
        }
    }

    /// A word that is not one of those allowed.
    pub(super) fn not_one_of(what: &str, word: &str, allowed: &[&str]) -> Self {
        let list = allowed.join(", ");
        if word.is_empty() {
            return Self::new(format!("{what} is missing. Allowed: {list}."));
        }
        // A part of a name, as the trade shortens it, or a slip of the finger.
        let part = word.split('-').next().unwrap_or(word);
        let shortened = allowed
            .iter()
            .find(|one| part.len() > 3 && one.contains(part))
            .copied();
        let hint = nearest(word, allowed.iter().copied())
            .or(shortened)
            .map(|near| format!(" Did you mean `{near}`?"))
            .unwrap_or_default();
        // The hint comes first: a list can be long.
        Self::new(format!("`{word}` is not {what}.{hint} Allowed: {list}."))
    }

    /// A first word that is no action's; other words are allowed besides. The whole list would be longer
    /// than a screen: the nearest few are named, and where their group is.
    pub(crate) fn no_verb(word: &str, besides: &[&str]) -> Self {
        let verbs = COMMANDS.iter().chain(work::WORK).map(|one| one.verb);
        let mut allowed: Vec<&str> = verbs.chain(besides.iter().copied()).collect();
        let mut near: Vec<&str> = Vec::new();
        while near.len() < NAMED_AT_MOST
            && let Some(one) = nearest(word, allowed.iter().copied())
        {
            near.push(one);
            allowed.retain(|other| *other != one);
        }
        if near.is_empty() {
            let part = word.split('-').next().unwrap_or(word);
            let shortened = allowed
                .iter()
                .filter(|one| part.len() > 3 && one.contains(part));
            near = shortened.copied().take(NAMED_AT_MOST).collect();
        }
        let ticked: Vec<String> = near.iter().map(|one| format!("`{one}`")).collect();
        let meant = match ticked.as_slice() {
            [] => String::new(),
            [one] => format!(" Did you mean {one}?"),
            [some @ .., last] => format!(" Did you mean {} or {last}?", some.join(", ")),
        };
        let group = near.iter().find_map(|one| group_of(one));
        let ask = match group {
            Some(group) => format!("`help {group}` shows what is beside it, `help` the groups"),
            None => "`help` shows the groups of actions".to_owned(),
        };
        // Only a typed session has other words besides, and `help` among them.
        let place = if besides.is_empty() {
            " of a typed session"
        } else {
            ""
        };
        let ask = ask.replacen("` ", &format!("`{place} "), 1);
        if word.is_empty() {
            return Self::new(format!("an action is missing. {ask}."));
        }
        Self::new(format!("`{word}` is not an action.{meant} {ask}."))
    }
}

/// Most words named as what somebody probably meant.
const NAMED_AT_MOST: usize = 3;

impl fmt::Display for NotAnAction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for NotAnAction {}

/// Highest engine speed that can be asked for, rpm.
const MOST_RPM: f64 = 6000.0;
/// Highest road speed on the test track, m/s (130 km/h).
const MOST_ROAD_M_S: f64 = 130.0 / 3.6;
/// Longest single wait, s.
const MOST_WAIT_S: f64 = 3600.0;

/// Least and most that can be charged at once, kg.
const LEAST_CHARGE_KG: f64 = 0.01;
/// See above.
const MOST_CHARGE_KG: f64 = 3.0;

impl Action {
    /// Reads an action from its text form.
    ///
    /// # Errors
    /// [`NotAnAction`] with what is allowed.
    ///
    /// ```
    /// use runner::action::Action;
    /// assert_eq!(Action::parse("wait 5 min").unwrap().to_string(), "wait 300 s");
    /// assert!(Action::parse("wayt 5 min").unwrap_err().to_string().contains("`wait`"));
    /// ```
    pub fn parse(text: &str) -> Result<Self, NotAnAction> {
        // An attempt is kept as its actions' texts. Whatever rounding a text brings must be in
        // the action from the first time on, or the attempt played again differs in a last digit.
        let small = text.to_lowercase();
        let action = Self::from_words(&small)
            .or_else(|error| Self::from_words(&fold::joined(&small)).map_err(|_| error))?;
        Self::from_words(&action.to_string().to_lowercase())
    }

    fn from_words(text: &str) -> Result<Self, NotAnAction> {
        let text = text.trim();
        let (verb, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let rest = rest.trim();
        match verb {
            "engine" => engine(rest).map(Self::Turn),
            "ac" => pick(
                "a position of the switch",
                rest,
                &[("on", true), ("off", false)],
            )
            .map(|on| Self::Turn(Control::AirConditioning(on))),
            "blower" => blower(rest).map(Self::Turn),
            "air" => pick(
                "a position of the intake door",
                rest,
                &[("recirculate", true), ("fresh", false)],
            )
            .map(|round| Self::Turn(Control::Recirculate(round))),
            "temperature" => temperature(rest).map(Self::Turn),
            "doors" => pick(
                "a position of the doors",
                rest,
                &[("open", true), ("closed", false)],
            )
            .map(|open| Self::Turn(Control::Doors(open))),
            "road" => quantity(rest, Dimension::Speed, 0.0, MOST_ROAD_M_S, "0 to 130 km/h")
                .map(|m_s| Self::Turn(Control::Road(m_s))),
            "shop-fan" => pick(
                "a position of the fan's switch",
                rest,
                &[("on", true), ("off", false)],
            )
            .map(|on| Self::Turn(Control::ShopFan(on))),
            "wait" => quantity(rest, Dimension::Duration, 1.0, MOST_WAIT_S, "1 s to 60 min")
                .map(Self::Wait),
            "wear" => pick(
                "protection",
                rest,
                &[("glasses", Gear::Glasses), ("gloves", Gear::Gloves)],
            )
            .map(Self::Wear),
            "gauges" => pick("a step with the gauge set", rest, GAUGE_STEPS).map(Self::Gauges),
            "look" | "listen" | "feel" | "smell" => sense(verb, rest),
            "loosen" => named::<Line>("a line of the loop", rest).map(Self::Loosen),
            "suspect" => suspect(rest),
            "hint" if rest.is_empty() => Ok(Self::Hint),
            "hint" => Err(NotAnAction::new("`hint` stands alone.")),
            "conclude" => conclude(rest).map(Self::Conclude),
            "recover" => quantity(
                rest,
                Dimension::Duration,
                30.0,
                MOST_WAIT_S,
                "30 s to 60 min",
            )
            .map(Self::Recover),
            "evacuate" => pick(
                "a state of the vacuum pump",
                rest,
                &[("on", true), ("off", false)],
            )
            .map(Self::Evacuate),
            "charge" => charge(rest),
            "warm-cylinder" => {
                pick("a way to warm a cylinder", rest, WARMTHS).map(Self::WarmCylinder)
            }
            "ventilation" => pick(
                "a state of the ventilation",
                rest,
                &[("on", true), ("off", false)],
            )
            .map(Self::Ventilate),
            _ if work::is_work(verb) => work::parse(verb, rest),
            _ if tools::TOOL_VERBS.contains(&verb) => tools::parse(verb, rest),
            _ => Err(NotAnAction::no_verb(verb, &[])),
        }
    }
}

impl Control {
    /// Reads a control from its text form, as [`Action::parse`] does.
    ///
    /// # Errors
    /// [`NotAnAction`] with what is allowed.
    pub fn parse(text: &str) -> Result<Self, NotAnAction> {
        match Action::parse(text)? {
            Action::Turn(control) => Ok(control),
            _ => Err(NotAnAction::new(format!("`{text}` turns no control."))),
        }
    }
}

/// The value that goes with a word.
pub(super) fn pick<T: Copy>(
    what: &str,
    word: &str,
    choices: &[(&str, T)],
) -> Result<T, NotAnAction> {
    choices
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, value)| *value)
        .ok_or_else(|| {
            let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
            NotAnAction::not_one_of(what, word, &names)
        })
}

/// A place by its name.
pub(super) fn named<T: Named>(what: &str, word: &str) -> Result<T, NotAnAction> {
    T::by_name(word).ok_or_else(|| {
        let names: Vec<&str> = T::ALL.iter().map(|one| one.name()).collect();
        NotAnAction::not_one_of(what, word, &names)
    })
}

/// A quantity with its unit, within limits said in words.
pub(super) fn quantity(
    text: &str,
    dimension: Dimension,
    least: f64,
    most: f64,
    limits: &str,
) -> Result<f64, NotAnAction> {
    let text = &fold::with_unit(text, dimension);
    let value = parse_as(text, dimension).map_err(|error| {
        let message = error.to_string();
        NotAnAction::new(match dimension {
            // The usual example, a day's weather, is beyond what a cabin is set to.
            Dimension::Temperature => message.replace(dimension.example(), "22 °C"),
            _ => message,
        })
    })?;
    // Rounding of units must not refuse the limit itself.
    let slack = 1e-9 * most.abs();
    if value < least - slack || value > most + slack {
        return Err(NotAnAction::new(format!(
            "`{text}` is beyond what can be asked for: {limits}."
        )));
    }
    Ok(value)
}

fn engine(rest: &str) -> Result<Control, NotAnAction> {
    match rest {
        "off" => Ok(Control::Engine(EngineSpeed::Off)),
        "idle" => Ok(Control::Engine(EngineSpeed::Idle)),
        _ if !rest.starts_with(|c: char| c.is_ascii_digit()) => Err(NotAnAction::not_one_of(
            "an engine speed",
            rest,
            &["off", "idle", "1500 rpm"],
        )),
        _ => {
            let turn = 2.0 * std::f64::consts::PI;
            let most = MOST_RPM / 60.0 * turn;
            let least = 500.0 / 60.0 * turn;
            let speed = quantity(
                rest,
                Dimension::RotationalSpeed,
                least,
                most,
                "off, idle, or 500 to 6000 rpm",
            )?;
            Ok(Control::Engine(EngineSpeed::Held(speed / turn)))
        }
    }
}

fn blower(rest: &str) -> Result<Control, NotAnAction> {
    rest.parse::<usize>().map(Control::Blower).map_err(|_| {
        if rest.is_empty() {
            return NotAnAction::new("a blower step is missing. Write one, such as `blower 3`.");
        }
        NotAnAction::new(format!(
            "`{rest}` is not a blower step. Write a whole number, 0 for off, such as `blower 3`."
        ))
    })
}

fn charge(rest: &str) -> Result<Action, NotAnAction> {
    let (phase, mass) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let phase = pick("what the cylinder gives", phase, PHASES)?;
    if mass.trim().is_empty() {
        return Err(NotAnAction::new(
            "a mass to charge is missing. Write one, such as `charge liquid 450 g`.",
        ));
    }
    let limits = "10 g to 3 kg";
    let kg = quantity(
        mass.trim(),
        Dimension::Mass,
        LEAST_CHARGE_KG,
        MOST_CHARGE_KG,
        limits,
    )?;
    Ok(Action::Charge(phase, kg))
}

fn temperature(rest: &str) -> Result<Control, NotAnAction> {
    match rest {
        "cold" => Ok(Control::Temperature(Request::Cold)),
        "hot" => Ok(Control::Temperature(Request::Hot)),
        _ if !rest.starts_with(|c: char| c.is_ascii_digit()) => Err(NotAnAction::not_one_of(
            "a temperature to ask for",
            rest,
            &["cold", "hot", "22 °C"],
        )),
        _ => quantity(
            rest,
            Dimension::Temperature,
            289.15,
            305.15,
            "cold, hot, or 16 to 32 °C",
        )
        .map(|k| Control::Temperature(Request::Cabin(k))),
    }
}

fn sense(verb: &str, rest: &str) -> Result<Action, NotAnAction> {
    let sense = Sense::by_name(verb).unwrap_or(Sense::Look);
    let spots: Vec<Spot> = Spot::ALL
        .iter()
        .copied()
        .filter(|spot| sensible(sense, *spot))
        .collect();
    match spots.iter().find(|spot| spot.name() == rest) {
        Some(spot) => Ok(Action::Check(Check::Sense(sense, *spot))),
        None => {
            let names: Vec<&str> = spots.iter().map(|spot| spot.name()).collect();
            let what = match sense {
                Sense::Look => "a spot to look at",
                Sense::Listen => "a spot to listen to",
                Sense::Feel => "a spot to feel",
                Sense::Smell => "a spot to smell",
            };
            Err(NotAnAction::not_one_of(what, rest, &names))
        }
    }
}

fn suspect(rest: &str) -> Result<Action, NotAnAction> {
    let words: Vec<&str> = rest.split_whitespace().collect();
    let first_number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    let (mode, share) = match words.as_slice() {
        [mode, share] => ((*mode).to_owned(), vec![*share]),
        words => fold::fault_and_rest(words, first_number),
    };
    let share = share.join(" ");
    if mode.is_empty() || share.is_empty() {
        return Err(NotAnAction::new(
            "Write a fault and how sure you are, such as `suspect undercharge 40 %`.",
        ));
    }
    // Percent is the only unit there is: a bare number means it.
    let bare = share.parse::<f64>().is_ok();
    let with_unit = if bare { format!("{share} %") } else { share };
    let confidence = quantity(&with_unit, Dimension::Ratio, 0.0, 1.0, "0 % to 100 %")?;
    Ok(Action::Suspect { mode, confidence })
}

fn conclude(rest: &str) -> Result<Conclusion, NotAnAction> {
    let words: Vec<&str> = rest.split_whitespace().collect();
    let ends = |word: &str| {
        matches!(word, "cause" | "because") || word.starts_with(|c: char| c.is_ascii_digit())
    };
    let (fault, mut words) = fold::fault_and_rest(&words, ends);
    if fault.is_empty() {
        return Err(NotAnAction::new(
            "Write what is wrong, such as `conclude undercharge cause leak-condenser because 3 5`; `faults` lists the names.",
        ));
    }
    let mut conclusion = Conclusion {
        fault,
        cause: None,
        because: Vec::new(),
    };
    while let Some((word, rest)) = words.split_first() {
        match *word {
            "cause" => {
                let (cause, rest) = fold::fault_and_rest(rest, ends);
                if cause.is_empty() {
                    return Err(NotAnAction::new(
                        "`cause` wants the name of a fault behind it.",
                    ));
                }
                conclusion.cause = Some(cause);
                words = rest;
            }
            "because" => {
                for number in rest {
                    let number = number.trim_matches(',');
                    let reading = number.parse::<usize>().map_err(|_| {
                        NotAnAction::new(format!(
                            "`{number}` is not the number of a reading; `notes` lists them."
                        ))
                    })?;
                    if !conclusion.because.contains(&reading) {
                        conclusion.because.push(reading);
                    }
                }
                return Ok(conclusion);
            }
            word => {
                return Err(NotAnAction::not_one_of(
                    "part of a conclusion",
                    word,
                    &["cause", "because"],
                ));
            }
        }
    }
    Ok(conclusion)
}
