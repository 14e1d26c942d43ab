//! A steady state found directly, from a car near it.
//!
//! The same implicit step, with steps that grow until the inertia of walls, sensing charge and plate
//! no longer counts (pseudo-transient continuation, Kelley & Keyes 1998): no equation is written a
//! second time, and what the charge was it stays. Held as they are: switches, clutch and shaft speed,
//! the command to a plate, water and frost on the fins, ice and debris, and the air that reaches
//! condenser, evaporator and engine bay. Leaks, relief valve and service ports count as shut: with
//! them nothing is steady.

use crate::car::Car;
use crate::loop_model::layout::Layout;
use crate::loop_model::state::LoopState;
use crate::setup::Weather;
use crate::spec::CarSpec;

/// First step, s.
const FIRST_STEP_S: f64 = 10.0;
/// How much longer each step is than the one before.
const GROWTH: f64 = 30.0;
/// Step at which nothing has inertia any more, s.
const LONGEST_STEP_S: f64 = 1e6;
/// Step so short that a car near its steady state would have managed it, s.
const SHORTEST_STEP_S: f64 = 0.01;
/// Share of a refused step that is tried next.
const SHORTER: f64 = 0.1;
/// Steps after which a loop that still moves is given up.
const MOST_STEPS: usize = 60;
/// Share of its pressure that a volume may still move by in the last step.
const STILL_SHARE: f64 = 2e-5;
/// Enthalpy that a volume may still move by in the last step, J/kg.
const STILL_J_PER_KG: f64 = 20.0;

/// No steady state was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotSteady {
    /// The car asked for is built otherwise than the one it was to be found from.
    Different,
    /// The compressor stands.
    Standing,
    /// The loop went on moving.
    Moving {
        /// Evaluations of all the balances spent.
        evaluations: u64,
    },
}

impl std::fmt::Display for NotSteady {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Different => write!(
                f,
                "the two cars are built differently, so one is no start for the other; start from a car with the same refrigerant and the same parts in its loop"
            ),
            Self::Standing => write!(
                f,
                "the compressor stands, and pressures at rest follow the temperatures around; let time pass instead"
            ),
            Self::Moving { evaluations } => write!(
                f,
                "no steady state was found in {evaluations} evaluations; start from a car nearer to it, or let time pass instead: the loop may hunt or its switches cycle"
            ),
        }
    }
}

impl std::error::Error for NotSteady {}

impl Car {
    /// The car this one would be on another day or with other parts, its loop steady.
    ///
    /// Controls, switches and shaft speed are this car's, and so is what a charge has lost by leaks.
    /// The air of cabin and engine bay is taken along by as much as the weather differs, and then
    /// held; everything else is in the notes at the top of this file. Meant for neighbours: a
    /// day some kelvin warmer, a fault some percent worse. What it cost is the new car's
    /// [`Car::effort`].
    ///
    /// ```
    /// use sim_core::car::Car;
    /// use sim_core::setup::{Setup, Weather};
    /// use sim_core::spec::CarSpec;
    ///
    /// let spec = CarSpec::example();
    /// let day = Weather::shade(303.15, 0.5);
    /// let mut car = Car::soaked(spec.clone(), day)?;
    /// let setup = Setup {
    ///     engine_rev_s: 25.0, ac_on: true, blower_step: 4, doors_open: true, ..Setup::parked()
    /// };
    /// car.advance(&setup, 900.0)?;
    /// let warmer = car.steady_near(spec, Weather { temperature_k: 305.15, ..day })?;
    /// let high_pa = |car: &Car| car.pressure_pa(car.spec().high_port.role());
    /// assert!(high_pa(&warmer) > high_pa(&car) + 30e3);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`NotSteady`], with what to do about it.
    pub fn steady_near(&self, spec: CarSpec, weather: Weather) -> Result<Self, NotSteady> {
        let (own, other) = (&self.spec.contents, &spec.contents);
        if spec.refrigerant != self.spec.refrigerant || other.other_share != own.other_share {
            return Err(NotSteady::Different);
        }
        let mut near = Self::soaked_with(self.label.clone(), spec, weather);
        let roles = |car: &Self| {
            car.layout
                .volumes
                .iter()
                .map(|v| v.role)
                .collect::<Vec<_>>()
        };
        if roles(&near) != roles(self) {
            return Err(NotSteady::Different);
        }
        let fresh = std::mem::replace(&mut near.state, self.state.clone());
        let charge_kg = |spec: &CarSpec| spec.label_charge_kg * spec.charge_share;
        let state = &mut near.state;
        state.refrigerant.air = fresh.refrigerant.air;
        state.refrigerant.water = fresh.refrigerant.water;
        state.refrigerant.air_pressure_pa = fresh.refrigerant.air_pressure_pa;
        state
            .refrigerant
            .scale(charge_kg(&near.spec) / charge_kg(&self.spec));
        state.debris = fresh.debris;
        let warmer_k = weather.temperature_k - self.weather.temperature_k;
        for k in [
            &mut state.cabin.air_k,
            &mut state.cabin.interior_k,
            &mut state.bay.bay_k,
            &mut state.condenser_air_off_k,
        ] {
            *k += warmer_k;
        }
        let damper = near.outdoors.humidity_ratio - self.outdoors.humidity_ratio;
        state.cabin.humidity_ratio = (state.cabin.humidity_ratio + damper).max(0.0);
        near.setup = self.setup.clone();
        state.face_velocity_m_s = near.spec.fan.face_velocity_m_s(
            state.fan_stage,
            near.setup.road_speed_m_s,
            near.setup.shop_fan,
        );
        near.settle()?;
        Ok(near)
    }

