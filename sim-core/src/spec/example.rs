//! An invented compact car, for documentation and unit tests.
//!
//! The vehicles a learner meets are data files; this one only spares the
//! library's own examples from needing a file.

use super::{CarSpec, HighPort, Hose};
use crate::parts::air_box::AirBox;
use crate::parts::cabin::Cabin;
use crate::parts::circuit::{ClutchCircuit, Condition, Feeds};
use crate::parts::clutch::Clutch;
use crate::parts::compressor::Compressor;
use crate::parts::condenser::{Condenser, CondenserFan, Subcooler};
use crate::parts::contents::Contents;
use crate::parts::controls::{Controls, EvaporatorTarget, Hysteresis};
use crate::parts::debris::Debris;
use crate::parts::displacement::{Capacity, ControlValve};
use crate::parts::engine_bay::EngineBay;
use crate::parts::evaporator::Evaporator;
use crate::parts::expansion::Expansion;
use crate::parts::expansion_valve::ExpansionValve;
use crate::parts::heat_transfer::RegimeConductance;
use crate::parts::motor::{Motor, Turned};
use crate::parts::oil::Oil;
use crate::parts::orifice_tube::OrificeTube;
use crate::parts::outlets::Outlets;
use crate::parts::sensors::Sensors;
use crate::parts::storage::{Place, Storage};

