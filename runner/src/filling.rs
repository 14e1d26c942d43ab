//! Evacuating the loop and charging it by mass.

use sim_core::car::{Phase, Port};
use sim_core::instruments::Check;

use crate::action::{Action, Warmth};
use crate::session::{Refusal, Session, Truths, Watcher};

/// Time to put a pump's hoses on both ports and start it, s (common practice, no source).
const PUMP_S: f64 = 180.0;
/// Time to shut its valve and stop it, s.
const SHUT_S: f64 = 10.0;
/// Time to put the cylinder on, clear its hose of air and set the scales, s (common practice, no source).
const CYLINDER_S: f64 = 120.0;
/// Warmest water that a cylinder may stand in, K (common practice, no source: 40 °C).
const BATH_K: f64 = 313.15;
/// Time a cylinder stands in it until it is as warm, s (common practice, no source).
const BATH_S: f64 = 900.0;
/// Time until a colleague has turned a flame off, s.
const STOPPED_S: f64 = 10.0;
/// Share of the label's charge at which a charging machine shuts: a loop full of liquid bursts when it
/// warms up (common practice, no source).
const FULL_SHARE: f64 = 1.6;
/// Time liquid is given to go in, s: one that does not has met its own pressure.
const LIQUID_S: f64 = 300.0;
/// Time vapour is given, s: a running car takes some grams a second.
const VAPOUR_S: f64 = 900.0;

impl Session {
    /// Starts the vacuum pump, or shuts it off; the loop then stays as it is for a decay test.
    pub(crate) fn evacuate(
        &mut self,
        on: bool,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        if !on {
            if !self.car.state().service.pump_on {
                return Err(Refusal::NoPump);
            }
            self.car.stop_evacuation();
            return self.pass(SHUT_S, watcher);
        }
        self.standing()?;
        self.ports_free()?;
        if self.setup.engine_rev_s > 0.0 {
            return Err(Refusal::EngineOnAtPump);
        }
        self.closed()?;
        self.pass(PUMP_S, watcher)?;
        self.car.start_evacuation();
        Ok(Vec::new())
    }

    /// No part of the loop is off, and no test gas is in it.
    fn closed(&self) -> Result<(), Refusal> {
        if self.car.stands_open() {
            return Err(Refusal::LoopOpen);
        }
        if self.car.is_pressed() {
            return Err(Refusal::UnderGas);
        }
        Ok(())
    }

    /// Charges a mass and reads the scales; what has not gone in when the time is up stays out.
    ///
    /// Liquid goes to the high side. With the engine running that would press back into the cylinder:
    /// whoever charges liquid then has the low side open.
    pub(crate) fn charge(
        &mut self,
        phase: Phase,
        kg: f64,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        self.standing()?;
        self.ports_free()?;
        self.closed()?;
        self.pass(CYLINDER_S, watcher)?;
        let runs = self.setup.engine_rev_s > 0.0;
        let (port, seconds) = match phase {
            Phase::Liquid if !runs => (Port::High, LIQUID_S),
            Phase::Liquid => (Port::Low, LIQUID_S),
            Phase::Vapour => (Port::Low, VAPOUR_S),
        };
        let spec = self.car.spec();
        let held_kg = self.car.state().refrigerant.total_mass_kg();
        let room_kg = (FULL_SHARE * spec.label_charge_kg - held_kg).max(0.0);
        self.car.start_charging(phase, port, kg.min(room_kg));
        self.pass(seconds, watcher)?;
        self.car.stop_charging();
        self.check(&[Check::ChargedMass], watcher)
    }
}

impl Session {
    /// Warms the charging cylinder in water. A flame is turned off by a colleague before it warms anything.
    pub(crate) fn warm_cylinder(
        &mut self,
        with: Warmth,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        self.standing()?;
        match with {
            Warmth::Flame => self.pass(STOPPED_S, watcher),
            Warmth::Water if self.car.cylinder_k() >= BATH_K => Err(Refusal::CylinderIsWarm),
            Warmth::Water => {
                self.pass(BATH_S, watcher)?;
                self.car.warm_cylinder(BATH_K);
                Ok(Vec::new())
            }
        }
    }
}

impl Action {
    /// Shop time of evacuating and charging, s; 0 for other work.
    pub(crate) fn seconds_of_filling(&self) -> f64 {
        match self {
            Self::Evacuate(true) => PUMP_S,
            Self::Evacuate(false) => SHUT_S,
            Self::WarmCylinder(Warmth::Water) => BATH_S,
            Self::WarmCylinder(Warmth::Flame) => STOPPED_S,
            Self::Charge(Phase::Liquid, _) => CYLINDER_S + LIQUID_S + Check::ChargedMass.time_s(),
            Self::Charge(Phase::Vapour, _) => CYLINDER_S + VAPOUR_S + Check::ChargedMass.time_s(),
            _ => 0.0,
        }
    }
}
