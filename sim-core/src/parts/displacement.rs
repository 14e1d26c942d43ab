//! How a compressor delivers more or less: the tilt of its swash plate.
//!
//! A control valve lets gas into or out of the crankcase and so holds the suction pressure near a
//! set point: above it the plate tilts to full stroke, below it towards its least. With an internal
//! bellows the set point is fixed; with a solenoid its current moves it, and without current the plate
//! lies at its least stroke. The stroke s follows within a second or two: τ ds/dt = least + (greatest −
//! least) (p_suction − p_set) / band − s, the share held between 0 and 1, p_set falling in proportion
//! to the current. Range: set points of 150 to 600 kPa, bands of 10 to 50 kPa. Levels: common
//! practice, no source; the plate of a variable compressor works
//! between about 5 and 100 % (checks.md §6).

use crate::dual::Dual;

/// What decides a compressor's displacement.
#[derive(Clone, Debug, PartialEq)]
pub enum Capacity {
    /// The same volume every turn.
    Fixed,
    /// A plate that a control valve tilts.
    Variable(ControlValve),
}

/// The valve that tilts the plate, healthy and with what is wrong with it.
#[derive(Clone, Debug, PartialEq)]
pub struct ControlValve {
    /// Suction pressure held by a bellows, or by a solenoid at the least current that works it, as the
    /// line of the two runs on to no current, Pa absolute.
    pub set_pa: f64,
    /// How far full current lowers it, Pa; 0 for an internal bellows.
    pub solenoid_span_pa: f64,
    /// Current at which that holds, A.
    pub rated_a: f64,
    /// Rise of suction pressure that takes the plate from least to full stroke, Pa.
    pub band_pa: f64,
    /// Least stroke, as a share of full.
    pub least_stroke: f64,
    /// Greatest stroke the plate reaches: below 1 when it sticks.
    pub greatest_stroke: f64,
    /// Time the plate takes to follow, s.
    pub lag_s: f64,
    /// Error of the set point: a worn bellows, a dirty seat, Pa.
    pub shift_pa: f64,
    /// Share of its force that the solenoid has lost.
    pub pull_lost: f64,
}

/// Share of the solenoid's full pull below which a spring holds the valve open (from memory): the
/// crankcase fills and the plate lies at its least stroke, whatever the suction pressure.
const HELD_OPEN_BELOW: f64 = 0.1;
/// What that spring is worth as a set point, beyond any suction pressure, Pa.
const HELD_OPEN_PA: f64 = 3e6;

/// Pressure over which the plate's stops are rounded, as a share of the band.
const ROUNDED: f64 = 0.1;

/// Heat capacity of a control valve's solenoid, J/K (from memory: some 0.1 kg of copper and iron).
const SOLENOID_J_PER_K: f64 = 50.0;
/// Conductance from it to the compressor's body, in which it sits, W/K (from memory).
const SOLENOID_TO_BODY_W_PER_K: f64 = 0.8;

/// Temperature of a control valve's solenoid after a step, K, from the body's and its own heat.
#[must_use]
pub fn solenoid_k(before_k: f64, body_k: f64, coil_power_w: f64, step_s: f64) -> f64 {
    let inertia = SOLENOID_J_PER_K / step_s;
    let conductance = SOLENOID_TO_BODY_W_PER_K;
    (inertia * before_k + conductance * body_k + coil_power_w) / (inertia + conductance)
}

/// The plate during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Stroke at the start of the step.
    before: f64,
    /// Weight of the goal against that, step over lag; 0 for a plate that cannot move.
    follow: f64,
    set_pa: f64,
    band_pa: f64,
    least: f64,
    greatest: f64,
}

impl Capacity {
    /// The plate at the start of a step of a length, with a solenoid current, A.
    #[must_use]
    pub fn stroke(&self, before: f64, solenoid_a: f64, step_s: f64) -> Stroke {
        match self {
            Self::Fixed => Stroke {
                before: 1.0,
                follow: 0.0,
                set_pa: 0.0,
                band_pa: 1.0,
                least: 1.0,
                greatest: 1.0,
            },
            Self::Variable(valve) => Stroke {
                before,
                follow: step_s / valve.lag_s,
                set_pa: valve.set_point_pa(solenoid_a),
                band_pa: valve.band_pa,
                least: valve.least_stroke.min(valve.greatest_stroke),
                greatest: valve.greatest_stroke.max(valve.least_stroke),
            },
        }
    }

