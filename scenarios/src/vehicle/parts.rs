//! The parts of a vehicle as its file writes them, and as sim-core takes them.
//!
//! What a fault may worsen (blockages, leaks, wear) has no field here: a vehicle is
//! described healthy.

use serde::Deserialize;
use sim_core::parts::air_box::AirBox as AirBoxSpec;
use sim_core::parts::cabin::Cabin as CabinSpec;
use sim_core::parts::circuit::{ClutchCircuit as CircuitSpec, Condition};
use sim_core::parts::clutch::Clutch as ClutchSpec;
use sim_core::parts::compressor::Compressor as CompressorSpec;
use sim_core::parts::condenser::{
    Condenser as CondenserSpec, CondenserFan as FanSpec, Subcooler as SubcoolerSpec,
};
use sim_core::parts::controls::{
    Controls as ControlsSpec, EvaporatorTarget as TargetSpec, Hysteresis,
};
use sim_core::parts::displacement::{Capacity, ControlValve as ControlValveSpec};
use sim_core::parts::engine_bay::EngineBay as EngineSpec;
use sim_core::parts::evaporator::Evaporator as EvaporatorSpec;
use sim_core::parts::expansion_valve::ExpansionValve as ValveSpec;
use sim_core::parts::heat_transfer::RegimeConductance;
use sim_core::parts::orifice_tube::OrificeTube as OrificeSpec;
use sim_core::parts::outlets::Outlets;
use sim_core::parts::sensors::Sensors;
use sim_core::parts::storage::{Place, Storage};
use sim_core::spec::Hose as HoseSpec;
use toml::Spanned;

use crate::checked::{Build, Positive, Share, TurnsPerSecond};
use crate::quantity::{
    AbsolutePressure, Area, Current, Duration, GaugePressure, HeatCapacity, Length, Mass, MassFlow,
    PressureDifference, Resistance, Speed, Temperature, TemperatureDifference, ThermalConductance,
    Torque, Volume, VolumeFlow,
};

/// Defines a part's table and how it becomes a part of sim-core: each field by its own name
/// on the left and sim-core's on the right, then what a file does not say.
macro_rules! part {
    (
        $(#[$doc:meta])*
        $name:ident for $spec:ident {
            $($(#[$field_doc:meta])* $field:ident: $type:ty => $target:ident,)*
        }
        and |$part:ident| { $($other:ident: $value:expr,)* }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $type,)*
        }

        impl Build for $name {
            type Built = $spec;

            fn build(&self) -> $spec {
                let $part = self;
                $spec {
                    $($target: $part.$field.build(),)*
                    $($other: $value,)*
                }
            }
        }
    };
}

part! {
    /// How well refrigerant and wall exchange heat, for the whole of a part.
    RefrigerantSide for RegimeConductance {
        /// With nothing but liquid inside.
        liquid: Positive<ThermalConductance> => liquid_w_per_k,
        /// Boiling or condensing.
        two_phase: Positive<ThermalConductance> => two_phase_w_per_k,
        /// With nothing but vapour inside.
        vapour: Positive<ThermalConductance> => vapour_w_per_k,
        /// Refrigerant flow at which these hold.
        at_flow: Positive<MassFlow> => nominal_flow_kg_s,
    }
    and |_part| {}
}

/// A switch that changes at one value and comes back at another.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Switch<Q> {
    /// The value at which it changes.
    pub trip: Spanned<Q>,
    /// The value at which it comes back.
    pub reset: Spanned<Q>,
}

impl<Q: Copy + Into<f64>> Switch<Q> {
    /// The value at which it changes, SI.
    pub fn trip_si(&self) -> f64 {
        (*self.trip.get_ref()).into()
    }

    /// The value at which it comes back, SI.
    pub fn reset_si(&self) -> f64 {
        (*self.reset.get_ref()).into()
    }
}

impl<Q: Copy + Into<f64>> Build for Switch<Q> {
    type Built = Hysteresis;

    fn build(&self) -> Hysteresis {
        Hysteresis {
            trip: self.trip_si(),
            reset: self.reset_si(),
        }
    }
}

