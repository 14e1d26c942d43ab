//! The clutch circuit between two steps, and what a meter on it shows.

use crate::car::Car;
use crate::parts::circuit::{
    CHARGING_VOLTAGE_V, CircuitState, Feed, Feeds, Point, RESTING_VOLTAGE_V,
};

impl Car {
    /// What the circuit of the clutch's or the control valve's coil meets now.
    #[must_use]
    pub fn circuit_feed(&self) -> Feed {
        let running = self.setup.engine_rev_s > 0.0;
        Feed {
            source_v: if running {
                CHARGING_VOLTAGE_V
            } else {
                RESTING_VOLTAGE_V
            },
            ignition: running,
            driven: self.state.controls.relay_closed,
            fuse_whole: self.state.fuse_whole,
            coil_k: self.state.clutch.temperature_k,
            engine_rev_s: self.setup.engine_rev_s,
        }
    }

    /// Share of the time that the coil's current is let through: the control works a control valve by
    /// chopping it on its way to ground, some hundred times a second; a clutch's and an inverter's it leaves
    /// alone.
    fn duty(&self) -> f64 {
        let chopped = self.spec.clutch.is_none() && self.spec.circuit.feeds == Feeds::Winding;
        if chopped {
            self.state.controls.command
        } else {
            1.0
        }
    }

    /// Current through the coil, A; of a chopped one the mean, which is what a clamp shows.
    #[must_use]
    pub fn coil_a(&self) -> f64 {
        self.duty() * self.state.circuit.current_a
    }

    /// Heat of the coil's current, W.
    pub(super) fn coil_w(&self) -> f64 {
        let solved = &self.state.circuit;
        self.duty() * solved.current_a * solved.current_a * solved.coil_ohm
    }

    /// Lets relay, winding and fuse take their position and solves the circuit.
    pub(super) fn settle_circuit(&mut self) {
        let mut feed = self.circuit_feed();
        let circuit = &self.spec.circuit;
        let mut solved = circuit.solve(&self.state.circuit, &feed);
        if solved.current_a > circuit.fuse_a {
            feed.fuse_whole = false;
            solved = circuit.solve(&solved, &feed);
        }
        self.state.fuse_whole = feed.fuse_whole;
        self.state.circuit = solved;
    }

    /// What a voltmeter shows with its red lead on one point and its black lead on another, V:
    /// its own resistance is part of the circuit, and of what is chopped it shows the mean.
    #[must_use]
    pub fn meter_v(&self, red: Point, black: Point) -> f64 {
        let feed = self.circuit_feed();
        let across = |state: &CircuitState| {
            let volts = self.spec.circuit.volts(&feed, state, Some((red, black)));
            volts[red as usize] - volts[black as usize]
        };
        let on_v = across(&self.state.circuit);
        let duty = self.duty();
        if duty >= 1.0 {
            return on_v;
        }
        let off_v = across(&CircuitState {
            parted: true,
            ..self.state.circuit
        });
        duty * on_v + (1.0 - duty) * off_v
    }
}
