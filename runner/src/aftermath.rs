//! Slips that only show in what came of an action: a compressor that turned in an empty loop, and air that
//! got thick with refrigerant. What is asked for and does not happen hurts nothing.

use sim_core::car::Car;
use sim_core::loop_model::layout::Role;

use crate::action::Action;
use crate::safety::{EMPTY_BELOW_PA, Slip, SlipKind};
use crate::session::{Session, Watcher};

/// Share of the label's charge that has left when a loop counts as emptied in the session.
const EMPTIED_SHARE: f64 = 0.05;

/// Whether a good part of the charge has left during the session and next to nothing is left. A car that
/// came in empty is nobody's slip: its own cut-out is there for it.
fn emptied(car: &Car) -> bool {
    let refrigerant = &car.state().refrigerant;
    let left_kg = refrigerant.recovered_kg + refrigerant.lost_kg;
    let over_pa = car.pressure_pa(Role::SuctionLine) - car.weather().pressure_pa();
    over_pa <= EMPTY_BELOW_PA && left_kg > EMPTIED_SHARE * car.spec().label_charge_kg
}

/// What a compressor turned in while an action took its time: asking for one that its cut-out holds off
/// hurts nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Turned {
    in_vacuum: bool,
    empty: bool,
}

impl Watcher for Turned {
    fn watch(&mut self, car: &Car, _step_s: f64) {
        if car.compressor_works() {
            self.in_vacuum |= car.state().service.thin && !car.is_pressed();
            self.empty |= emptied(car);
        }
    }
}

/// The slips that only show in what came of an action: a compressor that started in an empty loop, and
/// air that got thick with refrigerant.
#[must_use]
pub fn slips_that_came(
    action: &Action,
    (before, after): (&Session, &Session),
    turned: Turned,
    so_far: &[Slip],
) -> Vec<Slip> {
    let mut kinds = Vec::new();
    let kind = match turned {
        Turned {
            in_vacuum: true, ..
        } => Some(SlipKind::CompressorInVacuum),
        Turned { empty: true, .. } => Some(SlipKind::RanEmpty),
        _ => None,
    };
    // One that turned before goes on, and one that cycles on a switch is the same slip.
    let again = |kind: &SlipKind| {
        !matches!(action, Action::Turn(_)) && so_far.iter().any(|slip| slip.kind == *kind)
    };
    if !before.car().compressor_works() {
        kinds.extend(kind.filter(|kind| !again(kind)));
    }
    let thick_air_s = |session: &Session| session.car().state().service.thick_air_s;
    let car = before.car();
    let was_thick = car.low_air_kg_m3() > car.practical_limit_kg_m3();
    if !was_thick && thick_air_s(after) > thick_air_s(before) {
        kinds.push(SlipKind::GasInTheAir);
    }
    kinds
        .into_iter()
        .map(|kind| Slip { kind, at_s: 0.0 })
        .collect()
}
