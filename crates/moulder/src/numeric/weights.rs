//! How much each draw counts once something was measured.

use moulder_core::math::elementary::exp;

/// Halvings of the power to which weights are taken.
const HALVINGS: u32 = 60;

/// The share of each draw in what is believed, summing to one.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    /// The share of each draw.
    pub shares: Vec<f64>,
    /// So many draws of equal weight would tell as much: one over the sum of the squares
    /// of the shares (Kish 1965, Survey Sampling; from memory).
    pub effective: f64,
    /// The power to which the likelihoods were taken; 1 where they count in full.
    pub tempering_exponent: f64,
}

impl Weights {
    /// So many draws that all count the same.
    #[must_use]
    pub fn equal(draws: usize) -> Self {
        Self::of(&vec![0.0; draws], 1.0)
    }

    /// From the logarithms of likelihoods, taken to a power.
    ///
    /// The greatest is taken out first, so that nothing overflows and one draw at least
    /// counts. Where none is likely at all, all count the same.
    #[must_use]
    pub fn of(log_likelihoods: &[f64], tempering_exponent: f64) -> Self {
        let greatest = log_likelihoods
            .iter()
            .fold(f64::NEG_INFINITY, |most, one| most.max(*one));
        if greatest.is_infinite() && !log_likelihoods.is_empty() {
            // None is likely at all: all count alike.
            return Self {
                tempering_exponent,
                ..Self::equal(log_likelihoods.len())
            };
        }
        let mut shares: Vec<f64> = log_likelihoods
            .iter()
            .map(|one| exp(tempering_exponent * (one - greatest)))
            .collect();
        let sum: f64 = shares.iter().sum();
        for share in &mut shares {
            *share /= sum;
        }
        let squares: f64 = shares.iter().map(|share| share * share).sum();
        Self {
            shares,
            effective: 1.0 / squares,
            tempering_exponent,
        }
    }

    /// The same, and where fewer than `least` draws would be left, with the likelihoods
    /// taken to the power, below one, that leaves as many: tempered.
    ///
    /// ```
    /// use moulder::internals::numeric::weights::Weights;
    ///
    /// let far: Vec<f64> = (0..100).map(|draw| -3.0 * f64::from(draw)).collect();
    /// let tempered = Weights::tempered(&far, 30.0);
    /// assert!(tempered.tempering_exponent < 1.0 && (tempered.effective - 30.0).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn tempered(log_likelihoods: &[f64], least: f64) -> Self {
        let full = Self::of(log_likelihoods, 1.0);
        if full.effective >= least {
            return full;
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if Self::of(log_likelihoods, middle).effective >= least {
                low = middle;
            } else {
                high = middle;
            }
        }
        Self::of(log_likelihoods, low)
    }

    /// So many draws that count alike and stand for all: each about as often as its share
    /// says, less than once more or less, in order (systematic resampling: Kitagawa 1996,
    /// J. Comput. Graph. Stat. 5:1-25; from memory).
    ///
    /// ```
    /// use moulder::internals::numeric::weights::Weights;
    ///
    /// let weights = Weights::of(&[0.0, f64::NEG_INFINITY, 0.0], 1.0);
    /// assert_eq!(weights.resampled(4), [0, 0, 2, 2]);
    /// ```
    #[must_use]
    pub fn resampled(&self, count: u32) -> Vec<usize> {
        let mut draws = self.shares.iter().enumerate();
        let mut draw = 0;
        let mut sum = 0.0;
        let places = (0..count).map(|place| (f64::from(place) + 0.5) / f64::from(count));
        places
            .map(|place| {
                while sum < place
                    && let Some((next, share)) = draws.next()
                {
                    sum += share;
                    // Rounding may leave the sum short of the last place: one that counts.
                    if *share > 0.0 {
                        draw = next;
                    }
                }
                draw
            })
            .collect()
    }

    /// The mean and the variance of a figure of each draw.
    #[must_use]
    pub(crate) fn mean_and_variance(&self, figures: &[f64]) -> (f64, f64) {
        let each = || self.shares.iter().zip(figures);
        let mean: f64 = each().map(|(share, figure)| share * figure).sum();
        let variance = each().map(|(share, figure)| share * (figure - mean) * (figure - mean));
        (mean, variance.sum())
    }
}

#[cfg(test)]
mod tests {
    use super::Weights;
    use moulder_core::math::elementary::ln;

    /// Likelihoods of 1, 2 and 5: shares of an eighth, a quarter and five eighths, and
    /// 64/30 draws, by hand.
    #[test]
    fn three_draws_by_hand() {
        let logs = [1.0, 2.0, 5.0].map(ln);
        // What all share does not matter, however small.
        let tiny = logs.map(|log| log - 5000.0);
        for logs in [logs, tiny] {
            let weights = Weights::of(&logs, 1.0);
            for (share, want) in weights.shares.iter().zip([0.125, 0.25, 0.625]) {
                assert!((share - want).abs() < 1e-12, "{share}");
            }
            assert!((weights.effective - 64.0 / 30.0).abs() < 1e-9);
            let (mean, variance) = weights.mean_and_variance(&[0.0, 1.0, 2.0]);
            assert!((mean - 1.5).abs() < 1e-12 && (variance - 0.5).abs() < 1e-12);
        }
        assert!((Weights::equal(8).effective - 8.0).abs() < 1e-12);
    }

    /// Each draw comes as often as its share of them says, but for less than one.
    #[test]
    fn draws_come_as_often_as_they_count() {
        let logs: Vec<f64> = (0..200_u32).map(|draw| -0.02 * f64::from(draw)).collect();
        let weights = Weights::of(&logs, 1.0);
        for count in [1, 7, 40, 1000] {
            let drawn = weights.resampled(count);
            assert_eq!(drawn.len(), count as usize);
            for (draw, share) in weights.shares.iter().enumerate() {
                let times = drawn.iter().filter(|one| **one == draw).count();
                let times = f64::from(u32::try_from(times).expect("a thousand at most"));
                let off = times - share * f64::from(count);
                assert!(
                    off.abs() < 1.0 + 1e-9,
                    "{draw}: {times}, {share} of {count}"
                );
            }
        }
        let all: Vec<usize> = (0..8).collect();
        assert_eq!(Weights::equal(8).resampled(8), all);
    }
}