part! {
    /// A compressor with its efficiencies as straight lines over pressure ratio and speed.
    Compressor for CompressorSpec {
        /// Volume swept in one turn.
        displacement: Positive<Volume> => displacement_m3,
        /// Turns of the pulley for one turn of the engine.
        pulley_ratio: Positive<f64> => pulley_ratio,
        /// Volumetric efficiency at pressure ratio 1 and 1000 rpm.
        volumetric_base: Share => volumetric_base,
        /// Volumetric efficiency lost for each unit of pressure ratio.
        volumetric_loss_per_ratio: Share => volumetric_loss_per_ratio,
        /// Volumetric efficiency lost for each 1000 rpm.
        volumetric_loss_per_1000_rpm: Share => volumetric_loss_per_1000_rpm,
        /// Isentropic efficiency at pressure ratio 1 and 1000 rpm.
        isentropic_base: Share => isentropic_base,
        /// Isentropic efficiency lost for each unit of pressure ratio.
        isentropic_loss_per_ratio: Share => isentropic_loss_per_ratio,
        /// Isentropic efficiency lost for each 1000 rpm.
        isentropic_loss_per_1000_rpm: Share => isentropic_loss_per_1000_rpm,
        /// Torque of seals and bearings.
        friction_torque: Positive<Torque> => friction_torque_n_m,
        /// Heat capacity of the body.
        body_heat_capacity: Positive<HeatCapacity> => body_heat_capacity_j_per_k,
        /// From the discharge gas to the body.
        gas_to_body: Positive<ThermalConductance> => body_conductance_w_per_k,
        /// From the body to the air of the engine bay.
        body_to_bay: Positive<ThermalConductance> => body_loss_w_per_k,
        /// Leak past the discharge valves of a sound compressor.
        valve_leak: Positive<Area> => valve_leak_area_m2,
    }
    and |_part| { drag_torque_n_m: 0.0, capacity: Capacity::Fixed, }
}

/// The valve that tilts the plate of a compressor of variable displacement.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ControlValve {
    /// Suction pressure held without current.
    pub set_pressure: Positive<AbsolutePressure>,
    /// Rise of suction pressure from least to full stroke.
    pub band: Positive<PressureDifference>,
    /// Least stroke, of full.
    pub least_stroke: Share,
    /// Time the plate takes to follow.
    pub lag: Positive<Duration>,
    /// The solenoid that moves it; left out for an internal bellows.
    pub solenoid: Option<Solenoid>,
}

/// The solenoid of a control valve.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Solenoid {
    /// How far full current lowers the pressure held.
    pub span: Positive<PressureDifference>,
    /// Current at which that holds.
    pub rated_current: Positive<Current>,
}

impl Build for ControlValve {
    type Built = ControlValveSpec;

    fn build(&self) -> ControlValveSpec {
        let solenoid = self.solenoid.as_ref();
        ControlValveSpec {
            set_pa: self.set_pressure.build(),
            solenoid_span_pa: solenoid.map_or(0.0, |solenoid| solenoid.span.build()),
            rated_a: solenoid.map_or(1.0, |solenoid| solenoid.rated_current.build()),
            band_pa: self.band.build(),
            least_stroke: self.least_stroke.build(),
            greatest_stroke: 1.0,
            lag_s: self.lag.build(),
            shift_pa: 0.0,
        }
    }
}

part! {
    /// The magnetic clutch.
    Clutch for ClutchSpec {
        /// Air gap between plate and pulley.
        gap: Positive<Length> => design_gap_m,
        /// Current that pulls the plate across that gap.
        pull_in: Positive<Current> => pull_in_a,
        /// Share of that current which still holds the plate once it touches.
        holding_share: Share => holding_share,
        /// Torque carried without slipping at the rated current.
        torque: Positive<Torque> => torque_n_m,
        /// Current at which that torque holds.
        rated_current: Positive<Current> => rated_a,
        /// Heat capacity of plate and pulley.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// To the air around it, turning.
        to_bay: Positive<ThermalConductance> => cooling_w_per_k,
    }
    and |part| { gap_m: part.gap.build(), friction_loss: 0.0, charred: 0.0, }
}

