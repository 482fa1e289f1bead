//! The posterior as it is kept: of what the series inform, by mean and covariance.

use moulder::internals::library::calibration::{Calibrated, Calibration};
use moulder::internals::numeric::quantile::of_sorted;
use nalgebra::DMatrix;

use crate::likelihood::Term;
use crate::walk::walk;

/// Series inform a deviation whose standard deviation falls by this share at least, or whose mean
/// moves by that share of the prior's standard deviation (our own closure: less moves no height,
/// and is not told from the luck of a walk).
const NARROWER: f64 = 0.08;
const MOVED: f64 = 0.2;

/// What the walk says of one deviation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found {
    pub(crate) of: Calibrated,
    pub(crate) mean: f64,
    pub(crate) sd: f64,
    /// Its 10, 50 and 90 % points.
    pub(crate) points: [f64; 3],
    pub(crate) is_kept: bool,
}

/// The calibration of those terms, and what was found of every deviation that moves a reading.
///
/// # Errors
///
/// A covariance that is not positive definite, as of too short a walk.
pub(crate) fn calibration(
    terms: &[Term<'_>],
    steps: u32,
) -> Result<(Calibration, Vec<Found>), String> {
    let mut of: Vec<Calibrated> = Vec::new();
    for (family, _) in terms.iter().flat_map(|term| &term.emulator.moved_by) {
        if !of.contains(family) {
            of.push(family.clone());
        }
    }
    let points = walk(&of, terms, steps).points;
    let count = f64::from(u32::try_from(points.len().max(1)).unwrap_or(u32::MAX));
    let mean: Vec<f64> = (0..of.len())
        .map(|place| points.iter().map(|point| point[place]).sum::<f64>() / count)
        .collect();
    let covariance = |one: usize, other: usize| {
        let products = points
            .iter()
            .map(|point| (point[one] - mean[one]) * (point[other] - mean[other]));
        products.sum::<f64>() / count
    };
    let found: Vec<Found> = of
        .iter()
        .enumerate()
        .map(|(place, of)| {
            let mut sorted: Vec<f64> = points.iter().map(|point| point[place]).collect();
            sorted.sort_by(f64::total_cmp);
            let sd = covariance(place, place).sqrt();
            Found {
                of: of.clone(),
                mean: mean[place],
                sd,
                points: [0.1, 0.5, 0.9].map(|share| of_sorted(&sorted, share)),
                is_kept: 1.0 - sd > NARROWER || mean[place].abs() > MOVED,
            }
        })
        .collect();
    let kept: Vec<usize> = (0..of.len())
        .filter(|place| found[*place].is_kept)
        .collect();
    let matrix = DMatrix::from_fn(kept.len(), kept.len(), |row, column| {
        covariance(kept[row], kept[column])
    });
    let factor = matrix
        .cholesky()
        .ok_or("the covariance has no factor")?
        .unpack();
    let rows = (0..kept.len()).map(|row| {
        let entries = (0..=row).map(|column| thousandths(factor[(row, column)]));
        entries.collect()
    });
    let mut sources: Vec<String> = terms.iter().map(|term| term.source.to_owned()).collect();
    sources.dedup();
    let calibration = Calibration::new(
        sources,
        kept.iter().map(|place| of[*place].clone()).collect(),
        kept.iter().map(|place| thousandths(mean[*place])).collect(),
        rows.collect(),
    )?;
    Ok((calibration, found))
}

fn thousandths(figure: f64) -> f64 {
    (figure * 1000.0).round() / 1000.0
}
