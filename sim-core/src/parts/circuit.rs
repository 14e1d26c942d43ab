//! The clutch coil's circuit: battery, fuse, relay, connector, coil and ground in series.

/// Parameters of the circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct ClutchCircuit {
    /// Resistance of the coil at 20 °C, Ω.
    pub coil_ohm: f64,
    /// Resistance of wiring, relay contacts and ground, Ω.
    pub wiring_ohm: f64,
    /// Current that blows the fuse, A.
    pub fuse_a: f64,
    /// Resistance added in the coil's connector, Ω.
    pub connector_ohm: f64,
    /// Share of the coil's turns shorted.
    pub shorted_share: f64,
    /// Resistance added by a broken winding, Ω.
    pub open_ohm: f64,
}

/// Battery with the engine off, V (common practice, no source).
pub const RESTING_VOLTAGE_V: f64 = 12.6;
/// Battery with the alternator charging, V (common practice, no source).
pub const CHARGING_VOLTAGE_V: f64 = 14.1;
/// Rise of copper's resistance for each kelvin above 20 °C (IEC 60228 annex, 0.00393).
const COPPER_PER_K: f64 = 0.003_93;

/// Voltages and current with the circuit solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CircuitState {
    /// Current through the coil, A.
    pub current_a: f64,
    /// Voltage at the coil's connector, harness side, V.
    pub connector_v: f64,
    /// Resistance a meter sees between the unplugged coil's pins, Ω.
    pub coil_ohm: f64,
}

impl ClutchCircuit {
    /// Resistance of the coil at a temperature, Ω.
    #[must_use]
    pub fn coil_resistance_ohm(&self, coil_k: f64) -> f64 {
        let copper = 1.0 + COPPER_PER_K * (coil_k - 293.15);
        self.coil_ohm * copper * (1.0 - self.shorted_share).max(0.01) + self.open_ohm
    }

    /// Current and voltages for a supply that is on or off, and a fuse that is whole or blown.
    ///
    /// Kirchhoff on one loop: I = V / ΣR.
    #[must_use]
    pub fn solve(
        &self,
        supplied: bool,
        fuse_whole: bool,
        battery_v: f64,
        coil_k: f64,
    ) -> CircuitState {
        let coil_ohm = self.coil_resistance_ohm(coil_k);
        let live = supplied && fuse_whole;
        let loop_ohm = self.wiring_ohm + self.connector_ohm + coil_ohm;
        let current_a = if live { battery_v / loop_ohm } else { 0.0 };
        let connector_v = if live {
            battery_v - current_a * self.wiring_ohm
        } else {
            0.0
        };
        CircuitState {
            current_a,
            connector_v,
            coil_ohm,
        }
    }
}
