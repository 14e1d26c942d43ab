//! What the air side does with faults in it, in a whole car: fans, ice, water, vents and doors.
//!
//! Outside sources are named where there are any. The rest is reasoned from the balances: a sign, an
//! order, or something kept.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    has_evaporator_sensor, idling, run, running, vehicles, warm_car, weather, with,
    without_frost_cut_out,
};
use sim_core::air;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::{Check, Sense, Spot, Truth, Watch, truth};
use sim_core::parts::condenser::FanStage;
use sim_core::setup::{Setup, Temperature};
use sim_core::spec::CarSpec;

/// Pressure of the air the stand's weather has, Pa.
const AIR_PA: f64 = 101_325.0;

/// A warm car after some minutes.
fn after(spec: &CarSpec, celsius: f64, humidity: f64, setup: &Setup, minutes: f64) -> Car {
    let mut car = warm_car(spec, weather(celsius, humidity));
    run(&mut car, setup, minutes * 60.0);
    car
}

fn finding(car: &Car, sense: Sense, spot: Spot) -> &'static str {
    match truth(car, Check::Sense(sense, spot), Watch::default()).unwrap() {
        Truth::Finding(found) => found.key,
        Truth::Number(_) => panic!("a sense gives no number"),
    }
}

/// Where the car's transducer and high-side port are.
fn high_bar(car: &Car) -> f64 {
    car.pressure_pa(car.spec().high_port.role()) / 1e5
}

/// Range of the high side over some minutes, bar.
fn high_side_swing(car: &mut Car, setup: &Setup, minutes: f64) -> (f64, f64) {
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    let watched = car.advance_watched(setup, minutes * 60.0, |car, _| {
        least = least.min(high_bar(car));
        most = most.max(high_bar(car));
    });
    assert_eq!(watched, Ok(()));
    (least, most)
}

/// The compressor never stops; the fan does, from where its high stage is let go to where it is asked
/// for (common practice: off at about 1.0 to 1.36 MPa, on at about 1.6 to 1.75 MPa absolute).
#[test]
fn a_fan_without_its_low_speed_makes_the_high_side_swing() {
    for vehicle in vehicles() {
        let setup = idling(&vehicle.spec);
        let dead = with(&vehicle.spec, Knob::FanLowStageLost, 1.0);
        let [sound, dead] = [&vehicle.spec, &dead].map(|spec| {
            let mut car = after(spec, 28.0, 0.5, &setup, 15.0);
            let engagements = car.state().clutch_engagements;
            let swing = high_side_swing(&mut car, &setup, 5.0);
            let cycled = car.state().clutch_engagements != engagements;
            assert!(!cycled, "{}", vehicle.id);
            swing
        });
        assert!(sound.1 - sound.0 < 0.3, "{}: {sound:?} bar", vehicle.id);
        let stage = vehicle.spec.controls.fan_high_pa;
        let [off, on] = [stage.reset, stage.trip].map(|gauge| (gauge + AIR_PA) / 1e5);
        assert!((10.0..=13.6).contains(&off) && (16.0..=17.5).contains(&on));
        assert!(
            dead.0 < off + 0.1 && dead.1 > on - 0.1,
            "{}: {dead:?} bar, not {off} to {on}",
            vehicle.id
        );
    }
}

/// Road speed up to which a backward fan just wins, m/s.
fn crawl_m_s(backwards: &CarSpec) -> f64 {
    let speeds = (0..200).map(|step| f64::from(step) * 0.1);
    let face = |road_m_s: &f64| {
        let fan = &backwards.fan;
        fan.face_velocity_m_s(FanStage::High, *road_m_s, false)
    };
    let last = speeds.take_while(|road_m_s| face(road_m_s) < 0.0).last();
    last.expect("it blows out at the front of a standing car")
}

/// Times the control lets go of the compressor over some minutes, and the most the high side comes to.
fn let_go(car: &mut Car, setup: &Setup, minutes: f64) -> (u32, f64) {
    let (mut times, mut most) = (0, 0.0_f64);
    let mut asked = car.state().controls.relay_closed;
    let watched = car.advance_watched(setup, minutes * 60.0, |car, _| {
        let now = car.state().controls.relay_closed;
        times += u32::from(asked && !now);
        asked = now;
        most = most.max(high_bar(car));
    });
    assert_eq!(watched, Ok(()));
    (times, most)
}