    /// Brings the loop to the steady state near it, at once; no time passes.
    ///
    /// # Errors
    /// [`NotSteady`], with what to do about it; the car is left as it was.
    pub fn settle(&mut self) -> Result<(), NotSteady> {
        if self.state.compressor_rev_s <= 0.0 {
            return Err(NotSteady::Standing);
        }
        let before = self.state.refrigerant.clone();
        let spent = self.solver.evaluations;
        let settled = self.continue_to_steady(&self.layout.sealed());
        self.solver.forget();
        if settled {
            self.state.refrigerant.make_up(before.total_mass_kg());
            self.leave_evaporator(|_, _, _, _| {});
            Ok(())
        } else {
            self.state.refrigerant = before;
            Err(NotSteady::Moving {
                evaluations: self.solver.evaluations - spent,
            })
        }
    }

    /// Steps of growing length until the longest moves nothing; whether that came about.
    fn continue_to_steady(&mut self, sealed: &Layout) -> bool {
        let mut step_s = FIRST_STEP_S;
        let mut before = self.state.refrigerant.clone();
        for _ in 0..MOST_STEPS {
            self.solver.forget();
            if self.try_step(Some(sealed), step_s).is_err() {
                step_s *= SHORTER;
                if step_s < SHORTEST_STEP_S {
                    return false;
                }
                continue;
            }
            let now = &self.state.refrigerant;
            if step_s >= LONGEST_STEP_S && still(&before, now) {
                return true;
            }
            before.clone_from(now);
            step_s = (step_s * GROWTH).min(LONGEST_STEP_S);
        }
        false
    }
}

