//! Ways out for refrigerant: which volume of the loop feeds one, and where on the car it shows.

use crate::loop_model::layout::Role;
use crate::spec::CarSpec;

/// Where on the car something gets out: where gas, oil and dye are found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeakPlace {
    /// Compressor: its shaft seal, body and relief valve.
    Compressor,
    /// Condenser core.
    Condenser,
    /// Evaporator, in its case.
    Evaporator,
    /// Hose from compressor to condenser.
    DischargeHose,
    /// Line from condenser to expansion device.
    LiquidLine,
    /// Hose from evaporator to compressor.
    SuctionHose,
    /// Valve of the low-side service port.
    LowPort,
    /// Valve of the high-side service port.
    HighPort,
    /// Seal of the pressure transducer.
    Transducer,
    /// Receiver-drier, a bottle of its own or one beside the condenser.
    Receiver,
    /// Accumulator-drier.
    Accumulator,
    /// Expansion device and its joints.
    ExpansionDevice,
}

impl LeakPlace {
    /// How many there are.
    pub const COUNT: usize = Self::ExpansionDevice as usize + 1;

    /// The volume a leak at this place lets out of. A shaft seal keeps in the suction side's gas.
    #[must_use]
    pub fn role(self, spec: &CarSpec) -> Role {
        match self {
            Self::Compressor | Self::SuctionHose | Self::LowPort => Role::SuctionLine,
            Self::Condenser => Role::Condenser(1),
            Self::Evaporator => Role::Evaporator(2),
            Self::DischargeHose => Role::DischargeLine,
            Self::LiquidLine => Role::LiquidLine,
            Self::HighPort | Self::Transducer => spec.high_port.role(),
            Self::Receiver => Role::Receiver,
            Self::Accumulator => Role::Accumulator,
            Self::ExpansionDevice => Role::Evaporator(0),
        }
    }

    /// Where a hole in the part that holds a volume shows.
    #[must_use]
    pub fn of_part(role: Role) -> Self {
        match role {
            Role::CompressorHead => Self::Compressor,
            Role::DischargeLine => Self::DischargeHose,
            Role::Condenser(_) | Role::Subcooler => Self::Condenser,
            Role::Receiver => Self::Receiver,
            Role::LiquidLine => Self::LiquidLine,
            Role::Evaporator(0) => Self::ExpansionDevice,
            Role::Evaporator(_) => Self::Evaporator,
            Role::Accumulator => Self::Accumulator,
            Role::SuctionLine => Self::SuctionHose,
        }
    }
}

/// A way out for refrigerant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leak {
    /// The volume it lets out of.
    pub role: Role,
    /// Where it shows.
    pub place: LeakPlace,
    /// Effective area, m².
    pub area_m2: f64,
}

impl Leak {
    /// Area that lets out a rate, m², g a year into air from a loop resting at 25 °C.
    ///
    /// From ṁ = A √(2 ρ Δp) with R-134a vapour at 25 °C: 665.4 kPa and 32.4 kg/m³
    /// (Tillner-Roth & Baehr 1994), into 101.325 kPa.
    #[must_use]
    pub fn area_of_rate_m2(grams_per_year: f64) -> f64 {
        const KG_S_PER_GRAM_YEAR: f64 = 1e-3 / (365.25 * 86_400.0);
        let speed = (2.0_f64 * 32.4 * (665.4e3 - 101.325e3)).sqrt();
        grams_per_year * KG_S_PER_GRAM_YEAR / speed
    }

    /// A hole in the part that holds a volume.
    #[must_use]
    pub fn in_part(role: Role, area_m2: f64) -> Self {
        Self {
            role,
            place: LeakPlace::of_part(role),
            area_m2,
        }
    }
}
