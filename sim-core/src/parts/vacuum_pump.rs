//! A workshop's vacuum pump, and the two hoses it draws through.
//!
//! A pump takes the same volume of gas a second at any pressure down to near its ultimate one; what
//! a loop feels of it is less, since the gas has to come through the service ports and hoses:
//! 1/S_felt = 1/S + 1/C. A valve core is an aperture. A hose conducts the more the denser the gas is:
//! C = 1365 d⁴ p̄ / L for viscous flow and 121 d³ / L for molecular flow, in m³/s for air at 20 °C
//! with bore and length in m and the mean pressure in Pa; an aperture passes 116 m/s of its area
//! (both textbook vacuum practice, from memory). The same numbers are taken for every gas. Which is
//! why the last tenth of a millibar takes longer than all the rest. Range: 1 Pa to 110 kPa.

/// A vacuum pump with a hose to each service port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VacuumPump {
    /// Volume drawn at its inlet, m³/s.
    pub speed_m3_s: f64,
    /// Lowest pressure it reaches by itself, Pa.
    pub ultimate_pa: f64,
    /// Bore of each hose, m.
    pub bore_m: f64,
    /// Length of each hose, m.
    pub length_m: f64,
    /// Effective area of each port's valve core held open, m².
    pub core_area_m2: f64,
}

/// A two-stage pump of 70 L/min that reaches 5 Pa (some 40 micron), with charging hoses of 5 mm and
/// 1.5 m on ports whose cores leave a square millimetre (common practice, no source).
pub const WORKSHOP_PUMP: VacuumPump = VacuumPump {
    speed_m3_s: 70e-3 / 60.0,
    ultimate_pa: 5.0,
    bore_m: 5e-3,
    length_m: 1.5,
    core_area_m2: 1e-6,
};

/// Viscous conductance of a tube, m³/s for each d⁴ p̄ / L.
const VISCOUS: f64 = 1365.0;
/// Molecular conductance of a tube, m³/s for each d³ / L.
const MOLECULAR: f64 = 121.0;
/// Flow through an aperture for each area, m/s.
const APERTURE_M_S: f64 = 116.0;

impl VacuumPump {
    /// Conductance of a hose and its port with the loop at a pressure and nearly none at the pump, m³/s.
    #[must_use]
    pub fn conductance_m3_s(&self, loop_pa: f64) -> f64 {
        let mean_pa = 0.5 * loop_pa;
        let bore3 = self.bore_m * self.bore_m * self.bore_m;
        let hose = bore3 * (VISCOUS * self.bore_m * mean_pa + MOLECULAR) / self.length_m;
        let core = APERTURE_M_S * self.core_area_m2;
        hose * core / (hose + core)
    }

    /// Volume the pump draws from each side of a loop, m³/s, from the pressures there.
    #[must_use]
    pub fn drawn_m3_s(&self, sides_pa: [f64; 2]) -> [f64; 2] {
        let through = sides_pa.map(|pa| self.conductance_m3_s(pa));
        let both = through[0] + through[1];
        through.map(|one| one * self.speed_m3_s / (self.speed_m3_s + both))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_than_the_pump_draws_and_less_the_thinner_the_gas() {
        let pump = WORKSHOP_PUMP;
        let mut before = pump.speed_m3_s;
        for pa in [1e5, 1e4, 1e3, 1e2, 1e1] {
            let [a, b] = pump.drawn_m3_s([pa; 2]);
            assert_eq!(a, b);
            assert!(a + b < before, "{pa} Pa: {} m³/s", a + b);
            before = a + b;
        }
        // Molecular flow sets the end: 121 d³ / L and 116 m/s of a square millimetre in series, two of
        // them side by side, and the pump behind both; worked out by hand, m³/s.
        let [a, b] = pump.drawn_m3_s([1e-3; 2]);
        assert!(((a + b) / 1.826e-5 - 1.0).abs() < 1e-3, "{}", a + b);
    }
}
