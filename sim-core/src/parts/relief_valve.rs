//! Relief valve on the compressor's head: spring-loaded, it pops and stays open until the pressure has
//! fallen well below.
//!
//! Shut, its area rises with the head's pressure from nothing at the set pressure to all of it a tenth
//! above (overpressure of pop-action valves: common practice, no source). That is followed within a
//! step, since a compressor at full speed before a shut pipe raises the pressure by megapascals in a
//! tenth of a second. Popped, it is open to its whole area until the blow-down is through. What it lets
//! out is ṁ = A √(2 ρ Δp) ([`super::line::passage`]), A in m², Δp to the air outside in Pa, and does not
//! choke. Range: every vehicle here has a set pressure of 3.6 MPa gauge; 10 % above it the area grows no
//! further.

use crate::dual::Dual;

/// Effective area of an open valve, m²: a bore of about 3 mm (from memory).
const AREA_M2: f64 = 5.0e-6;
/// Share of the set pressure above it at which the valve is wide open.
const OVERPRESSURE_SHARE: f64 = 0.1;
/// Share of the set pressure at which a popped valve shuts again (from memory).
const RESET_SHARE: f64 = 0.9;

/// A relief valve as it stands at the start of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReliefValve {
    /// Pressure it opens at, Pa gauge.
    pub opens_pa: f64,
    /// It has popped, and blows until its pressure has fallen.
    pub popped: bool,
}

impl ReliefValve {
    /// Whether it blows on at a head pressure, Pa gauge.
    #[must_use]
    pub fn pops(&self, head_pa: f64) -> bool {
        if self.popped {
            head_pa > RESET_SHARE * self.opens_pa
        } else {
            head_pa > self.opens_pa
        }
    }

    /// Effective area it leaves open at a head pressure, Pa gauge, m².
    #[must_use]
    pub fn area_m2<const N: usize>(&self, head_pa: Dual<N>) -> Dual<N> {
        if self.popped {
            return Dual::constant(AREA_M2);
        }
        let over = (head_pa - self.opens_pa) * (1.0 / (OVERPRESSURE_SHARE * self.opens_pa));
        over.smooth_step() * AREA_M2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHUT: ReliefValve = ReliefValve {
        opens_pa: 3.6e6,
        popped: false,
    };

    fn open_m2(valve: ReliefValve, head_pa: f64) -> f64 {
        valve.area_m2(Dual::<1>::constant(head_pa)).value
    }

    #[test]
    fn it_opens_over_a_tenth_of_overpressure() {
        assert_eq!(open_m2(SHUT, 3.6e6), 0.0);
        assert!((open_m2(SHUT, 3.78e6) - 0.5 * AREA_M2).abs() < 1e-12);
        assert_eq!(open_m2(SHUT, 4.0e6), AREA_M2);
    }

    #[test]
    fn popped_it_blows_down() {
        let popped = ReliefValve {
            popped: SHUT.pops(3.61e6),
            ..SHUT
        };
        assert!(popped.popped);
        assert_eq!(open_m2(popped, 3.3e6), AREA_M2);
        assert!(popped.pops(3.3e6));
        assert!(!popped.pops(3.2e6));
    }
}
