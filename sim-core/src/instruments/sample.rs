//! Readings that one act gives together, and that have to agree with each other.

use crate::instruments::check::Check;
use crate::instruments::misuse::Misuse;
use crate::instruments::place::{Gas, Gauge};
use crate::instruments::reading::{Reading, Value, read, read_off};
use crate::instruments::tool::Tool;
use crate::instruments::truth::Truth;
use crate::random::Draws;

/// Reads all that one act has measured; the errors are drawn from the stream.
///
/// The shares an identifier shows of a sample add up to 1, and a gauge that is watched errs by the
/// same at either end of its swing. Scales that stand where they stood err as they did before: by
/// `scales_deviate` standard deviations, so that what goes on the bottle never seems to leave it.
#[must_use]
pub fn read_together(
    truths: &[(Check, Truth)],
    scales_deviate: f64,
    draws: &mut Draws,
) -> Vec<Reading> {
    let mut watched: Option<(Gauge, f64)> = None;
    let mut readings: Vec<Reading> = truths
        .iter()
        .map(|(check, truth)| {
            let gauge = match *check {
                Check::GaugeExtreme(gauge, _) => gauge,
                one if one.tool() == Some(Tool::Scales) => {
                    draws.within_tolerance();
                    return read_off(one, *truth, scales_deviate);
                }
                one => return read(one, *truth, draws),
            };
            // Every reading has its draw, so that the next gauge errs as it would if read alone.
            let drawn = draws.within_tolerance();
            let deviate = match watched {
                Some((same, deviate)) if same == gauge => deviate,
                _ => drawn,
            };
            watched = Some((gauge, deviate));
            read_off(*check, *truth, deviate)
        })
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
    use crate::instruments::place::{Extreme, Named};

    #[test]
    fn a_watched_gauge_shows_no_least_above_its_greatest_and_no_less_swing_than_it_has() {
        let ends = [Extreme::Least, Extreme::Greatest];
        for (gauge, step_pa) in [(Gauge::Low, 5e3), (Gauge::High, 10e3)] {
            for seed in 0..300_u32 {
                let (least_pa, swing_pa) = (400e3, 1e3 * f64::from(seed % 20));
                let truths: Vec<(Check, Truth)> = ends
                    .iter()
                    .zip([least_pa, least_pa + swing_pa])
                    .map(|(end, pa)| (Check::GaugeExtreme(gauge, *end), Truth::Number(pa)))
                    .collect();
                let readings = read_together(&truths, 0.0, &mut Draws::new(u64::from(seed), 1000));
                let shown: Vec<f64> = readings
                    .iter()
                    .filter_map(|reading| match reading.value {
                        Value::Number { shown, .. } => Some(shown),
                        _ => None,
                    })
                    .collect();
                let swung = shown[1] - shown[0];
                assert!(swung >= 0.0, "{shown:?}");
                // Only rounding is left between what is shown and what was.
                assert!((swung - swing_pa).abs() <= step_pa + 1e-6, "{shown:?}");
            }
        }
    }

    #[test]
    fn scales_never_go_back_while_more_is_put_on_them() {
        for seed in 0..200 {
            let scales_deviate = Draws::new(seed, 999).within_tolerance();
            let mut last_kg = f64::NEG_INFINITY;
            for step in 0..60_u32 {
                let truth = Truth::Number(2e-3 * f64::from(step));
                let mut draws = Draws::new(seed, 1000 + u64::from(step));
                let truths = [(Check::RecoveredMass, truth)];
                let reading = read_together(&truths, scales_deviate, &mut draws)[0];
                let Value::Number { shown, error, .. } = reading.value else {
                    panic!("{reading:?}");
                };
                assert!(shown >= last_kg, "{shown} after {last_kg}");
                let Truth::Number(kg) = truth else { continue };
                assert!((shown - kg).abs() <= error + 1e-9, "{shown} of {kg}");
                last_kg = shown;
            }
        }
    }

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
                let readings = read_together(&truths, 0.0, &mut Draws::new(seed, 1000));
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
