//! Room for small labels beside the points they name.

use crate::chart::svg::Place;

/// What is taken on a chart, as rectangles: centre, width and height.
#[derive(Clone, Debug, Default)]
pub struct Labels {
    taken: Vec<(Place, Place)>,
}

/// Length of the pieces a line is taken in, px.
const PIECE_PX: f64 = 6.0;
/// Distances from a point at which a label is tried, px.
const REACHES_PX: [f64; 4] = [15.0, 21.0, 28.0, 36.0];
/// Directions in which it is tried, evenly all round.
const DIRECTIONS: u32 = 16;

impl Labels {
    /// Takes a rectangle around a place.
    pub fn take(&mut self, centre: Place, size: Place) {
        self.taken.push((centre, size));
    }

    /// Takes what a line covers.
    pub fn take_line(&mut self, points: &[Place]) {
        for pair in points.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let (dx, dy) = (to.0 - from.0, to.1 - from.1);
            let pieces = 1.0 + libm::floor((dx * dx + dy * dy).sqrt() / PIECE_PX);
            for index in 0..pieces as usize {
                let share = (index as f64 + 0.5) / pieces;
                let at = (from.0 + share * dx, from.1 + share * dy);
                self.take(at, (PIECE_PX, PIECE_PX));
            }
        }
    }

    /// Whether nothing is in a rectangle around a place.
    #[must_use]
    pub fn free(&self, centre: Place, size: Place) -> bool {
        self.taken
            .iter()
            .all(|one| shared(centre, size, one) == 0.0)
    }

    /// A free place for a label of a size beside a point, as far as can be away from `away_from`;
    /// the room is taken then. Where nothing is free it overlaps rather than goes astray.
    pub fn beside(&mut self, point: Place, size: Place, away_from: Place) -> Place {
        let outward = (point.0 - away_from.0, point.1 - away_from.1);
        let length = (outward.0 * outward.0 + outward.1 * outward.1)
            .sqrt()
            .max(1e-9);
        let facing =
            |direction: &Place| (direction.0 * outward.0 + direction.1 * outward.1) / length;
        let mut best: Option<(f64, Place)> = None;
        for reach in REACHES_PX {
            for index in 0..DIRECTIONS {
                let turn = std::f64::consts::TAU * f64::from(index) / f64::from(DIRECTIONS);
                let direction = (libm::cos(turn), libm::sin(turn));
                let at = (point.0 + reach * direction.0, point.1 + reach * direction.1);
                let overlap: f64 = self.taken.iter().map(|one| shared(at, size, one)).sum();
                let cost = 100.0 * overlap + reach - 12.0 * facing(&direction);
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, at));
                }
            }
        }
        let at = best.map_or(point, |(_, at)| at);
        self.take(at, size);
        at
    }
}

/// Area two rectangles share, px².
fn shared(at: Place, size: Place, other: &(Place, Place)) -> f64 {
    let (centre, extent) = other;
    let along = |a: f64, b: f64, reach: f64| (reach - (a - b).abs()).max(0.0);
    along(at.0, centre.0, 0.5 * (size.0 + extent.0))
        * along(at.1, centre.1, 0.5 * (size.1 + extent.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_one_point_do_not_lie_on_each_other() {
        let mut labels = Labels::default();
        let size = (14.0, 14.0);
        let places: Vec<Place> = (0..6)
            .map(|_| labels.beside((100.0, 100.0), size, (200.0, 100.0)))
            .collect();
        assert!(places[0].0 < 100.0, "the first stands outside");
        for (index, one) in places.iter().enumerate() {
            for other in &places[index + 1..] {
                assert_eq!(shared(*one, size, &(*other, size)), 0.0);
            }
        }
    }
}
