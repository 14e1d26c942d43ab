use super::*;
use crate::random::Draws;
use crate::spec::CarSpec;

fn feed() -> Feed {
    Feed {
        source_v: CHARGING_VOLTAGE_V,
        ignition: true,
        driven: true,
        fuse_whole: true,
        coil_k: 293.15,
        engine_rev_s: 15.0,
    }
}

fn solved(circuit: &ClutchCircuit, feed: &Feed) -> CircuitState {
    circuit.solve(&CircuitState::default(), feed)
}

/// What a meter shows from a point to another.
fn shows(circuit: &ClutchCircuit, feed: &Feed, red: Point, black: Point) -> f64 {
    let state = solved(circuit, feed);
    let volts = circuit.volts(feed, &state, Some((red, black)));
    volts[red as usize] - volts[black as usize]
}

/// A circuit with every resistance drawn over six decades.
fn any_circuit(draws: &mut Draws) -> ClutchCircuit {
    let mut ohm = |least: f64, most: f64| {
        libm::exp(libm::log(least) + draws.uniform() * libm::log(most / least))
    };
    let mut circuit = CarSpec::example().circuit;
    circuit.coil_ohm = ohm(0.5, 20.0);
    circuit.wiring_ohm = ohm(0.01, 1.0);
    circuit.connector_ohm = ohm(1e-3, 1e3);
    circuit.condition = Condition {
        fuse_holder_ohm: ohm(1e-4, 1e2),
        relay_contact_ohm: ohm(1e-4, 1e2),
        relay_coil_open_ohm: ohm(1e-4, 1e2),
        harness_ohm: ohm(1e-4, 1e2),
        ground_ohm: ohm(1e-4, 1e2),
        relay_weld: 1.0,
        ..Condition::default()
    };
    circuit
}

/// Kirchhoff's voltage law and Ohm's law (1845, 1827): drops sum to the battery's voltage, and the
/// same current makes each of them.
#[test]
fn drops_sum_to_the_battery_and_share_a_current() {
    for seed in 0..200 {
        let circuit = any_circuit(&mut Draws::new(seed, 0));
        let feed = feed();
        let state = solved(&circuit, &feed);
        let volts = circuit.volts(&feed, &state, None);
        let mut sum = state.current_a * state.coil_ohm;
        for link in Link::ALL {
            let (one, other) = link.ends();
            let drop_v = volts[one as usize] - volts[other as usize];
            let current_a = drop_v / circuit.link_ohm(link, &feed, true);
            let digits_a = 1e-13 * CHARGING_VOLTAGE_V / circuit.link_ohm(link, &feed, true);
            assert!(
                (current_a - state.current_a).abs() <= digits_a.max(1e-9 * current_a),
                "{seed}, {link:?}: {current_a} and {} A",
                state.current_a
            );
            sum += drop_v;
        }
        let post_v = volts[Point::BatteryPost as usize];
        assert!((sum - post_v).abs() < 1e-9, "{seed}: {sum} of {post_v} V");
    }
}

/// A coil of 3.2 to 4 Ω draws 3 to 4 A from 12 V, and never more than 4 A (common practice, no source).
#[test]
fn a_coil_draws_three_to_four_amperes() {
    for coil_ohm in [3.2, 3.6, 4.0] {
        let mut circuit = CarSpec::example().circuit;
        circuit.coil_ohm = coil_ohm;
        let on_bench = Feed {
            source_v: 12.0,
            ..feed()
        };
        let current_a = solved(&circuit, &on_bench).current_a;
        assert!(
            (2.9..=4.0).contains(&current_a),
            "{coil_ohm} Ω: {current_a} A"
        );
    }
}

