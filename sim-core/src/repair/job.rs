//! The jobs: one table for commands, the parts counter and the grade.

use crate::parts::circuit::Feeds;
use crate::parts::displacement::Capacity;
use crate::spec::{CarSpec, LeakPlace};

/// What a job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A part of the refrigerant loop is replaced: the loop has to be empty, and joints are made anew.
    InLoop,
    /// A part outside the loop is replaced.
    Outside,
    /// What is there is cleaned or set.
    Care,
}

macro_rules! jobs {
    ($($(#[doc = $doc:literal])+ $job:ident = $name:literal, $kind:ident, $minutes:literal min, oil $oil:literal, at [$($place:ident),*], |$spec:ident, $new:ident| $turn:expr;)*) => {
        /// Something done to put a car right.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Job {
            $($(#[doc = $doc])+ $job,)*
        }

        /// Every job, in the order help shows them.
        pub const JOBS: &[JobInfo] = &[
            $(JobInfo {
                job: Job::$job,
                name: $name,
                kind: Kind::$kind,
                seconds: 60.0 * $minutes,
                oil_share: $oil,
                places: &[$(LeakPlace::$place),*],
            },)*
        ];

        impl Job {
            /// Gives a car what another has of the part, leaks at it included.
            pub fn turn(self, spec: &mut CarSpec, new: &CarSpec) {
                match self {
                    $(Self::$job => {
                        let ($spec, $new) = (&mut *spec, new);
                        $turn;
                    })*
                }
                let places = self.info().places;
                spec.leaks.retain(|leak| !places.contains(&leak.place));
                let own = new.leaks.iter().filter(|leak| places.contains(&leak.place));
                spec.leaks.extend(own.copied());
            }
        }
    };
}

/// A job described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JobInfo {
    /// The job.
    pub job: Job,
    /// Its name in commands and files.
    pub name: &'static str,
    /// What kind of job it is.
    pub kind: Kind,
    /// Time it takes, s (common practice, no source).
    pub seconds: f64,
    /// Share of the label's oil that the part holds and takes along (common practice, no source: half
    /// stays in the compressor, the rest in evaporator, condenser, bottle and hoses).
    pub oil_share: f64,
    /// Where its leaks show.
    pub places: &'static [LeakPlace],
}

impl Job {
    /// Description of this job.
    #[must_use]
    pub fn info(self) -> &'static JobInfo {
        // The table is made from the same list as the enum, in the same order.
        &JOBS[self as usize]
    }

    /// The job of a name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        let known = JOBS.iter().find(|info| info.name == name);
        known.map(|info| info.job)
    }

    /// Whether the part differs from another car's: whether the job would change anything.
    ///
    /// ```
    /// use sim_core::faults::Knob;
    /// use sim_core::repair::Job;
    /// use sim_core::spec::CarSpec;
    /// let healthy = CarSpec::example();
    /// let mut dusty = healthy.clone();
    /// Knob::CondenserFaceBlocked.turn(&mut dusty, 0.6);
    /// assert!(Job::CondenserFace.changes(&dusty, &healthy));
    /// assert!(!Job::Evaporator.changes(&dusty, &healthy));
    /// ```
    #[must_use]
    pub fn changes(self, spec: &CarSpec, new: &CarSpec) -> bool {
        let mut after = spec.clone();
        self.turn(&mut after, new);
        after != *spec
    }

    /// Whether the part comes clean when it is flushed: hoses and plain pipes do.
    #[must_use]
    pub fn flushes_clean(self) -> bool {
        matches!(
            self,
            Self::DischargeHose | Self::LiquidLine | Self::SuctionHose
        )
    }

    /// Whether a car has the part at all.
    #[must_use]
    pub fn is_on(self, spec: &CarSpec) -> bool {
        match self {
            Self::Clutch | Self::ClutchGap => spec.clutch.is_some(),
            Self::Coil => spec.circuit.feeds == Feeds::Winding,
            Self::Belt => spec.compressor.turned.pulley_ratio().is_some(),
            Self::ControlValve => matches!(spec.compressor.capacity, Capacity::Variable(_)),
            Self::ValveBulb => spec.expansion.valve().is_some(),
            Self::HeaterValve => spec.air_box.heater_valve,
            Self::EvaporatorSensor => spec.controls.has_evaporator_sensor(),
            _ => true,
        }
    }
}

