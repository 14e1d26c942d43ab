//! The properties of parts that a fault may change.

use crate::loop_model::layout::Layout;
use crate::parts::circuit::{ClutchCircuit, Feeds};
use crate::parts::clutch::Clutch;
use crate::parts::condenser::Condenser;
use crate::parts::controls::{Controls, Hysteresis};
use crate::parts::displacement::{Capacity, ControlValve};
use crate::parts::engine_bay::EngineBay;
use crate::parts::expansion_valve::ExpansionValve;
use crate::parts::motor::Motor;
use crate::parts::orifice_tube::OrificeTube;
use crate::parts::storage::{Place, Storage};
use crate::spec::{CarSpec, Leak, LeakPlace};

macro_rules! knobs {
    ($($(#[doc = $doc:literal])+ $knob:ident = $name:literal, $unit:literal, healthy $healthy:literal, from $least:literal to $most:literal, |$spec:ident, $value:ident| $turn:expr;)*) => {
        /// A property of a part that a fault may change.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Knob {
            $($(#[doc = $doc])+ $knob,)*
        }

        /// Every knob with its name, unit, healthy value and range: the one table files, checks and help read.
        pub const KNOBS: &[KnobInfo] = &[
            $(KnobInfo {
                knob: Knob::$knob,
                name: $name,
                unit: $unit,
                meaning: concat!($($doc),+),
                healthy: $healthy,
                least: $least,
                most: $most,
            },)*
        ];

        impl Knob {
            /// Gives the knob a value, joined with what other faults have done to the same part.
            pub fn turn(self, spec: &mut CarSpec, value: f64) {
                match self {
                    $(Self::$knob => {
                        let ($spec, $value) = (spec, value);
                        $turn;
                    })*
                }
            }
        }
    };
}

/// A knob described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnobInfo {
    /// The knob.
    pub knob: Knob,
    /// Its name in files.
    pub name: &'static str,
    /// Unit of its value.
    pub unit: &'static str,
    /// What it is.
    pub meaning: &'static str,
    /// Value at which it changes nothing.
    pub healthy: f64,
    /// Least value allowed.
    pub least: f64,
    /// Greatest value allowed.
    pub most: f64,
}

impl Knob {
    /// Description of this knob.
    #[must_use]
    pub fn info(self) -> &'static KnobInfo {
        // The table is made from the same list as the enum, in the same order.
        &KNOBS[self as usize]
    }

    /// The knob of a name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        KNOBS
            .iter()
            .find(|info| info.name == name)
            .map(|info| info.knob)
    }
}

/// Two blockages in a row leave open what both leave open.
fn block(already: &mut f64, more: f64) {
    *already = 1.0 - (1.0 - *already) * (1.0 - more);
}

/// Changes the thermal valve, where the car has one.
fn valve(spec: &mut CarSpec, change: impl FnOnce(&mut ExpansionValve)) {
    if let Some(valve) = spec.expansion.valve_mut() {
        change(valve);
    }
}

/// Changes the orifice tube, where the car has one.
fn orifice(spec: &mut CarSpec, change: impl FnOnce(&mut OrificeTube)) {
    if let Some(tube) = spec.expansion.orifice_mut() {
        change(tube);
    }
}

/// Changes the clutch, where the compressor has one.
fn clutch(spec: &mut CarSpec, change: impl FnOnce(&mut Clutch)) {
    if let Some(clutch) = &mut spec.clutch {
        change(clutch);
    }
}

/// Changes the winding that the compressor's circuit feeds, where it feeds one.
fn winding(spec: &mut CarSpec, change: impl FnOnce(&mut ClutchCircuit)) {
    if spec.circuit.feeds == Feeds::Winding {
        change(&mut spec.circuit);
    }
}

/// Changes what the belt drives the compressor by, where there is one.
fn belt(spec: &mut CarSpec, change: impl FnOnce(&mut EngineBay)) {
    if spec.compressor.turned.pulley_ratio().is_some() {
        change(&mut spec.bay);
    }
}

/// Changes the compressor's motor, where it has one of its own.
fn motor(spec: &mut CarSpec, change: impl FnOnce(&mut Motor)) {
    if let Some(motor) = spec.compressor.turned.motor_mut() {
        change(motor);
    }
}