/// Hot air from behind at a standstill, next to none while road and fan hold each other up, and
/// nearly a sound car's on the road.
#[test]
fn a_fan_turning_backwards_is_worst_at_a_crawl() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let backwards = with(&vehicle.spec, Knob::FanReversed, 1.0);
        let at = |spec: &CarSpec, road_m_s: f64| {
            let setup = Setup {
                road_speed_m_s: road_m_s,
                ..idling(spec)
            };
            let mut car = after(spec, 30.0, 0.5, &setup, 10.0);
            let (cycles, most) = let_go(&mut car, &setup, 5.0);
            (car, most, cycles)
        };
        let (standing, most, _) = at(&backwards, 0.0);
        assert!(standing.state().face_velocity_m_s < 0.0, "{id}");
        assert!(standing.condenser_air_on_k() > 325.0, "{id}");
        assert!(most > 28.0, "{id}: {most} bar standing");
        assert_eq!(
            finding(&standing, Sense::Look, Spot::CondenserFan),
            "forward"
        );
        let (_, most, cycles) = at(&backwards, crawl_m_s(&backwards));
        assert!(
            most > 30.0 && cycles >= 3,
            "{id}: {most} bar, {cycles} cycles"
        );
        let (driving, most, _) = at(&backwards, 22.0);
        let (_, sound, _) = at(&vehicle.spec, 22.0);
        assert!(driving.state().face_velocity_m_s > 0.0, "{id}");
        assert!(
            most < 1.05 * sound,
            "{id}: {most} bar on the road, not {sound}"
        );
    }
}

/// A spec whose guard against frost acts too late: the sensor in the core, the switch on the
/// accumulator, or the compressor's own valve where the car has neither.
fn guard_that_sleeps(spec: &CarSpec) -> CarSpec {
    if has_evaporator_sensor(spec) {
        with(spec, Knob::EvaporatorSensorError, 15.0)
    } else if spec.controls.cycling_pa.is_some() {
        with(spec, Knob::CyclingSwitchError, -150.0)
    } else {
        with(spec, Knob::ControlValveShift, -150.0)
    }
}

/// A guard that acts too late lets the core go below freezing; with a weak blower there is no heat to
/// keep it clear. Ice grows, closes the core, and in the end little comes out and it is not cold.
#[test]
fn a_core_short_of_air_ices_up() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let setup = Setup {
            blower_step: 3,
            ..running(&vehicle.spec, 1500.0)
        };
        let icy = with(
            &guard_that_sleeps(&vehicle.spec),
            Knob::CabinFilterBlocked,
            0.75,
        );
        let mut car = after(&icy, 27.0, 0.7, &setup, 1.0);
        let early = (car.state().air_flow_kg_s, car.state().vents_k[1]);
        let mut coldest = early.1;
        let watched = car.advance_watched(&setup, 1500.0, |car, _| {
            coldest = coldest.min(car.state().vents_k[1]);
        });
        assert_eq!(watched, Ok(()));
        // Means: a closed core pulls the low side down to where even a switch that sleeps opens, and
        // thaws a little before it closes again.
        let mut late = (0.0, 0.0);
        let watched = car.advance_watched(&setup, 1500.0, |car, step_s| {
            let share = step_s / 1500.0;
            late.0 += share * car.state().air_flow_kg_s;
            late.1 += share * car.state().vents_k[1];
        });
        assert_eq!(watched, Ok(()));
        assert!(
            late.0 < 0.5 * early.0,
            "{id}: {} of {} kg/s",
            late.0,
            early.0
        );
        assert!(
            late.1 > coldest + 3.0,
            "{id}: {} K after {coldest} K",
            late.1
        );
        assert_eq!(finding(&car, Sense::Look, Spot::Drain), "iced", "{id}");
        // With a true guard and a clear filter the air keeps going. (Not without any ice: the middle of
        // the hatchback's core is colder than where its sensor sits, and loses a seventh of the air.)
        let mut sound = after(&vehicle.spec, 27.0, 0.7, &setup, 3.0);
        let early = sound.state().air_flow_kg_s;
        run(&mut sound, &setup, 3000.0);
        let left = sound.state().air_flow_kg_s / early;
        assert!(left > 0.8, "{id}: {left} of the air is left");
    }
}

