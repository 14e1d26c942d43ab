//! Rules of thumb by which the trade checks a repaired car (common practice, no source), held against the
//! repaired car and against the same car sound on the same day. Where the sound car breaks a rule, the rule
//! fails there, and a learner who trusts it would go on repairing.

use sim_core::car::{Car, Stalled};
use sim_core::instruments::{Check, Line, Truth, Vent, Watch, truth};
use sim_core::loop_model::layout::Role;
use sim_core::setup::Setup;

/// A rule of thumb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// What is looked at.
    pub words: &'static str,
    /// Least and most it should be, K or Pa.
    pub between: [f64; 2],
    /// What kind of number it is.
    pub kind: RuleKind,
}

/// What kind of number a rule gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleKind {
    /// Difference of two temperatures, K.
    Difference,
    /// Gauge pressure, Pa.
    Gauge,
}

/// A rule held against two cars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuleSeen {
    /// The rule.
    pub rule: Rule,
    /// What the repaired car shows.
    pub own: f64,
    /// What the same car shows sound.
    pub sound: f64,
}

impl RuleSeen {
    /// Whether the repaired car keeps the rule.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.rule.holds(self.own)
    }

    /// Whether the rule can be trusted here: a sound car keeps it.
    #[must_use]
    pub fn can_be_trusted(&self) -> bool {
        self.rule.holds(self.sound)
    }
}

impl Rule {
    fn holds(&self, value: f64) -> bool {
        let [least, most] = self.between;
        (least..=most).contains(&value)
    }
}

/// The number that a rule looks at on a running car.
type LooksAt = fn(&Car) -> f64;

/// The rules, each with what it looks at.
const RULES: [(Rule, LooksAt); 6] = [
    (
        Rule {
            words: "centre vent below the air outside",
            between: [20.0, f64::INFINITY],
            kind: RuleKind::Difference,
        },
        |car| car.weather().temperature_k - vent_k(car),
    ),
    (
        Rule {
            words: "suction line above the centre vent",
            between: [-5.0, 5.0],
            kind: RuleKind::Difference,
        },
        |car| line_k(car, Line::CompressorSuction) - vent_k(car),
    ),
    (
        Rule {
            words: "condenser's inlet above its outlet",
            between: [15.0, 30.0],
            kind: RuleKind::Difference,
        },
        |car| line_k(car, Line::CondenserInlet) - line_k(car, Line::CondenserOutlet),
    ),
    (
        Rule {
            words: "evaporator's outlet above its inlet",
            between: [2.0, 8.0],
            kind: RuleKind::Difference,
        },
        |car| line_k(car, Line::EvaporatorOutlet) - line_k(car, Line::EvaporatorInlet),
    ),
    (
        Rule {
            words: "low side",
            between: [150e3, 250e3],
            kind: RuleKind::Gauge,
        },
        |car| car.pressure_pa(Role::SuctionLine) - car.weather().pressure_pa(),
    ),
    (
        Rule {
            words: "condensing above the air outside",
            between: [10.0, 25.0],
            kind: RuleKind::Difference,
        },
        |car| {
            let head_pa = car.refrigerant_pressure_pa(Role::Condenser(0));
            let condensing_k = car.fluid().saturation(head_pa).temperature_k;
            condensing_k - car.weather().temperature_k
        },
    ),
];

/// Time the cars run before the rules are held against them, s.
const RUNS_S: f64 = 600.0;
/// Time over which what they show is averaged, s.
const OVER_S: f64 = 60.0;
/// Engine, turns per second (1500 rpm, as the trade checks).
const CHECKED_REV_S: f64 = 25.0;

/// Holds every rule against a car and the same car sound.
///
/// # Errors
/// [`Stalled`] when the simulation cannot follow.
pub(super) fn seen(own: &Car, sound: &Car) -> Result<Vec<RuleSeen>, Stalled> {
    let (own, sound) = (shown(own)?, shown(sound)?);
    let rules = RULES.iter().zip(own.into_iter().zip(sound));
    Ok(rules
        .map(|((rule, _), (own, sound))| RuleSeen {
            rule: *rule,
            own,
            sound,
        })
        .collect())
}

/// What each rule looks at, on a car that runs as it is checked: doors open, blower full, fresh air.
fn shown(car: &Car) -> Result<[f64; RULES.len()], Stalled> {
    let mut car = car.clone();
    let setup = Setup {
        engine_rev_s: CHECKED_REV_S,
        ac_on: true,
        blower_step: car.spec().air_box.top_step(),
        doors_open: true,
        ..Setup::parked()
    };
    car.advance(&setup, RUNS_S - OVER_S)?;
    let mut sums = [0.0; RULES.len()];
    car.advance_watched(&setup, OVER_S, |car, step_s| {
        for (sum, (_, shown)) in sums.iter_mut().zip(&RULES) {
            *sum += shown(car) * step_s / OVER_S;
        }
    })?;
    Ok(sums)
}

fn vent_k(car: &Car) -> f64 {
    number(car, Check::VentTemperature(Vent::Centre))
}

fn line_k(car: &Car, line: Line) -> f64 {
    number(car, Check::LineTemperature(line))
}

fn number(car: &Car, check: Check) -> f64 {
    match truth(car, check, Watch::default()) {
        Ok(Truth::Number(value)) => value,
        Ok(Truth::Finding(_)) | Err(_) => f64::NAN,
    }
}
