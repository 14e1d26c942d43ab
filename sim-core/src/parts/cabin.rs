//! The cabin: its air, its furniture, the sun and what leaks in.
//!
//! Two balances, solved together with an implicit step. Air, well mixed:
//! m c dT/dt = ṁ_s c (T_s − T) + (ṁ_g c + G_body) (T_out − T) + G_trim (T_trim − T) + 100 W.
//! Trim: C dT_trim/dt = A I + G_trim (T − T_trim). Water: m dw/dt = ṁ_s (w_s − w) + ṁ_g (w_out − w) +
//! 15 mg/s. T in K, w in kg per kg of dry air, ṁ_s from the vents and ṁ_g through gaps or doors in kg/s,
//! G in W/K, C in J/K, I sunshine in W/m² on A m² of glass. Source: balances of two lumps, common
//! practice, no source; what a person gives off is from memory. Range: −10 to 80 °C, 0 to 1000 W/m². Air
//! weighs 1.15 kg/m³ at any height and temperature here, and nothing condenses on the windows.

/// Parameters of a cabin.
#[derive(Clone, Debug, PartialEq)]
pub struct Cabin {
    /// Air volume, m³.
    pub volume_m3: f64,
    /// Heat capacity of seats, dash and trim, J/K.
    pub interior_heat_capacity_j_per_k: f64,
    /// Conductance between trim and air, W/K.
    pub interior_conductance_w_per_k: f64,
    /// Conductance through body and glass to outside, W/K.
    pub body_conductance_w_per_k: f64,
    /// Window area times transmittance, m².
    pub sun_area_m2: f64,
    /// Air changed through gaps with doors shut, kg/s.
    pub leak_air_kg_s: f64,
    /// Air changed with the doors open, kg/s.
    pub open_door_air_kg_s: f64,
}

/// What the cabin carries through time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CabinState {
    /// Air temperature, K.
    pub air_k: f64,
    /// Water in the air, kg per kg of dry air.
    pub humidity_ratio: f64,
    /// Trim temperature, K.
    pub interior_k: f64,
}

/// What reaches the cabin during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CabinInflow {
    /// Dry air blown in from the vents, kg/s.
    pub supply_kg_s: f64,
    /// Its temperature, K.
    pub supply_k: f64,
    /// Its water, kg per kg.
    pub supply_humidity_ratio: f64,
    /// Outside air temperature, K.
    pub outside_k: f64,
    /// Outside air's water, kg per kg.
    pub outside_humidity_ratio: f64,
    /// Sunshine, W/m².
    pub sun_w_per_m2: f64,
    /// Doors or windows open.
    pub open: bool,
}

/// Heat capacity of moist air taken as constant in the cabin balance, J/(kg K).
const AIR_HEAT_CAPACITY: f64 = 1015.0;
/// Water given off by the person at work, kg/s (from memory).
const PERSON_WATER_KG_S: f64 = 1.5e-5;
/// Heat given off by the person at work, W (from memory).
const PERSON_HEAT_W: f64 = 100.0;

impl Cabin {
    /// Moves the cabin on by a step, with an implicit step on both temperatures.
    #[must_use]
    pub fn advance(&self, state: CabinState, inflow: &CabinInflow, step_s: f64) -> CabinState {
        let air_kg = self.volume_m3 * 1.15;
        let gaps = self.leak_air_kg_s
            + if inflow.open {
                self.open_door_air_kg_s
            } else {
                0.0
            };
        let supply_w = inflow.supply_kg_s * AIR_HEAT_CAPACITY;
        let gaps_w = gaps * AIR_HEAT_CAPACITY;
        let to_outside = gaps_w + self.body_conductance_w_per_k;
        let to_interior = self.interior_conductance_w_per_k;
        let air_inertia = air_kg * AIR_HEAT_CAPACITY / step_s;
        let interior_inertia = self.interior_heat_capacity_j_per_k / step_s;
        let air_diagonal = air_inertia + supply_w + to_outside + to_interior;
        let air_right = air_inertia * state.air_k
            + supply_w * inflow.supply_k
            + to_outside * inflow.outside_k
            + PERSON_HEAT_W;
        let interior_diagonal = interior_inertia + to_interior;
        let interior_right =
            interior_inertia * state.interior_k + self.sun_area_m2 * inflow.sun_w_per_m2;
        let determinant = air_diagonal * interior_diagonal - to_interior * to_interior;
        let air_k = (air_right * interior_diagonal + to_interior * interior_right) / determinant;
        let interior_k = (interior_right * air_diagonal + to_interior * air_right) / determinant;
        let air_change = inflow.supply_kg_s + gaps;
        let humidity_ratio = (air_kg / step_s * state.humidity_ratio
            + inflow.supply_kg_s * inflow.supply_humidity_ratio
            + gaps * inflow.outside_humidity_ratio
            + PERSON_WATER_KG_S)
            / (air_kg / step_s + air_change);
        CabinState {
            air_k,
            humidity_ratio,
            interior_k,
        }
    }
}