/// Upstream of an open, a meter reads the battery and says nothing of resistance there;
/// downstream it reads nothing (common practice, no source).
#[test]
fn an_open_reads_battery_before_and_nothing_behind() {
    let circuit = CarSpec::example().circuit;
    let blown = Feed {
        fuse_whole: false,
        ..feed()
    };
    let to_ground = |feed: &Feed, point| shows(&circuit, feed, point, Point::BatteryNegative);
    assert!((to_ground(&blown, Point::FuseIn) - CHARGING_VOLTAGE_V).abs() < 0.01);
    for point in [Point::FuseOut, Point::RelayOutput, Point::PlugCoil] {
        assert!(to_ground(&blown, point).abs() < 1e-3, "{point:?}");
    }
    // With a load gone, a corroded holder does not show: 10 MΩ draw next to nothing through it.
    let mut corroded = circuit.clone();
    corroded.condition.fuse_holder_ohm = 5.0;
    corroded.open_ohm = 1e6;
    let unloaded_v = shows(&corroded, &feed(), Point::FuseOut, Point::BatteryNegative);
    assert!(
        (unloaded_v - CHARGING_VOLTAGE_V).abs() < 0.01,
        "{unloaded_v}"
    );
    corroded.open_ohm = 0.0;
    let loaded_v = shows(&corroded, &feed(), Point::FuseOut, Point::BatteryNegative);
    assert!(loaded_v < 8.0, "{loaded_v}");
    // Behind the coil, a ground that is gone leaves the pin at the battery's voltage.
    let mut adrift = circuit.clone();
    adrift.condition.ground_ohm = 1e7;
    let pin_v = shows(&adrift, &feed(), Point::CoilGround, Point::BatteryNegative);
    assert!(pin_v > 6.0, "{pin_v}");
}

#[test]
fn the_relay_pulls_in_lets_go_and_sticks() {
    let circuit = CarSpec::example().circuit;
    let off = Feed {
        driven: false,
        ..feed()
    };
    let closed = solved(&circuit, &feed());
    assert!(closed.contacts_closed);
    assert!(!circuit.solve(&closed, &off).contacts_closed);
    let weak = Feed {
        source_v: 6.0,
        ..feed()
    };
    assert!(
        !solved(&circuit, &weak).contacts_closed,
        "6 V do not pull in"
    );
    assert!(circuit.solve(&closed, &weak).contacts_closed, "but hold");
    let mut welded = circuit.clone();
    welded.condition.relay_weld = 1.2;
    assert!(solved(&welded, &off).current_a > 3.0);
    let mut broken = circuit.clone();
    broken.condition.relay_coil_open_ohm = 1e4;
    assert_eq!(solved(&broken, &feed()).current_a, 0.0);
    let mut jammed = circuit;
    jammed.condition.relay_pull_in_v = 10.0;
    assert!(!solved(&jammed, &feed()).contacts_closed);
}

#[test]
fn a_pin_without_grip_parts_as_the_engine_turns_faster() {
    let mut circuit = CarSpec::example().circuit;
    circuit.condition.grip_lost = 0.97;
    let current_a = |circuit: &ClutchCircuit, rpm: f64| {
        let engine_rev_s = rpm / 60.0;
        solved(
            circuit,
            &Feed {
                engine_rev_s,
                ..feed()
            },
        )
        .current_a
    };
    assert!(current_a(&circuit, 850.0) > 3.0);
    assert_eq!(current_a(&circuit, 2500.0), 0.0);
    circuit.condition.grip_lost = 0.0;
    assert!(current_a(&circuit, 6000.0) > 3.0);
}

#[test]
fn a_cracked_winding_parts_with_heat_and_touches_again() {
    let mut circuit = CarSpec::example().circuit;
    circuit.condition.parts_below_limit_k = 130.0;
    let at = |state: &CircuitState, celsius: f64| {
        circuit.solve(
            state,
            &Feed {
                coil_k: celsius + 273.15,
                ..feed()
            },
        )
    };
    let cold = at(&CircuitState::default(), 60.0);
    assert!(cold.current_a > 3.0);
    let hot = at(&cold, 71.0);
    assert_eq!((hot.current_a, hot.coil_ohm), (0.0, OPEN_OHM));
    assert_eq!(at(&hot, 66.0).current_a, 0.0, "not yet");
    assert!(at(&hot, 63.0).current_a > 3.0);
}
