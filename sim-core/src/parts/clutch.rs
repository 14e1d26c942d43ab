//! Magnetic clutch: a coil pulls the hub's plate across a gap onto the turning pulley.
//!
//! The plate comes at a current I ≥ I_pull g/g₀, g its gap and g₀ the design gap in m, since the pull goes
//! as (I/g)²; it stays down to a share of I_pull. It carries M = M_r (I/I_r)² (1 − friction lost)
//! (1 − fade) N m, I/I_r held to 1.2 at most; fade is 0 up to 200 °C and grows with (T − 200 °C) / 150 K to
//! 0.6 at most. With less than 1.15 times the load it slips: the shaft's share s of the pulley's speed
//! follows ds/dt = (M/M_load − 1) / 2 s, never below 0.02. Heat: C dT/dt = 2π n (1 − s) M_rub +
//! P_coil − G (T − T_bay), M_rub the load between M/2 and M, and G 0.3 of its value at a stand. The square law is that of a magnet with an open gap
//! (textbook); levels are common practice, no source, or from memory. Range: 0 to 16 V, 0.4 to 3.5 mm,
//! loads to 60 N m, −10 °C to some 350 °C, where a real one has long been burnt.

/// Parameters of a magnetic clutch.
#[derive(Clone, Debug, PartialEq)]
pub struct Clutch {
    /// Air gap between plate and pulley, mm when healthy and cold, m here.
    pub gap_m: f64,
    /// Gap the coil is designed for, m.
    pub design_gap_m: f64,
    /// Current that pulls the plate across the design gap, A.
    pub pull_in_a: f64,
    /// Share of the pull-in current that still holds the plate once it touches.
    pub holding_share: f64,
    /// Torque carried without slip at rated current, facing sound and cool, N m.
    pub torque_n_m: f64,
    /// Current at which that torque holds, A.
    pub rated_a: f64,
    /// Heat capacity of plate and pulley, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Heat conductance to the air around, turning, W/K.
    pub cooling_w_per_k: f64,
    /// Share of the facing's friction that is lost: oil, glaze, burnt.
    pub friction_loss: f64,
    /// Share of the turns' insulation that heat has charred: what a nose notices.
    pub charred: f64,
}

/// What the clutch carries through time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClutchState {
    /// Plate on the pulley.
    pub engaged: bool,
    /// Temperature of plate, pulley and coil, K; of the control valve's coil where there is no clutch.
    pub temperature_k: f64,
    /// Shaft speed as a share of pulley speed.
    pub grip: f64,
}

/// Temperature above which the facing starts to fade, K (common practice, no source).
const FADE_FROM_K: f64 = 473.15;
/// Temperature span over which it fades, K (common practice, no source).
const FADE_SPAN_K: f64 = 150.0;
/// Time in which a slipping clutch finds the speed it can carry, s. The true inertia
/// settles within a tenth of this; the loop's pressures, which set the load, do not.
const SLIP_SETTLING_S: f64 = 2.0;
/// Least share of the pulley's speed that a plate held against it drags the shaft along with (from
/// memory). At a stand the load would be unknown, and a shaft without a load would grip again.
pub const LEAST_GRIP: f64 = 0.02;

impl Clutch {
    /// Whether the plate is held, from what it did before and the coil's ampere-turns.
    ///
    /// Pull on the plate goes as (current / gap)²; a wide gap needs more
    /// current in proportion. Once the plate touches there is no gap to bridge.
    #[must_use]
    pub fn holds(&self, engaged: bool, magnetising_a: f64) -> bool {
        let needed = if engaged {
            self.pull_in_a * self.holding_share
        } else {
            self.pull_in_a * (self.gap_m / self.design_gap_m)
        };
        magnetising_a >= needed
    }

    /// Gap that a current can bridge beyond the design's, m.
    #[must_use]
    pub fn spare_gap_m(&self, magnetising_a: f64) -> f64 {
        self.design_gap_m * (magnetising_a / self.pull_in_a - 1.0).max(0.0)
    }

    /// Torque the clutch can carry, N m.
    #[must_use]
    pub fn capacity_n_m(&self, magnetising_a: f64, temperature_k: f64) -> f64 {
        let pull = (magnetising_a / self.rated_a).min(1.2);
        let fade = ((temperature_k - FADE_FROM_K) / FADE_SPAN_K).clamp(0.0, 0.6);
        self.torque_n_m * pull * pull * (1.0 - self.friction_loss) * (1.0 - fade)
    }

    /// Moves grip and temperature on by a step.
    #[must_use]
    pub fn advance(&self, state: ClutchState, drive: &ClutchDrive, step_s: f64) -> ClutchState {
        let grip = if state.engaged {
            settled_grip(state.grip, drive.capacity_n_m, drive.load_n_m, step_s)
        } else {
            0.0
        };
        let slip_rev_s = if state.engaged {
            drive.pulley_rev_s * (1.0 - grip)
        } else {
            0.0
        };
        let rubbing_n_m = drive
            .capacity_n_m
            .min(drive.load_n_m.max(drive.capacity_n_m * 0.5));
        let friction_w = 2.0 * std::f64::consts::PI * slip_rev_s * rubbing_n_m;
        let cooling = self.cooling_w_per_k * if drive.pulley_rev_s > 0.0 { 1.0 } else { 0.3 };
        let inertia = self.heat_capacity_j_per_k / step_s;
        let temperature_k = (inertia * state.temperature_k
            + cooling * drive.bay_k
            + friction_w
            + drive.coil_power_w)
            / (inertia + cooling);
        ClutchState {
            engaged: state.engaged,
            temperature_k,
            grip,
        }
    }
}

/// Share of the driving speed that what carries a torque passes on to a load, after a step.
#[must_use]
pub fn settled_grip(before: f64, capacity_n_m: f64, load_n_m: f64, step_s: f64) -> f64 {
    let carries = capacity_n_m - load_n_m;
    if carries >= 0.15 * load_n_m {
        1.0
    } else {
        let relative = carries / load_n_m.max(0.1);
        let share = step_s / SLIP_SETTLING_S;
        // The load falls as the shaft slows. Taken as proportional to its speed within the step,
        // which is the most it does, a long step lands where both meet instead of beyond.
        let follows = 1.0 + share / before.max(LEAST_GRIP);
        (before + share * relative / follows).clamp(LEAST_GRIP, 1.0)
    }
}

/// What drives and loads the clutch during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClutchDrive {
    /// Torque it can carry, N m.
    pub capacity_n_m: f64,
    /// Torque the compressor asks, N m.
    pub load_n_m: f64,
    /// Pulley speed, turns per second.
    pub pulley_rev_s: f64,
    /// Air around it, K.
    pub bay_k: f64,
    /// Heat of the coil's own current, W.
    pub coil_power_w: f64,
}
