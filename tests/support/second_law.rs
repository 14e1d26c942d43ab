//! The second law, part by part, over every step of a run.
//!
//! Entropy made in a step is what leaves a part less what enters it, with what the part itself has
//! gained. Each part has a balance of its own, so that one cannot pay for another:
//! - a passage: each stream through it, at the pressures of its two ends; the compressor with its work
//!   and with what blows back past its valves;
//! - the inside of a volume: what streams in mixes with what it holds, and heat comes from the wall;
//! - that heat, from the wall's temperature to the refrigerant's;
//! - the wall: its metal, and the heat from the air outside; on the evaporator with the water that
//!   stays, dries and freezes;
//! - the cabin and the engine bay, which have no stream of their own: heat goes from warm to cold.

use std::collections::BTreeMap;

use sim_core::car::Car;
use sim_core::dual::Dual;
use sim_core::fluid::Fast;
use sim_core::loop_model::layout::Passage;
use sim_core::parts::cabin::CabinState;
use sim_core::parts::engine_bay::EngineBayState;
use sim_core::parts::receiver::leaving;

use crate::air_entropy::air_side_makes;

/// What a part may seem to destroy in a step, W/K: 0.3 W of work lost at 300 K, of some hundred.
///
/// Newton's last correction moves pressures and enthalpies, and heat and flow go with it along their
/// slopes, not their curves. A step is short where that matters, and over a run it evens out.
const SEEMING_W_PER_K: f64 = 1e-3;
/// The same of streams that mix in a volume, J/K in a step however short.
///
/// What a stream carries is moved along its slopes too, and where it turns round, as when a compressor
/// stops, that is not what either end hands on (in some 350 of 2.7 million balances, at most 5e-3 J/K; with
/// the ends' own enthalpies instead, mixing destroys nothing). Over a run it has to even out like the rest.
const SEEMING_MIXED_J_PER_K: f64 = 0.01;
/// What a part may seem to destroy over a run, J/K.
const SEEMING_J_PER_K: f64 = 1e-3;
/// Rounding of the table's entropy, of each kilogram that goes through, J/(kg K): 1e-6 of what it has.
const ROUNDED_J_PER_KG_K: f64 = 1.7e-3;

/// The part of a volume where streams mix with what it holds.
const MIXING: &str = "mixing";

/// A car a step ago, and what its parts have made since the books were opened.
#[derive(Clone, Debug)]
pub struct Ledger {
    was: Moment,
    /// Balances looked at.
    pub balances: u64,
    /// Balances that could not be told: see `Ledger::step`.
    pub untold: u64,
    made: BTreeMap<(usize, &'static str), f64>,
}

/// What the balances of a step ask of the car before it.
#[derive(Clone, Debug)]
struct Moment {
    entropy: Vec<Option<f64>>,
    energy_j: Vec<f64>,
    wall_k: Vec<f64>,
    pressure_pa: Vec<f64>,
    air_pa: Vec<f64>,
    cabin: CabinState,
    bay: EngineBayState,
}

impl Moment {
    fn of(car: &Car) -> Self {
        let refrigerant = &car.state().refrigerant;
        Self {
            entropy: (0..refrigerant.mass_kg.len())
                .map(|i| held_entropy(car, i))
                .collect(),
            energy_j: refrigerant.energy_j.clone(),
            wall_k: refrigerant.wall_k.clone(),
            pressure_pa: refrigerant.pressure_pa.clone(),
            air_pa: refrigerant.air_pressure_pa.clone(),
            cabin: car.state().cabin,
            bay: car.state().bay,
        }
    }
}

impl Ledger {
    /// Opens the books.
    #[must_use]
    pub fn of(car: &Car) -> Self {
        Self {
            was: Moment::of(car),
            balances: 0,
            untold: 0,
            made: BTreeMap::new(),
        }
    }