impl CarSpec {
    /// A compact car with R-134a, fixed displacement, thermal valve and a receiver in the condenser.
    #[must_use]
    pub fn example() -> Self {
        Self {
            refrigerant: "R-134a".to_owned(),
            label_charge_kg: 0.49,
            charge_share: 1.0,
            contents: Contents::default(),
            oil: Oil::as_labelled(),
            debris: Debris::default(),
            compressor: Compressor {
                displacement_m3: 150e-6,
                capacity: Capacity::Fixed,
                turned: Turned::Belt { pulley_ratio: 1.25 },
                volumetric_base: 0.86,
                volumetric_loss_per_ratio: 0.035,
                volumetric_loss_per_1000_rpm: 0.055,
                isentropic_base: 0.76,
                isentropic_loss_per_ratio: 0.02,
                isentropic_loss_per_1000_rpm: 0.045,
                friction_torque_n_m: 1.5,
                body_heat_capacity_j_per_k: 3200.0,
                body_conductance_w_per_k: 14.0,
                body_loss_w_per_k: 4.0,
                valve_leak_area_m2: 3.0e-9,
                drag_torque_n_m: 0.0,
            },
            clutch: Some(Clutch {
                gap_m: 0.45e-3,
                design_gap_m: 0.45e-3,
                pull_in_a: 2.0,
                holding_share: 0.4,
                torque_n_m: 45.0,
                rated_a: 3.7,
                heat_capacity_j_per_k: 1500.0,
                cooling_w_per_k: 6.0,
                friction_loss: 0.0,
                charred: 0.0,
            }),
            circuit: ClutchCircuit {
                feeds: Feeds::Winding,
                coil_ohm: 3.6,
                wiring_ohm: 0.08,
                fuse_a: 10.0,
                connector_ohm: 0.02,
                relay_coil_ohm: 85.0,
                shorted_share: 0.0,
                open_ohm: 0.0,
                condition: Condition::default(),
            },
            discharge_line: hose(0.15e-3, 2.7e-5, 14.0, 2.0),
            condenser: Condenser {
                volume_m3: 0.5e-3,
                subcooler: Some(Subcooler {
                    volume_m3: 0.08e-3,
                    core_share: 0.18,
                }),
                heat_capacity_j_per_k: 2200.0,
                refrigerant_side: RegimeConductance {
                    liquid_w_per_k: 900.0,
                    two_phase_w_per_k: 2600.0,
                    vapour_w_per_k: 700.0,
                    nominal_flow_kg_s: 0.04,
                },
                air_conductance_w_per_k: 1100.0,
                face_area_m2: 0.21,
                passage_area_m2: 8.0e-6,
                air_blockage: 0.0,
                tube_blockage: 0.0,
                fins_bent: 0.0,
                fin_loss: 0.0,
            },
            fan: CondenserFan {
                low_velocity_m_s: 1.5,
                high_velocity_m_s: 2.4,
                ram_share: 0.22,
                recirculated_share: 0.12,
                motor_loss: 0.0,
                low_stage_loss: 0.0,
                high_stage_loss: 0.0,
                reversed: 0.0,
                shroud_missing: 0.0,
                seals_missing: 0.0,
            },
            liquid_line: hose(0.06e-3, 4.5e-6, 12.0, 1.0),
            storage: Storage {
                place: Place::InCondenser,
                volume_m3: 0.13e-3,
                heat_capacity_j_per_k: 350.0,
                inside_w_per_k: 12.0,
                outside_w_per_k: 4.0,
                outlet_area_m2: 5.2e-6,
                blockage: 0.0,
            },
            expansion: Expansion::Valve(ExpansionValve {
                full_area_m2: 1.5e-6,
                bleed_share: 0.08,
                spring_pressure_pa: 45e3,
                full_lift_pressure_pa: 90e3,
                sensing_lag_s: 5.0,
                pressure_limit_pa: 520e3,
                least_lift: 0.0,
                greatest_lift: 1.0,
                sensing_charge_lost: 0.0,
                sensing_contact_lost: 0.0,
                screen_blockage: 0.0,
            }),
            evaporator: Evaporator {
                volume_m3: 0.7e-3,
                heat_capacity_j_per_k: 1500.0,
                refrigerant_side: RegimeConductance {
                    liquid_w_per_k: 300.0,
                    two_phase_w_per_k: 2800.0,
                    vapour_w_per_k: 220.0,
                    nominal_flow_kg_s: 0.04,
                },
                air_conductance_w_per_k: 380.0,
                rated_air_flow_kg_s: 0.12,
                passage_area_m2: 2.2e-5,
                frost_to_block_kg: 0.5,
                water_held_kg: 0.12,
                sump_kg: 0.5,
                air_blockage: 0.0,
                tube_blockage: 0.0,
                drain_blockage: 0.0,
            },
            suction_line: hose(0.4e-3, 4.5e-5, 20.0, 2.5),
            air_box: AirBox {
                blower_flow_m3_s: vec![0.0, 0.035, 0.060, 0.085, 0.115],
                blower_shut_off_pa: 550.0,
                clean_drop_pa: 350.0,
                recirculation_share: 0.92,
                heater_effectiveness: 0.7,
                heater_valve: true,
                blend_door_gap: 0.08,
                duct_heat_capacity_j_per_k: 900.0,
                duct_gain_w_per_k: 5.0,
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
            },
            cabin: Cabin {
                volume_m3: 2.8,
                interior_heat_capacity_j_per_k: 90e3,
                interior_conductance_w_per_k: 60.0,
                body_conductance_w_per_k: 55.0,
                sun_area_m2: 1.3,
                leak_air_kg_s: 0.004,
                open_door_air_kg_s: 0.25,
            },
            bay: EngineBay {
                idle_rev_s: 850.0 / 60.0,
                warm_coolant_k: 363.15,
                standing_rise_k: 22.0,
                bay_lag_s: 180.0,
                warm_up_s: 240.0,
                belt_slip: 0.0,
                belt_out_of_line_m: 0.0,
            },
            controls: Controls {
                low_cut_out_pa: Some(Hysteresis {
                    trip: 0.20e6,
                    reset: 0.24e6,
                }),
                cycling_pa: None,
                high_cut_out_pa: Hysteresis {
                    trip: 3.0e6,
                    reset: 2.3e6,
                },
                frost_cut_out_k: Some(Hysteresis {
                    trip: 274.65,
                    reset: 277.15,
                }),
                command: None,
                fan_high_pa: Hysteresis {
                    trip: 1.52e6,
                    reset: 1.10e6,
                },
                fan_coolant_k: Hysteresis {
                    trip: 374.15,
                    reset: 369.15,
                },
                ambient_cut_out_k: Hysteresis {
                    trip: 276.15,
                    reset: 278.15,
                },
                evaporator_sensor_lag_s: 6.0,
                least_off_s: 4.0,
                evaporator_sensor_bias_k: 0.0,
                transducer_bias_pa: 0.0,
                cycling_bias_pa: 0.0,
                sensors: Sensors::default(),
            },
            leaks: Vec::new(),
            relief_pressure_pa: 3.6e6,
            high_port: HighPort::LiquidLine,
            sight_glass: false,
        }
    }
}

