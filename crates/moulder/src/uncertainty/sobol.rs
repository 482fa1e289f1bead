//! Variance-based sensitivity indices (Sobol).
//!
//! Parameters are columns of a unit cube, in groups. The first-order index of a group is the
//! share of the variance that would go, on average, if the group alone were known; the total
//! index is the share that would stay if all but the group were known. Both are estimated from
//! two independent matrices A and B and, for each group, A with the group's columns from B
//! (Saltelli et al. 2010, Computer Physics Communications 181:259-270): the first-order index
//! by form (b) of table 2, the total one by Jansen's form (f).
//!
//! The figures of B are centred first, which does not change the expectation and reduces the
//! variance of the estimate where the mean is large.

use crate::uncertainty::ensemble::run_each;
use serde::{Deserialize, Serialize};

use crate::fault::error::Error;
use crate::forecast::progress::Progress;
use crate::text::limit::SAMPLES_LIMIT;
use crate::uncertainty::sample::quasi_random;

/// Fewest rows with an estimate and its standard error.
pub const LEAST_ROWS: u32 = 8;

/// An estimated share of the variance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Estimate {
    /// The share. Estimates near 0 may lie below 0, near 1 above 1.
    pub share: f64,
    /// Its standard error: that of a ratio of means over independent rows (the delta method).
    /// Rows of a Sobol sequence do better.
    pub standard_error: f64,
}

/// The indices of one group.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Indices {
    /// First-order index.
    pub first_order: Estimate,
    /// Total index.
    pub total: Estimate,
}

/// Results.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Decomposition {
    /// The figure in each row of A, then in each of B.
    pub figures: Vec<f64>,
    /// Their variance.
    pub variance: f64,
    /// The indices of each group, in their order.
    pub groups: Vec<Indices>,
}

/// From a row of numbers in (0, 1) without its last, a figure for each of some last ones.
pub(crate) type Figures<'a> = dyn Fn(&[f64], &[f64]) -> Result<Vec<f64>, Error> + Sync + 'a;

/// Estimates the indices of groups of parameters on a figure.
///
/// `groups` is the group of each column, from 0. Where the last column is the last group by
/// itself, A and A with that group from B are one run of `figures`: there are `rows` times the
/// number of groups plus two runs, or plus one. `progress` is called after each.
///
/// A constant figure has indices of 0.
///
/// # Errors
///
/// Fewer rows than [`LEAST_ROWS`] or too many, an error of the figure, or [`Error::Stopped`].
pub(crate) fn decompose(
    groups: &[usize],
    rows: u32,
    seed: u64,
    figures: &Figures<'_>,
    progress: &Progress<'_>,
) -> Result<Decomposition, Error> {
    if rows < LEAST_ROWS {
        return Err(Error::TooFewDraws {
            asked: rows,
            least: LEAST_ROWS,
        });
    }
    if rows > SAMPLES_LIMIT {
        return Err(Error::TooManyDraws { asked: rows });
    }
    let count = groups.iter().max().map_or(0, |last| last + 1);
    let is_apart = groups
        .split_last()
        .is_some_and(|(last, others)| others.iter().all(|other| other < last));
    let kinds = u32::try_from(count + 2).unwrap_or(u32::MAX) - u32::from(is_apart);
    let all = rows.saturating_mul(kinds);
    let of = |row: &[f64]| {
        let (last, row) = row.split_last().unwrap_or((&0.5, &[]));
        figures(row, &[*last])
    };
    let mut found = Vec::new();
    let one = |run: u32| {
        let [a, b] = pair(seed, run / kinds, groups.len());
        match run % kinds {
            0 if is_apart => {
                let last = a.len() - 1;
                figures(&a[..last], &[a[last], b[last]])
            }
            0 => of(&a),
            1 => of(&b),
            kind => {
                let group = usize::try_from(kind - 2).unwrap_or(usize::MAX);
                let swapped = groups.iter().zip(a.iter().zip(&b));
                let swapped = swapped.map(|(own, (a, b))| if *own == group { *b } else { *a });
                of(&swapped.collect::<Vec<f64>>())
            }
        }
    };
    run_each(0..all, progress, &one, &mut |figures| found.extend(figures))?;
    if is_apart {
        // The last group came beside A.
        for row in found.chunks_exact_mut(count + 2) {
            row[1..].rotate_left(1);
        }
    }
    Ok(estimated(&found, count))
}

