//! `coldtrail vehicles ID`: all that a vehicle's data says a mechanic would look up.

use scenarios::Vehicle;
use scenarios::units::{UnitSystem, format_air_speed, format_gauge_pressure, format_temperature};
use sim_core::instruments::Unit;
use sim_core::parts::controls::Hysteresis;
use sim_core::parts::displacement::{Capacity, ControlValve};
use sim_core::parts::expansion::Expansion;
use sim_core::parts::motor::Turned;

use crate::cli::columns::table;
use crate::cli::service_page::service;
use crate::cli::vehicles::{charge, compressor, expansion, oil, refrigerant, storage};
use crate::show;

/// All about a vehicle, in lines.
pub(super) fn page(vehicle: &Vehicle, system: UnitSystem, width: usize) -> String {
    let (name, year, id) = (&vehicle.name, vehicle.year, &vehicle.id);
    format!(
        "{name}, {year}  ({id})\n{}Where things are\n{}{}",
        section(&made_of(vehicle, system), width),
        section(&places(vehicle), width),
        service(vehicle, system).lines(width)
    )
}

/// What a vehicle is made of.
pub(crate) fn made_of(vehicle: &Vehicle, system: UnitSystem) -> Vec<Row> {
    let page = Page { vehicle, system };
    let parts = [
        page.label(),
        page.loop_parts(),
        page.compressor(),
        page.control(),
        page.fan(),
    ];
    parts.concat()
}

/// Where the things of a vehicle are.
pub(crate) fn places(vehicle: &Vehicle) -> Vec<Row> {
    let places = &vehicle.places;
    [
        ("Low-side port", &places.low_side_port),
        ("High-side port", &places.high_side_port),
        ("Label", &places.label),
        ("Compressor", &places.compressor),
        ("Coil's plug", &places.clutch_connector),
        ("Coil's fuse", &places.clutch_fuse),
        ("Transducer", &places.transducer),
        ("Expansion", &places.expansion_valve),
        ("Evaporator sensor", &places.evaporator_sensor),
        ("Cabin filter", &places.cabin_filter),
    ]
    .map(|(label, place)| (label, place.clone()))
    .to_vec()
}

fn section(rows: &[Row], width: usize) -> String {
    let rows: Vec<_> = rows.iter().map(|(label, words)| [*label, words]).collect();
    table(2, &rows, width)
}

/// A label and what stands beside it.
pub(crate) type Row = (&'static str, String);

struct Page<'a> {
    vehicle: &'a Vehicle,
    system: UnitSystem,
}

