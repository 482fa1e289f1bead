//! Linear systems of neighbours: each unknown meets the one above and the one below.

use alloc::vec::Vec;

/// A tridiagonal system, kept between solutions.
///
/// Meant for diffusion, whose matrix is diagonally dominant: no pivots are needed.
///
/// ```
/// use moulder_core::tridiagonal::Tridiagonal;
///
/// let mut system = Tridiagonal::default();
/// system.clear();
/// system.push(0.0, 2.0, -1.0, 1.0);
/// system.push(-1.0, 2.0, 0.0, 1.0);
/// let solution = system.solve();
/// assert!((solution[0] - 1.0).abs() < 1e-15 && (solution[1] - 1.0).abs() < 1e-15);
/// ```
#[derive(Debug, Clone, Default)]
pub struct Tridiagonal {
    below: Vec<f64>,
    diagonal: Vec<f64>,
    above: Vec<f64>,
    right: Vec<f64>,
}

impl Tridiagonal {
    /// Forgets every row.
    pub fn clear(&mut self) {
        self.below.clear();
        self.diagonal.clear();
        self.above.clear();
        self.right.clear();
    }

    /// Adds a row: `below x[i-1] + diagonal x[i] + above x[i+1] = right`.
    pub fn push(&mut self, below: f64, diagonal: f64, above: f64, right: f64) {
        self.below.push(below);
        self.diagonal.push(diagonal);
        self.above.push(above);
        self.right.push(right);
    }

    /// Solves by elimination (Thomas); the rows are used up.
    pub fn solve(&mut self) -> &[f64] {
        let count = self.right.len();
        for i in 1..count {
            let factor = self.below[i] / self.diagonal[i - 1];
            self.diagonal[i] -= factor * self.above[i - 1];
            self.right[i] -= factor * self.right[i - 1];
        }
        for i in (0..count).rev() {
            let next = if i + 1 < count {
                self.above[i] * self.right[i + 1]
            } else {
                0.0
            };
            self.right[i] = (self.right[i] - next) / self.diagonal[i];
        }
        &self.right
    }
}