    /// Stroke of a compressor that has stood.
    #[must_use]
    pub fn resting_stroke(&self) -> f64 {
        match self {
            Self::Fixed => 1.0,
            Self::Variable(valve) => valve.least_stroke,
        }
    }
}

impl ControlValve {
    /// Suction pressure the valve holds at a solenoid current, Pa absolute. With next to no current a
    /// solenoid's valve stands open, and no suction pressure tilts the plate; a bellows needs none.
    #[must_use]
    pub fn set_point_pa(&self, solenoid_a: f64) -> f64 {
        if self.solenoid_span_pa <= 0.0 {
            return self.set_pa + self.shift_pa;
        }
        let share = (solenoid_a / self.rated_a).clamp(0.0, 1.0) * (1.0 - self.pull_lost);
        let held_open = (1.0 - share / HELD_OPEN_BELOW).max(0.0);
        self.set_pa + self.shift_pa - share * self.solenoid_span_pa + held_open * HELD_OPEN_PA
    }
}

impl Stroke {
    /// Stroke at the end of the step, as a share of full, over the suction pressure.
    ///
    /// It is taken implicitly, since the suction pressure answers the plate at once.
    #[must_use]
    pub fn at<const N: usize>(&self, suction_pa: Dual<N>) -> Dual<N> {
        if self.follow <= 0.0 {
            return Dual::constant(self.before);
        }
        let free = (suction_pa - self.set_pa) * (1.0 / self.band_pa);
        let opened = free.soft_positive(ROUNDED);
        let goal = opened - (opened - 1.0).soft_positive(ROUNDED);
        let goal = goal * (self.greatest - self.least) + self.least;
        (goal * self.follow + self.before) * (1.0 / (1.0 + self.follow))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn valve() -> ControlValve {
        ControlValve {
            set_pa: 300e3,
            solenoid_span_pa: 0.0,
            rated_a: 1.0,
            band_pa: 30e3,
            least_stroke: 0.05,
            greatest_stroke: 1.0,
            lag_s: 1.5,
            shift_pa: 0.0,
            pull_lost: 0.0,
        }
    }

    #[test]
    fn the_plate_tilts_with_suction_pressure_and_stays_between_its_stops() {
        let capacity = Capacity::Variable(valve());
        let strokes: Vec<f64> = [200e3, 300e3, 315e3, 330e3, 600e3]
            .map(|pa| {
                capacity
                    .stroke(0.5, 0.0, 1e6)
                    .at(Dual::<1>::constant(pa))
                    .value
            })
            .to_vec();
        assert!(strokes.is_sorted(), "{strokes:?}");
        assert!((strokes[0] - 0.05).abs() < 0.01 && (strokes[4] - 1.0).abs() < 0.01);
    }

    #[test]
    fn current_lowers_the_set_point() {
        let valve = ControlValve {
            set_pa: 550e3,
            solenoid_span_pa: 300e3,
            ..valve()
        };
        assert!(valve.set_point_pa(0.0) > 3e6);
        assert_eq!(valve.set_point_pa(0.1), 520e3);
        assert_eq!(valve.set_point_pa(0.5), 400e3);
        assert_eq!(valve.set_point_pa(2.0), 250e3);
        let weak = ControlValve {
            pull_lost: 0.5,
            ..valve.clone()
        };
        assert_eq!(weak.set_point_pa(1.0), 400e3);
        let dead = ControlValve {
            pull_lost: 1.0,
            ..valve
        };
        assert!(dead.set_point_pa(1.0) > 3e6);
    }

    #[test]
    fn the_slope_matches_differences() {
        let stroke = Capacity::Variable(valve()).stroke(0.4, 0.0, 2.0);
        for pa in [250e3, 301e3, 318e3, 329e3, 400e3] {
            let at = |pa: f64| stroke.at(Dual::<1>::variable(pa, 0));
            let difference = (at(pa + 1.0).value - at(pa - 1.0).value) / 2.0;
            assert!((at(pa).slope[0] - difference).abs() < 1e-9);
        }
    }
}