    /// Entropy that a part made in a step, W/K, beside what may be rounding.
    fn book(
        &mut self,
        part: (usize, &'static str),
        made: f64,
        rounding: f64,
        step_s: f64,
    ) -> Result<(), String> {
        self.balances += 1;
        *self.made.entry(part).or_default() += step_s * (made + rounding);
        let seeming = if part.1 == MIXING {
            SEEMING_MIXED_J_PER_K / step_s
        } else {
            SEEMING_W_PER_K
        };
        if made >= -seeming - rounding {
            Ok(())
        } else {
            Err(format!(
                "{} of volume {} makes {made:e} W/K in a step of {step_s} s",
                part.1, part.0
            ))
        }
    }

    /// Whether every part has made entropy over all its steps.
    ///
    /// # Errors
    /// The part that has not, and how much it destroyed.
    pub fn close(&self) -> Result<(), String> {
        for ((index, part), made) in &self.made {
            if made.is_nan() || *made < -SEEMING_J_PER_K {
                return Err(format!("{part} of volume {index} has made {made:e} J/K"));
            }
        }
        Ok(())
    }

    /// Looks at the step since, and takes the car as it is now for the next one.
    ///
    /// Untold are: passages between volumes with more air than refrigerant; what is hotter than the
    /// equation of state goes; and mixing where refrigerant escapes from the volume, or where Newton's
    /// last correction left more than can be bridged.
    ///
    /// # Errors
    /// The part that destroyed entropy, and how much.
    pub fn step(&mut self, car: &Car, step_s: f64) -> Result<(), String> {
        let was = std::mem::replace(&mut self.was, Moment::of(car));
        let refrigerant = &car.state().refrigerant;
        let count = car.layout().volumes.len();
        // Enthalpy and entropy that streams bring into each volume, at its own pressure, and the
        // enthalpy of both ends' states where it is not the stream's own.
        let (mut in_w, mut in_w_k) = (vec![0.0; count], vec![0.0; count]);
        let (mut nearly_w, mut through) = (vec![0.0; count], vec![0.0; count]);
        for (i, kind) in car.layout().passages.iter().enumerate() {
            let next = (i + 1) % count;
            let streams = Streams::of(car, i);
            let flows = streams.forward + streams.backward + streams.pumped;
            // Where there is more air than refrigerant the air is compressed and let down with it
            // (`HeldAir`), in both ends by its own share: not a throttle's business.
            let drowned = |i: usize| was.air_pa[i] > was.pressure_pa[i];
            if !drowned(i) && !drowned(next) && streams.in_range() {
                // What drives a stream is all the pressure there is.
                let pressed = |i: usize| refrigerant.pressure_pa[i] + was.air_pa[i];
                let made = streams.entropy_into(*kind, pressed(i), pressed(next));
                let made = made.0 + made.1;
                self.book((i, name(*kind)), made, ROUNDED_J_PER_KG_K * flows, step_s)?;
            } else {
                self.untold += 1;
            }
            let own = streams.entropy_into(
                *kind,
                refrigerant.pressure_pa[i],
                refrigerant.pressure_pa[next],
            );
            let carried = refrigerant.enthalpy_flow_w[i];
            in_w[i] -= carried;
            in_w[next] += carried + streams.work_w;
            nearly_w[i] -= streams.nearly_w();
            nearly_w[next] += streams.nearly_w() + streams.work_w;
            in_w_k[i] += own.0;
            in_w_k[next] += own.1;
            for end in [i, next] {
                through[end] += if streams.in_range() { flows } else { f64::NAN };
            }
        }
        for (i, volume) in car.layout().volumes.iter().enumerate() {
            let role = volume.role;
            let (k, wall_k) = (at(car, i).temperature_k, refrigerant.wall_k[i]);
            let metal_w = volume.heat_capacity_j_per_k * (wall_k - was.wall_k[i]) / step_s;
            let gained_w = (refrigerant.energy_j[i] - was.energy_j[i]) / step_s;
            let escapes = refrigerant.escaping_kg_s[i] > 0.0;
            let heat_w = if escapes {
                car.heat_from_air_w(role) - metal_w
            } else {
                gained_w - in_w[i]
            };
            self.book((i, "heat"), heat_w * (1.0 / k - 1.0 / wall_k), 0.0, step_s)?;
            if let (Some(is), Some(was)) = (self.was.entropy[i], was.entropy[i])
                && !escapes
                && through[i].is_finite()
            {
                let gained = (is - was) / step_s;
                let made = gained - in_w_k[i] - (gained_w - nearly_w[i]) / k;
                self.book((i, MIXING), made, ROUNDED_J_PER_KG_K * through[i], step_s)?;
            } else {
                self.untold += 1;
            }
            self.book((i, "air side"), air_side_makes(car, role), 0.0, step_s)?;
        }
        self.rooms(&was, car, step_s)
    }

    /// Cabin and engine bay: no heat from cold to warm.
    fn rooms(&mut self, was: &Moment, car: &Car, step_s: f64) -> Result<(), String> {
        let (cabin, state) = (&car.spec().cabin, car.state());
        let is = state.cabin;
        let sun_w = cabin.sun_area_m2 * car.weather().sun_w_per_m2;
        let warmed_k = is.interior_k - was.cabin.interior_k;
        let heat_w = cabin.interior_heat_capacity_j_per_k * warmed_k / step_s - sun_w;
        let made = heat_w * (1.0 / is.interior_k - 1.0 / is.air_k);
        self.book((0, "interior"), made, 0.0, step_s)?;
        let outside_k = car.weather().temperature_k;
        let (was, is) = (was.bay.bay_k, state.bay.bay_k);
        let cold = outside_k.min(state.bay.coolant_k);
        let warm = outside_k.max(state.bay.coolant_k);
        if is > was && is > warm + 1e-9 || is < was && is < cold - 1e-9 {
            return Err(format!(
                "the bay goes from {was} K to {is} K between {cold} K and {warm} K"
            ));
        }
        Ok(())
    }
}

fn name(kind: Passage) -> &'static str {
    match kind {
        Passage::Compressor => "compressor",
        Passage::Expansion => "expansion device",
        Passage::Pipe(_) => "passage",
    }
}

/// Temperature up to which the equation of state is given, K (Tillner-Roth & Baehr 1994; Lemmon &
/// Akasaka 2022). Beyond it the table goes on straight, and its entropy no longer follows its
/// temperature.
fn greatest_known_k(car: &Car) -> f64 {
    let spec = car.spec();
    if spec.refrigerant == "R-134a" && spec.contents.other_share <= 0.0 {
        455.0
    } else {
        410.0
    }
}

fn at(car: &Car, index: usize) -> Fast {
    let state = &car.state().refrigerant;
    car.fluid()
        .ph(state.pressure_pa[index], state.enthalpy_j_per_kg[index])
}

/// Entropy of what a volume holds, J/K, by the mass and energy that are kept, where it can be told.
///
/// What pressure and enthalpy say it holds may differ by what Newton's last correction left over;
/// dS = (dU - g dM) / T bridges that, where it is small.
fn held_entropy(car: &Car, index: usize) -> Option<f64> {
    const BRIDGED_SHARE: f64 = 1e-4;
    let state = &car.state().refrigerant;
    let volume_m3 = car.layout().volumes[index].volume_m3;
    let (p, h) = (state.pressure_pa[index], state.enthalpy_j_per_kg[index]);
    let here = at(car, index);
    let (s, k) = (here.entropy_j_per_kg_k, here.temperature_k);
    let mass = here.density_kg_per_m3 * volume_m3;
    let energy = mass * h - p * volume_m3;
    let (more_kg, more_j) = (state.mass_kg[index] - mass, state.energy_j[index] - energy);
    let told = more_kg.abs() < BRIDGED_SHARE * mass && k < greatest_known_k(car);
    told.then_some(mass * s + (more_j - (h - k * s) * more_kg) / k)
}

/// Flow below which what goes to and fro is told apart, kg/s.
const ONE_WAY_KG_S: f64 = 2e-5;
/// Flow that goes to and fro where nothing flows, kg/s: see `parts/line.rs`.
const MIXING_KG_S: f64 = 2e-6;

/// What goes through a passage.
struct Streams<'a> {
    car: &'a Car,
    from: usize,
    to: usize,
    forward: f64,
    backward: f64,
    /// Enthalpies that both ends give, J/kg.
    gives: (f64, f64),
    pumped: f64,
    work_w: f64,
}

