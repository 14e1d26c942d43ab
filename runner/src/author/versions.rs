//! Whether every version of a case is as hard as the others.

use scenarios::{Bank, Case, MIDDLE, Range};

use crate::author::check;
use crate::evidence::follow::Progress;
use crate::evidence::reader::Tours;

/// Furthest two versions of one case may be apart, bits per minute.
pub const MOST_APART: f64 = 0.3;

/// A version of a case, and how hard it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Version {
    /// Its place in each range.
    pub places: Vec<f64>,
    /// How fast the best path through it gets on, bits per minute; or why there is none.
    pub bits_per_minute: Result<f64, String>,
}

/// What the versions of a case were found to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Versions {
    /// Each that was looked at; none for a case without a range that matters.
    pub tried: Vec<Version>,
    /// What has to change before every version can be used, if anything.
    pub narrow: Option<String>,
}

/// Looks at the middle version, at each range's ends with the others at their middle, at the two
/// corners where all of them make it easier or all make it harder, and at `more` that seeds draw.
#[must_use]
pub fn versions(
    bank: &Bank,
    id: &str,
    more: u64,
    tours: &dyn Tours,
    progress: &dyn Progress,
) -> Versions {
    let mut found = Versions {
        tried: Vec::new(),
        narrow: None,
    };
    let Some(scenario) = bank.case(id) else {
        return found;
    };
    let ranges = &scenario.ranges;
    if !ranges.iter().any(|range| range.of.matters()) {
        return found;
    }
    let difficulty = |places: &[f64]| -> Result<f64, String> {
        let case = Case::deal_version(bank, id, places, 1).map_err(|error| error.to_string())?;
        let checked = check(bank, &case, tours, progress).map_err(|error| error.to_string())?;
        Ok(checked.bits_per_minute())
    };
    let middle = vec![MIDDLE; ranges.len()];
    let (mut hard, mut easy) = (middle.clone(), middle.clone());
    // The range that alone moves the difficulty most, and by how much.
    let mut widest: Option<(f64, &Range)> = None;
    let in_the_middle = match found.look(&middle, &difficulty) {
        Ok(rate) => rate,
        Err(why) => {
            found.narrow = Some(format!("at the middle of every range {why}"));
            return found;
        }
    };
    for (index, range) in ranges.iter().enumerate() {
        if !range.of.matters() {
            continue;
        }
        // The middle may be the odd one out: a little to either side another check comes first.
        let mut rates = vec![(in_the_middle, MIDDLE)];
        for place in range.places_to_try() {
            let mut places = middle.clone();
            places[index] = place;
            match found.look(&places, &difficulty) {
                Ok(rate) => rates.push((rate, place)),
                Err(why) => {
                    let (name, value) = (range.name(scenario), range.shown(place));
                    found.narrow = Some(format!("narrow {name}: at {value} {why}"));
                    return found;
                }
            }
        }
        rates.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let (Some((slow, at_slow)), Some((fast, at_fast))) = (rates.first(), rates.last()) {
            (hard[index], easy[index]) = (*at_slow, *at_fast);
            if widest.is_none_or(|(most, _)| fast - slow > most) {
                widest = Some((fast - slow, range));
            }
        }
    }
    let drawn = (1..=more).map(|seed| scenario.places(seed));
    for places in [hard, easy].into_iter().chain(drawn) {
        if let Err(why) = found.look(&places, &difficulty) {
            found.narrow = Some(format!("narrow the ranges: together {why}"));
            return found;
        }
    }
    let apart = found.apart();
    if let (true, Some((alone, range))) = (apart > MOST_APART, widest) {
        found.narrow = Some(format!(
            "versions are up to {apart:.2} bits a minute apart, more than {MOST_APART}: narrow {}, \
             which alone makes {alone:.2}",
            range.name(scenario)
        ));
    }
    found
}

impl Versions {
    /// How far the easiest version is from the hardest, bits per minute.
    #[must_use]
    pub fn apart(&self) -> f64 {
        let rates = self.tried.iter();
        let rates = rates.filter_map(|one| one.bits_per_minute.as_ref().ok());
        let (low, high) = rates.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), rate| {
            (low.min(*rate), high.max(*rate))
        });
        (high - low).max(0.0)
    }

    fn look(
        &mut self,
        places: &[f64],
        difficulty: &impl Fn(&[f64]) -> Result<f64, String>,
    ) -> Result<f64, String> {
        let before = self.tried.iter().find(|one| one.places == places);
        if let Some(version) = before {
            return version.bits_per_minute.clone();
        }
        let bits_per_minute = difficulty(places);
        self.tried.push(Version {
            places: places.to_vec(),
            bits_per_minute: bits_per_minute.clone(),
        });
        bits_per_minute
    }
}
