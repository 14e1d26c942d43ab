//! A test stand: every built-in vehicle, weather and settings in a test engineer's units.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use scenarios::{Bank, Vehicle};
use sim_core::car::Car;
use sim_core::faults::{Fault, Knob};
use sim_core::fluid::Fluid;
use sim_core::parts::circuit::Feeds;
use sim_core::parts::displacement::Capacity;
use sim_core::setup::{Setup, Weather};
use sim_core::spec::CarSpec;

use crate::view::{Mean, View};

/// The bank, read once.
///
/// # Panics
/// When a built-in file is wrong.
pub fn bank() -> &'static Bank {
    static BANK: OnceLock<Bank> = OnceLock::new();
    BANK.get_or_init(|| Bank::builtin().unwrap_or_else(|errors| panic!("{errors}")))
}

/// Every built-in vehicle.
pub fn vehicles() -> impl Iterator<Item = &'static Vehicle> {
    bank().vehicles()
}

/// A refrigerant by its designation, each made once.
///
/// # Panics
/// When sim-core does not know it.
pub fn fluid_by_name(name: &str) -> Arc<Fluid> {
    static FLUIDS: Mutex<BTreeMap<String, Arc<Fluid>>> = Mutex::new(BTreeMap::new());
    // A test that failed while it held the map has left it whole: fluids are only added.
    let mut fluids = FLUIDS.lock().unwrap_or_else(PoisonError::into_inner);
    let made = fluids.entry(name.to_owned()).or_insert_with(|| {
        Arc::new(Fluid::by_name(name).unwrap_or_else(|unknown| panic!("{unknown}")))
    });
    Arc::clone(made)
}

/// The refrigerant a spec has in its loop.
pub fn fluid_of(spec: &CarSpec) -> Arc<Fluid> {
    fluid_by_name(&spec.refrigerant)
}

/// A day without sun at sea level.
pub fn weather(celsius: f64, relative_humidity: f64) -> Weather {
    Weather::shade(celsius + 273.15, relative_humidity)
}

/// Air conditioning on, top blower, recirculation, doors open, standing, at an engine speed.
pub fn running(spec: &CarSpec, rpm: f64) -> Setup {
    Setup {
        engine_rev_s: rpm / 60.0,
        ac_on: true,
        blower_step: spec.air_box.top_step(),
        recirculate: true,
        doors_open: true,
        ..Setup::parked()
    }
}

/// The same at the vehicle's idle.
pub fn idling(spec: &CarSpec) -> Setup {
    running(spec, spec.bay.idle_rev_s * 60.0)
}

/// Built-in vehicles whose spec is as asked.
pub fn vehicles_where(asked: fn(&CarSpec) -> bool) -> impl Iterator<Item = &'static Vehicle> {
    vehicles().filter(move |vehicle| asked(&vehicle.spec))
}

/// Expands through a thermal valve.
#[must_use]
pub fn has_valve(spec: &CarSpec) -> bool {
    spec.expansion.valve().is_some()
}

/// Displaces the same volume every turn, and turns with the engine.
#[must_use]
pub fn is_fixed(spec: &CarSpec) -> bool {
    spec.compressor.capacity == Capacity::Fixed && has_belt(spec)
}

/// Is driven by a belt.
#[must_use]
pub fn has_belt(spec: &CarSpec) -> bool {
    spec.compressor.turned.pulley_ratio().is_some()
}

/// Has a winding that switches or works the compressor.
#[must_use]
pub fn has_winding(spec: &CarSpec) -> bool {
    spec.circuit.feeds == Feeds::Winding
}

/// Has a magnetic clutch.
#[must_use]
pub fn has_clutch(spec: &CarSpec) -> bool {
    spec.clutch.is_some()
}

/// Its control feels the evaporator's temperature.
#[must_use]
pub fn has_evaporator_sensor(spec: &CarSpec) -> bool {
    spec.controls.has_evaporator_sensor()
}

/// A spec with one property of a part turned.
#[must_use]
pub fn with(spec: &CarSpec, knob: Knob, value: f64) -> CarSpec {
    let mut faulty = spec.clone();
    Fault::one(knob, value).apply(&mut faulty, 1.0);
    faulty
}