/// Water is kept: what the air gives up hangs on the fins, stands, drains, runs over or flies off.
/// With a blocked drain it stands, costs air and comes back into the cabin.
#[test]
fn a_blocked_drain_brings_the_water_back() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let setup = Setup {
            doors_open: false,
            ..running(&vehicle.spec, 1500.0)
        };
        let outside = Setup {
            recirculate: false,
            ..setup
        };
        let blocked = with(&vehicle.spec, Knob::EvaporatorDrainBlocked, 1.0);
        let [sound, blocked] = [&vehicle.spec, &blocked].map(|spec| {
            let mut car = warm_car(spec, weather(33.0, 0.7));
            let mut mist_kg = 0.0;
            let watched = car.advance_watched(&outside, 2400.0, |car, step_s| {
                mist_kg += car.state().sump.mist_kg_s * step_s;
            });
            assert_eq!(watched, Ok(()));
            let sump = car.state().sump;
            let all = sump.water_kg + sump.drained_kg + sump.spilled_kg + mist_kg;
            let off = (all - car.state().condensate_kg).abs();
            assert!(off < 1e-9 && all > 1.0, "{id}: {all} kg");
            car
        });
        let (dry, wet) = (sound.state(), blocked.state());
        assert!(
            dry.sump.water_kg < 0.1 * vehicle.spec.evaporator.sump_kg,
            "{id}"
        );
        assert_eq!(wet.sump.water_kg, vehicle.spec.evaporator.sump_kg, "{id}");
        assert!(wet.air_flow_kg_s < 0.93 * dry.air_flow_kg_s, "{id}");
        let humidity = |car: &Car| {
            let cabin = car.state().cabin;
            air::relative_humidity(cabin.air_k, cabin.humidity_ratio, AIR_PA)
        };
        let more = humidity(&blocked) - humidity(&sound);
        assert!(more > 0.03, "{id}: cabin {more} more humid");
        assert_eq!(
            finding(&sound, Sense::Look, Spot::Drain),
            "dripping",
            "{id}"
        );
        assert_eq!(
            finding(&blocked, Sense::Look, Spot::Drain),
            "spilled",
            "{id}"
        );
        assert_eq!(
            finding(&blocked, Sense::Smell, Spot::Vents),
            "musty",
            "{id}"
        );
    }
}

/// Asked for outside air, a door stuck on recirculation goes on with the cabin's. The guard against
/// frost is left out: where it holds the core at a temperature, cooler air is not felt at the vents.
#[test]
fn an_intake_door_stuck_in_keeps_the_cabins_air() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let sound = without_frost_cut_out(&vehicle.spec);
        let stuck = with(&sound, Knob::IntakeDoorStuckIn, 1.0);
        let setup = Setup {
            doors_open: false,
            recirculate: false,
            ..running(&vehicle.spec, 1500.0)
        };
        let inside = Setup {
            recirculate: true,
            ..setup.clone()
        };
        let vent =
            |spec: &CarSpec, setup: &Setup| after(spec, 35.0, 0.4, setup, 10.0).state().vents_k[1];
        assert!(vent(&stuck, &setup) < vent(&sound, &setup) - 2.0, "{id}");
        assert_eq!(vent(&stuck, &setup), vent(&sound, &inside), "{id}");
    }
}

/// A door stuck part way is as warm at full cold as a leaking one, and cold at full hot.
#[test]
fn a_stuck_blend_door_answers_to_nothing() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let half = with(
            &with(&vehicle.spec, Knob::BlendDoorLeast, 0.4),
            Knob::BlendDoorGreatest,
            0.4,
        );
        let vent = |spec: &CarSpec, temperature: Temperature| {
            let setup = Setup {
                temperature,
                ..idling(spec)
            };
            after(spec, 25.0, 0.5, &setup, 10.0).state().vents_k[1]
        };
        assert!(
            vent(&half, Temperature::Hot) < vent(&vehicle.spec, Temperature::Hot) - 10.0,
            "{id}"
        );
        // A heater valve keeps its core cold, whatever the door does.
        let warmer = vent(&half, Temperature::Cold) - vent(&vehicle.spec, Temperature::Cold);
        let right = if vehicle.spec.air_box.heater_valve {
            warmer.abs() < 0.5
        } else {
            warmer > 10.0
        };
        assert!(right, "{id}: {warmer} K warmer");
    }
}
