//! The running cycle of a car: the state in which refrigerant leaves each volume of its loop.
//!
//! It asks the ring which volumes there are and how they are joined, and knows no layout by heart.

use sim_core::car::Car;
use sim_core::loop_model::layout::Passage;

/// Refrigerant at one place of the cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// What it comes out of, in plain words.
    pub after: String,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Specific enthalpy, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// How it stands to saturation.
    pub condition: Condition,
}

/// How refrigerant stands to saturation at its pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Condition {
    /// Liquid, this many K below boiling.
    Subcooled(f64),
    /// Liquid and vapour, of this quality.
    Wet(f64),
    /// Vapour, this many K above boiling.
    Superheated(f64),
}

/// A car's cycle at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Cycle {
    /// Enthalpies, J/kg, and pressures, Pa, all the way round from the compressor's outlet; the
    /// last point is the suction, from which the compressor leads back to the first.
    pub path: Vec<(f64, f64)>,
    /// What leaves each part, in the order of the loop.
    pub stops: Vec<Stop>,
    /// Power put into the refrigerant, W.
    pub power_w: f64,
    /// Heat taken from the air, W.
    pub duty_w: f64,
    /// Flow through the compressor, kg/s.
    pub flow_kg_s: f64,
    /// The compressor turned.
    pub turning: bool,
}

/// Flow below which a passage is taken to stand still, kg/s.
const STILL_KG_S: f64 = 1e-5;
/// Pressure ratio over a passage from which it throttles by design rather than by friction.
const THROTTLES: f64 = 1.25;

impl Cycle {
    /// The cycle of a car as it is now.
    #[must_use]
    pub fn of(car: &Car) -> Self {
        let layout = car.layout();
        let state = car.state();
        let volumes = &layout.volumes;
        let mut path = Vec::new();
        let mut stops: Vec<Stop> = Vec::new();
        let mut last_name = String::new();
        for (index, volume) in volumes.iter().enumerate() {
            let out = leaving_j_per_kg(car, index);
            let pressure = state.refrigerant.pressure_pa[index];
            path.push((out, pressure));
            let name = words(&format!("{:?}", volume.role));
            let stop = stop(car, name.clone(), pressure, out);
            match stops.last_mut() {
                // Parts cut into cells count as one: what leaves the last cell leaves the part.
                Some(last) if last_name == name => *last = stop,
                _ => stops.push(stop),
            }
            last_name = name;
            let next = volumes.get(index + 1).zip(layout.passages.get(index));
            if let Some((_, passage)) = next
                && !matches!(passage, Passage::Compressor)
            {
                let arriving_pa = state.refrigerant.pressure_pa[index + 1];
                if pressure > THROTTLES * arriving_pa {
                    // Through a passage that does no work, enthalpy stays and pressure falls.
                    path.push((out, arriving_pa));
                    let after = match passage {
                        Passage::Pipe(_) => "narrow place".to_owned(),
                        device => words(&format!("{device:?}")),
                    };
                    stops.push(self::stop(car, after, arriving_pa, out));
                }
            }
        }
        Self {
            path,
            stops,
            power_w: state.refrigerant.compressor_power_w,
            duty_w: state.air_duty_w,
            flow_kg_s: state.refrigerant.flow_kg_s.last().copied().unwrap_or(0.0),
            turning: state.compressor_rev_s > 0.0,
        }
    }
}

/// Enthalpy of what leaves a volume, J/kg: a bottle lets out liquid or vapour, not its mixture.
fn leaving_j_per_kg(car: &Car, index: usize) -> f64 {
    let state = &car.state().refrigerant;
    let flow = state.flow_kg_s[index];
    if flow > STILL_KG_S {
        state.enthalpy_flow_w[index] / flow
    } else {
        state.enthalpy_j_per_kg[index]
    }
}

/// `Condenser(2)` as `condenser`, `LiquidLine` as `liquid line`: what the ring itself calls it.
fn words(name: &str) -> String {
    let mut words = String::new();
    for letter in name.chars().take_while(|letter| letter.is_alphabetic()) {
        if letter.is_uppercase() && !words.is_empty() {
            words.push(' ');
        }
        words.extend(letter.to_lowercase());
    }
    words
}

fn stop(car: &Car, after: String, pressure_pa: f64, enthalpy_j_per_kg: f64) -> Stop {
    let saturation = car.fluid().saturation(pressure_pa);
    let state = car.fluid().ph_with(&saturation, enthalpy_j_per_kg);
    let over_k = state.temperature_k - saturation.temperature_k;
    let condition = if state.quality < 0.0 {
        Condition::Subcooled(-over_k)
    } else if state.quality > 1.0 {
        Condition::Superheated(over_k)
    } else {
        Condition::Wet(state.quality)
    };
    Stop {
        after,
        pressure_pa,
        enthalpy_j_per_kg,
        temperature_k: state.temperature_k,
        condition,
    }
}
