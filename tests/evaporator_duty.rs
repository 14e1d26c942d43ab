//! What the evaporator takes from moist air, as temperature and as water: the part alone and in a car.
//!
//! Source: `reference/evaporator_duty.csv`, worked out with PsychroLib 2.5.0 (ASHRAE's ideal-gas
//! formulation) for air that leaves at 95 % humidity.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    has_belt, idling, running, steady, vehicles, vehicles_where, weather,
};
use sim_core::air;
use sim_core::car::Car;
use sim_core::parts::evaporator::{Evaporator, FaceExchange, MoistStream, Wetness};
use sim_core::setup::Setup;

/// Pressure of the air the stand's weather has, Pa.
const AIR_PA: f64 = 101_325.0;

struct Duty {
    inlet_k: f64,
    humidity: f64,
    off_k: f64,
    flow_m3_s: f64,
    duty_w: f64,
    sensible_share: f64,
    condensate_kg_s: f64,
}

fn duties() -> Vec<Duty> {
    let table = include_str!("reference/evaporator_duty.csv");
    let rows = table.lines().skip(2).map(|line| {
        let row: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let [
            inlet_c,
            humidity,
            off_c,
            flow,
            duty_w,
            sensible_share,
            condensate,
        ] = row[..]
        else {
            panic!("seven columns: {line}");
        };
        Duty {
            inlet_k: inlet_c + 273.15,
            humidity,
            off_k: off_c + 273.15,
            flow_m3_s: flow / 3600.0,
            duty_w,
            sensible_share,
            condensate_kg_s: condensate / 3600.0,
        }
    });
    rows.collect()
}

/// Rated air flow of the core that the table's flows are meant for, the saloon's, kg/s.
const TABLES_CORE_KG_S: f64 = 0.12;

/// The whole core at one temperature, with the duty's air going in.
fn part_alone(evaporator: &Evaporator, duty: &Duty) -> (MoistStream, FaceExchange) {
    let humidity_ratio = air::humidity_ratio_from_relative(duty.inlet_k, duty.humidity, AIR_PA);
    let volume = air::specific_volume_m3_per_kg_da(duty.inlet_k, humidity_ratio, AIR_PA);
    let on = MoistStream {
        flow_kg_s: duty.flow_m3_s / volume,
        temperature_k: duty.inlet_k,
        humidity_ratio,
        pressure_pa: AIR_PA,
    };
    let face = evaporator.face(on, Wetness::default(), 1.0, 1.0, 1.0);
    // The wall that gives the temperature asked for: halved down to it.
    let (mut low_k, mut high_k) = (duty.off_k - 20.0, duty.off_k);
    for _ in 0..60 {
        let wall_k = 0.5 * (low_k + high_k);
        if face.exchange(wall_k).outlet_temperature_k < duty.off_k {
            low_k = wall_k;
        } else {
            high_k = wall_k;
        }
    }
    (on, face.exchange(0.5 * (low_k + high_k)))
}

fn sensible_share(on: &MoistStream, off_k: f64, off_humidity_ratio: f64) -> f64 {
    let entering = air::enthalpy_j_per_kg_da(on.temperature_k, on.humidity_ratio);
    let sensible = entering - air::enthalpy_j_per_kg_da(off_k, on.humidity_ratio);
    let water =
        (on.humidity_ratio - off_humidity_ratio) * air::liquid_water_enthalpy_j_per_kg(off_k);
    sensible / (entering - air::enthalpy_j_per_kg_da(off_k, off_humidity_ratio) - water)
}

/// Within 5 % of the table in duty, sensible share and condensate. A core of another size gets air in
/// proportion to its rated flow.
#[test]
fn the_part_alone_takes_what_psychrometrics_says() {
    for vehicle in vehicles() {
        let evaporator = &vehicle.spec.evaporator;
        let size = evaporator.rated_air_flow_kg_s / TABLES_CORE_KG_S;
        for mut duty in duties() {
            duty.flow_m3_s *= size;
            let (on, off) = part_alone(evaporator, &duty);
            let share = sensible_share(&on, off.outlet_temperature_k, off.outlet_humidity_ratio);
            for (what, found, wanted) in [
                ("W", off.heat_w, size * duty.duty_w),
                ("sensible", share, duty.sensible_share),
                (
                    "kg/s of water",
                    off.deposit_kg_s,
                    size * duty.condensate_kg_s,
                ),
            ] {
                assert!(
                    (found / wanted - 1.0).abs() <= 0.05,
                    "{} from {} K: {found} {what}, not {wanted}",
                    vehicle.id,
                    duty.inlet_k
                );
            }
        }
    }
}

