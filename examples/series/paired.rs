//! Two forecasters compared source by source.

use std::collections::BTreeMap;

use moulder::internals::numeric::quantile::of_sorted;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

use crate::range::Range;

/// Resamples of the sources.
const RESAMPLES: usize = 10_000;

/// Fewest sources for a verdict.
pub(crate) const FEWEST_SOURCES: usize = 5;

const SEED: u128 = 1;
/// Stream of the random number generator for the resamples.
const STREAM: u128 = 0x2f0c_6de1_94b3_5a87_c1d8_70e5_3b96_42af;

/// One reading under two forecasters; less is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pair<'a> {
    pub(crate) group: &'a str,
    pub(crate) ours: f64,
    pub(crate) theirs: f64,
}

/// The comparison of two forecasters over some readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Comparison {
    pub(crate) readings: usize,
    pub(crate) sources: usize,
    /// Means over sources of the means over their readings.
    pub(crate) ours: f64,
    pub(crate) theirs: f64,
    /// The 90 % interval of `ours - theirs` if other sources like these had been found
    /// (bootstrap over sources, percentiles).
    pub(crate) difference: Range,
}

impl Comparison {
    /// None of no reading.
    pub(crate) fn of(pairs: &[Pair<'_>]) -> Option<Self> {
        let ours = by_source(pairs.iter().map(|pair| (pair.group, pair.ours)));
        let theirs = by_source(pairs.iter().map(|pair| (pair.group, pair.theirs)));
        if ours.is_empty() {
            return None;
        }
        let differences: Vec<f64> = ours.iter().zip(&theirs).map(|(a, b)| a - b).collect();
        let mut numbers = Pcg64::new(SEED, STREAM);
        let mut means: Vec<f64> = (0..RESAMPLES)
            .map(|_| {
                let picked = differences
                    .iter()
                    .map(|_| differences[below(differences.len(), numbers.next_u64())]);
                mean(&picked.collect::<Vec<f64>>())
            })
            .collect();
        means.sort_by(f64::total_cmp);
        Some(Self {
            readings: pairs.len(),
            sources: ours.len(),
            ours: mean(&ours),
            theirs: mean(&theirs),
            difference: Range {
                low: of_sorted(&means, 0.05),
                high: of_sorted(&means, 0.95),
            },
        })
    }

    /// What can be said of it.
    pub(crate) fn verdict(&self) -> &'static str {
        if self.sources < FEWEST_SOURCES {
            "too few sources"
        } else if self.difference.high < 0.0 {
            "better"
        } else if self.difference.low > 0.0 {
            "worse"
        } else {
            "open"
        }
    }
}

/// Means of values by their source, in order of the sources' names.
pub(crate) fn by_source<'a>(values: impl Iterator<Item = (&'a str, f64)>) -> Vec<f64> {
    let mut sources: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (group, value) in values {
        sources.entry(group).or_default().push(value);
    }
    sources.values().map(|values| mean(values)).collect()
}

/// NaN of none.
pub(crate) fn mean(values: &[f64]) -> f64 {
    let count = f64::from(u32::try_from(values.len()).unwrap_or(u32::MAX));
    values.iter().sum::<f64>() / count
}

/// A place below `count` from 64 random bits: the high half of their product.
fn below(count: usize, bits: u64) -> usize {
    let product = u128::from(bits) * u128::try_from(count).unwrap_or(1);
    usize::try_from(product >> 64).unwrap_or(0)
}
