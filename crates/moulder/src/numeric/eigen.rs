//! Eigenvectors of a small symmetric matrix.

use libm::sqrt;

/// Most sweeps over all pairs; about six are enough for a matrix of this size.
const SWEEPS: usize = 50;

/// Eigenvalues and unit eigenvectors of a symmetric row-major matrix, largest eigenvalue first.
///
/// Jacobi rotations (Golub & Van Loan, Matrix Computations, section 8.5; from memory): slow for
/// large matrices, but the same bytes everywhere.
pub(crate) fn directions(matrix: &[f64], rows: usize) -> Vec<(f64, Vec<f64>)> {
    let mut left = matrix.to_vec();
    let at = |row: usize, column: usize| row * rows + column;
    let mut vectors: Vec<f64> = vec![0.0; rows * rows];
    for row in 0..rows {
        vectors[at(row, row)] = 1.0;
    }
    let whole: f64 = matrix.iter().map(|one| one * one).sum();
    for _ in 0..SWEEPS {
        let pairs = (0..rows).flat_map(|row| (row + 1..rows).map(move |column| (row, column)));
        let off: f64 = pairs
            .clone()
            .map(|(row, column)| left[at(row, column)] * left[at(row, column)])
            .sum();
        if off <= 1e-28 * whole {
            break;
        }
        for (p, q) in pairs {
            if left[at(p, q)].abs() < f64::MIN_POSITIVE {
                continue;
            }
            let theta = (left[at(q, q)] - left[at(p, p)]) / (2.0 * left[at(p, q)]);
            let tangent = theta.signum() / (theta.abs() + sqrt(1.0 + theta * theta));
            let cosine = 1.0 / sqrt(1.0 + tangent * tangent);
            let sine = tangent * cosine;
            for k in 0..rows {
                let (one, other) = (left[at(k, p)], left[at(k, q)]);
                left[at(k, p)] = cosine * one - sine * other;
                left[at(k, q)] = sine * one + cosine * other;
            }
            for k in 0..rows {
                let (one, other) = (left[at(p, k)], left[at(q, k)]);
                left[at(p, k)] = cosine * one - sine * other;
                left[at(q, k)] = sine * one + cosine * other;
                let (one, other) = (vectors[at(k, p)], vectors[at(k, q)]);
                vectors[at(k, p)] = cosine * one - sine * other;
                vectors[at(k, q)] = sine * one + cosine * other;
            }
        }
    }
    let mut eigenpairs: Vec<(f64, Vec<f64>)> = (0..rows)
        .map(|column| {
            let vector = (0..rows).map(|row| vectors[at(row, column)]).collect();
            (left[at(column, column)], vector)
        })
        .collect();
    eigenpairs.sort_by(|one, other| other.0.total_cmp(&one.0));
    eigenpairs
}

#[cfg(test)]
mod tests {
    use super::directions;

    /// Eigenvalues 3 along (1, 1) and 1 along (1, -1).
    #[test]
    fn two_by_two() {
        let eigenpairs = directions(&[2.0, 1.0, 1.0, 2.0], 2);
        assert!((eigenpairs[0].0 - 3.0).abs() < 1e-12 && (eigenpairs[1].0 - 1.0).abs() < 1e-12);
        let along = &eigenpairs[0].1;
        assert!((along[0] - along[1]).abs() < 1e-12);
    }

    /// Each eigenvector satisfies its equation, and the eigenvalues sum to the trace.
    #[test]
    fn eigenvectors_satisfy_their_equation() {
        let matrix = [
            4.0, 1.0, -2.0, 2.0, 1.0, 2.0, 0.0, 1.0, -2.0, 0.0, 3.0, -2.0, 2.0, 1.0, -2.0, -1.0,
        ];
        let eigenpairs = directions(&matrix, 4);
        for (value, along) in &eigenpairs {
            for row in 0..4 {
                let turned: f64 = (0..4).map(|k| matrix[4 * row + k] * along[k]).sum();
                assert!((turned - value * along[row]).abs() < 1e-12);
            }
        }
        let trace: f64 = eigenpairs.iter().map(|(value, _)| value).sum();
        assert!((trace - 8.0).abs() < 1e-12);
        assert!(eigenpairs.windows(2).all(|pair| pair[0].0 >= pair[1].0));
        assert!(directions(&[0.0; 4], 2)[0].0.abs() < f64::MIN_POSITIVE);
    }
}
