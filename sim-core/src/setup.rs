//! How the car is set up: what a person can turn, press or open, and the weather outside.

use crate::air;

/// Outside conditions, constant during a session.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// Air temperature, K.
    pub temperature_k: f64,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: f64,
    /// Sunshine on the car, W/m².
    pub sun_w_per_m2: f64,
    /// Height above sea level, m.
    pub altitude_m: f64,
}

impl Weather {
    /// Air of a temperature, K, and a relative humidity, 0 to 1, in the shade at sea level.
    #[must_use]
    pub fn shade(temperature_k: f64, relative_humidity: f64) -> Self {
        Self {
            temperature_k,
            relative_humidity,
            sun_w_per_m2: 0.0,
            altitude_m: 0.0,
        }
    }

    /// Pressure of the air, Pa.
    #[must_use]
    pub fn pressure_pa(&self) -> f64 {
        air::atmospheric_pressure_pa(self.altitude_m)
    }

    /// Water in the air, kg per kg of dry air.
    #[must_use]
    pub fn humidity_ratio(&self) -> f64 {
        air::humidity_ratio_from_relative(
            self.temperature_k,
            self.relative_humidity,
            self.pressure_pa(),
        )
    }

    /// Density of the air, kg/m³.
    #[must_use]
    pub fn air_density_kg_per_m3(&self) -> f64 {
        let humidity = self.humidity_ratio();
        (1.0 + humidity)
            / air::specific_volume_m3_per_kg_da(self.temperature_k, humidity, self.pressure_pa())
    }
}

/// What follows from the weather, worked out once: the step asks for it many times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outdoors {
    /// Pressure of the air, Pa.
    pub pressure_pa: f64,
    /// Water in the air, kg per kg of dry air.
    pub humidity_ratio: f64,
    /// Density of the air, kg/m³.
    pub density_kg_per_m3: f64,
}

impl Outdoors {
    /// Of a weather.
    #[must_use]
    pub fn of(weather: &Weather) -> Self {
        Self {
            pressure_pa: weather.pressure_pa(),
            humidity_ratio: weather.humidity_ratio(),
            density_kg_per_m3: weather.air_density_kg_per_m3(),
        }
    }
}

/// What the driver asks the air to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Temperature {
    /// Full cold.
    Cold,
    /// Full hot.
    Hot,
    /// A cabin temperature, K, that the blend door works towards.
    Cabin(f64),
}

impl Temperature {
    /// Share of the air to send past the heater core.
    ///
    /// For a cabin temperature the door aims at supply air below the set point
    /// by a few times the cabin's excess: a plain proportional control.
    #[must_use]
    pub fn heater_share(&self, core_k: f64, coolant_k: f64, cabin_k: f64) -> f64 {
        match self {
            Self::Cold => 0.0,
            Self::Hot => 1.0,
            Self::Cabin(wanted_k) => {
                let supply_k = wanted_k - 5.0 * (cabin_k - wanted_k);
                let span = coolant_k - core_k;
                if span > 1.0 {
                    ((supply_k - core_k) / span).clamp(0.0, 1.0)
                } else {
                    0.0
                }
            }
        }
    }
}

/// The car's controls and what stands around it.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Engine speed, turns per second; 0 when off.
    pub engine_rev_s: f64,
    /// Air-conditioning switch.
    pub ac_on: bool,
    /// Blower step, 0 for off.
    pub blower_step: usize,
    /// Intake door on recirculation.
    pub recirculate: bool,
    /// Temperature asked for.
    pub temperature: Temperature,
    /// Doors or windows open.
    pub doors_open: bool,
    /// Road speed, m/s.
    pub road_speed_m_s: f64,
    /// Workshop fan in front of the condenser.
    pub shop_fan: bool,
}

impl Setup {
    /// Parked: everything off, doors shut, full cold chosen.
    #[must_use]
    pub fn parked() -> Self {
        Self {
            engine_rev_s: 0.0,
            ac_on: false,
            blower_step: 0,
            recirculate: false,
            temperature: Temperature::Cold,
            doors_open: false,
            road_speed_m_s: 0.0,
            shop_fan: false,
        }
    }
}
