//! Tridiagonal linear systems.

use alloc::vec::Vec;

/// A tridiagonal system with reusable storage.
///
/// For diffusion, whose matrix is diagonally dominant, so that no pivoting is needed.
///
/// ```
/// use moulder_core::math::tridiagonal::Tridiagonal;
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
    rows: Vec<Row>,
    solution: Vec<f64>,
}

#[derive(Debug, Clone, Copy)]
struct Row {
    diagonal: f64,
    above: f64,
    right: f64,
}

impl Tridiagonal {
    /// Removes all rows.
    pub fn clear(&mut self) {
        self.rows.clear();
    }

    /// Adds a row: `below x[i-1] + diagonal x[i] + above x[i+1] = right`.
    #[inline]
    pub fn push(&mut self, below: f64, diagonal: f64, above: f64, right: f64) {
        let mut row = Row {
            diagonal,
            above,
            right,
        };
        // Forward elimination as rows are added (Thomas algorithm).
        if let Some(last) = self.rows.last() {
            let factor = below / last.diagonal;
            row.diagonal -= factor * last.above;
            row.right -= factor * last.right;
        }
        self.rows.push(row);
    }

    /// Back substitution. Call [`Tridiagonal::clear`] before the next system.
    pub fn solve(&mut self) -> &[f64] {
        self.solution.clear();
        self.solution.resize(self.rows.len(), 0.0);
        let mut next = 0.0;
        for (row, solution) in self.rows.iter().zip(&mut self.solution).rev() {
            next = (row.right - row.above * next) / row.diagonal;
            *solution = next;
        }
        &self.solution
    }
}
