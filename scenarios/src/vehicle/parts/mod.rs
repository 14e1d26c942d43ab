//! The parts of a vehicle as its file writes them, and as sim-core takes them.
//!
//! What a fault may worsen (blockages, leaks, wear) has no field here: a vehicle is
//! described healthy.

mod air;
mod controls;
mod drive;
mod refrigerant;

pub use air::{AirBox, BlowerSteps, Cabin, Fan};
pub use controls::{Command, Controls};
pub use drive::{Belt, Clutch, ClutchCircuit, Compressor, ControlValve, Engine, Motor, Solenoid};
pub use refrigerant::{
    Bottle, BottlePlace, Condenser, Evaporator, Hose, OrificeTube, Subcooler, ThermalValve,
};

use crate::checked::{Build, Positive};
use crate::quantity::{MassFlow, ThermalConductance};
use crate::spanned::Spanned;
use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::controls::Hysteresis;
use sim_core::parts::heat_transfer::RegimeConductance;

/// Defines a part's table and how it becomes a part of sim-core: each field by its own name
/// on the left and sim-core's on the right, then what a file does not say.
macro_rules! part {
    (
        $(#[$doc:meta])*
        $name:ident for $spec:ident {
            $($(#[$field_doc:meta])* $field:ident: $type:ty => $target:ident,)*
        }
        and |$part:ident| { $($other:ident: $value:expr,)* }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $type,)*
        }

        impl Build for $name {
            type Built = $spec;

            fn build(&self) -> $spec {
                let $part = self;
                $spec {
                    $($target: $part.$field.build(),)*
                    $($other: $value,)*
                }
            }
        }
    };
}

part! {
    /// How well refrigerant and wall exchange heat, for the whole of a part.
    RefrigerantSide for RegimeConductance {
        /// With nothing but liquid inside.
        liquid: Positive<ThermalConductance> => liquid_w_per_k,
        /// Boiling or condensing.
        two_phase: Positive<ThermalConductance> => two_phase_w_per_k,
        /// With nothing but vapour inside.
        vapour: Positive<ThermalConductance> => vapour_w_per_k,
        /// Refrigerant flow at which these hold.
        at_flow: Positive<MassFlow> => nominal_flow_kg_s,
    }
    and |_part| {}
}

/// A switch that changes at one value and comes back at another.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Switch<Q> {
    /// The value at which it changes.
    pub trip: Spanned<Q>,
    /// The value at which it comes back.
    pub reset: Spanned<Q>,
}

impl<Q: Copy + Into<f64>> Switch<Q> {
    /// The value at which it changes, SI.
    pub fn trip_si(&self) -> f64 {
        (*self.trip.get_ref()).into()
    }

    /// The value at which it comes back, SI.
    pub fn reset_si(&self) -> f64 {
        (*self.reset.get_ref()).into()
    }
}

impl<Q: Copy + Into<f64>> Build for Switch<Q> {
    type Built = Hysteresis;

    fn build(&self) -> Hysteresis {
        Hysteresis {
            trip: self.trip_si(),
            reset: self.reset_si(),
        }
    }
}

use part;