impl<'a> Streams<'a> {
    fn of(car: &'a Car, from: usize) -> Self {
        let state = &car.state().refrigerant;
        let to = (from + 1) % state.mass_kg.len();
        let net = state.flow_kg_s[from];
        let root = (net * net + MIXING_KG_S * MIXING_KG_S).sqrt();
        let (forward, backward) = (0.5 * (root + net), 0.5 * (root - net));
        let mut gives = (handed_on(car, from, false), handed_on(car, to, true));
        let carried = state.enthalpy_flow_w[from];
        if net > ONE_WAY_KG_S {
            gives.0 = (carried + backward * gives.1) / forward;
        } else if net < -ONE_WAY_KG_S {
            gives.1 = (forward * gives.0 - carried) / backward;
        }
        let compressor = car.layout().passages[from] == Passage::Compressor;
        let driven = compressor && car.state().compressor_rev_s > 0.0;
        Self {
            car,
            from,
            to,
            forward,
            backward,
            gives,
            pumped: if driven { state.pumped_kg_s } else { 0.0 },
            work_w: if driven {
                state.compressor_power_w
            } else {
                0.0
            },
        }
    }

    /// Enthalpy carried by the streams as they are told apart here, W.
    fn nearly_w(&self) -> f64 {
        self.forward * self.gives.0 - self.backward * self.gives.1
    }

