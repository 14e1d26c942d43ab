//! Work at the service ports in tests: recover, evacuate, charge, and see that nothing is lost.

use sim_core::car::{Car, Phase, Port};
use sim_core::instruments::{Check, Truth, Watch, truth};
use sim_core::loop_model::layout::Layout;
use sim_core::setup::{Setup, Weather};
use sim_core::spec::CarSpec;

use crate::stand::{fluid_of, run};

/// What a recovery machine leaves, Pa.
pub const RECOVERED_TO_PA: f64 = 30e3;

/// A car that has stood for long on a day.
pub fn soaked(spec: &CarSpec, day: Weather) -> Car {
    Car::soaked_with(fluid_of(spec), spec.clone(), day)
}

/// What the vacuum gauge is shown, Pa.
///
/// # Panics
/// When it cannot be read.
pub fn gauge_pa(car: &Car) -> f64 {
    match truth(car, Check::Vacuum, Watch::default()) {
        Ok(Truth::Number(pa)) => pa,
        other => panic!("{other:?}"),
    }
}

/// Recovers for half an hour.
pub fn recover(car: &mut Car) {
    car.start_recovery(RECOVERED_TO_PA);
    run(car, &Setup::parked(), 1800.0);
    car.stop_recovery();
}

/// Evacuates for some minutes and shuts the pump off.
pub fn evacuate(car: &mut Car, minutes: f64) {
    car.start_evacuation();
    run(car, &Setup::parked(), 60.0 * minutes);
    car.stop_evacuation();
}

/// Charges liquid at the high side into a standing car.
///
/// # Panics
/// When it does not go in.
pub fn charge(car: &mut Car, kg: f64) {
    car.start_charging(Phase::Liquid, Port::High, kg);
    for _ in 0..30 {
        run(car, &Setup::parked(), 60.0);
        if !car.is_charging() {
            return;
        }
    }
    panic!("the charge did not go in");
}

/// A loop that was opened, mended and closed again, and nothing else: air at the pressure around.
pub fn opened(spec: &CarSpec) -> CarSpec {
    let mut spec = spec.clone();
    let volume_m3 = Layout::of(&spec).total_volume_m3();
    // p V / (R T) at 33 °C, beside a trace of refrigerant.
    let air_kg = 100e3 * volume_m3 / (287.042 * 306.15);
    spec.contents.air_kg = air_kg;
    spec.charge_share = 1e-4;
    spec
}

/// Refrigerant in the loop, and what has left it and not come in, kg.
pub fn accounted_kg(car: &Car) -> f64 {
    let held = &car.state().refrigerant;
    held.total_mass_kg() + held.lost_kg + held.recovered_kg - held.charged_kg
}

/// Energy of refrigerant and metal, J.
pub fn held_j(car: &Car) -> f64 {
    let loop_state = &car.state().refrigerant;
    let walls = car.layout().volumes.iter().zip(&loop_state.wall_k);
    loop_state.energy_j.iter().sum::<f64>()
        + walls.map(|(v, k)| v.heat_capacity_j_per_k * k).sum::<f64>()
}

/// Runs a car and checks after every step that refrigerant is accounted for; gives heat
/// and work put in, J.
///
/// # Panics
/// When the sum is off by more than 1e-9 of a scale, or the car stalls.
pub fn watched(
    car: &mut Car,
    setup: &Setup,
    seconds: f64,
    start_kg: f64,
    scale_kg: f64,
    what: &str,
) -> f64 {
    let (mut worst, mut put_in_j) = (0.0_f64, 0.0);
    let ran = car.advance_watched(setup, seconds, |car, step_s| {
        worst = worst.max((accounted_kg(car) - start_kg).abs() / scale_kg);
        let roles = car.layout().volumes.iter().map(|volume| volume.role);
        let heat_w: f64 = roles.map(|role| car.heat_from_air_w(role)).sum();
        put_in_j += step_s * (heat_w + car.state().refrigerant.compressor_power_w);
    });
    assert_eq!(ran, Ok(()), "{what}");
    assert!(worst <= 1e-9, "{what}: the sum is off by {worst:e}");
    put_in_j
}
