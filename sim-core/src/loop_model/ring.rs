//! The linear equations of one Newton step: a ring of two-by-two blocks, and one scalar on the side.
//!
//! Each volume's balances depend on its own unknowns and its neighbours'. The
//! ring is cut at the first volume: the others are eliminated as a chain that
//! carries its dependence on the first along, which then closes the ring. The
//! expansion valve's lift couples its two neighbours to a volume further round;
//! that is one scalar, so it is a rank-one term, added by the formula of
//! Sherman & Morrison (1950).

/// Two unknowns of a volume.
pub type Pair = [f64; 2];
/// Two equations over two unknowns, row by row.
pub type Block = [[f64; 2]; 2];

/// No solution: the equations do not determine the unknowns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Singular;

/// The system, its workspace and its solution; nothing is allocated after it is made.
#[derive(Clone, Debug)]
pub struct RingSystem {
    /// Dependence of each volume's equations on the volume before.
    before: Vec<Block>,
    /// On itself.
    own: Vec<Block>,
    /// On the volume after.
    after: Vec<Block>,
    /// Right-hand sides.
    right: Vec<Pair>,
    /// Dependence on the scalar.
    push: Vec<Pair>,
    /// The scalar's dependence on the unknowns of one volume.
    feel: Pair,
    felt: usize,
    /// Workspace: inverse pivots, dependence on the first volume, and the two solutions.
    inverse: Vec<Block>,
    onto_first: Vec<Block>,
    solution: Vec<Pair>,
    pushed: Vec<Pair>,
}

const ZERO: Block = [[0.0; 2]; 2];

impl RingSystem {
    /// A system for a ring of `count` volumes, at least three.
    #[must_use]
    pub fn new(count: usize) -> Self {
        Self {
            before: vec![ZERO; count],
            own: vec![ZERO; count],
            after: vec![ZERO; count],
            right: vec![[0.0; 2]; count],
            push: vec![[0.0; 2]; count],
            feel: [0.0; 2],
            felt: 0,
            inverse: vec![ZERO; count],
            onto_first: vec![ZERO; count],
            solution: vec![[0.0; 2]; count],
            pushed: vec![[0.0; 2]; count],
        }
    }

    /// Sets everything to zero.
    pub fn clear(&mut self) {
        for blocks in [&mut self.before, &mut self.own, &mut self.after] {
            blocks.fill(ZERO);
        }
        self.right.fill([0.0; 2]);
        self.push.fill([0.0; 2]);
        self.feel = [0.0; 2];
    }

    /// Adds to an equation (0 or 1) of a volume: its right-hand side and its dependence on its own unknowns.
    pub fn add_own(&mut self, volume: usize, equation: usize, right: f64, slopes: Pair) {
        self.right[volume][equation] += right;
        add(&mut self.own[volume][equation], slopes);
    }

    /// Adds a dependence on the volume before.
    pub fn add_before(&mut self, volume: usize, equation: usize, slopes: Pair) {
        add(&mut self.before[volume][equation], slopes);
    }

    /// Adds a dependence on the volume after.
    pub fn add_after(&mut self, volume: usize, equation: usize, slopes: Pair) {
        add(&mut self.after[volume][equation], slopes);
    }

    /// Adds a dependence on the scalar.
    pub fn add_push(&mut self, volume: usize, equation: usize, slope: f64) {
        self.push[volume][equation] += slope;
    }

    /// Says how the scalar depends on the unknowns of one volume.
    pub fn set_feel(&mut self, volume: usize, slopes: Pair) {
        self.felt = volume;
        self.feel = slopes;
    }

    /// Solves; the system is used up.
    ///
    /// # Errors
    /// [`Singular`] when a pivot vanishes or a number overflows.
    pub fn solve(&mut self) -> Result<&[Pair], Singular> {
        self.eliminate()?;
        self.close()?;
        // Sherman & Morrison: x − z (v·x) / (1 + v·z).
        let along = dot(self.feel, self.solution[self.felt]);
        let fed_back = 1.0 + dot(self.feel, self.pushed[self.felt]);
        if along != 0.0 {
            let share = along / fed_back;
            for (pair, pushed) in self.solution.iter_mut().zip(&self.pushed) {
                pair[0] -= share * pushed[0];
                pair[1] -= share * pushed[1];
            }
        }
        let finite = self
            .solution
            .iter()
            .all(|pair| pair[0].is_finite() && pair[1].is_finite());
        if finite {
            Ok(&self.solution)
        } else {
            Err(Singular)
        }
    }

    /// The solution found last.
    #[must_use]
    pub fn solution(&self) -> &[Pair] {
        &self.solution
    }

    /// Eliminates the chain from the second volume to the last.
    fn eliminate(&mut self) -> Result<(), Singular> {
        let count = self.own.len();
        self.onto_first[1] = self.before[1];
        self.inverse[1] = invert(self.own[1])?;
        for i in 2..count {
            let factor = times(self.before[i], self.inverse[i - 1]);
            self.own[i] = minus(self.own[i], times(factor, self.after[i - 1]));
            self.onto_first[i] = minus(ZERO, times(factor, self.onto_first[i - 1]));
            self.right[i] = less(self.right[i], apply(factor, self.right[i - 1]));
            self.push[i] = less(self.push[i], apply(factor, self.push[i - 1]));
            if i + 1 == count {
                // The last volume's neighbour is the first again.
                self.onto_first[i] = minus(self.onto_first[i], minus(ZERO, self.after[i]));
            }
            self.inverse[i] = invert(self.own[i])?;
        }
        Ok(())
    }

