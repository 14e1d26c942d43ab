//! The units a chart is labelled in.

use scenarios::units::UnitSystem;

/// A unit: what to do to an SI value, and what to write.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Units in one of SI.
    pub per_si: f64,
    /// Added afterwards; not zero for temperatures only.
    pub offset: f64,
    /// Its name.
    pub name: &'static str,
}

impl Shown {
    /// A value in this unit.
    #[must_use]
    pub fn of(&self, si: f64) -> f64 {
        si * self.per_si + self.offset
    }

    /// The SI value.
    #[must_use]
    pub fn si(&self, value: f64) -> f64 {
        (value - self.offset) / self.per_si
    }
}

const fn shown(per_si: f64, offset: f64, name: &'static str) -> Shown {
    Shown {
        per_si,
        offset,
        name,
    }
}

/// Units of a pressure-enthalpy chart. Factors: NIST SP 811 (2008), appendix B; 1 Btu/lb is 2326 J/kg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Units {
    /// Absolute pressure.
    pub pressure: Shown,
    /// Enthalpy.
    pub enthalpy: Shown,
    /// Temperature.
    pub temperature: Shown,
    /// Difference of temperatures.
    pub difference: Shown,
    /// Entropy.
    pub entropy: Shown,
    /// Flow of refrigerant.
    pub flow: Shown,
    /// Heat and work per time.
    pub power: Shown,
    /// Decimals a power is worth.
    pub power_decimals: usize,
    /// Between labelled lines of enthalpy, and between lines.
    pub enthalpy_steps: (f64, f64),
    /// Between lines of constant temperature.
    pub temperature_step: f64,
    /// Between lines of constant entropy.
    pub entropy_step: f64,
}

/// °C, kPa.
const SI: Units = Units {
    pressure: shown(1e-3, 0.0, "kPa"),
    enthalpy: shown(1e-3, 0.0, "kJ/kg"),
    temperature: shown(1.0, -273.15, "°C"),
    difference: shown(1.0, 0.0, "K"),
    entropy: shown(1e-3, 0.0, "kJ/(kg K)"),
    flow: shown(1e3, 0.0, "g/s"),
    power: shown(1e-3, 0.0, "kW"),
    power_decimals: 2,
    enthalpy_steps: (50.0, 10.0),
    temperature_step: 20.0,
    entropy_step: 0.05,
};

/// °F, psia.
const US: Units = Units {
    pressure: shown(1.0 / 6894.757, 0.0, "psia"),
    enthalpy: shown(1.0 / 2326.0, 0.0, "Btu/lb"),
    temperature: shown(1.8, -459.67, "°F"),
    difference: shown(1.8, 0.0, "°F"),
    entropy: shown(1.0 / 4186.8, 0.0, "Btu/(lb °F)"),
    flow: shown(60.0 / 0.453_592_37, 0.0, "lb/min"),
    power: shown(3600.0 / 1_055.055_852_62, 0.0, "Btu/h"),
    power_decimals: 0,
    enthalpy_steps: (20.0, 5.0),
    temperature_step: 40.0,
    entropy_step: 0.01,
};

impl Units {
    /// The units of a system.
    #[must_use]
    pub fn of(system: UnitSystem) -> Self {
        match system {
            UnitSystem::Si => SI,
            UnitSystem::Us => US,
        }
    }
}

/// Gauge pressure for a pressure-temperature chart, kPa.
pub const KPA: Shown = SI.pressure;
/// Gauge pressure for a pressure-temperature chart, psi.
pub const PSI: Shown = US.pressure;
/// Temperature, °C.
pub const CELSIUS: Shown = SI.temperature;
/// Temperature, °F.
pub const FAHRENHEIT: Shown = US.temperature;
