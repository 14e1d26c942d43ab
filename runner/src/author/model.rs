//! A model attempt: the best path through a case, done in the bay with the care that goes with it.
//!
//! It is a list of actions like a learner's, so that its debrief is a true one. The path is that of the
//! model's typical car; the individual in the bay may show a little more or less.

use scenarios::{Bank, Case, FaultRole};

use crate::action::{Action, Conclusion, Control, EngineSpeed, GaugeStep, Gear, NO_FAULT};
use crate::author::Unusable;
use crate::bay::Bay;
use crate::evidence::plan::Step;
use crate::evidence::tour::{Stop, stops};
use crate::session::Gauges;

/// The actions of a session that takes the steps of a path and concludes what is in the car.
///
/// # Errors
/// [`Unusable`] where the case's car cannot be put in the bay.
pub fn attempt(bank: &Bank, case: &Case, steps: &[Step]) -> Result<Vec<Action>, Unusable> {
    let stops = stops(&case.vehicle.spec);
    let mut model = Model {
        bay: Bay::new(bank, case)?,
        fault: main_fault(case),
    };
    model.take(Action::Wear(Gear::Glasses));
    model.take(Action::Wear(Gear::Gloves));
    let mut at = 0;
    for (index, step) in steps.iter().enumerate() {
        let to = stop_of(&stops, step).unwrap_or(at);
        if index == 0 {
            model.put_gauges_on(steps, &stops, at);
        }
        while at < to {
            at += 1;
            model.go(&stops[at]);
            model.put_gauges_on(&steps[index..], &stops, at);
        }
        model.take(step.action.clone());
        model.state(step.probability);
    }
    model.leave();
    let because = (1..=model.bay.notes().len()).collect();
    let conclusion = Conclusion {
        cause: second_fault(case, &model.fault),
        fault: model.fault.clone(),
        because,
    };
    model.take(Action::Conclude(conclusion));
    Ok(model.bay.actions().to_vec())
}

struct Model {
    bay: Bay,
    fault: String,
}

/// A belief worth stating, and the surest one may be: a reading may always be a slip.
const STATED: std::ops::RangeInclusive<f64> = 0.2..=0.99;

impl Model {
    /// Takes an action where this individual allows it, and goes on without where it does not. It is
    /// taken as somebody would type it: 2000 rpm typed are not quite the turns a second of a stop.
    fn take(&mut self, action: Action) {
        let typed = Action::parse(&action.to_string());
        let _ = self.bay.act(&typed.unwrap_or(action));
    }

    fn turn(&mut self, control: Control) {
        self.take(Action::Turn(control));
    }

    /// Sets the car up as a stop has it. Nobody drives with the gauge set on.
    fn go(&mut self, stop: &Stop) {
        let drives = stop.actions.iter().any(is_drive);
        if drives && self.bay.gauges() != Gauges::Off {
            self.leave();
            self.turn(Control::Engine(EngineSpeed::Idle));
        }
        for action in &stop.actions {
            self.take(action.clone());
        }
    }

    /// Puts the gauge set on while the engine stands, where it is read before the next drive.
    fn put_gauges_on(&mut self, ahead: &[Step], stops: &[Stop], at: usize) {
        let stands = self.bay.setup().engine_rev_s <= 0.0;
        if !stands || self.bay.gauges() != Gauges::Off {
            return;
        }
        let drive = stops
            .iter()
            .enumerate()
            .position(|(index, stop)| index > at && stop.actions.iter().any(is_drive));
        let before = drive.unwrap_or(stops.len());
        let reads = ahead.iter().any(|step| {
            step.action == Action::Gauges(GaugeStep::Read)
                && stop_of(stops, step).is_some_and(|stop| stop < before)
        });
        if reads {
            self.take(Action::Gauges(GaugeStep::Connect));
            self.take(Action::Gauges(GaugeStep::Open));
        }
    }

    /// Says how likely what is in the car has become.
    fn state(&mut self, probability: f64) {
        if probability >= *STATED.start() {
            self.take(Action::Suspect {
                mode: self.fault.clone(),
                confidence: libm::round(100.0 * probability.min(*STATED.end())) / 100.0,
            });
        }
    }

    /// Stops the engine and takes the gauge set off.
    fn leave(&mut self) {
        if self.bay.setup().road_speed_m_s > 0.0 {
            self.turn(Control::Road(0.0));
        }
        if self.bay.setup().engine_rev_s > 0.0 {
            self.turn(Control::Engine(EngineSpeed::Off));
        }
        if self.bay.gauges() != Gauges::Off {
            self.take(Action::Gauges(GaugeStep::Close));
            self.take(Action::Gauges(GaugeStep::Disconnect));
        }
    }
}

fn is_drive(action: &Action) -> bool {
    matches!(action, Action::Turn(Control::Road(speed)) if *speed > 0.0)
}

fn stop_of(stops: &[Stop], step: &Step) -> Option<usize> {
    stops.iter().position(|stop| stop.name == step.set_up)
}

/// What has to be named first.
fn main_fault(case: &Case) -> String {
    let mut faults = case.truth().iter();
    let main = faults.find(|fault| fault.role == FaultRole::Fault);
    main.map_or(NO_FAULT, |fault| fault.mode_id.as_str())
        .to_owned()
}

/// What led to it, or what else is wrong.
fn second_fault(case: &Case, main: &str) -> Option<String> {
    let others = || case.truth().iter().filter(|fault| fault.mode_id != main);
    let cause = others().find(|fault| fault.role == FaultRole::Cause);
    cause
        .or_else(|| others().next())
        .map(|fault| fault.mode_id.clone())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Gauges before a drive, on the road something else, and the gauges again after it.
    #[test]
    fn a_path_over_the_road_is_taken_without_a_slip() {
        let bank = Bank::builtin().unwrap();
        let id = &bank.cases().next().unwrap().id;
        let case = Case::deal(&bank, id, 1).unwrap();
        let stops = stops(&case.vehicle.spec);
        let road = stops
            .iter()
            .position(|stop| stop.actions.iter().any(is_drive))
            .unwrap();
        let step = |stop: usize, action: &str| Step {
            action: Action::parse(action).unwrap(),
            set_up: stops[stop].name,
            seconds: 0.0,
            expected_bits: 0.0,
            told_bits: 0.0,
            probability: 0.5,
        };
        let steps = [
            step(1, "gauges read"),
            step(road, "thermometer centre-vent"),
            step(road + 1, "gauges read"),
        ];
        let actions = attempt(&bank, &case, &steps).unwrap();
        let mut bay = Bay::new(&bank, &case).unwrap();
        for action in &actions {
            bay.act(action).unwrap();
        }
        assert!(bay.slips().is_empty(), "{:?}", bay.slips());
        let read = steps.iter().map(|step| {
            let taken = actions.iter().filter(|action| **action == step.action);
            taken.count()
        });
        assert_eq!(read.collect::<Vec<_>>(), [2, 1, 2]);
        assert_eq!(bay.notes().len(), 5);
        let conclusion = bay.conclusion().unwrap();
        assert_eq!(conclusion.because, [1, 2, 3, 4, 5]);
    }
}
