//! What no instrument shows by itself: superheat, subcooling and the air through the box.

use sim_core::car::Car;

use crate::action::Action;
use crate::author::compared::{Number, Quantity, differ};
use crate::chart::cycle::{Condition, Cycle};
use crate::session::{Session, Watcher};

/// From the least to the greatest over a minute; `None` where the compressor never turned in it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Derived {
    superheat_k: Option<(f64, f64)>,
    subcooling_k: Option<(f64, f64)>,
    air_flow_m3_s: Option<(f64, f64)>,
}

/// How long a car is watched, s: a clutch that comes and goes does so once or twice.
const WATCHED_S: f64 = 60.0;
/// Difference that gauges and a clamp together can just tell, K (common practice, no source).
const TOLD_FROM_K: f64 = 2.0;
/// Part of an air flow that is felt as less (common practice, no source).
const FELT_FROM: f64 = 0.1;

/// Watches a copy of a session for a minute with the controls left alone.
pub(super) fn derived(session: &Session) -> Derived {
    let mut seen = Derived::default();
    let mut session = session.clone();
    // Only a car that cannot go on refuses, and it shows what it has shown.
    let _ = session.perform(&Action::Wait(WATCHED_S), &mut seen);
    seen
}

impl Watcher for Derived {
    fn watch(&mut self, car: &Car, _step_s: f64) {
        if car.state().air_flow_kg_s > 0.0 {
            // As much as the air of the day takes up.
            let density = car.weather().air_density_kg_per_m3();
            take_in(&mut self.air_flow_m3_s, car.state().air_flow_kg_s / density);
        }
        if car.state().compressor_rev_s <= 0.0 {
            return;
        }
        let cycle = Cycle::of(car);
        let after = |part: &str| cycle.stops.iter().find(|stop| stop.after == part);
        if let Some(stop) = after("evaporator") {
            take_in(
                &mut self.superheat_k,
                match stop.condition {
                    Condition::Superheated(kelvins) => kelvins,
                    Condition::Wet(_) | Condition::Subcooled(_) => 0.0,
                },
            );
        }
        if let Some(stop) = after("liquid line") {
            take_in(
                &mut self.subcooling_k,
                match stop.condition {
                    Condition::Subcooled(kelvins) => kelvins,
                    Condition::Wet(_) | Condition::Superheated(_) => 0.0,
                },
            );
        }
    }
}

fn take_in(range: &mut Option<(f64, f64)>, value: f64) {
    let (low, high) = range.unwrap_or((value, value));
    *range = Some((low.min(value), high.max(value)));
}

impl Derived {
    /// The numbers of two cars.
    pub(super) fn beside(&self, faulty: &Self) -> impl Iterator<Item = Number> {
        let differences = [
            (
                "superheat behind the evaporator",
                self.superheat_k,
                faulty.superheat_k,
            ),
            (
                "subcooling in the liquid line",
                self.subcooling_k,
                faulty.subcooling_k,
            ),
        ];
        let flow = Number {
            words: "air through the blower".to_owned(),
            of: Quantity::AirFlow,
            healthy: self.air_flow_m3_s,
            faulty: faulty.air_flow_m3_s,
            differs: differ(self.air_flow_m3_s, faulty.air_flow_m3_s, |flow| {
                FELT_FROM * flow
            }),
        };
        let differences = differences.map(|(words, healthy, faulty)| Number {
            words: words.to_owned(),
            of: Quantity::Difference,
            healthy,
            faulty,
            differs: differ(healthy, faulty, |_| TOLD_FROM_K),
        });
        let numbers = differences.into_iter().chain([flow]);
        numbers.filter(Number::is_there)
    }
}
