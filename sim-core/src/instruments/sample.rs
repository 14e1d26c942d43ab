//! Readings that one act gives together, and that have to agree with each other.

use crate::instruments::check::Check;
use crate::instruments::misuse::Misuse;
use crate::instruments::place::Gas;
use crate::instruments::reading::{Reading, Value, read};
use crate::instruments::tool::Tool;
use crate::instruments::truth::Truth;
use crate::random::Draws;

/// Reads all that one act has measured; the errors are drawn from the stream.
///
/// The shares an identifier shows of a sample add up to 1.
#[must_use]
pub fn read_together(truths: &[(Check, Truth)], draws: &mut Draws) -> Vec<Reading> {
    let mut readings: Vec<Reading> = truths
        .iter()
        .map(|(check, truth)| read(*check, *truth, draws))
        .collect();
    sort_out(truths, &mut readings);
    readings
}

/// The gas whose share a check gives.
fn gas_of(check: Check) -> Option<Gas> {
    match check {
        Check::GasShare(gas) | Check::Misused(Misuse::GasShareCold(gas)) => Some(gas),
        _ => None,
    }
}

/// Makes the shares of a sample add up to 1, as the instrument does before it shows them.
///
/// What is drawn for each gas is scaled to a whole; where that takes a share further from the truth
/// than the instrument errs, all are drawn back towards it together, which leaves their sum. Light
/// hydrocarbons have a band of their own: without any, none are shown (common practice, no source).
fn sort_out(truths: &[(Check, Truth)], readings: &mut [Reading]) {
    let spec = Tool::Identifier.spec();
    let mut gases: Vec<(usize, f64, f64)> = Vec::new();
    for (index, (reading, (check, truth))) in readings.iter().zip(truths).enumerate() {
        if let (Some(gas), Value::Number { shown, .. }, Truth::Number(share)) =
            (gas_of(*check), reading.value, *truth)
        {
            let none = gas == Gas::Hydrocarbon && share <= 0.0;
            gases.push((index, share, if none { 0.0 } else { shown }));
        }
    }
    let whole: f64 = gases.iter().map(|(_, _, shown)| shown).sum();
    if whole <= 0.0 {
        return;
    }
    let mut furthest = 0.0_f64;
    for (_, share, shown) in &mut gases {
        *shown /= whole;
        furthest = furthest.max((*shown - *share).abs());
    }
    // Half a step is left to rounding, and half to what makes the steps add up.
    let most = spec.accuracy - 0.5 * spec.resolution;
    let kept = if furthest > most {
        most / furthest
    } else {
        1.0
    };
    let steps: Vec<f64> = gases
        .iter()
        .map(|(_, share, shown)| (share + kept * (shown - share)) / spec.resolution)
        .collect();
    for ((index, _, _), steps) in gases.iter().zip(whole_steps(&steps)) {
        if let Value::Number { shown, .. } = &mut readings[*index].value {
            *shown = steps * spec.resolution;
        }
    }
}

/// Whole numbers next to those given, with their sum: the steps that rounding down leaves go to the
/// largest remainders.
fn whole_steps(values: &[f64]) -> Vec<f64> {
    let mut whole: Vec<f64> = values.iter().map(|value| libm::floor(*value)).collect();
    let mut order: Vec<usize> = (0..values.len()).collect();
    let remainder = |index: &usize| values[*index] - libm::floor(values[*index]);
    order.sort_by(|a, b| remainder(b).total_cmp(&remainder(a)));
    let missing = libm::round(values.iter().sum::<f64>()) - whole.iter().sum::<f64>();
    for index in order.into_iter().take(missing.max(0.0) as usize) {
        whole[index] += 1.0;
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instruments::place::Named;

    #[test]
    fn shares_add_up_and_stay_within_the_stated_accuracy() {
        let spec = Tool::Identifier.spec();
        for shares in [
            [1.0, 0.0, 0.0, 0.0],
            [0.917, 0.0, 0.0, 0.083],
            [0.3, 0.55, 0.0, 0.15],
            [0.25, 0.25, 0.25, 0.25],
        ] {
            let truths: Vec<(Check, Truth)> = Gas::ALL
                .iter()
                .zip(shares)
                .map(|(gas, share)| (Check::GasShare(*gas), Truth::Number(share)))
                .collect();
            for seed in 0..500 {
                let (mut sum, mut numbers) = (0.0, 0);
                let readings = read_together(&truths, &mut Draws::new(seed, 1000));
                for (reading, share) in readings.iter().zip(shares) {
                    let Value::Number { shown, error, .. } = reading.value else {
                        continue;
                    };
                    numbers += 1;
                    let steps = shown / spec.resolution;
                    assert!((steps - libm::round(steps)).abs() < 1e-9, "{shown}");
                    assert!((0.0..=1.0).contains(&shown), "{shown}");
                    assert!((shown - share).abs() <= error + 1e-9, "{shown} of {share}");
                    let hydrocarbon = reading.check == Check::GasShare(Gas::Hydrocarbon);
                    assert!(!hydrocarbon || share > 0.0 || shown == 0.0, "{shown}");
                    sum += steps;
                }
                assert_eq!(numbers, 4);
                assert!((sum - 1.0 / spec.resolution).abs() < 1e-9, "{sum}");
            }
        }
    }
}