    /// What the compressor's cylinders take back from the head, kg/s, and what they hand on, J/kg.
    fn cylinders(&self) -> (f64, f64) {
        let back = self.pumped - (self.forward - self.backward);
        let energy = self.nearly_w() + self.work_w + back * self.gives.1;
        (back, energy / self.pumped)
    }

    /// Whether all of it is within the range of the equation of state.
    fn in_range(&self) -> bool {
        let state = &self.car.state().refrigerant;
        let known = |end: usize, h: f64| {
            let k = self.car.fluid().ph(state.pressure_pa[end], h).temperature_k;
            k < greatest_known_k(self.car)
        };
        let handed = if self.pumped > 0.0 {
            self.cylinders().1
        } else {
            self.gives.1
        };
        known(self.from, self.gives.0) && known(self.to, handed) && known(self.to, self.gives.1)
    }

    /// Entropy brought into both ends, W/K, each at a pressure.
    fn entropy_into(&self, kind: Passage, from_pa: f64, to_pa: f64) -> (f64, f64) {
        let entropy = |pa: f64, h: f64| self.car.fluid().ph(pa, h).entropy_j_per_kg_k;
        let (first, second) = self.gives;
        let into_first =
            self.backward * entropy(from_pa, second) - self.forward * entropy(from_pa, first);
        let into_second = if kind == Passage::Compressor && self.pumped > 0.0 {
            let (back, handed) = self.cylinders();
            self.pumped * entropy(to_pa, handed) - back * entropy(to_pa, second)
        } else {
            self.forward * entropy(to_pa, first) - self.backward * entropy(to_pa, second)
        };
        (into_first, into_second)
    }
}

/// Enthalpy of what a volume hands on, J/kg.
fn handed_on(car: &Car, index: usize, at_inlet: bool) -> f64 {
    let state = &car.state().refrigerant;
    let volume = &car.layout().volumes[index];
    let saturation = car.fluid().saturation(state.pressure_pa[index]);
    let here = at(car, index);
    let port = if at_inlet {
        volume.inlet
    } else {
        volume.outlet
    };
    leaving(
        port,
        &saturation,
        Dual::constant(here.quality),
        Dual::constant(here.density_kg_per_m3),
        Dual::constant(state.enthalpy_j_per_kg[index]),
    )
    .0
    .value
}