jobs! {
    /// Replace the compressor; its pulley stands where the new one's does.
    Compressor = "compressor", InLoop, 75.0 min, oil 0.5, at [Compressor], |spec, new| { spec.compressor = new.compressor.clone(); spec.debris = new.debris; spec.bay.belt_out_of_line_m = new.bay.belt_out_of_line_m };
    /// Replace the condenser.
    Condenser = "condenser", InLoop, 70.0 min, oil 0.12, at [Condenser], |spec, new| spec.condenser = new.condenser.clone();
    /// Replace the drier: the receiver, its cartridge, or the accumulator.
    Drier = "drier", InLoop, 25.0 min, oil 0.08, at [Receiver, Accumulator], |spec, new| { spec.storage = new.storage.clone(); spec.contents.drier_spent = new.contents.drier_spent };
    /// Replace the expansion valve or the orifice tube.
    ExpansionDevice = "expansion-device", InLoop, 40.0 min, oil 0.0, at [ExpansionDevice], |spec, new| spec.expansion = new.expansion.clone();
    /// Replace the evaporator.
    Evaporator = "evaporator", InLoop, 240.0 min, oil 0.22, at [Evaporator], |spec, new| spec.evaporator = new.evaporator.clone();
    /// Replace the hose from compressor to condenser.
    DischargeHose = "discharge-hose", InLoop, 30.0 min, oil 0.02, at [DischargeHose], |spec, new| spec.discharge_line = new.discharge_line.clone();
    /// Replace the line from condenser to expansion device.
    LiquidLine = "liquid-line", InLoop, 30.0 min, oil 0.02, at [LiquidLine], |spec, new| spec.liquid_line = new.liquid_line.clone();
    /// Replace the hose from evaporator to compressor.
    SuctionHose = "suction-hose", InLoop, 30.0 min, oil 0.04, at [SuctionHose], |spec, new| spec.suction_line = new.suction_line.clone();
    /// Replace the valves of both service ports, with new caps.
    ServiceValves = "service-valves", InLoop, 10.0 min, oil 0.0, at [LowPort, HighPort], |_spec, _new| {};
    /// Replace the compressor's control valve.
    ControlValve = "control-valve", InLoop, 45.0 min, oil 0.0, at [], |spec, new| spec.compressor.capacity = new.compressor.capacity.clone();
    /// Replace the clutch: plate, pulley and bearing.
    Clutch = "clutch", Outside, 40.0 min, oil 0.0, at [], |spec, new| spec.clutch = new.clutch.clone();
    /// Replace the coil that switches the compressor.
    Coil = "coil", Outside, 45.0 min, oil 0.0, at [], |spec, new| { let (coil, other) = (&mut spec.circuit, &new.circuit); coil.coil_ohm = other.coil_ohm; coil.shorted_share = other.shorted_share; coil.open_ohm = other.open_ohm; coil.condition.parts_below_limit_k = other.condition.parts_below_limit_k };
    /// Renew the coil's plug and its pins.
    Connector = "connector", Outside, 20.0 min, oil 0.0, at [], |spec, new| { spec.circuit.connector_ohm = new.circuit.connector_ohm; spec.circuit.condition.grip_lost = new.circuit.condition.grip_lost };
    /// Mend the wire from relay to coil.
    CoilWire = "coil-wire", Outside, 30.0 min, oil 0.0, at [], |spec, new| { spec.circuit.wiring_ohm = new.circuit.wiring_ohm; spec.circuit.condition.harness_ohm = new.circuit.condition.harness_ohm };
    /// Clean and renew the coil's ground.
    CoilGround = "coil-ground", Outside, 15.0 min, oil 0.0, at [], |spec, new| spec.circuit.condition.ground_ohm = new.circuit.condition.ground_ohm;
    /// Replace the fuse of the compressor's circuit.
    Fuse = "fuse", Outside, 3.0 min, oil 0.0, at [], |spec, new| { spec.circuit.fuse_a = new.circuit.fuse_a; spec.circuit.condition.fuse_element_ohm = new.circuit.condition.fuse_element_ohm };
    /// Replace the terminals of the fuse's holder.
    FuseHolder = "fuse-holder", Outside, 25.0 min, oil 0.0, at [], |spec, new| spec.circuit.condition.fuse_holder_ohm = new.circuit.condition.fuse_holder_ohm;
    /// Replace the compressor's relay.
    Relay = "relay", Outside, 5.0 min, oil 0.0, at [], |spec, new| { let (own, other) = (&mut spec.circuit, &new.circuit); own.relay_coil_ohm = other.relay_coil_ohm; let (own, other) = (&mut own.condition, &other.condition); own.relay_contact_ohm = other.relay_contact_ohm; own.relay_pull_in_v = other.relay_pull_in_v; own.relay_weld = other.relay_weld; own.relay_coil_open_ohm = other.relay_coil_open_ohm };
    /// Replace the drive belt and its tensioner.
    Belt = "belt", Outside, 25.0 min, oil 0.0, at [], |spec, new| spec.bay.belt_slip = new.bay.belt_slip;
    /// Replace the condenser fan's motor with its resistor and relay.
    Fan = "condenser-fan", Outside, 45.0 min, oil 0.0, at [], |spec, new| { let (own, other) = (&mut spec.fan, &new.fan); own.motor_loss = other.motor_loss; own.low_stage_loss = other.low_stage_loss; own.high_stage_loss = other.high_stage_loss; own.reversed = other.reversed };
    /// Fit the shroud between fan and radiator.
    FanShroud = "fan-shroud", Outside, 20.0 min, oil 0.0, at [], |spec, new| spec.fan.shroud_missing = new.fan.shroud_missing;
    /// Fit the foam seals around condenser and radiator.
    FrontSeals = "front-seals", Outside, 15.0 min, oil 0.0, at [], |spec, new| spec.fan.seals_missing = new.fan.seals_missing;
    /// Replace the pressure transducer with its seal; it sits on a valve.
    Transducer = "transducer", Outside, 10.0 min, oil 0.0, at [Transducer], |spec, new| { spec.controls.transducer_bias_pa = new.controls.transducer_bias_pa; spec.controls.sensors.transducer_wire_ohm = new.controls.sensors.transducer_wire_ohm };
    /// Replace the pressure switches, or the cut-outs in the control; they sit on valves.
    PressureSwitches = "pressure-switches", Outside, 15.0 min, oil 0.0, at [], |spec, new| { let (own, other) = (&mut spec.controls, &new.controls); own.low_cut_out_pa = other.low_cut_out_pa; own.high_cut_out_pa = other.high_cut_out_pa; own.cycling_pa = other.cycling_pa; own.cycling_bias_pa = other.cycling_bias_pa };
    /// Replace the evaporator's temperature sensor.
    EvaporatorSensor = "evaporator-sensor", Outside, 30.0 min, oil 0.0, at [], |spec, new| { let (own, other) = (&mut spec.controls, &new.controls); own.evaporator_sensor_bias_k = other.evaporator_sensor_bias_k; own.sensors.evaporator_wire_ohm = other.sensors.evaporator_wire_ohm; own.sensors.evaporator_leak_s = other.sensors.evaporator_leak_s };
    /// Replace the ambient sensor.
    AmbientSensor = "ambient-sensor", Outside, 10.0 min, oil 0.0, at [], |spec, new| { let (own, other) = (&mut spec.controls.sensors, &new.controls.sensors); own.ambient_bias_k = other.ambient_bias_k; own.ambient_wire_ohm = other.ambient_wire_ohm };
    /// Replace the cabin filter.
    CabinFilter = "cabin-filter", Outside, 10.0 min, oil 0.0, at [], |spec, new| spec.air_box.filter_blockage = new.air_box.filter_blockage;
    /// Replace the blower's motor with its wheel.
    Blower = "blower", Outside, 40.0 min, oil 0.0, at [], |spec, new| spec.air_box.blower_loss = new.air_box.blower_loss;
    /// Replace the blower's resistor.
    BlowerResistor = "blower-resistor", Outside, 15.0 min, oil 0.0, at [], |spec, new| spec.air_box.lower_steps_loss = new.air_box.lower_steps_loss;
    /// Mend the blend door, its motor or cable.
    BlendDoor = "blend-door", Outside, 90.0 min, oil 0.0, at [], |spec, new| { let (own, other) = (&mut spec.air_box, &new.air_box); own.blend_leak = other.blend_leak; own.blend_least = other.blend_least; own.blend_greatest = other.blend_greatest; own.blend_door_gap = other.blend_door_gap };
    /// Mend the intake door or its motor.
    IntakeDoor = "intake-door", Outside, 60.0 min, oil 0.0, at [], |spec, new| { spec.air_box.intake_leak = new.air_box.intake_leak; spec.air_box.intake_stuck_in = new.air_box.intake_stuck_in };
    /// Mend the mode door, its cable or motor.
    ModeDoor = "mode-door", Outside, 60.0 min, oil 0.0, at [], |spec, new| { spec.air_box.outlets.to_floor = new.air_box.outlets.to_floor; spec.air_box.outlets.to_screen = new.air_box.outlets.to_screen };
    /// Replace the heater valve.
    HeaterValve = "heater-valve", Outside, 40.0 min, oil 0.0, at [], |spec, new| spec.air_box.heater_valve_leak = new.air_box.heater_valve_leak;
    /// Mend the ducts and flaps behind the dash.
    Ducts = "ducts", Care, 40.0 min, oil 0.0, at [], |spec, new| { spec.air_box.outlets.left_shut = new.air_box.outlets.left_shut; spec.air_box.outlets.right_loose = new.air_box.outlets.right_loose };
    /// Clean the condenser's face from behind.
    CondenserFace = "condenser-face", Care, 30.0 min, oil 0.0, at [], |spec, new| spec.condenser.air_blockage = new.condenser.air_blockage;
    /// Comb the condenser's fins straight.
    CondenserFins = "condenser-fins", Care, 40.0 min, oil 0.0, at [], |spec, new| spec.condenser.fins_bent = new.condenser.fins_bent;
    /// Clean the evaporator's face.
    EvaporatorFace = "evaporator-face", Care, 45.0 min, oil 0.0, at [], |spec, new| spec.evaporator.air_blockage = new.evaporator.air_blockage;
    /// Clear the evaporator's drain.
    EvaporatorDrain = "evaporator-drain", Care, 15.0 min, oil 0.0, at [], |spec, new| spec.evaporator.drain_blockage = new.evaporator.drain_blockage;
    /// Set the clutch's gap with shims.
    ClutchGap = "clutch-gap", Care, 25.0 min, oil 0.0, at [], |spec, new| if let (Some(own), Some(other)) = (&mut spec.clutch, &new.clutch) { own.gap_m = other.gap_m };
    /// Clean the pipe at the evaporator's outlet and clamp the valve's bulb to it.
    ValveBulb = "valve-bulb", Care, 25.0 min, oil 0.0, at [], |spec, new| if let (Some(own), Some(other)) = (spec.expansion.valve_mut(), new.expansion.valve()) { own.sensing_contact_lost = other.sensing_contact_lost };
    /// Connect the condenser fan's motor the right way round.
    FanWires = "fan-wires", Care, 10.0 min, oil 0.0, at [], |spec, new| spec.fan.reversed = new.fan.reversed;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::faults::{KNOBS, Knob};

    /// What a knob can do to a part of the car some job undoes; what is in the loop is refilled instead.
    #[test]
    fn every_part_that_a_knob_can_spoil_can_be_put_right() {
        const REFILLED: [&str; 9] = [
            "charge-share",
            "air-in-loop",
            "water-in-loop",
            "other-refrigerant",
            "oil-share",
            "foreign-oil",
            "accumulator-keeps-oil",
            "clutch-gap-worn",
            "orifice-size",
        ];
        let healthy = CarSpec::example();
        for info in KNOBS.iter().filter(|info| !REFILLED.contains(&info.name)) {
            let mut spoilt = healthy.clone();
            let value = if info.healthy < info.most {
                info.most
            } else {
                info.least
            };
            info.knob.turn(&mut spoilt, value);
            if spoilt == healthy {
                continue;
            }
            let mended = JOBS.iter().any(|job| {
                let mut after = spoilt.clone();
                job.job.turn(&mut after, &healthy);
                after == healthy
            });
            assert!(mended, "no job puts `{}` right", info.name);
        }
        assert!(Knob::by_name("condenser-size").is_some());
    }

    #[test]
    fn a_right_part_for_a_sound_one_changes_nothing() {
        let healthy = CarSpec::example();
        for info in JOBS {
            assert!(!info.job.changes(&healthy, &healthy), "{}", info.name);
            assert_eq!(Job::by_name(info.name), Some(info.job));
        }
    }
}
