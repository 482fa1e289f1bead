//! Importance weights of realisations given readings.

use moulder_core::math::elementary::exp;

/// Bisections for the tempering exponent.
const HALVINGS: u32 = 60;

/// Normalised importance weights of realisations.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    /// Weight of each realisation; they sum to one.
    pub shares: Vec<f64>,
    /// Effective sample size: one over the sum of squared weights (Kish 1965, Survey Sampling;
    /// from memory).
    pub effective: f64,
    /// Exponent of the likelihoods; 1 when they are not tempered.
    pub tempering_exponent: f64,
}

impl Weights {
    /// Equal weights.
    #[must_use]
    pub fn equal(draws: usize) -> Self {
        Self::of(&vec![0.0; draws], 1.0)
    }

    /// Weights from log likelihoods raised to a power.
    ///
    /// The largest is subtracted first, so that nothing overflows. Equal weights where no
    /// likelihood is above zero.
    #[must_use]
    pub fn of(log_likelihoods: &[f64], tempering_exponent: f64) -> Self {
        let greatest = log_likelihoods
            .iter()
            .fold(f64::NEG_INFINITY, |most, one| most.max(*one));
        if greatest.is_infinite() && !log_likelihoods.is_empty() {
            // No likelihood is above zero.
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

    /// Weights from log likelihoods, tempered: where the effective sample size would fall below
    /// `least`, the exponent below one that keeps it there.
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

    /// Systematic resampling (Kitagawa 1996, J. Comput. Graph. Stat. 5:1-25; from memory):
    /// `count` indices in order, each as often as its weight says to within one.
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
                    // Rounding may leave the sum short of the last place: keep the last of
                    // non-zero weight.
                    if *share > 0.0 {
                        draw = next;
                    }
                }
                draw
            })
            .collect()
    }

    /// Weighted mean and variance.
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

    /// Likelihoods 1, 2 and 5 by hand: weights 1/8, 1/4 and 5/8, effective size 64/30.
    #[test]
    fn three_weights_by_hand() {
        let logs = [1.0, 2.0, 5.0].map(ln);
        // A common factor cancels, however small.
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

    /// Each index occurs as often as its weight says, to within one.
    #[test]
    fn resampling_follows_the_weights() {
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
        let without_one = Weights::of(&[0.0, f64::NEG_INFINITY, 0.0], 1.0);
        assert_eq!(without_one.resampled(4), [0, 0, 2, 2]);
    }

    #[test]
    fn tempering_keeps_the_effective_size() {
        let far: Vec<f64> = (0..100).map(|at| -3.0 * f64::from(at)).collect();
        let tempered = Weights::tempered(&far, 30.0);
        assert!(tempered.tempering_exponent < 1.0);
        assert!((tempered.effective - 30.0).abs() < 1e-6);
    }
}