part! {
    /// The circuit of the clutch's coil.
    ClutchCircuit for CircuitSpec {
        /// The coil at 20 °C.
        coil: Positive<Resistance> => coil_ohm,
        /// Battery, wires, fuse, relay contacts and ground together.
        wiring: Positive<Resistance> => wiring_ohm,
        /// Current that blows the fuse.
        fuse: Positive<Current> => fuse_a,
        /// The coil's connector.
        connector: Positive<Resistance> => connector_ohm,
        /// The relay's own coil.
        relay_coil: Positive<Resistance> => relay_coil_ohm,
    }
    and |_part| { shorted_share: 0.0, open_ohm: 0.0, condition: Condition::default(), }
}

part! {
    /// A hose or pipe of the loop.
    Hose for HoseSpec {
        /// Inner volume.
        volume: Positive<Volume> => volume_m3,
        /// Flow area times discharge coefficient.
        flow_area: Positive<Area> => flow_area_m2,
        /// Heat capacity of the wall.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// From refrigerant to wall.
        refrigerant_side: RefrigerantSide => refrigerant_side,
        /// From the wall to the air of the engine bay.
        to_bay: Positive<ThermalConductance> => outside_w_per_k,
    }
    and |_part| { blockage: 0.0, }
}

part! {
    /// The condenser.
    Condenser for CondenserSpec {
        /// Volume of the condensing passes.
        volume: Positive<Volume> => volume_m3,
        /// The pass behind a receiver built into it.
        subcooler: Option<Subcooler> => subcooler,
        /// Heat capacity of the metal.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// From refrigerant to metal, for the whole core.
        refrigerant_side: RefrigerantSide => refrigerant_side,
        /// From the metal to air at 2 m/s, for the whole core.
        air_side: Positive<ThermalConductance> => air_conductance_w_per_k,
        /// Face area.
        face_area: Positive<Area> => face_area_m2,
        /// Flow area of the condensing passes times discharge coefficient.
        passage_area: Positive<Area> => passage_area_m2,
    }
    and |_part| { air_blockage: 0.0, tube_blockage: 0.0, fins_bent: 0.0, fin_loss: 0.0, }
}

part! {
    /// The pass of a condenser that cools what its receiver hands on.
    Subcooler for SubcoolerSpec {
        /// Volume.
        volume: Positive<Volume> => volume_m3,
        /// Share of the core.
        core_share: Share => core_share,
    }
    and |_part| {}
}

/// The bottle that keeps spare refrigerant and the drier.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bottle {
    /// Where it is.
    pub place: BottlePlace,
    /// Volume, desiccant taken off.
    pub volume: Positive<Volume>,
    /// Heat capacity of bottle and drier.
    pub heat_capacity: Positive<HeatCapacity>,
    /// From what it holds to its wall.
    pub inside: Positive<ThermalConductance>,
    /// From its wall to the air around.
    pub outside: Positive<ThermalConductance>,
    /// Flow area of its outlet, with the subcooling pass where one follows, times discharge
    /// coefficient.
    pub outlet_area: Positive<Area>,
}

/// Where the bottle is.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum BottlePlace {
    /// A receiver on the side of the condenser.
    InCondenser,
    /// A receiver in the liquid line.
    LiquidLine,
    /// An accumulator behind the evaporator.
    Suction,
}

impl Build for Bottle {
    type Built = Storage;

    fn build(&self) -> Storage {
        Storage {
            place: match self.place {
                BottlePlace::InCondenser => Place::InCondenser,
                BottlePlace::LiquidLine => Place::LiquidLine,
                BottlePlace::Suction => Place::Suction,
            },
            volume_m3: self.volume.build(),
            heat_capacity_j_per_k: self.heat_capacity.build(),
            inside_w_per_k: self.inside.build(),
            outside_w_per_k: self.outside.build(),
            outlet_area_m2: self.outlet_area.build(),
            blockage: 0.0,
        }
    }
}

part! {
    /// The orifice tube.
    OrificeTube for OrificeSpec {
        /// Flow area times discharge coefficient.
        area: Positive<Area> => area_m2,
    }
    and |_part| { blockage: 0.0, bypass_area_m2: 0.0, }
}