/// Changes the valve that tilts the compressor's plate, where there is one.
fn control_valve(spec: &mut CarSpec, change: impl FnOnce(&mut ControlValve)) {
    if let Capacity::Variable(valve) = &mut spec.compressor.capacity {
        change(valve);
    }
}

/// Changes what the control makes of its evaporator sensor, where the car has one.
fn evaporator_sensor(spec: &mut CarSpec, change: impl FnOnce(&mut Controls)) {
    if spec.controls.has_evaporator_sensor() {
        change(&mut spec.controls);
    }
}

/// Fits a condenser of another size: more or fewer tubes of the same kind on the same face.
fn resize(condenser: &mut Condenser, share: f64) {
    condenser.volume_m3 *= share;
    condenser.passage_area_m2 *= share;
    condenser.air_conductance_w_per_k *= share;
    condenser.refrigerant_side.liquid_w_per_k *= share;
    condenser.refrigerant_side.two_phase_w_per_k *= share;
    condenser.refrigerant_side.vapour_w_per_k *= share;
    if let Some(subcooler) = &mut condenser.subcooler {
        subcooler.volume_m3 *= share;
    }
}

/// Moves both set points of a switch.
fn shift(switch: &mut Hysteresis, by: f64) {
    switch.trip += by;
    switch.reset += by;
}

/// Changes the bottle, where it is of the kind asked for: an accumulator, or a receiver.
fn bottle(spec: &mut CarSpec, accumulator: bool, change: impl FnOnce(&mut Storage)) {
    if (spec.storage.place == Place::Suction) == accumulator {
        change(&mut spec.storage);
    }
}

/// A leak at a place the car has, of a rate given in grams a year, as it would be into air from a loop
/// resting at 25 °C.
fn leak(spec: &mut CarSpec, place: LeakPlace, grams_per_year: f64) {
    let role = place.role(spec);
    if grams_per_year > 0.0 && Layout::of(spec).index_of(role).is_some() {
        spec.leaks.push(Leak {
            role,
            place,
            area_m2: Leak::area_of_rate_m2(grams_per_year),
        });
    }
}

