//! Whether things come about as often as somebody said they would.

use super::moments::TWO_SIDED_95;
use super::rows::Confidence;

/// One group of confidences that are about alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bin {
    /// Lowest confidence that falls in it.
    pub from: f64,
    /// Confidences up to here fall in it; this one itself only in the last bin.
    pub to: f64,
    /// How many did.
    pub count: usize,
    /// Their mean.
    pub stated: f64,
    /// Share of them that were so.
    pub so: f64,
    /// Lower end of the 95 % interval of that share (Wilson 1927).
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A calibration curve, with the score it makes.
///
/// `brier` = `reliability` - `resolution` + `uncertainty` + `within`: Murphy (1973), and for bins that
/// hold more than one confidence Stephenson, Coelho & Jolliffe (2008), both from memory.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Bins that hold something, lowest first.
    pub bins: Vec<Bin>,
    /// Confidences counted.
    pub count: usize,
    /// Mean of the squares of stated less what was so (Brier 1950): 0 is best, 0.25 is fifty-fifty on all.
    pub brier: f64,
    /// How far the curve is off the diagonal: 0 is best.
    pub reliability: f64,
    /// How well confidences tell what is so from what is not: higher is better.
    pub resolution: f64,
    /// What there was to be unsure of: nobody's merit.
    pub uncertainty: f64,
    /// What confidences differ by within bins, less what that tells.
    pub within: f64,
    /// Mean confidence less the share that was so: above zero is too sure.
    pub lean: f64,
}

/// Bins of a curve, evenly from 0 to 1.
pub const BINS: usize = 5;

/// The curve of some confidences; `None` of none.
#[must_use]
pub fn curve(stated: &[Confidence], bins: usize) -> Option<Curve> {
    let count = stated.len();
    if count == 0 || bins == 0 {
        return None;
    }
    let mut held: Vec<Vec<Confidence>> = vec![Vec::new(); bins];
    for one in stated {
        // 0.29 of a hundred bins is 28.999999 in binary, and belongs above the edge.
        let index = (one.stated * bins as f64 + 1e-10) as usize;
        held[index.min(bins - 1)].push(*one);
    }
    let all = count as f64;
    let base = stated.iter().map(is_so).sum::<f64>() / all;
    let off = |one: &Confidence| (one.stated - is_so(one)) * (one.stated - is_so(one));
    let (mut reliability, mut resolution, mut within) = (0.0, 0.0, 0.0);
    let mut told = Vec::new();
    for (index, held) in held.iter().enumerate().filter(|(_, held)| !held.is_empty()) {
        let n = held.len() as f64;
        let mean = held.iter().map(|one| one.stated).sum::<f64>() / n;
        let so = held.iter().map(is_so).sum::<f64>() / n;
        reliability += n * (mean - so) * (mean - so);
        resolution += n * (so - base) * (so - base);
        within += held
            .iter()
            .map(|one| {
                let from_mean = one.stated - mean;
                from_mean * from_mean - 2.0 * from_mean * (is_so(one) - so)
            })
            .sum::<f64>();
        let (low, high) = wilson(so, n);
        told.push(Bin {
            from: index as f64 / bins as f64,
            to: (index + 1) as f64 / bins as f64,
            count: held.len(),
            stated: mean,
            so,
            low,
            high,
        });
    }
    Some(Curve {
        bins: told,
        count,
        brier: stated.iter().map(off).sum::<f64>() / all,
        reliability: reliability / all,
        resolution: resolution / all,
        uncertainty: base * (1.0 - base),
        within: within / all,
        lean: stated.iter().map(|one| one.stated).sum::<f64>() / all - base,
    })
}

fn is_so(one: &Confidence) -> f64 {
    f64::from(u8::from(one.is_so))
}

/// The score interval of a share.
fn wilson(share: f64, count: f64) -> (f64, f64) {
    let z2 = TWO_SIDED_95 * TWO_SIDED_95;
    let below = 1.0 + z2 / count;
    let middle = (share + 0.5 * z2 / count) / below;
    let inside = share * (1.0 - share) / count + 0.25 * z2 / (count * count);
    let reach = TWO_SIDED_95 * inside.sqrt() / below;
    ((middle - reach).max(0.0), (middle + reach).min(1.0))
}