impl Page<'_> {
    fn label(&self) -> Vec<Row> {
        let vehicle = self.vehicle;
        vec![
            ("What it is", vehicle.description.clone()),
            ("Refrigerant", refrigerant(vehicle, self.system)),
            ("Oil", oil(vehicle)),
        ]
    }

    fn loop_parts(&self) -> Vec<Row> {
        let (vehicle, spec) = (self.vehicle, &self.vehicle.spec);
        let fitted = |fitting: &str, charge_kg: f64| {
            format!("{fitting}; charge {}", charge(charge_kg, self.system))
        };
        let usual = &vehicle.usual_condenser;
        let condenser = fitted(&usual.fitting, usual.charge_kg);
        let mut rows = vec![("Condenser", condenser)];
        rows.extend(vehicle.other_condensers.iter().map(|other| {
            let words = fitted(&other.fitting, other.charge_kg);
            ("Other condenser", words)
        }));
        let device = match &spec.expansion {
            Expansion::Valve(valve) => format!(
                "sensing charge limited at {}",
                self.absolute(valve.pressure_limit_pa)
            ),
            Expansion::Orifice(tube) => format!("effective area {}", mm2(tube.area_m2)),
        };
        let glass = if vehicle.sight_glass { "yes" } else { "none" };
        rows.extend([
            (
                "Bottle",
                format!("{}, {}", storage(spec), cm3(spec.storage.volume_m3)),
            ),
            ("Expansion", format!("{}, {device}", expansion(spec))),
            ("Sight glass", glass.to_owned()),
            (
                "Relief valve",
                format!("opens at {}", self.gauge(spec.relief_pressure_pa)),
            ),
        ]);
        rows
    }

    fn compressor(&self) -> Vec<Row> {
        let spec = &self.vehicle.spec;
        let machine = &spec.compressor;
        let driven = match &machine.turned {
            Turned::Belt { pulley_ratio } => format!("{pulley_ratio} turns for one of the engine"),
            Turned::Motor(motor) => {
                let speed = |rev_s| show::number(rev_s, Unit::Turning, self.system);
                let (least, greatest) = (motor.least_rev_s, motor.greatest_rev_s);
                format!("{} to {}", speed(least), speed(greatest))
            }
        };
        let turns = format!(
            "{}; {} a turn, {driven}",
            compressor(spec),
            cm3(machine.displacement_m3),
        );
        let mut rows = vec![("Compressor", turns)];
        if let Some(motor) = machine.turned.motor() {
            let volts = format!(
                "{} V: work on it is for people qualified for high voltage",
                motor.voltage_v
            );
            rows.push(("High voltage", volts));
            let electronics = format!(
                "its electronics work at 12 V, fuse {} A",
                spec.circuit.fuse_a
            );
            rows.push(("Inverter", electronics));
            return rows;
        }
        if let Capacity::Variable(valve) = &machine.capacity {
            rows.push(("Control valve", self.control_valve(valve)));
        }
        let (clutch, whose) = match &spec.clutch {
            Some(clutch) => {
                let gap = show::number(clutch.gap_m, Unit::Length, self.system);
                (format!("yes, gap {gap}"), "clutch's")
            }
            None => {
                let words = "none: the compressor turns whenever the engine does";
                (words.to_owned(), "control valve's")
            }
        };
        let circuit = &spec.circuit;
        let coil = format!(
            "the {whose}, {:.1} Ω at 20 °C, fuse {} A",
            circuit.coil_ohm, circuit.fuse_a
        );
        rows.extend([("Clutch", clutch), ("Coil", coil)]);
        rows
    }

    fn control_valve(&self, valve: &ControlValve) -> String {
        if valve.solenoid_span_pa > 0.0 {
            format!(
                "holds a suction pressure of {} at {} A, more at less current",
                self.absolute(valve.set_pa - valve.solenoid_span_pa),
                valve.rated_a
            )
        } else {
            format!(
                "holds a suction pressure of {}",
                self.absolute(valve.set_pa)
            )
        }
    }

    fn control(&self) -> Vec<Row> {
        let controls = &self.vehicle.spec.controls;
        let pressure = |switch: &Hysteresis, side: &str| {
            self.switch(switch, &format!(" on the {side} side"), Self::gauge)
        };
        let temperature = |switch: &Hysteresis| self.switch(switch, "", Self::celsius);
        let mut rows = Vec::new();
        if let Some(switch) = &controls.low_cut_out_pa {
            rows.push(("Low cut-out", pressure(switch, "high")));
        }
        rows.push(("High cut-out", pressure(&controls.high_cut_out_pa, "high")));
        if let Some(switch) = &controls.cycling_pa {
            rows.push(("Cycling switch", pressure(switch, "low")));
        }
        if let Some(switch) = &controls.frost_cut_out_k {
            rows.push(("Evaporator cut-out", temperature(switch)));
        }
        if let Some(command) = &controls.command {
            let aim = self.celsius(command.target_k);
            let by = match &self.vehicle.spec.compressor.turned {
                Turned::Belt { .. } => "stroke",
                Turned::Motor(_) => "compressor's speed",
            };
            rows.push((
                "Command",
                format!("keeps the evaporator at {aim} by the {by}"),
            ));
        }
        rows.extend([
            ("Ambient cut-out", temperature(&controls.ambient_cut_out_k)),
            ("Least pause", format!("{} s", controls.least_off_s)),
        ]);
        rows
    }

    fn fan(&self) -> Vec<Row> {
        let (fan, controls) = (&self.vehicle.spec.fan, &self.vehicle.spec.controls);
        let decimals = match self.system {
            UnitSystem::Si => 2,
            UnitSystem::Us => 0,
        };
        let speed = |m_s: f64| format_air_speed(m_s, self.system, decimals);
        let high = |switch: &Hysteresis, of: &str, show: fn(&Self, f64) -> String| {
            let (from, to) = (show(self, switch.trip), show(self, switch.reset));
            format!("from {from}{of}, back at {to}")
        };
        let by_pressure = high(&controls.fan_high_pa, "", Self::gauge);
        let by_coolant = high(&controls.fan_coolant_k, " of coolant", Self::celsius);
        vec![
            (
                "Fan, low stage",
                format!(
                    "{} through the condenser, with the A/C on and the blower running",
                    speed(fan.low_velocity_m_s)
                ),
            ),
            (
                "Fan, high stage",
                format!(
                    "{}; {by_pressure}; or {by_coolant}",
                    speed(fan.high_velocity_m_s)
                ),
            ),
        ]
    }

    /// When a switch lets the compressor go, and when it comes back.
    fn switch(&self, switch: &Hysteresis, at: &str, show: fn(&Self, f64) -> String) -> String {
        let (trip, reset) = (show(self, switch.trip), show(self, switch.reset));
        let beyond = if switch.trip > switch.reset {
            "above"
        } else {
            "below"
        };
        format!("compressor off {beyond} {trip}{at}, on again at {reset}")
    }

    fn gauge(&self, pa: f64) -> String {
        format_gauge_pressure(pa, self.system, 0)
    }

    fn absolute(&self, pa: f64) -> String {
        match self.system {
            UnitSystem::Si => format!("{:.0} kPa absolute", pa / 1e3),
            UnitSystem::Us => format!("{:.0} psia", pa / 6894.757),
        }
    }

    fn celsius(&self, k: f64) -> String {
        format_temperature(k, self.system, 1)
    }
}

fn cm3(m3: f64) -> String {
    format!("{:.0} cm³", m3 * 1e6)
}

fn mm2(m2: f64) -> String {
    format!("{:.2} mm²", m2 * 1e6)
}
