//! What a seed dealt, as one hash: a bundle or a later program that deals something else under the same names is
//! found out before anybody works at, or is marked on, another car than the one that stood there.

use std::fmt::Write as _;

use scenarios::question::Body;
use sha2::{Digest, Sha256};

use super::sitting::{Given, Sitting};

impl Sitting<'_> {
    /// The hash of all its tasks: what is wrong with each car, on what day, and what is asked. Remarks in a file,
    /// and how a page is laid out, are no part of it.
    #[must_use]
    pub fn fingerprint(&self) -> [u8; 32] {
        let mut hasher = Sha256::new();
        for given in self.given() {
            let dealt = dealt(given);
            hasher.update((dealt.len() as u64).to_be_bytes());
            hasher.update(dealt);
        }
        hasher.finalize().into()
    }
}

/// What was dealt, in words that no later version has a reason to change.
fn dealt(given: &Given) -> String {
    let mut text = String::new();
    match given {
        Given::Case { case, repair, .. } => {
            let scenario = &case.scenario;
            let _ = write!(
                text,
                "case {} seed {} vehicle {} repair {repair}\n{}\n",
                scenario.id, case.seed, scenario.vehicle, scenario.work_order.complaint
            );
            let weather = &scenario.weather;
            let _ = writeln!(
                text,
                "{} K, {} relative, {} m, {} W/m2",
                weather.temperature_k,
                weather.relative_humidity,
                weather.altitude_m,
                weather.sun_w_per_m2
            );
            for fault in &scenario.faults {
                let _ = writeln!(text, "{} {}", fault.mode_id, fault.severity);
            }
        }
        Given::Question { dealt, .. } => {
            let _ = writeln!(text, "question {}\n{}", dealt.id, dealt.text);
            match &dealt.body {
                Body::Choices { options, .. } => {
                    for (option, right) in options {
                        let _ = writeln!(text, "{right} {option}");
                    }
                }
                Body::Number { key, .. } => {
                    let _ = writeln!(text, "{key}");
                }
                Body::Order { steps, places } => {
                    for (step, place) in steps.iter().zip(places) {
                        let _ = writeln!(text, "{place} {step}");
                    }
                }
            }
        }
    }
    text
}
