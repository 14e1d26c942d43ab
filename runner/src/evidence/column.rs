//! What all cars show in one check at one moment, as small as it can be kept.

use serde::{Deserialize, Serialize};

use crate::evidence::seen::{Seen, Swing};

/// What all cars show in one check at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Column {
    pub(super) cells: Cells,
}

/// In the order of the fleet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) enum Cells {
    /// The swing by its times; `None` where the check cannot be made. Seven figures are enough.
    Numbers(Vec<Option<[f32; 5]>>),
    /// Which of the findings named, one bit each; 0 where the check cannot be made.
    Findings { keys: Vec<String>, sets: Vec<u32> },
    /// No car allows it.
    Nothing,
}

/// Most findings that one check tells apart.
const MOST_FINDINGS: usize = u32::BITS as usize;

impl Column {
    /// Sorts what the cars have shown.
    pub fn of<'a>(seen: impl Iterator<Item = Option<&'a Seen>> + Clone) -> Self {
        let cells = match seen.clone().flatten().next() {
            None => Cells::Nothing,
            Some(Seen::Range(..) | Seen::Swing(_)) => Cells::Numbers(seen.map(number).collect()),
            Some(Seen::Findings(_)) => {
                let mut keys: Vec<String> = Vec::new();
                let sets = seen.map(|one| set(&mut keys, one)).collect();
                Cells::Findings { keys, sets }
            }
        };
        Self { cells }
    }

    /// The same with one more car at its end; what no other car allows it does not show either.
    #[must_use]
    pub fn with(mut self, one: Option<&Seen>) -> Self {
        match &mut self.cells {
            Cells::Numbers(all) => all.push(number(one)),
            Cells::Findings { keys, sets } => sets.push(set(keys, one)),
            Cells::Nothing => {}
        }
        self
    }

    /// Whether no car allows the check.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.cells == Cells::Nothing
    }

    /// Number of cars, where any car allows the check.
    #[must_use]
    pub fn cars(&self) -> usize {
        match &self.cells {
            Cells::Numbers(all) => all.len(),
            Cells::Findings { sets, .. } => sets.len(),
            Cells::Nothing => 0,
        }
    }
}

fn number(one: Option<&Seen>) -> Option<[f32; 5]> {
    match one? {
        Seen::Range(low, high) => {
            let mid = 0.5 * (low + high);
            Some([*low, mid, mid, mid, *high].map(|value| value as f32))
        }
        Seen::Swing(Swing(values)) => Some(values.map(|value| value as f32)),
        Seen::Findings(_) => None,
    }
}

/// One bit for each finding noticed, by its place among the keys, which grow by those not met before.
fn set(keys: &mut Vec<String>, one: Option<&Seen>) -> u32 {
    let mut bits = 0;
    if let Some(Seen::Findings(findings)) = one {
        for finding in findings {
            let known = keys.iter().position(|key| key == finding.key);
            let index = known.unwrap_or_else(|| {
                keys.push(finding.key.to_owned());
                keys.len() - 1
            });
            bits |= 1_u32 << index.min(MOST_FINDINGS - 1);
        }
    }
    bits
}
