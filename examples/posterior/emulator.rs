//! An emulator of a reading: a polynomial of second degree in the deviations that move it.

use moulder::internals::library::calibration::Calibrated;
use moulder::internals::numeric::prior::TENTH_Z;
use moulder::internals::numeric::quantile::of_sorted;
use nalgebra::{DMatrix, DVector};

/// A deviation is taken in where its slope is this many times its standard error.
const CLEAR: f64 = 4.0;

/// Parts of the cross-validation.
const FOLDS: usize = 8;

/// The polynomial, without cross terms: of two deviations at one standard deviation each they
/// come to less than what a reading leaves open.
#[derive(Debug, Clone)]
pub(crate) struct Emulator {
    /// What moves the reading, each with its slope and half its curvature.
    pub(crate) moved_by: Vec<(Calibrated, [f64; 2])>,
    pub(crate) middle: f64,
    /// Standard deviation of what it leaves, by cross-validation; from the width that four in
    /// five lie in.
    pub(crate) sd: f64,
    /// Share of the variance that it explains, by cross-validation.
    pub(crate) explained: f64,
}

impl Emulator {
    /// Of a reading from its realisations.
    pub(crate) fn of(families: &[Vec<(Calibrated, f64)>], eta: &[f64]) -> Self {
        let clear = clear(families, eta);
        let row = |realisation: &Vec<(Calibrated, f64)>| {
            let z = clear.iter().map(|of| deviation(realisation, of));
            let terms = z.flat_map(|z| [z, z * z - 1.0]);
            core::iter::once(1.0).chain(terms).collect::<Vec<f64>>()
        };
        let rows: Vec<Vec<f64>> = families.iter().map(row).collect();
        let coefficients = least_squares(&rows, eta, |_| true);
        let mut left: Vec<f64> = (0..FOLDS)
            .flat_map(|fold| {
                let other = least_squares(&rows, eta, |at| at % FOLDS != fold);
                let own = rows.iter().zip(eta).enumerate();
                let own = own.filter(move |(at, _)| at % FOLDS == fold);
                own.map(move |(_, (row, eta))| eta - dot(row, &other))
                    .collect::<Vec<f64>>()
            })
            .collect();
        let explained = 1.0 - variance(&left) / variance(eta);
        left.sort_by(f64::total_cmp);
        let sd = 0.5 * (of_sorted(&left, 0.9) - of_sorted(&left, 0.1)) / TENTH_Z;
        let terms = coefficients[1..].chunks_exact(2);
        Self {
            moved_by: clear
                .into_iter()
                .zip(terms.map(|term| [term[0], term[1]]))
                .collect(),
            middle: coefficients[0] + of_sorted(&left, 0.5),
            sd,
            explained,
        }
    }

    /// Its value where a deviation is what `of` says.
    pub(crate) fn at(&self, of: impl Fn(&Calibrated) -> f64) -> f64 {
        let terms = self.moved_by.iter().map(|(family, [slope, curvature])| {
            let z = of(family);
            slope * z + curvature * (z * z - 1.0)
        });
        self.middle + terms.sum::<f64>()
    }
}

/// The deviations with a clear slope in a regression on all of them.
fn clear(families: &[Vec<(Calibrated, f64)>], eta: &[f64]) -> Vec<Calibrated> {
    let mut all: Vec<&Calibrated> = Vec::new();
    for (of, _) in families.iter().flatten() {
        if !all.contains(&of) {
            all.push(of);
        }
    }
    let rows: Vec<Vec<f64>> = families
        .iter()
        .map(|realisation| {
            let z = all.iter().map(|of| deviation(realisation, of));
            core::iter::once(1.0).chain(z).collect()
        })
        .collect();
    let slopes = least_squares(&rows, eta, |_| true);
    let left: Vec<f64> = rows
        .iter()
        .zip(eta)
        .map(|(row, eta)| eta - dot(row, &slopes))
        .collect();
    // Deviations are drawn independently with a variance of one.
    let error = (variance(&left) / count(eta)).sqrt();
    let slopes = all.into_iter().zip(&slopes[1..]);
    slopes
        .filter(|(_, slope)| slope.abs() > CLEAR * error)
        .map(|(of, _)| of.clone())
        .collect()
}

/// A deviation of a realisation; 0 where its bed does not have it.
fn deviation(realisation: &[(Calibrated, f64)], of: &Calibrated) -> f64 {
    let found = realisation.iter().find(|(known, _)| known == of);
    found.map_or(0.0, |(_, z)| *z)
}

/// Coefficients of the rows that are taken; the least ones where they are not determined.
fn least_squares(rows: &[Vec<f64>], eta: &[f64], is_taken: impl Fn(usize) -> bool) -> Vec<f64> {
    let taken: Vec<usize> = (0..rows.len()).filter(|at| is_taken(*at)).collect();
    let matrix = DMatrix::from_fn(taken.len(), rows[0].len(), |at, term| rows[taken[at]][term]);
    let right = DVector::from_fn(taken.len(), |at, _| eta[taken[at]]);
    let solved = matrix.svd(true, true).solve(&right, 1e-9);
    solved.map_or_else(
        |_| vec![0.0; rows[0].len()],
        |solved| solved.iter().copied().collect(),
    )
}

fn dot(row: &[f64], coefficients: &[f64]) -> f64 {
    row.iter()
        .zip(coefficients)
        .map(|(one, other)| one * other)
        .sum()
}

fn variance(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / count(values);
    values
        .iter()
        .map(|value| (value - mean) * (value - mean))
        .sum::<f64>()
        / count(values)
}

fn count(values: &[f64]) -> f64 {
    f64::from(u32::try_from(values.len()).unwrap_or(u32::MAX))
}