/// A row of A and the same row of B, of one scrambled Sobol sequence of twice as many dimensions.
fn pair(seed: u64, number: u32, columns: usize) -> [Vec<f64>; 2] {
    [0, 1].map(|side| {
        let places = (0..columns).map(|column| 2 * column + side);
        places
            .map(|place| quasi_random(seed, number, place))
            .collect()
    })
}

/// The indices from the figures of each row: A, B, and A with each group from B.
fn estimated(figures: &[f64], count: usize) -> Decomposition {
    let rows = || figures.chunks_exact(count + 2);
    let both: Vec<f64> = rows()
        .map(|row| row[0])
        .chain(rows().map(|row| row[1]))
        .collect();
    let grand_mean = mean(both.iter().copied());
    let spread: Vec<f64> = rows()
        .map(|row| 0.5 * (square(row[0] - grand_mean) + square(row[1] - grand_mean)))
        .collect();
    let groups = (0..count).map(|group| {
        let alone = rows().map(|row| (row[1] - grand_mean) * (row[group + 2] - row[0]));
        let left = rows().map(|row| 0.5 * square(row[0] - row[group + 2]));
        Indices {
            first_order: ratio(&alone.collect::<Vec<f64>>(), &spread),
            total: ratio(&left.collect::<Vec<f64>>(), &spread),
        }
    });
    Decomposition {
        groups: groups.collect(),
        variance: mean(spread.iter().copied()),
        figures: both,
    }
}

/// Ratio of two means with its standard error by the delta method; 0 where the denominator is
/// 0.
fn ratio(upper: &[f64], lower: &[f64]) -> Estimate {
    let whole = mean(lower.iter().copied());
    if whole <= 0.0 {
        return Estimate {
            share: 0.0,
            standard_error: 0.0,
        };
    }
    let share = mean(upper.iter().copied()) / whole;
    let residuals = upper.iter().zip(lower);
    let residuals = residuals.map(|(upper, lower)| square((upper - share * lower) / whole));
    // One degree of freedom goes to the mean.
    let fewer = residuals.len().saturating_sub(1).max(1);
    Estimate {
        share,
        standard_error: libm::sqrt(mean(residuals) / count_of(fewer)),
    }
}

fn square(x: f64) -> f64 {
    x * x
}

fn mean(figures: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = figures.len().max(1);
    figures.sum::<f64>() / count_of(count)
}

#[allow(clippy::cast_precision_loss, reason = "a count far below 2^52")]
fn count_of(figures: usize) -> f64 {
    figures as f64
}

#[cfg(test)]
mod tests {
    use core::ops::ControlFlow;
    use core::sync::atomic::{AtomicU32, Ordering};

    use rand_pcg::Pcg64;

    use super::{Estimate, Indices, LEAST_ROWS, decompose, pair};
    use crate::fault::error::Error;
    use crate::forecast::progress::unwatched;
    use crate::numeric::uniform::part;

    fn indices(
        groups: &[usize],
        rows: u32,
        seed: u64,
        figure: &(dyn Fn(&[f64]) -> f64 + Sync),
    ) -> Vec<Indices> {
        let figures = of_each(figure);
        decompose(groups, rows, seed, &figures, &unwatched)
            .unwrap()
            .groups
    }