    /// Goes back along the chain, closes the ring at the first volume, and fills in the rest.
    fn close(&mut self) -> Result<(), Singular> {
        let count = self.own.len();
        // Each unknown as a fixed part less a part of the first volume's unknowns.
        let last = count - 1;
        self.solution[last] = apply(self.inverse[last], self.right[last]);
        self.pushed[last] = apply(self.inverse[last], self.push[last]);
        self.onto_first[last] = times(self.inverse[last], self.onto_first[last]);
        for i in (1..last).rev() {
            let (after, inverse) = (self.after[i], self.inverse[i]);
            let carry = |right: Pair, next: Pair| apply(inverse, less(right, apply(after, next)));
            self.solution[i] = carry(self.right[i], self.solution[i + 1]);
            self.pushed[i] = carry(self.push[i], self.pushed[i + 1]);
            let onto = minus(self.onto_first[i], times(after, self.onto_first[i + 1]));
            self.onto_first[i] = times(inverse, onto);
        }
        let (before, after) = (self.before[0], self.after[0]);
        let around = minus(
            minus(self.own[0], times(before, self.onto_first[last])),
            times(after, self.onto_first[1]),
        );
        let inverse = invert(around)?;
        let first = |right: Pair, last: Pair, second: Pair| {
            apply(
                inverse,
                less(less(right, apply(before, last)), apply(after, second)),
            )
        };
        self.solution[0] = first(self.right[0], self.solution[last], self.solution[1]);
        self.pushed[0] = first(self.push[0], self.pushed[last], self.pushed[1]);
        for i in 1..count {
            self.solution[i] = less(
                self.solution[i],
                apply(self.onto_first[i], self.solution[0]),
            );
            self.pushed[i] = less(self.pushed[i], apply(self.onto_first[i], self.pushed[0]));
        }
        Ok(())
    }
}

fn add(sum: &mut Pair, more: Pair) {
    sum[0] += more[0];
    sum[1] += more[1];
}

fn less(a: Pair, b: Pair) -> Pair {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Pair, b: Pair) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn apply(block: Block, pair: Pair) -> Pair {
    [dot(block[0], pair), dot(block[1], pair)]
}

fn minus(a: Block, b: Block) -> Block {
    [less(a[0], b[0]), less(a[1], b[1])]
}

fn times(a: Block, b: Block) -> Block {
    let column = |j: usize| [b[0][j], b[1][j]];
    let (first, second) = (column(0), column(1));
    [
        [dot(a[0], first), dot(a[0], second)],
        [dot(a[1], first), dot(a[1], second)],
    ]
}

fn invert(block: Block) -> Result<Block, Singular> {
    let [[a, b], [c, d]] = block;
    let determinant = a * d - b * c;
    if !(determinant.abs() > 1e-300 && determinant.is_finite()) {
        return Err(Singular);
    }
    let inverse = 1.0 / determinant;
    Ok([[d * inverse, -b * inverse], [-c * inverse, a * inverse]])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Draws;

    /// A ring with random blocks, and the right-hand side of known unknowns.
    #[test]
    fn finds_the_unknowns_it_was_made_from() {
        let mut draws = Draws::new(5, 0);
        for count in [3, 4, 9, 16] {
            let mut system = RingSystem::new(count);
            let wanted: Vec<Pair> = (0..count)
                .map(|_| [draws.normal(), draws.normal()])
                .collect();
            let felt = 1;
            let feel = [draws.normal(), draws.normal()];
            system.set_feel(felt, feel);
            let scalar = dot(feel, wanted[felt]);
            for i in 0..count {
                let (before, after) = ((i + count - 1) % count, (i + 1) % count);
                for equation in 0..2 {
                    let mut slopes = || [draws.normal(), draws.normal()];
                    let (b, mut o, a) = (slopes(), slopes(), slopes());
                    o[equation] += 8.0;
                    let push = if i < 2 { draws.normal() } else { 0.0 };
                    let right = dot(b, wanted[before])
                        + dot(o, wanted[i])
                        + dot(a, wanted[after])
                        + push * scalar;
                    system.add_own(i, equation, right, o);
                    system.add_before(i, equation, b);
                    system.add_after(i, equation, a);
                    system.add_push(i, equation, push);
                }
            }
            for (found, wanted) in system.solve().unwrap().iter().zip(&wanted) {
                for (found, wanted) in found.iter().zip(wanted) {
                    assert!(
                        (found - wanted).abs() < 1e-11,
                        "{count}: {found} against {wanted}"
                    );
                }
            }
        }
    }

    #[test]
    fn says_when_nothing_is_determined() {
        assert_eq!(RingSystem::new(3).solve().unwrap_err(), Singular);
    }
}