/// A spec whose evaporator cut-out never opens, for checks that must not cycle.
#[must_use]
pub fn without_frost_cut_out(spec: &CarSpec) -> CarSpec {
    let mut spec = spec.clone();
    spec.controls.frost_cut_out_k = None;
    spec.controls.cycling_pa = None;
    spec
}

/// A spec whose fan stays at its high stage once the compressor builds pressure, whatever the
/// pressure does: faults change the pressure, and a stage that follows it would blur their signs.
#[must_use]
pub fn fan_held_high(spec: &CarSpec) -> CarSpec {
    let mut spec = spec.clone();
    spec.controls.fan_high_pa.trip = -90e3;
    spec.controls.fan_high_pa.reset = -95e3;
    spec
}

/// A spec whose compressor, where a motor turns it, turns at full speed whenever it turns: faults change
/// what the control asks for, and a speed that follows would blur their signs.
#[must_use]
pub fn speed_held(spec: &CarSpec) -> CarSpec {
    let mut spec = spec.clone();
    if let Some(motor) = spec.compressor.turned.motor_mut() {
        motor.least_rev_s = motor.greatest_rev_s;
    }
    spec
}

/// A warm car of a spec.
pub fn warm_car(spec: &CarSpec, weather: Weather) -> Car {
    let mut car = Car::soaked_with(fluid_of(spec), spec.clone(), weather);
    car.warm_engine();
    car
}

/// Lets time pass.
///
/// # Panics
/// When the car stalls.
pub fn run(car: &mut Car, setup: &Setup, seconds: f64) {
    if let Err(stalled) = car.advance(setup, seconds) {
        panic!("{stalled}");
    }
}

/// Runs a warm car until it is steady and looks at it.
///
/// # Panics
/// When after some hours pressures still move, or the clutch cycles: the check would compare moving
/// things.
pub fn steady(spec: &CarSpec, weather: Weather, setup: &Setup) -> (Car, View) {
    const MOST_HALF_HOURS: usize = 6;
    let mut car = warm_car(spec, weather);
    let mut seen = Vec::new();
    for _ in 0..MOST_HALF_HOURS {
        run(&mut car, setup, 1800.0);
        let before = View::of(&car);
        let engagements = car.state().clutch_engagements;
        run(&mut car, setup, 60.0);
        let after = View::of(&car);
        let moved = |a: f64, b: f64, by: f64| (a - b).abs() > by;
        if !moved(before.high_pa, after.high_pa, 2e3)
            && !moved(before.low_pa, after.low_pa, 1e3)
            && !moved(before.capacity_w, after.capacity_w, 10.0)
            && after.driven
            && car.state().clutch_engagements == engagements
        {
            return (car, after);
        }
        // A receiver that fills up for good takes more than the first half hour.
        seen = vec![before, after];
    }
    panic!("not steady: {seen:?}")
}

/// Runs a warm car for half an hour, and gives the mean of the ten minutes after: what a gauge shows
/// of a car whose clutch or fan goes in and out.
pub fn mean(spec: &CarSpec, weather: Weather, setup: &Setup) -> Mean {
    let mut car = warm_car(spec, weather);
    run(&mut car, setup, 1800.0);
    Mean::over(&mut car, setup, 600.0)
}

/// Every kind of loop there is, by name: the built-in vehicles, the library's example, and that with an
/// orifice tube, with a plate that tilts and without.
pub fn cars() -> Vec<(String, CarSpec)> {
    let mut cars: Vec<(String, CarSpec)> = vehicles()
        .map(|vehicle| (vehicle.id.clone(), vehicle.spec.clone()))
        .collect();
    cars.push(("example".to_owned(), CarSpec::example()));
    cars.push(("orifice tube".to_owned(), orifice_tube_car()));
    let variable = CarSpec::example_with_orifice_tube();
    cars.push(("orifice tube, variable".to_owned(), variable));
    cars
}

/// The library's car with an orifice tube and a compressor of fixed displacement: the clutch and a
/// switch on the accumulator are all its control.
#[must_use]
pub fn orifice_tube_car() -> CarSpec {
    let mut spec = CarSpec::example_with_orifice_tube();
    spec.compressor.capacity = Capacity::Fixed;
    spec.controls.command = None;
    spec
}
