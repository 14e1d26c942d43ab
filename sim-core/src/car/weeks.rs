//! A repaired car driven on: what its owner meets in the weeks after.
//!
//! A week is seven days of standing, in which leaks let out what they let out at a year's mean
//! temperature, and some hours of driving, of which one drive is simulated: the car soaked in the week's
//! weather, driven, then standing with the engine idling. Turns and rubbing of that drive count for the
//! hours it stands for: debris goes round with the turns, and internals that rub wear by the work they
//! rub away (Archard's law: worn volume grows with force times way; the constant is common practice, no
//! source). A belt that runs out of line frays with the engine's turns ([`crate::parts::belt_line`]). Nothing here knows what was wrong with the car or what was done to it.

use crate::car::{Car, Stalled};
use crate::loop_model::layout::Role;
use crate::setup::{Setup, Weather};

/// Weather of a week's drive, and how long the owner drives in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Week {
    /// Weather.
    pub weather: Weather,
    /// Time driven in the week, s.
    pub driven_s: f64,
}

/// What a week's drive showed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Driven {
    /// Weather of the drive.
    pub weather: Weather,
    /// Air at the centre vent at the end of the road, K.
    pub road_vent_k: f64,
    /// The same at the end of standing, K.
    pub standing_vent_k: f64,
    /// Highest pressure of the high side, Pa absolute.
    pub peak_pa: f64,
    /// Times the high-pressure cut-out opened.
    pub cut_outs: u32,
    /// The relief valve opened.
    pub relieved: bool,
    /// Least that ice left open of the expansion device.
    pub least_open: f64,
    /// Refrigerant in the loop when the week began, kg.
    pub charge_kg: f64,
    /// Torque that worn internals add, N m.
    pub drag_n_m: f64,
    /// Debris in the expansion device's screen, kg.
    pub screen_kg: f64,
    /// Share of belt speed lost under the compressor's load.
    pub belt_slip: f64,
}

/// Days in a week, s.
const WEEK_S: f64 = 7.0 * 86_400.0;
/// Temperature a car stands at over the weeks, K (common practice, no source: 15 °C).
const MEAN_K: f64 = 288.15;
/// Speed of the drive, m/s (50 km/h).
const ROAD_M_S: f64 = 50.0 / 3.6;
/// Engine on that road, turns per second (common practice, no source).
const ROAD_REV_S: f64 = 1900.0 / 60.0;
/// Time on the road, s: long enough for clutch and engine bay to be as hot as they get.
const ROAD_S: f64 = 1200.0;
/// Time standing after it, s.
const STANDING_S: f64 = 720.0;
/// Drag that rubbing leaves behind, N m for each joule rubbed away (common practice, no source: a
/// compressor at half its oil is done for after some weeks).
const WEAR_N_M_PER_J: f64 = 1.2e-7;
/// Share of the label's charge below which a loop holds next to nothing.
const EMPTY_SHARE: f64 = 0.03;
/// Least charge that is followed, as a share of the label's: a loop of nothing has no pressure.
const LEAST_SHARE: f64 = 0.01;

impl Car {
    /// Drives the car through some weeks. The car itself stays as it is.
    ///
    /// ```
    /// use sim_core::car::{Car, Week};
    /// use sim_core::setup::Weather;
    /// use sim_core::spec::CarSpec;
    /// let weather = Weather::shade(305.15, 0.4);
    /// let car = Car::soaked(CarSpec::example(), weather)?;
    /// let weeks = car.driven_on(&[Week { weather, driven_s: 5.0 * 3600.0 }])?;
    /// assert!(weeks[0].road_vent_k < 288.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Stalled`] when the simulation cannot follow.
    pub fn driven_on(&self, weeks: &[Week]) -> Result<Vec<Driven>, Stalled> {
        let mut car = self.clone();
        let mut shown = Vec::with_capacity(weeks.len());
        for week in weeks {
            car = car.soaked_again(week.weather);
            shown.push(car.drive(week)?);
            car.stand(WEEK_S);
        }
        Ok(shown)
    }

    /// The same car after a long rest where it stands: everything at outside temperature, hoses off.
    #[must_use]
    pub fn rested(&self) -> Self {
        self.soaked_again(self.weather)
    }

    /// The same car after a long rest in other weather.
    fn soaked_again(&self, weather: Weather) -> Self {
        let mut old = self.clone();
        old.loosen_debris();
        let state = &old.state;
        let mut spec = old.spec.clone();
        let share = state.refrigerant.total_mass_kg() / spec.label_charge_kg;
        spec.charge_share = share.max(LEAST_SHARE);
        spec.contents.air_kg = state.refrigerant.air.high_kg + state.refrigerant.air.low_kg;
        let mut car = Self::soaked_with(old.label.clone(), spec, weather);
        let mut water = state.refrigerant.water;
        water.dissolve();
        car.state.refrigerant.water = water;
        car.state.debris = state.debris;
        car.state.fuse_whole = state.fuse_whole;
        car.state.service = state.service.clone();
        // Of a loop that holds next to nothing no compressor makes anything: it is followed at rest.
        car.state.service.thin = share < EMPTY_SHARE;
        car.state.service.charging = None;
        car.stop_recovery();
        car.state.service.pump_on = false;
        car.lay_out();
        car
    }

