//! Cholesky factorisation of a small covariance matrix.
//!
//! Written here because matrix libraries choose their inner loops by processor, and these round
//! differently; intervals must be the same bytes everywhere. There is one row per reading, so
//! speed does not matter.

use libm::sqrt;
use moulder_core::math::elementary::ln;

/// The lower triangular factor L of a covariance matrix: L times its transpose.
#[derive(Debug, Clone)]
pub(crate) struct Cholesky {
    /// Row-major; what lies above the diagonal is never read.
    lower: Vec<f64>,
    rows: usize,
}

impl Cholesky {
    /// Factor of a symmetric matrix, row-major; none unless it is positive definite.
    pub(crate) fn of(matrix: &[f64], rows: usize) -> Option<Self> {
        let mut lower = matrix.to_vec();
        for row in 0..rows {
            for column in 0..=row {
                let mut left = matrix[row * rows + column];
                for before in 0..column {
                    left -= lower[row * rows + before] * lower[column * rows + before];
                }
                lower[row * rows + column] = if row == column {
                    if !(left > 0.0 && left.is_finite()) {
                        return None;
                    }
                    sqrt(left)
                } else {
                    left / lower[column * rows + column]
                };
            }
        }
        Some(Self { lower, rows })
    }

    /// A row of L up to the diagonal.
    pub(crate) fn row(&self, row: usize) -> &[f64] {
        &self.lower[row * self.rows..=row * (self.rows + 1)]
    }

    /// L times a vector: maps independent variables to ones of this covariance.
    #[cfg(test)]
    pub(crate) fn times(&self, vector: &[f64]) -> Vec<f64> {
        let row = |row: usize| self.lower[row * self.rows..].iter().take(row + 1);
        (0..self.rows)
            .map(|at| row(at).zip(vector).map(|(one, other)| one * other).sum())
            .collect()
    }

    /// Inverse of L times a vector: decorrelates, each with unit variance.
    pub(crate) fn whitened(&self, vector: &[f64]) -> Vec<f64> {
        let mut white = vector.to_vec();
        for row in 0..self.rows {
            for before in 0..row {
                white[row] -= self.lower[row * self.rows + before] * white[before];
            }
            white[row] /= self.lower[row * self.rows + row];
        }
        white
    }

    /// The inverse covariance times a vector.
    pub(crate) fn solve(&self, vector: &[f64]) -> Vec<f64> {
        let mut solved = self.whitened(vector);
        for row in (0..self.rows).rev() {
            for below in row + 1..self.rows {
                solved[row] -= self.lower[below * self.rows + row] * solved[below];
            }
            solved[row] /= self.lower[row * self.rows + row];
        }
        solved
    }

    /// Log determinant of the covariance matrix.
    pub(crate) fn ln_determinant(&self) -> f64 {
        let diagonal = (0..self.rows).map(|row| ln(self.lower[row * self.rows + row]));
        2.0 * diagonal.sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::Cholesky;
    use moulder_core::math::elementary::ln;

    /// A worked example printed in many places (from memory): its factor is 2; 6, 1; -8, 5, 3, so
    /// that the determinant is 36.
    const MATRIX: [f64; 9] = [4.0, 12.0, -16.0, 12.0, 37.0, -43.0, -16.0, -43.0, 98.0];

    #[test]
    fn a_worked_example() {
        let factor = Cholesky::of(&MATRIX, 3).unwrap();
        let column = |at: usize| {
            let mut unit = [0.0; 3];
            unit[at] = 1.0;
            factor.times(&unit)
        };
        assert_eq!(column(0), [2.0, 6.0, -8.0]);
        assert_eq!(column(1), [0.0, 1.0, 5.0]);
        assert_eq!(column(2), [0.0, 0.0, 3.0]);
        assert!((factor.ln_determinant() - ln(36.0)).abs() < 1e-12);
    }

    #[test]
    fn solving_inverts_the_matrix() {
        let factor = Cholesky::of(&MATRIX, 3).unwrap();
        let vector = [1.0, -2.0, 3.0];
        let row = |row: usize| (0..3).map(|at| MATRIX[3 * row + at] * vector[at]).sum();
        let back = factor.solve(&[row(0), row(1), row(2)]);
        for (back, vector) in back.iter().zip(vector) {
            assert!((back - vector).abs() < 1e-9, "{back} {vector}");
        }
        assert_eq!(factor.whitened(&[2.0, 7.0, 0.0]), [1.0, 1.0, 1.0]);
    }

    #[test]
    fn a_matrix_not_positive_definite_has_no_factor() {
        assert!(Cholesky::of(&[1.0, 2.0, 2.0, 1.0], 2).is_none());
        assert!(Cholesky::of(&[0.0], 1).is_none());
        assert!(Cholesky::of(&[f64::NAN], 1).is_none());
    }
}