impl CarSpec {
    /// The same car with an orifice tube, an accumulator and a compressor whose plate the
    /// control tilts.
    #[must_use]
    pub fn example_with_orifice_tube() -> Self {
        let mut spec = Self::example();
        spec.label_charge_kg = 0.55;
        spec.compressor.capacity = Capacity::Variable(ControlValve {
            set_pa: 540e3,
            solenoid_span_pa: 290e3,
            rated_a: 0.8,
            band_pa: 25e3,
            least_stroke: 0.05,
            greatest_stroke: 1.0,
            lag_s: 1.5,
            shift_pa: 0.0,
            pull_lost: 0.0,
        });
        spec.condenser.subcooler = None;
        spec.condenser.volume_m3 = 0.6e-3;
        spec.storage.place = Place::Suction;
        spec.storage.volume_m3 = 0.25e-3;
        spec.storage.outlet_area_m2 = 6.0e-5;
        spec.expansion = Expansion::Orifice(OrificeTube {
            area_m2: 1.05e-6,
            blockage: 0.0,
            bypass_area_m2: 0.0,
        });
        spec.controls.command = Some(EvaporatorTarget {
            target_k: 277.15,
            gain_per_k: 0.05,
            integral_per_k_s: 0.004,
        });
        spec.controls.low_cut_out_pa = None;
        spec.controls.frost_cut_out_k = None;
        spec.controls.cycling_pa = Some(Hysteresis {
            trip: 0.152e6,
            reset: 0.310e6,
        });
        spec
    }

    /// The same car with a compressor that a motor at high voltage turns.
    #[must_use]
    pub fn example_with_motor() -> Self {
        let mut spec = Self::example();
        spec.clutch = None;
        spec.circuit.feeds = Feeds::Electronics;
        spec.circuit.coil_ohm = 6.0;
        spec.compressor.displacement_m3 = 34e-6;
        spec.compressor.turned = Turned::Motor(Motor {
            least_rev_s: 15.0,
            greatest_rev_s: 130.0,
            torque_n_m: 9.0,
            power_w: 4500.0,
            efficiency: 0.88,
            voltage_v: 350.0,
            lag_s: 3.0,
            power_lost: 0.0,
        });
        spec.compressor.volumetric_base = 0.94;
        spec.compressor.volumetric_loss_per_1000_rpm = 0.006;
        spec.compressor.isentropic_loss_per_1000_rpm = 0.008;
        spec.compressor.friction_torque_n_m = 0.3;
        spec.compressor.body_conductance_w_per_k = 40.0;
        spec.controls.command = Some(EvaporatorTarget {
            target_k: 277.15,
            gain_per_k: 0.04,
            integral_per_k_s: 0.003,
        });
        spec
    }
}

fn hose(volume_m3: f64, flow_area_m2: f64, inside_w_per_k: f64, outside_w_per_k: f64) -> Hose {
    Hose {
        volume_m3,
        flow_area_m2,
        heat_capacity_j_per_k: 350.0,
        refrigerant_side: RegimeConductance {
            liquid_w_per_k: inside_w_per_k,
            two_phase_w_per_k: inside_w_per_k,
            vapour_w_per_k: inside_w_per_k,
            nominal_flow_kg_s: 0.04,
        },
        outside_w_per_k,
        blockage: 0.0,
    }
}