part! {
    /// The fan at the condenser and the air the road brings.
    Fan for FanSpec {
        /// Air speed at the face on the low stage.
        low_speed: Positive<Speed> => low_velocity_m_s,
        /// Air speed at the face on the high stage.
        high_speed: Positive<Speed> => high_velocity_m_s,
        /// Air speed at the face as a share of road speed.
        ram_share: Share => ram_share,
        /// Share of the air leaving the condenser that comes round again with the car standing.
        recirculated_share: Share => recirculated_share,
    }
    and |_part| {
        motor_loss: 0.0,
        low_stage_loss: 0.0,
        high_stage_loss: 0.0,
        reversed: 0.0,
        shroud_missing: 0.0,
        seals_missing: 0.0,
    }
}

part! {
    /// The thermal expansion valve.
    ThermalValve for ValveSpec {
        /// Flow area times discharge coefficient with the needle fully lifted.
        full_area: Positive<Area> => full_area_m2,
        /// Share of that area which stays open with the needle seated.
        bleed_share: Share => bleed_share,
        /// Pressure of the spring with the needle seated.
        spring: Positive<PressureDifference> => spring_pressure_pa,
        /// Pressure beyond the spring that lifts the needle fully.
        full_lift: Positive<PressureDifference> => full_lift_pressure_pa,
        /// Time the sensing element takes to follow.
        sensing_lag: Positive<Duration> => sensing_lag_s,
        /// Pressure at which the sensing charge has boiled dry and stops rising.
        pressure_limit: Positive<AbsolutePressure> => pressure_limit_pa,
    }
    and |_part| {
        least_lift: 0.0,
        greatest_lift: 1.0,
        sensing_charge_lost: 0.0,
        sensing_contact_lost: 0.0,
        screen_blockage: 0.0,
    }
}

part! {
    /// The evaporator.
    Evaporator for EvaporatorSpec {
        /// Volume for refrigerant.
        volume: Positive<Volume> => volume_m3,
        /// Heat capacity of the metal.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// From refrigerant to metal, for the whole core.
        refrigerant_side: RefrigerantSide => refrigerant_side,
        /// From air to metal at the rated air flow, for the whole core.
        air_side: Positive<ThermalConductance> => air_conductance_w_per_k,
        /// Dry air per time at which that holds.
        rated_air_flow: Positive<MassFlow> => rated_air_flow_kg_s,
        /// Flow area of the passes times discharge coefficient.
        passage_area: Positive<Area> => passage_area_m2,
        /// Frost that closes the whole core.
        frost_to_block: Positive<Mass> => frost_to_block_kg,
        /// Water the fins hold before they drip.
        water_held: Positive<Mass> => water_held_kg,
        /// Water the case below holds before it runs over.
        sump: Positive<Mass> => sump_kg,
    }
    and |_part| { air_blockage: 0.0, tube_blockage: 0.0, drain_blockage: 0.0, }
}

part! {
    /// Blower, doors and heater core.
    AirBox for AirBoxSpec {
        /// Air of each blower step from the lowest, filter clean and evaporator dry.
        blower_steps: BlowerSteps => blower_flow_m3_s,
        /// Pressure the blower makes on its top step with no way out for the air.
        blower_shut_off: Positive<PressureDifference> => blower_shut_off_pa,
        /// Pressure the clean, dry box takes at the top step's air.
        clean_drop: Spanned<Positive<PressureDifference>> => clean_drop_pa,
        /// Share of cabin air drawn with the intake door on recirculation.
        recirculation_share: Share => recirculation_share,
        /// Share of the way to the coolant's temperature that air past the heater core goes.
        heater_effectiveness: Share => heater_effectiveness,
        /// A valve shuts the coolant off at full cold.
        heater_valve: bool => heater_valve,
        /// Share of the air that passes the heater core at full cold as the box is made.
        blend_door_gap: Spanned<Share> => blend_door_gap,
        /// Heat capacity of ducts and case.
        duct_heat_capacity: Positive<HeatCapacity> => duct_heat_capacity_j_per_k,
        /// From the cabin into the ducts.
        duct_gain: Positive<ThermalConductance> => duct_gain_w_per_k,
    }
    and |_part| {
        outlets: Outlets::default(),
        filter_blockage: 0.0,
        blower_loss: 0.0,
        lower_steps_loss: 0.0,
        blend_leak: 0.0,
        blend_least: 0.0,
        blend_greatest: 1.0,
        heater_valve_leak: 0.0,
        intake_leak: 0.0,
        intake_stuck_in: 0.0,
    }
}

