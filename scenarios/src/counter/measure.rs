//! What is stamped on a part and follows from its data.

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::spec::CarSpec;

/// A feature that is worked out from a part's data, so that no file says it twice.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Displacement of the compressor.
    Displacement,
    /// Power of the compressor's own motor.
    MotorPower,
    /// Rating of the compressor's fuse.
    Fuse,
    /// Where the low cut-out opens.
    LowCutOut,
    /// Where the high cut-out opens.
    HighCutOut,
    /// Where the switch on the accumulator opens.
    CyclingSwitch,
}

impl Measure {
    /// What stands on the part of a car, in words; nothing where the car has no such part.
    #[must_use]
    pub fn of(self, spec: &CarSpec) -> Option<String> {
        let opens = |gauge_pa: f64| format!("opens at {:.2} MPag", gauge_pa / 1e6);
        let controls = &spec.controls;
        match self {
            Self::Displacement => Some(format!("{:.0} cm³", spec.compressor.displacement_m3 * 1e6)),
            Self::MotorPower => {
                let motor = spec.compressor.turned.motor()?;
                let power_w = motor.power_w * (1.0 - motor.power_lost);
                Some(format!("{:.1} kW", power_w / 1e3))
            }
            Self::Fuse => Some(format!("{} A", spec.circuit.fuse_a)),
            Self::LowCutOut => controls.low_cut_out_pa.map(|switch| opens(switch.trip)),
            Self::HighCutOut => Some(opens(controls.high_cut_out_pa.trip)),
            Self::CyclingSwitch => {
                let switch = controls.cycling_pa?;
                Some(opens(switch.trip + controls.cycling_bias_pa))
            }
        }
    }
}
