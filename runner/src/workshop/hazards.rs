//! Slips of a repair. The usual cautions (common practice, no source); the maker's procedure, local law and
//! licensed practice come first.

use sim_core::car::TestGas;
use sim_core::repair::{Job, Kind};

use crate::action::{Gear, Work};
use crate::safety::{Slip, SlipKind, bare, charged, is_flame_near_gas};
use crate::session::{Gauges, Session};
use crate::workshop::{Workshop, high_voltage};

/// Most that a low side is pressed with, Pa above the air's (common practice, no source).
const MOST_PRESSED_PA: f64 = 1.2e6;

/// The slips a step would be, with session and workshop as they stand before it.
#[must_use]
pub fn hazards(work: &Work, session: &Session, workshop: &Workshop, worn: &[Gear]) -> Vec<Slip> {
    let mut kinds = Vec::new();
    let car = session.car();
    let opens = match work {
        Work::Remove(job) => job.info().kind == Kind::InLoop,
        Work::Seal(job, _) => !workshop.bench().off.contains(job),
        _ => false,
    };
    if opens {
        bare(worn, &mut kinds);
        let way = match work {
            Work::Remove(job) | Work::Seal(job, _) => job.way(car.spec()),
            _ => None,
        };
        if car.is_pressed() {
            kinds.push(SlipKind::OpenedUnderGas);
        } else if charged(session, way.map(|place| place.role(car.spec()))) {
            kinds.push(SlipKind::OpenedChargedLoop);
            if car.burns() {
                kinds.push(SlipKind::FlammableRelease);
            }
        }
    }
    let unplugs = matches!(work, Work::Remove(Job::Compressor));
    if unplugs && high_voltage(session) && !workshop.bench().qualified {
        kinds.push(SlipKind::HighVoltage);
    }
    match work {
        Work::Flush(_) => bare(worn, &mut kinds),
        // Wires are soldered, and sleeves shrunk on with hot air.
        Work::Fit(Job::Connector | Job::CoilWire | Job::FuseHolder, _)
            if is_flame_near_gas(car) =>
        {
            kinds.push(SlipKind::FlameNearGas);
        }
        Work::HandOver if session.gauges() != Gauges::Off => kinds.push(SlipKind::GaugesLeftOn),
        Work::Press(gas, over_pa) => {
            if *gas == TestGas::Air {
                kinds.push(SlipKind::PressedWithAir);
            }
            if *over_pa > MOST_PRESSED_PA {
                kinds.push(SlipKind::PressedTooHigh);
            }
        }
        Work::AddOil(_, kind) if workshop.is_foreign(kind) == Ok(true) => {
            kinds.push(SlipKind::MixedOils);
        }
        _ => {}
    }
    kinds
        .into_iter()
        .map(|kind| Slip { kind, at_s: 0.0 })
        .collect()
}