knobs! {
    /// Refrigerant in the loop as a share of the label's charge.
    ChargeShare = "charge-share", "share of the label's charge", healthy 1.0, from 0.0 to 1.6, |spec, value| spec.charge_share *= value;
    /// Leak at the compressor's shaft seal.
    LeakCompressorSeal = "leak-compressor-seal", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::Compressor, value);
    /// Leak at the condenser.
    LeakCondenser = "leak-condenser", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::Condenser, value);
    /// Leak at the evaporator.
    LeakEvaporator = "leak-evaporator", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::Evaporator, value);
    /// Leak at the discharge hose's crimp.
    LeakDischargeHose = "leak-discharge-hose", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::DischargeHose, value);
    /// Leak at a fitting of the liquid line.
    LeakLiquidLine = "leak-liquid-line", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::LiquidLine, value);
    /// Least lift the expansion valve's needle can take.
    ValveLeastLift = "valve-least-lift", "share of full lift", healthy 0.0, from 0.0 to 1.0, |spec, value| valve(spec, |valve| valve.least_lift = valve.least_lift.max(value));
    /// Greatest lift the expansion valve's needle can take.
    ValveGreatestLift = "valve-greatest-lift", "share of full lift", healthy 1.0, from 0.0 to 1.0, |spec, value| valve(spec, |valve| valve.greatest_lift = valve.greatest_lift.min(value));
    /// Share of the valve's sensing charge that has escaped.
    SensingChargeLost = "sensing-charge-lost", "share", healthy 0.0, from 0.0 to 1.0, |spec, value| valve(spec, |valve| block(&mut valve.sensing_charge_lost, value));
    /// Share of the valve's inlet screen that is blocked.
    ValveScreenBlocked = "valve-screen-blocked", "share of the area", healthy 0.0, from 0.0 to 0.999, |spec, value| valve(spec, |valve| block(&mut valve.screen_blockage, value));
    /// Share of the condenser's face that lets no air through.
    CondenserFaceBlocked = "condenser-face-blocked", "share of the face", healthy 0.0, from 0.0 to 0.97, |spec, value| block(&mut spec.condenser.air_blockage, value);
    /// Share of the condenser's tubes that pass no refrigerant.
    CondenserTubesBlocked = "condenser-tubes-blocked", "share of the tubes", healthy 0.0, from 0.0 to 0.97, |spec, value| block(&mut spec.condenser.tube_blockage, value);
    /// Share of the receiver-drier's outlet that is blocked.
    DrierBlocked = "drier-blocked", "share of the area", healthy 0.0, from 0.0 to 0.999, |spec, value| bottle(spec, false, |bottle| block(&mut bottle.blockage, value));
    /// Share of the liquid line's bore that is blocked.
    LiquidLineBlocked = "liquid-line-blocked", "share of the area", healthy 0.0, from 0.0 to 0.999, |spec, value| block(&mut spec.liquid_line.blockage, value);
    /// Share of the suction hose's bore that is blocked.
    SuctionHoseBlocked = "suction-hose-blocked", "share of the area", healthy 0.0, from 0.0 to 0.999, |spec, value| block(&mut spec.suction_line.blockage, value);
    /// Share of the condenser fan's flow that is lost.
    FanFlowLost = "fan-flow-lost", "share of the flow", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.fan.motor_loss, value);
    /// Share of the fan's high stage that is lost.
    FanHighStageLost = "fan-high-stage-lost", "share of the extra flow", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.fan.high_stage_loss, value);
    /// Area through which gas blows back past the compressor's discharge valves, mm².
    CompressorValveLeak = "compressor-valve-leak", "mm²", healthy 0.0, from 0.0 to 12.0, |spec, value| spec.compressor.valve_leak_area_m2 += value * 1e-6;
    /// Torque that worn or seizing internals add to the compressor's shaft.
    CompressorDrag = "compressor-drag", "N m", healthy 0.0, from 0.0 to 200.0, |spec, value| spec.compressor.drag_torque_n_m += value;
    /// Resistance added by a broken winding of the clutch coil.
    CoilOpen = "coil-open", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| winding(spec, |circuit| circuit.open_ohm += value);
    /// Share of the clutch coil's turns that are shorted.
    CoilShorted = "coil-shorted", "share of the turns", healthy 0.0, from 0.0 to 0.99, |spec, value| winding(spec, |circuit| block(&mut circuit.shorted_share, value));
    /// Resistance added in the clutch coil's connector.
    ConnectorResistance = "connector-resistance", "Ω", healthy 0.0, from 0.0 to 1e6, |spec, value| spec.circuit.connector_ohm += value;
    /// Share of the clutch facing's friction that is lost.
    ClutchFrictionLost = "clutch-friction-lost", "share", healthy 0.0, from 0.0 to 1.0, |spec, value| clutch(spec, |clutch| block(&mut clutch.friction_loss, value));
    /// Gap added between clutch plate and pulley by wear, mm.
    ClutchGapAdded = "clutch-gap-added", "mm", healthy 0.0, from 0.0 to 3.0, |spec, value| clutch(spec, |clutch| clutch.gap_m += value * 1e-3);
    /// Share of the clutch's insulation and facing that heat has charred.
    ClutchCharred = "clutch-charred", "share", healthy 0.0, from 0.0 to 1.0, |spec, value| clutch(spec, |clutch| block(&mut clutch.charred, value));
    /// Share of belt speed lost under the compressor's load.
    BeltSlip = "belt-slip", "share of the speed", healthy 0.0, from 0.0 to 0.95, |spec, value| belt(spec, |bay| block(&mut bay.belt_slip, value));
    /// How far the compressor's pulley stands out of the belt's line; a car without a belt has nothing to turn.
    BeltOutOfLine = "belt-out-of-line", "mm", healthy 0.0, from -12.0 to 12.0, |spec, value| belt(spec, |bay| bay.belt_out_of_line_m += value * 1e-3);
    /// Share of the evaporator's face that lets no air through.
    EvaporatorFaceBlocked = "evaporator-face-blocked", "share of the face", healthy 0.0, from 0.0 to 0.97, |spec, value| block(&mut spec.evaporator.air_blockage, value);
    /// Share of the cabin filter that is blocked.
    CabinFilterBlocked = "cabin-filter-blocked", "share of the area", healthy 0.0, from 0.0 to 0.97, |spec, value| block(&mut spec.air_box.filter_blockage, value);
    /// Share of the blower's flow that is lost.
    BlowerFlowLost = "blower-flow-lost", "share of the flow", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.blower_loss, value);
    /// Share of the air that passes the heater core at full cold.
    BlendDoorLeak = "blend-door-leak", "share of the air", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.blend_leak, value);
    /// Share of outside air drawn with the intake door asked to recirculate.
    IntakeDoorLeak = "intake-door-leak", "share of the air", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.intake_leak, value);
    /// Error of the evaporator temperature sensor.
    EvaporatorSensorError = "evaporator-sensor-error", "K", healthy 0.0, from -30.0 to 30.0, |spec, value| evaporator_sensor(spec, |controls| controls.evaporator_sensor_bias_k += value);
    /// Error of the high-side pressure transducer.
    TransducerError = "transducer-error", "kPa", healthy 0.0, from -3000.0 to 3000.0, |spec, value| spec.controls.transducer_bias_pa += value * 1e3;
    /// Air in the loop, g.
    AirInLoop = "air-in-loop", "g", healthy 0.0, from 0.0 to 20.0, |spec, value| spec.contents.air_kg += value * 1e-3;
    /// Water in the loop beyond what every loop holds, g; the drier binds a few grams of it.
    WaterInLoop = "water-in-loop", "g", healthy 0.0, from 0.0 to 20.0, |spec, value| spec.contents.water_kg += value * 1e-3;
    /// Share of the refrigerant that is the other one of the two cars use.
    OtherRefrigerant = "other-refrigerant", "share by mass", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.contents.other_share, value);
    /// Oil in the loop as a share of the label's amount.
    OilShare = "oil-share", "share of the label's amount", healthy 1.0, from 0.1 to 3.0, |spec, value| spec.oil.share *= value;
    /// Share of the oil that does not dissolve in the refrigerant.
    ForeignOil = "foreign-oil", "share of the oil", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.oil.foreign_share, value);
    /// Debris that the compressor has shed, g.
    DebrisShed = "debris-shed", "g", healthy 0.0, from 0.0 to 50.0, |spec, value| spec.debris.shed_kg += value * 1e-3;
    /// Debris that the compressor sheds with a thousand turns, mg.
    DebrisRate = "debris-rate", "mg per 1000 turns", healthy 0.0, from 0.0 to 100.0, |spec, value| spec.debris.shed_kg_per_turn += value * 1e-9;
    /// Volumetric efficiency lost to worn rings and cylinders.
    RingWear = "ring-wear", "share of the flow", healthy 0.0, from 0.0 to 0.8, |spec, value| spec.compressor.volumetric_base *= 1.0 - value;
    /// Share of the discharge hose's bore that is blocked.
    DischargeHoseBlocked = "discharge-hose-blocked", "share of the area", healthy 0.0, from 0.0 to 0.98, |spec, value| block(&mut spec.discharge_line.blockage, value);
    /// Share of the evaporator's passes that pass no refrigerant.
    EvaporatorTubesBlocked = "evaporator-tubes-blocked", "share of the tubes", healthy 0.0, from 0.0 to 0.97, |spec, value| block(&mut spec.evaporator.tube_blockage, value);
    /// Error of the thermal valve's spring: more superheat above zero, less below.
    ValveSpringError = "valve-spring-error", "kPa", healthy 0.0, from -45.0 to 200.0, |spec, value| valve(spec, |valve| valve.spring_pressure_pa += value * 1e3);
    /// Share of the orifice tube's screen and bore that is blocked.
    OrificeBlocked = "orifice-blocked", "share of the area", healthy 0.0, from 0.0 to 0.9999, |spec, value| orifice(spec, |tube| block(&mut tube.blockage, value));
    /// Area by which refrigerant gets past the orifice tube's seal, mm².
    OrificeBypass = "orifice-bypass", "mm²", healthy 0.0, from 0.0 to 6.0, |spec, value| orifice(spec, |tube| tube.bypass_area_m2 += value * 1e-6);
    /// Area of the orifice tube fitted against that of the right one.
    OrificeSize = "orifice-size", "share of the area", healthy 1.0, from 0.3 to 3.0, |spec, value| orifice(spec, |tube| tube.area_m2 *= value);
    /// Greatest stroke of a compressor whose plate or control valve sticks.
    StrokeGreatest = "stroke-greatest", "share of full stroke", healthy 1.0, from 0.02 to 1.0, |spec, value| control_valve(spec, |valve| valve.greatest_stroke = valve.greatest_stroke.min(value));
    /// Least stroke of a compressor whose plate or control valve sticks.
    StrokeLeast = "stroke-least", "share of full stroke", healthy 0.0, from 0.0 to 1.0, |spec, value| control_valve(spec, |valve| valve.least_stroke = valve.least_stroke.max(value));
    /// Error of the suction pressure that the control valve holds.
    ControlValveShift = "control-valve-shift", "kPa", healthy 0.0, from -200.0 to 400.0, |spec, value| control_valve(spec, |valve| valve.shift_pa += value * 1e3);
    /// Share of its force that the control valve's solenoid has lost.
    SolenoidWeak = "solenoid-weak", "share of the force", healthy 0.0, from 0.0 to 1.0, |spec, value| control_valve(spec, |valve| if valve.solenoid_span_pa > 0.0 { valve.pull_lost = 1.0 - (1.0 - valve.pull_lost) * (1.0 - value); });
    /// Error of the cycling switch at the accumulator.
    CyclingSwitchError = "cycling-switch-error", "kPa", healthy 0.0, from -400.0 to 400.0, |spec, value| if spec.controls.cycling_pa.is_some() { spec.controls.cycling_bias_pa += value * 1e3; };
    /// Resistance of a break in the clutch fuse's element.
    FuseElementBroken = "fuse-element-broken", "Ω", healthy 0.0, from 0.0 to 1e9, |spec, value| spec.circuit.condition.fuse_element_ohm += value;
    /// How far the fuse's rating falls short of what the cold coil draws; any at all is a fuse of the wrong size.
    FuseRatingShort = "fuse-rating-short", "share of the coil's current", healthy 0.0, from 0.0 to 1.0, |spec, value| if value > 0.0 { spec.circuit.fuse_a = spec.circuit.fuse_a.min((1.0 - value) * spec.circuit.cold_coil_a()); };
    /// Resistance added in the clutch fuse's holder.
    FuseHolderResistance = "fuse-holder-resistance", "Ω", healthy 0.0, from 0.0 to 1e6, |spec, value| spec.circuit.condition.fuse_holder_ohm += value;
    /// Resistance added at the clutch relay's contacts.
    RelayContactResistance = "relay-contact-resistance", "Ω", healthy 0.0, from 0.0 to 1e6, |spec, value| spec.circuit.condition.relay_contact_ohm += value;
    /// Volts the clutch relay's coil needs beyond the usual to pull in.
    RelayPullInRaised = "relay-pull-in-raised", "V", healthy 0.0, from 0.0 to 30.0, |spec, value| spec.circuit.condition.relay_pull_in_v += value;
    /// Force of a weld between the clutch relay's contacts; from 1 the spring cannot part them.
    RelayWeld = "relay-weld", "share of the spring's force", healthy 0.0, from 0.0 to 2.0, |spec, value| spec.circuit.condition.relay_weld += value;
    /// Resistance added in the clutch relay's own coil.
    RelayCoilOpen = "relay-coil-open", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| spec.circuit.condition.relay_coil_open_ohm += value;
    /// Resistance added in the wire from the clutch relay to the clutch's plug.
    ClutchWireResistance = "clutch-wire-resistance", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| spec.circuit.condition.harness_ohm += value;
    /// Resistance added at the clutch coil's ground.
    ClutchGroundResistance = "clutch-ground-resistance", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| spec.circuit.condition.ground_ohm += value;
    /// Share of the spring's grip that the feed pin in the clutch's plug has lost.
    ConnectorGripLost = "connector-grip-lost", "share of the grip", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.circuit.condition.grip_lost, value);
    /// How far below 200 °C a cracked winding of the clutch coil parts as it warms up; 0 for a sound winding.
    CoilPartsHot = "coil-parts-hot", "K below 200 °C", healthy 0.0, from 0.0 to 180.0, |spec, value| winding(spec, |circuit| circuit.condition.parts_below_limit_k = circuit.condition.parts_below_limit_k.max(value));
    /// Resistance added in the pressure transducer's signal wire.
    TransducerWireResistance = "transducer-wire-resistance", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| spec.controls.sensors.transducer_wire_ohm += value;
    /// Resistance added in the evaporator sensor's wire.
    EvaporatorSensorWireResistance = "evaporator-sensor-wire-resistance", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| evaporator_sensor(spec, |controls| controls.sensors.evaporator_wire_ohm += value);
    /// Conductance of a leak across the evaporator sensor.
    EvaporatorSensorLeak = "evaporator-sensor-leak", "mS", healthy 0.0, from 0.0 to 1000.0, |spec, value| evaporator_sensor(spec, |controls| controls.sensors.evaporator_leak_s += value * 1e-3);
    /// Error of the ambient sensor.
    AmbientSensorError = "ambient-sensor-error", "K", healthy 0.0, from -40.0 to 40.0, |spec, value| spec.controls.sensors.ambient_bias_k += value;
    /// Resistance added in the ambient sensor's wire.
    AmbientSensorWireResistance = "ambient-sensor-wire-resistance", "Ω", healthy 0.0, from 0.0 to 1e7, |spec, value| spec.controls.sensors.ambient_wire_ohm += value;
    /// Pressure by which the low cut-out opens and closes too high.
    LowCutOutRaised = "low-cut-out-raised", "kPa", healthy 0.0, from 0.0 to 4000.0, |spec, value| if let Some(switch) = &mut spec.controls.low_cut_out_pa { shift(switch, value * 1e3); };
    /// Pressure by which the high cut-out opens and closes too low.
    HighCutOutLowered = "high-cut-out-lowered", "kPa", healthy 0.0, from 0.0 to 3000.0, |spec, value| shift(&mut spec.controls.high_cut_out_pa, -value * 1e3);
    /// Share of the condenser's fins that corrosion has parted from the tubes.
    CondenserFinsLost = "condenser-fins-lost", "share of the fins", healthy 0.0, from 0.0 to 0.97, |spec, value| block(&mut spec.condenser.fin_loss, value);
    /// Share of the condenser's face whose fins are bent over.
    CondenserFinsBent = "condenser-fins-bent", "share of the face", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.condenser.fins_bent, value);
    /// Share of the seals around condenser and radiator that is missing.
    CondenserSealsMissing = "condenser-seals-missing", "share of the seals", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.fan.seals_missing, value);
    /// Share of the fan's low stage that is lost.
    FanLowStageLost = "fan-low-stage-lost", "share of the flow", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.fan.low_stage_loss, value);
    /// How far the fan's push is turned round, its poles crossed.
    FanReversed = "fan-reversed", "share", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.fan.reversed, value);
    /// Share of the shroud between fan and core that is missing.
    FanShroudMissing = "fan-shroud-missing", "share of the shroud", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.fan.shroud_missing, value);
    /// Share of the evaporator's water drain that is blocked.
    EvaporatorDrainBlocked = "evaporator-drain-blocked", "share of the drain", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.evaporator.drain_blockage, value);
    /// Share of the blower's speed that every step below the top one loses.
    BlowerLowerStepsLost = "blower-lower-steps-lost", "share of the speed", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.lower_steps_loss, value);
    /// Least share of the air the blend door can send past the heater core.
    BlendDoorLeast = "blend-door-least", "share of the air", healthy 0.0, from 0.0 to 1.0, |spec, value| spec.air_box.blend_least = spec.air_box.blend_least.max(value);
    /// Greatest share of the air the blend door can send past the heater core.
    BlendDoorGreatest = "blend-door-greatest", "share of the air", healthy 1.0, from 0.0 to 1.0, |spec, value| spec.air_box.blend_greatest = spec.air_box.blend_greatest.min(value);
    /// Share of the coolant that a heater valve lets by when shut; a car without one has nothing to turn.
    HeaterValveLeak = "heater-valve-leak", "share of the coolant", healthy 0.0, from 0.0 to 1.0, |spec, value| if spec.air_box.heater_valve { block(&mut spec.air_box.heater_valve_leak, value) };
    /// Share of the recirculating position the intake door keeps with outside air asked for.
    IntakeDoorStuckIn = "intake-door-stuck-in", "share of the door's way", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.intake_stuck_in, value);
    /// Share of the mode door's way from the dash to the floor.
    ModeDoorToFloor = "mode-door-to-floor", "share of the door's way", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.outlets.to_floor, value);
    /// Share of the mode door's way from the dash to the windscreen.
    ModeDoorToScreen = "mode-door-to-screen", "share of the door's way", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.outlets.to_screen, value);
    /// Share of the left vent's passage that is shut.
    LeftVentShut = "left-vent-shut", "share of the passage", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.outlets.left_shut, value);
    /// Share of the right duct's joint that has come apart.
    RightDuctLoose = "right-duct-loose", "share of the joint", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.air_box.outlets.right_loose, value);
    /// Size of the condenser fitted against the right one: passes, volume and surface.
    CondenserSize = "condenser-size", "share of the right one's size", healthy 1.0, from 0.4 to 1.6, |spec, value| resize(&mut spec.condenser, value);
    /// Share of the drier's capacity for water that is used up or lost.
    DrierSpent = "drier-spent", "share of the capacity", healthy 0.0, from 0.0 to 1.0, |spec, value| block(&mut spec.contents.drier_spent, value);
    /// Share of the accumulator's outlet that is blocked.
    AccumulatorBlocked = "accumulator-blocked", "share of the area", healthy 0.0, from 0.0 to 0.999, |spec, value| bottle(spec, true, |bottle| block(&mut bottle.blockage, value));
    /// Share of its contact with the evaporator's outlet that the thermal valve's sensing element has lost to the air around it.
    SensingContactLost = "sensing-contact-lost", "share", healthy 0.0, from 0.0 to 1.0, |spec, value| valve(spec, |valve| block(&mut valve.sensing_contact_lost, value));
    /// Leak at the valve of the low-side service port.
    LeakLowPort = "leak-low-port", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::LowPort, value);
    /// Leak at the valve of the high-side service port.
    LeakHighPort = "leak-high-port", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::HighPort, value);
    /// Leak at the seal of the pressure transducer.
    LeakTransducerSeal = "leak-transducer-seal", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::Transducer, value);
    /// Leak at a joint of the receiver.
    LeakReceiver = "leak-receiver", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::Receiver, value);
    /// Leak at a joint of the accumulator.
    LeakAccumulator = "leak-accumulator", "g/yr at rest, 25 °C", healthy 0.0, from 0.0 to 1e6, |spec, value| leak(spec, LeakPlace::Accumulator, value);
    /// Share of the oil that stays in the accumulator.
    AccumulatorKeepsOil = "accumulator-keeps-oil", "share of the oil", healthy 0.0, from 0.0 to 0.9, |spec, value| if spec.storage.place == Place::Suction { spec.oil.share *= 1.0 - value };
    /// Wear of the clutch's gap, against what the cold coil can bridge beyond the gap it was built with.
    ClutchGapWorn = "clutch-gap-worn", "share of the gap to spare", healthy 0.0, from 0.0 to 4.0, |spec, value| { let cold_a = spec.circuit.cold_coil_a(); clutch(spec, |clutch| clutch.gap_m += value * clutch.spare_gap_m(cold_a)) };
    /// Share of its torque and power that the compressor's own motor has lost.
    MotorPowerLost = "motor-power-lost", "share of the power", healthy 0.0, from 0.0 to 1.0, |spec, value| motor(spec, |motor| block(&mut motor.power_lost, value));
    /// Displacement of the compressor fitted against that of the right one.
    CompressorSize = "compressor-size", "share of the right one's displacement", healthy 1.0, from 0.4 to 1.6, |spec, value| spec.compressor.displacement_m3 *= value;
    /// Rating of a fuse of another value in the clutch's circuit, A; 0 for the one that belongs there.
    FuseRating = "fuse-rating", "A", healthy 0.0, from 0.0 to 40.0, |spec, value| if value > 0.0 { spec.circuit.fuse_a = value };
}
