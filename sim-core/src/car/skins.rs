//! Frost and sweat on the parts of the loop that are looked at, moved on with the car.

use crate::car::Car;
use crate::loop_model::layout::Role;
use crate::parts::skin::{AirAround, Skin};

/// Volumes whose outside is looked at for frost and sweat.
pub const LOOKED_AT: [Role; 5] = [
    Role::LiquidLine,
    Role::Evaporator(0),
    Role::SuctionLine,
    Role::Receiver,
    Role::Accumulator,
];

impl Car {
    /// The outside of a volume that is looked at, where the car has it.
    #[must_use]
    pub fn skin(&self, role: Role) -> Option<Skin> {
        let index = LOOKED_AT.iter().position(|one| *one == role)?;
        self.layout.index_of(role).map(|_| self.state.skins[index])
    }

    /// Moves metal and frost on after an accepted step.
    pub(super) fn after_skins(&mut self, step_s: f64) {
        let around = AirAround {
            humidity_ratio: self.outdoors.humidity_ratio,
            pressure_pa: self.outdoors.pressure_pa,
        };
        for (index, role) in LOOKED_AT.into_iter().enumerate() {
            if let Some(inside_k) = self.refrigerant_temperature_k(role) {
                let skin = &mut self.state.skins[index];
                *skin = skin.advance(inside_k, around, step_s);
            }
        }
    }
}
