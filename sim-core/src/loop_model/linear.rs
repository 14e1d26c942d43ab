//! The linear equations of one Newton step.

/// A square system stored row by row, solved in place; nothing is allocated after it is made.
#[derive(Clone, Debug)]
pub struct LinearSystem {
    size: usize,
    matrix: Vec<f64>,
    right: Vec<f64>,
}

/// No pivot was left: the equations do not determine the unknowns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Singular;

impl LinearSystem {
    /// A system of `size` equations, all coefficients zero.
    #[must_use]
    pub fn new(size: usize) -> Self {
        Self {
            size,
            matrix: vec![0.0; size * size],
            right: vec![0.0; size],
        }
    }

    /// Sets every coefficient and right-hand side to zero.
    pub fn clear(&mut self) {
        self.matrix.fill(0.0);
        self.right.fill(0.0);
    }

    /// Adds to the coefficient of unknown `column` in equation `row`.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.matrix[row * self.size + column] += value;
    }

    /// Adds to the right-hand side of equation `row`.
    pub fn add_right(&mut self, row: usize, value: f64) {
        self.right[row] += value;
    }

    /// The solution found last.
    #[must_use]
    pub fn solution(&self) -> &[f64] {
        &self.right
    }

    /// Solves by elimination with partial pivoting; the solution replaces the right-hand side.
    ///
    /// The loop's matrix is nearly a ring of small blocks, so most multipliers
    /// are exactly zero: skipping those rows does most of what a sparse solver would.
    ///
    /// # Errors
    /// [`Singular`] when a column has no usable pivot.
    pub fn solve(&mut self) -> Result<&[f64], Singular> {
        let n = self.size;
        for column in 0..n {
            let mut pivot_row = column;
            let mut pivot = self.matrix[column * n + column].abs();
            for row in column + 1..n {
                let candidate = self.matrix[row * n + column].abs();
                if candidate > pivot {
                    pivot = candidate;
                    pivot_row = row;
                }
            }
            if !(pivot > 1e-300 && pivot.is_finite()) {
                return Err(Singular);
            }
            if pivot_row != column {
                for k in column..n {
                    self.matrix.swap(column * n + k, pivot_row * n + k);
                }
                self.right.swap(column, pivot_row);
            }
            let inverse = 1.0 / self.matrix[column * n + column];
            let (above, below) = self.matrix.split_at_mut((column + 1) * n);
            let pivot_values = &above[column * n + column + 1..];
            let right_pivot = self.right[column];
            for (offset, row) in below.chunks_exact_mut(n).enumerate() {
                if row[column] == 0.0 {
                    continue;
                }
                let multiplier = row[column] * inverse;
                for (value, upper) in row[column + 1..].iter_mut().zip(pivot_values) {
                    *value -= multiplier * upper;
                }
                self.right[column + 1 + offset] -= multiplier * right_pivot;
            }
        }
        for row in (0..n).rev() {
            let coefficients = &self.matrix[row * n..(row + 1) * n];
            let mut sum = self.right[row];
            for (coefficient, known) in coefficients[row + 1..].iter().zip(&self.right[row + 1..]) {
                sum -= coefficient * known;
            }
            self.right[row] = sum / coefficients[row];
        }
        Ok(&self.right)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_a_system_that_needs_pivoting() {
        let rows = [[0.0, 2.0, 1.0], [1.0, 1.0, 0.0], [3.0, 0.0, -1.0]];
        let wanted = [1.0, -2.0, 5.0];
        let mut system = LinearSystem::new(3);
        for (i, row) in rows.iter().enumerate() {
            for (j, value) in row.iter().enumerate() {
                system.add(i, j, *value);
                system.add_right(i, value * wanted[j]);
            }
        }
        let solution = system.solve().unwrap();
        for (found, wanted) in solution.iter().zip(wanted) {
            assert!((found - wanted).abs() < 1e-13);
        }
    }

    #[test]
    fn says_when_equations_repeat() {
        let mut system = LinearSystem::new(2);
        for row in 0..2 {
            system.add(row, 0, 1.0);
            system.add(row, 1, 2.0);
        }
        assert_eq!(system.solve().unwrap_err(), Singular);
    }
}