/// Whether nothing moved any more in a step.
fn still(before: &LoopState, now: &LoopState) -> bool {
    let pressures = before.pressure_pa.iter().zip(&now.pressure_pa);
    let enthalpies = before.enthalpy_j_per_kg.iter().zip(&now.enthalpy_j_per_kg);
    pressures
        .into_iter()
        .all(|(before, now)| (now - before).abs() < STILL_SHARE * before)
        && enthalpies
            .into_iter()
            .all(|(before, now)| (now - before).abs() < STILL_J_PER_KG)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_model::layout::Role;
    use crate::parts::displacement::Capacity;
    use crate::setup::Setup;

    fn day(celsius: f64) -> Weather {
        Weather::shade(celsius + 273.15, 0.5)
    }

    /// A thermal valve with a receiver, and an orifice tube with an accumulator and either compressor.
    fn specs() -> [CarSpec; 3] {
        let mut fixed = CarSpec::example_with_orifice_tube();
        fixed.compressor.capacity = Capacity::Fixed;
        fixed.controls.command = None;
        let cars = [
            CarSpec::example(),
            CarSpec::example_with_orifice_tube(),
            fixed,
        ];
        cars.map(|mut spec| {
            spec.controls.frost_cut_out_k = None;
            spec.controls.cycling_pa = None;
            spec
        })
    }

    /// A car that has run for two hours with its doors open.
    fn long_run(spec: CarSpec, weather: Weather) -> Car {
        let mut car = Car::soaked(spec, weather).unwrap();
        car.warm_engine();
        let setup = Setup {
            engine_rev_s: 25.0,
            ac_on: true,
            blower_step: 4,
            doors_open: true,
            ..Setup::parked()
        };
        car.advance(&setup, 7200.0).unwrap();
        car
    }

    fn agree(found: &Car, wanted: &Car) {
        let shown = |car: &Car| {
            [
                car.pressure_pa(Role::CompressorHead),
                car.pressure_pa(Role::LiquidLine),
                car.pressure_pa(Role::SuctionLine),
                car.state().air_duty_w,
                car.valve_flow_kg_s(),
            ]
        };
        for (found, wanted) in shown(found).into_iter().zip(shown(wanted)) {
            let off = (found / wanted - 1.0).abs();
            assert!(off < 1e-3, "{found} against {wanted}");
        }
    }

    /// The loop of one car in the air of another: what is found is where the other's long run ended.
    #[test]
    fn a_direct_steady_state_is_where_a_long_run_ends() {
        for spec in specs() {
            let near = long_run(spec.clone(), day(30.0));
            let mut low = spec.clone();
            low.charge_share = 0.95;
            for (spec, weather) in [(spec, day(32.0)), (low, day(30.0))] {
                let wanted = long_run(spec, weather);
                let mut found = wanted.clone();
                found.state.refrigerant = near.state.refrigerant.clone();
                found.state.refrigerant.scale(wanted.spec.charge_share);
                let charge_kg = found.state.refrigerant.total_mass_kg();
                found.settle().unwrap();
                agree(&found, &wanted);
                let kept = found.state.refrigerant.total_mass_kg() / charge_kg;
                assert!((kept - 1.0).abs() < 1e-14, "{kept} of the charge");
                let spent = found.effort().evaluations - wanted.effort().evaluations;
                assert!(spent < 30, "{spent} evaluations");
            }
        }
    }

    #[test]
    fn a_neighbour_keeps_the_controls_and_takes_its_own_parts_and_day() {
        let [spec, ..] = specs();
        let car = long_run(spec.clone(), day(30.0));
        let mut worse = spec.clone();
        worse.condenser.air_blockage = 0.1;
        let same = car.steady_near(spec.clone(), day(30.0)).unwrap();
        agree(&same, &car);
        let blocked = car.steady_near(worse, day(30.0)).unwrap();
        let warmer = car.steady_near(spec, day(32.0)).unwrap();
        for (other, by_pa) in [(&blocked, 20e3), (&warmer, 50e3)] {
            let rise = other.pressure_pa(Role::LiquidLine) - car.pressure_pa(Role::LiquidLine);
            assert!(rise > by_pa, "{rise} Pa");
            assert_eq!(other.setup(), car.setup());
            assert_eq!(other.state().time_s, car.state().time_s);
        }
        assert!(blocked.spec().condenser.air_blockage > 0.0);
    }

    #[test]
    fn what_cannot_be_found_says_what_to_do_and_leaves_the_car_alone() {
        let [spec, orifice, _] = specs();
        let mut standing = Car::soaked(spec.clone(), day(30.0)).unwrap();
        let before = standing.clone();
        assert_eq!(standing.settle(), Err(NotSteady::Standing));
        assert_eq!(standing.state(), before.state());
        let running = long_run(spec.clone(), day(30.0));
        let other = running.steady_near(orifice, day(30.0));
        assert_eq!(other.err(), Some(NotSteady::Different));
        let mut elsewhere = spec;
        elsewhere.refrigerant = "R-1234yf".to_owned();
        let other = running.steady_near(elsewhere, day(30.0));
        assert_eq!(other.err(), Some(NotSteady::Different));
        for why in [
            NotSteady::Standing,
            NotSteady::Different,
            NotSteady::Moving { evaluations: 90 },
        ] {
            assert!(why.to_string().contains("; "), "{why}");
        }
    }
}