    /// One drive of a week, and what the other hours like it do.
    fn drive(&mut self, week: &Week) -> Result<Driven, Stalled> {
        self.warm_engine();
        let charge_kg = self.state.refrigerant.total_mass_kg();
        let mut shown = Driven {
            weather: week.weather,
            road_vent_k: 0.0,
            standing_vent_k: 0.0,
            peak_pa: 0.0,
            cut_outs: 0,
            relieved: false,
            least_open: 1.0,
            charge_kg,
            drag_n_m: 0.0,
            screen_kg: 0.0,
            belt_slip: self.spec.bay.slip(),
        };
        let (mut turns, mut rubbed_j, mut tripped) = (0.0, 0.0, false);
        let engine_turns = ROAD_REV_S * ROAD_S + self.spec.bay.idle_rev_s * STANDING_S;
        let road = Setup {
            engine_rev_s: ROAD_REV_S,
            ac_on: true,
            blower_step: self.spec.air_box.top_step(),
            road_speed_m_s: ROAD_M_S,
            ..Setup::parked()
        };
        let standing = Setup {
            engine_rev_s: self.spec.bay.idle_rev_s,
            road_speed_m_s: 0.0,
            ..road.clone()
        };
        for (setup, seconds, on_the_road) in [(road, ROAD_S, true), (standing, STANDING_S, false)] {
            let mut vent = Mean::default();
            let from_s = self.state.time_s + seconds - VENT_OVER_S;
            self.advance_watched(&setup, seconds, |car, step_s| {
                let state = &car.state;
                turns += state.compressor_rev_s * step_s;
                rubbed_j += state.rubbing_w * step_s;
                shown.peak_pa = shown.peak_pa.max(car.pressure_pa(Role::CompressorHead));
                shown.cut_outs += u32::from(state.controls.high_tripped && !tripped);
                tripped = state.controls.high_tripped;
                shown.relieved |= state.relief_open;
                shown.least_open = shown.least_open.min(state.ice.open_share());
                if state.time_s > from_s {
                    vent.add(state.vents_k[1], step_s);
                }
            })?;
            if on_the_road {
                shown.road_vent_k = vent.value();
            } else {
                shown.standing_vent_k = vent.value();
            }
        }
        shown.drag_n_m = self.spec.compressor.drag_torque_n_m;
        shown.screen_kg = self.state.debris.screen_kg;
        let others = (week.driven_s / (ROAD_S + STANDING_S) - 1.0).max(0.0);
        self.after_turning(turns * others);
        self.spec.bay.run_belt(engine_turns * (1.0 + others));
        self.spec.compressor.drag_torque_n_m += WEAR_N_M_PER_J * rubbed_j * (1.0 + others);
        self.state.debris = self.spec.debris.advance(
            self.state.debris,
            turns * others,
            self.spec.filters_liquid(),
        );
        Ok(shown)
    }

    /// Lets the car stand: its leaks let out vapour over liquid, or what vapour there is.
    fn stand(&mut self, seconds: f64) {
        let ways = self.spec.leaks.iter().chain(&self.state.service.openings);
        let area_m2: f64 = ways.map(|way| way.area_m2).sum();
        let volume_m3 = self.layout.total_volume_m3();
        let held = self.state.refrigerant.total_mass_kg();
        let saturated_pa = self.fluid.saturation_pressure_pa(MEAN_K);
        let saturated = self.fluid.saturation(saturated_pa).vapour_density_kg_per_m3;
        let outside_kg = saturated * volume_m3 * self.outdoors.pressure_pa / saturated_pa;
        let mut left_kg = held;
        let days = 7.0;
        for _ in 0..days as u32 {
            let density = (left_kg / volume_m3).min(saturated);
            let over_pa = saturated_pa * density / saturated - self.outdoors.pressure_pa;
            let lost = area_m2 * (2.0 * density * over_pa.max(0.0)).sqrt() * seconds / days;
            left_kg = (left_kg - lost).max(outside_kg.min(left_kg));
        }
        let share = left_kg / held.max(f64::MIN_POSITIVE);
        self.state.refrigerant.lost_kg += held - left_kg;
        self.state.refrigerant.scale(share);
    }
}

/// Time over which the vent's air is averaged, s: a compressor that comes and goes shows a swing.
const VENT_OVER_S: f64 = 120.0;

/// A mean over time.
#[derive(Default)]
struct Mean {
    sum: f64,
    seconds: f64,
}

impl Mean {
    fn add(&mut self, value: f64, seconds: f64) {
        self.sum += value * seconds;
        self.seconds += seconds;
    }

    fn value(&self) -> f64 {
        self.sum / self.seconds.max(f64::MIN_POSITIVE)
    }
}