/// Air in and out of a running car's core, all its parts together.
fn through_core(car: &Car) -> (MoistStream, f64, f64) {
    let state = car.state();
    let streams = car.evaporator_streams();
    let (mut flow, mut off_k, mut off_humidity) = (0.0, 0.0, 0.0);
    for (part, on) in streams.iter().enumerate() {
        flow += on.flow_kg_s;
        off_k += on.flow_kg_s * state.air_off_k[part];
        off_humidity += on.flow_kg_s * state.air_off_humidity[part];
    }
    let on = MoistStream {
        flow_kg_s: flow,
        ..streams[0]
    };
    (on, off_k / flow, off_humidity / flow)
}

/// In a car too, whose core has parts of several temperatures: within 5 % of what the same air, cooled
/// to the same temperature at 95 % humidity, gives up as temperature. `air` is held to PsychroLib in
/// `moist_air.rs`.
#[test]
fn a_cars_sensible_share_is_that_of_its_air() {
    let warmest_k = duties().iter().map(|duty| duty.off_k).fold(0.0, f64::max);
    for vehicle in vehicles() {
        for (celsius, humidity) in [(30.0, 0.6), (35.0, 0.4), (40.0, 0.3)] {
            for recirculate in [false, true] {
                let setup = Setup {
                    recirculate,
                    ..idling(&vehicle.spec)
                };
                let (car, _) = steady(&vehicle.spec, weather(celsius, humidity), &setup);
                let (on, off_k, off_humidity) = through_core(&car);
                let found = sensible_share(&on, off_k, off_humidity);
                let wet = air::humidity_ratio_from_relative(off_k, 0.95, AIR_PA);
                let wanted = sensible_share(&on, off_k, wet);
                assert!(
                    (found / wanted - 1.0).abs() <= 0.05,
                    "{} at {celsius} °C: {found:.3}, not {wanted:.3}",
                    vehicle.id
                );
                // The table's range, where the air gets as cold as the table's.
                let in_range = (0.45..=0.70).contains(&found);
                let warmer = off_k > warmest_k;
                assert!(in_range || warmer, "{}: {found:.3}", vehicle.id);
            }
        }
    }
}

/// The table's row at 40 °C and 30 %: a car gets its air as cold as that row's, 12 °C, on a faster
/// engine (one whose compressor has its own motor holds it colder), a large core with the blower a step lower, and then gives up 0.67 of its duty as temperature. (At idle its air leaves
/// at 15 °C, too warm for as much water, and 0.72 to 0.74 is sensible.)
#[test]
fn hot_dry_air_cooled_to_12_degrees_gives_up_its_water() {
    let duty = duties().pop().expect("a last row");
    for vehicle in vehicles_where(has_belt) {
        let top = vehicle.spec.air_box.top_step();
        let at = |(rpm, blower_step): (f64, usize)| {
            let setup = Setup {
                recirculate: false,
                blower_step,
                ..running(&vehicle.spec, rpm)
            };
            through_core(&steady(&vehicle.spec, weather(40.0, 0.3), &setup).0)
        };
        let (on, off_k, off_humidity) = [(2400.0, top), (1200.0, top), (1200.0, top - 1)]
            .into_iter()
            .map(at)
            .find(|(_, off_k, _)| (off_k - duty.off_k).abs() < 1.0)
            .unwrap_or_else(|| panic!("{}: never within 1 K of the row's", vehicle.id));
        let found = sensible_share(&on, off_k, off_humidity);
        assert!(
            (found / duty.sensible_share - 1.0).abs() <= 0.05,
            "{}: {found:.3}",
            vehicle.id
        );
    }
}
