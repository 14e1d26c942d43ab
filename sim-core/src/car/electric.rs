//! The clutch circuit between two steps, and what a meter on it shows.

use crate::car::Car;
use crate::parts::circuit::{CHARGING_VOLTAGE_V, Feed, Point, RESTING_VOLTAGE_V};

impl Car {
    /// What the clutch circuit meets now.
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
    /// its own resistance is part of the circuit.
    #[must_use]
    pub fn meter_v(&self, red: Point, black: Point) -> f64 {
        let volts = self.spec.circuit.volts(
            &self.circuit_feed(),
            &self.state.circuit,
            Some((red, black)),
        );
        volts[red as usize] - volts[black as usize]
    }
}