/// The blower's steps, the lowest first; off is not written.
#[derive(Clone, Debug, Deserialize)]
#[serde(transparent)]
pub struct BlowerSteps(
    /// Air of each step.
    pub Spanned<Vec<Positive<VolumeFlow>>>,
);

impl Build for BlowerSteps {
    type Built = Vec<f64>;

    fn build(&self) -> Vec<f64> {
        let steps = self.0.get_ref().iter().map(Build::build);
        std::iter::once(0.0).chain(steps).collect()
    }
}

part! {
    /// The cabin.
    Cabin for CabinSpec {
        /// Air inside.
        volume: Positive<Volume> => volume_m3,
        /// Heat capacity of seats, dash and trim.
        interior_heat_capacity: Positive<HeatCapacity> => interior_heat_capacity_j_per_k,
        /// From trim to air.
        interior_to_air: Positive<ThermalConductance> => interior_conductance_w_per_k,
        /// Through body and glass to outside.
        body: Positive<ThermalConductance> => body_conductance_w_per_k,
        /// Glass the sun shines through, times the share it lets in.
        sun_area: Positive<Area> => sun_area_m2,
        /// Air changed through gaps with the doors shut.
        gaps: Positive<MassFlow> => leak_air_kg_s,
        /// Air changed with the doors open.
        open_doors: Positive<MassFlow> => open_door_air_kg_s,
    }
    and |_part| {}
}

part! {
    /// The engine as far as it drives, heats and surrounds the air conditioning.
    Engine for EngineSpec {
        /// Idle speed with the compressor on.
        idle: TurnsPerSecond => idle_rev_s,
        /// Coolant once warm.
        warm_coolant: Positive<Temperature> => warm_coolant_k,
        /// Rise of the bay above outside air, engine hot and car standing.
        bay_rise: Positive<TemperatureDifference> => standing_rise_k,
        /// Time the bay takes to follow.
        bay_lag: Positive<Duration> => bay_lag_s,
        /// Time the coolant takes to warm up.
        warm_up: Positive<Duration> => warm_up_s,
    }
    and |_part| { belt_slip: 0.0, }
}

part! {
    /// The switches that guard the loop, and the fan's.
    Controls for ControlsSpec {
        /// High-side pressure below which the clutch is not let in: charge lost.
        low_cut_out: Option<Switch<GaugePressure>> => low_cut_out_pa,
        /// Pressure at the accumulator below which the clutch is let go.
        cycling_switch: Option<Switch<GaugePressure>> => cycling_pa,
        /// High-side pressure above which the clutch is let go.
        high_cut_out: Switch<GaugePressure> => high_cut_out_pa,
        /// Evaporator temperature below which the clutch is let go.
        frost_cut_out: Option<Switch<Temperature>> => frost_cut_out_k,
        /// Outside temperature below which the clutch is not let in.
        ambient_cut_out: Switch<Temperature> => ambient_cut_out_k,
        /// Command to a compressor whose displacement the control sets.
        command: Option<Command> => command,
        /// High-side pressure above which the fan goes to its high stage.
        fan_high: Switch<GaugePressure> => fan_high_pa,
        /// Coolant temperature above which it does.
        fan_coolant: Switch<Temperature> => fan_coolant_k,
        /// Time the evaporator sensor takes to follow.
        evaporator_sensor_lag: Positive<Duration> => evaporator_sensor_lag_s,
        /// Least time the clutch stays off.
        least_off: Positive<Duration> => least_off_s,
    }
    and |_part| {
        evaporator_sensor_bias_k: 0.0,
        transducer_bias_pa: 0.0,
        cycling_bias_pa: 0.0,
        sensors: Sensors::default(),
    }
}

part! {
    /// How the control sets the compressor's displacement.
    Command for TargetSpec {
        /// Evaporator temperature aimed at.
        target: Positive<Temperature> => target_k,
        /// Command, of full, for each kelvin above it.
        gain_per_k: Positive<f64> => gain_per_k,
        /// Command, of full, gathered each second for each kelvin above it.
        integral_per_k_s: Positive<f64> => integral_per_k_s,
    }
    and |_part| {}
}