    /// A figure of whole rows, for each of some last numbers.
    fn of_each(
        figure: &(dyn Fn(&[f64]) -> f64 + Sync),
    ) -> impl Fn(&[f64], &[f64]) -> Result<Vec<f64>, Error> + Sync + '_ {
        |row, lasts| {
            let each = lasts.iter().map(|last| figure(&[row, &[*last]].concat()));
            Ok(each.collect())
        }
    }

    /// A last group by itself comes to what it does as the first.
    #[test]
    fn a_last_group_by_itself_needs_no_run() {
        let counted = AtomicU32::new(0);
        let figure = |row: &[f64], lasts: &[f64]| {
            counted.fetch_add(1, Ordering::Relaxed);
            of_each(&ishigami)(row, lasts)
        };
        let last = decompose(&[0, 1, 2], 8, 1, &figure, &unwatched).unwrap();
        assert_eq!(counted.swap(0, Ordering::Relaxed), 8 * 4);
        let first = decompose(&[2, 1, 0], 8, 1, &figure, &unwatched).unwrap();
        assert_eq!(counted.into_inner(), 8 * 5);
        for (one, other) in last.groups.iter().zip(first.groups.iter().rev()) {
            assert_eq!(one, other);
        }
    }

    fn near(got: Estimate, want: f64, most: f64, what: &str) {
        let error = (got.share - want).abs();
        assert!(error < most, "{what}: {got:?} for {want}");
        let errors = error / got.standard_error;
        assert!(errors < 4.0, "{what}: {got:?} for {want}");
    }

    /// `sin x1 + 7 sin2 x2 + 0.1 x3^4 sin x1`, each uniform from -pi to pi (Ishigami & Homma
    /// 1990, with the constants of Saltelli et al.).
    fn ishigami(row: &[f64]) -> f64 {
        let x = |place: usize| core::f64::consts::PI * (2.0 * row[place] - 1.0);
        let (first, second) = (libm::sin(x(0)), libm::sin(x(1)));
        let fourth = libm::pow(x(2), 4.0);
        first + 7.0 * second * second + 0.1 * fourth * first
    }

    /// The closed forms: `V1 = (1 + b pi^4/5)^2/2`, `V2 = a^2/8`, `V13 = 8 b^2 pi^8/225`,
    /// no other. They come to the printed 0.3139, 0.4424, 0 and 0.5576, 0.4424, 0.2437.
    fn of_ishigami() -> [f64; 3] {
        let fourth = libm::pow(core::f64::consts::PI, 4.0);
        let alone = 0.5 * (1.0 + 0.1 * fourth / 5.0) * (1.0 + 0.1 * fourth / 5.0);
        let (second, pair) = (49.0 / 8.0, 8.0 * 0.01 * fourth * fourth / 225.0);
        [alone, second, pair].map(|part| part / (alone + second + pair))
    }

    #[test]
    fn ishigami_comes_to_its_closed_forms() {
        let [one, two, pair] = of_ishigami();
        for (closed, printed) in [(one, 0.3139), (two, 0.4424), (pair, 0.2437)] {
            assert!((closed - printed).abs() < 5e-5, "{closed} {printed}");
        }
        let got = indices(&[0, 1, 2], 8192, 1, &ishigami);
        let want = [(one, one + pair), (two, two), (0.0, pair)];
        for (place, (first, total)) in want.into_iter().enumerate() {
            near(got[place].first_order, first, 0.02, "first order");
            near(got[place].total, total, 0.02, "total");
        }
    }

    /// A group of two factors has their own effects and their interaction.
    #[test]
    fn groups_come_to_their_closed_forms() {
        let [one, two, pair] = of_ishigami();
        let got = indices(&[0, 1, 0], 8192, 2, &ishigami);
        near(got[0].first_order, one + pair, 0.02, "1 and 3");
        near(got[0].total, one + pair, 0.02, "1 and 3 in all");
        let got = indices(&[0, 0, 1], 8192, 2, &ishigami);
        near(got[0].first_order, one + two, 0.02, "1 and 2");
        near(got[0].total, 1.0, 0.02, "1 and 2 in all");
        near(got[1].total, pair, 0.02, "3 in all");
    }

    /// Weights of the g-function; 99 is almost without effect.
    const WEIGHTS: [f64; 8] = [0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0];

    /// The product of `(|4 x - 2| + a)/(1 + a)`; columns from `first` on.
    fn product(row: &[f64], first: usize) -> f64 {
        let parts = WEIGHTS.iter().zip(&row[first..]);
        let parts = parts.map(|(a, x)| ((4.0 * x - 2.0).abs() + a) / (1.0 + a));
        parts.product()
    }

    /// The closed forms: `Vi = 1/(3 (1 + a)^2)`, the whole variance the product of `1 + Vi`
    /// less 1, the total index `Vi` times the product over the others.
    fn of_product() -> Vec<(f64, f64)> {
        let parts = WEIGHTS.map(|a| 1.0 / (3.0 * (1.0 + a) * (1.0 + a)));
        let all: f64 = parts.iter().map(|part| 1.0 + part).product();
        let each = parts.iter().map(|part| {
            let total = part * all / (1.0 + part);
            (part / (all - 1.0), total / (all - 1.0))
        });
        each.collect()
    }

    #[test]
    fn the_g_function_comes_to_its_closed_forms() {
        let got = indices(&[0, 1, 2, 3, 4, 5, 6, 7], 8192, 3, &|row| product(row, 0));
        for (got, (first, total)) in got.iter().zip(of_product()) {
            near(got.first_order, first, 0.02, "first order");
            near(got.total, total, 0.02, "total");
        }
    }

    #[test]
    fn a_factor_without_effect_has_index_0() {
        let got = indices(&[0, 1, 2, 3], 512, 4, &ishigami);
        let nothing = got[3];
        assert!(nothing.first_order.share.abs() <= nothing.first_order.standard_error);
        assert!(nothing.total.share.abs() <= nothing.total.standard_error);
        // The third factor of Ishigami's function acts by interaction only.
        let alone = got[2].first_order;
        assert!(alone.share.abs() < 3.0 * alone.standard_error, "{alone:?}");
        let still = indices(&[0, 1], 64, 4, &|_| 0.3);
        assert!(still.iter().all(|group| group.total.share == 0.0));
    }

    /// Over 60 seeds the errors agree with the standard errors: root mean square 0.75 to 1.25
    /// of them for pseudo-random rows, and no more for those of the sequence.
    #[test]
    fn errors_agree_with_their_standard_errors() {
        const SEEDS: u32 = 60;
        const ROWS: u32 = 256;
        let groups = [0, 1, 2, 3, 4, 4, 4, 4];
        let pseudo_random = |seed: u32| {
            let mut numbers = Pcg64::new(u128::from(seed), 7);
            let mut row = || -> Vec<f64> { groups.iter().map(|_| part(&mut numbers)).collect() };
            let mut figures = Vec::new();
            for _ in 0..ROWS {
                let [a, b] = [row(), row()];
                figures.extend([&a, &b].map(|row| product(row, 0)));
                figures.extend((0..5).map(|group| {
                    let columns = groups.iter().zip(a.iter().zip(&b));
                    let mixed = columns.map(|(own, (a, b))| if *own == group { *b } else { *a });
                    product(&mixed.collect::<Vec<_>>(), 0)
                }));
            }
            super::estimated(&figures, 5).groups
        };
        let of_the_sequence =
            |seed: u32| indices(&groups, ROWS, u64::from(seed), &|row| product(row, 0));
        for (is_pseudo_random, least) in [(true, 0.75), (false, 0.0)] {
            let mut sums = [0.0; 8];
            for seed in 0..SEEDS {
                let got = if is_pseudo_random {
                    pseudo_random(seed)
                } else {
                    of_the_sequence(seed)
                };
                for (place, (alone, total)) in of_product().iter().take(4).enumerate() {
                    let squared_errors = |got: Estimate, want: f64| {
                        super::square((got.share - want) / got.standard_error)
                    };
                    sums[2 * place] += squared_errors(got[place].first_order, *alone);
                    sums[2 * place + 1] += squared_errors(got[place].total, *total);
                }
            }
            for sum in sums {
                let rms = libm::sqrt(sum / f64::from(SEEDS));
                println!("{rms:.2} standard errors");
                assert!((least..1.25).contains(&rms), "{rms}");
            }
        }
    }

    #[test]
    fn matrices_are_independent() {
        let rows: Vec<[Vec<f64>; 2]> = (0..256).map(|number| pair(5, number, 60)).collect();
        for column in [0, 1, 39, 40, 59] {
            let mut both = 0.0;
            for [a, b] in &rows {
                assert!(a[column] > 0.0 && a[column] < 1.0);
                both += (a[column] - 0.5) * (b[column] - 0.5) * 12.0 / 256.0;
            }
            // By chance alone the correlation of 256 pairs is about 1/16.
            assert!(both.abs() < 0.25, "{column}: {both}");
        }
    }

    #[test]
    fn too_few_rows_and_a_stop_are_errors() {
        let (least, asked) = (LEAST_ROWS, LEAST_ROWS - 1);
        let first = of_each(&|row| row[0]);
        let few = decompose(&[0], asked, 1, &first, &unwatched);
        assert_eq!(few, Err(Error::TooFewDraws { asked, least }));
        let stopped = decompose(&[0], 64, 1, &first, &|_, _| ControlFlow::Break(()));
        assert_eq!(stopped, Err(Error::Stopped));
    }
}
