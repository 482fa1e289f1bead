//! Model discrepancy: how far the settlement deviates from the laws.
//!
//! Each month's settlement deviates by a share of its own. Half of the variance of that share
//! is constant over the life of the bed, the other half a first-order autoregressive series
//! over months, so the deviation grows with the settlement and changes slowly. Within a month
//! the share is constant, so one day more or less changes nothing.
//!
//! Only the surface deviates: additions, the parts of the settlement, carbon and water stay
//! those of the laws. Top-ups are decided by the surface with discrepancy, and settle with the
//! same shares.

use libm::sqrt;
use moulder_core::math::elementary::exp;
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use crate::forecast::row::Month;
use crate::numeric::normal::quantile;
use crate::numeric::uniform::part;

/// Standard deviation of the discrepancy, as a share of the settlement.
pub static DISCREPANCY_SD: Value = Value::new(
    0.08,
    Spread::new(0.05, 0.12),
    "1",
    "our own closure: no measured series of a whole bed was found to take it from",
    Status::Judgement,
);

/// Decay time (to 1/e) of the autoregressive part.
static FADING_MONTHS: Value = Value::new(
    12.0,
    Spread::new(6.0, 24.0),
    "months",
    "our own closure: a law that is wrong in one season is wrong in the next alike",
    Status::Judgement,
);

/// Stream of the random number generator for the discrepancy.
const STREAM: u128 = 0x6b8e_93a5_17f4_0c2d_91de_5a08_33b7_c64f;

/// Relative deviation of each month's settlement.
#[derive(Debug, Clone, PartialEq)]
pub struct Discrepancy {
    by_month: Vec<f64>,
}

impl Discrepancy {
    /// The realisation of that number, for so many months from filling.
    ///
    /// The first months do not depend on how many are asked for, nor on the bed: beds in the
    /// same realisation deviate together.
    #[must_use]
    pub fn new(seed: u64, number: u32, months: u32) -> Self {
        let mut numbers = Pcg64::new((u128::from(seed) << 32) | u128::from(number), STREAM);
        let half = DISCREPANCY_SD.best * core::f64::consts::FRAC_1_SQRT_2;
        let mut z = || quantile(part(&mut numbers));
        let lasting = half * z();
        let autocorrelation = monthly_autocorrelation();
        let innovation = sqrt(1.0 - autocorrelation * autocorrelation);
        let mut fading = 0.0;
        let by_month = (0..months)
            .map(|month| {
                fading = if month == 0 {
                    z()
                } else {
                    autocorrelation * fading + innovation * z()
                };
                lasting + half * fading
            })
            .collect();
        Self { by_month }
    }

    /// None, as in the nominal run.
    pub(crate) const fn none() -> Self {
        Self {
            by_month: Vec::new(),
        }
    }

    /// Share by month, from the first after filling.
    #[must_use]
    pub fn by_month(&self) -> &[f64] {
        &self.by_month
    }

    /// Subtracts a share from each month.
    pub(crate) fn subtract(&mut self, shares: &[f64]) {
        for (share, subtract) in self.by_month.iter_mut().zip(shares) {
            *share -= subtract;
        }
    }

    /// Additional settlement, from the settlement in each month; m.
    pub(crate) fn extra_m(&self, steps_m: &[f64]) -> f64 {
        let months = self.by_month.iter().zip(steps_m);
        months.map(|(share, step_m)| share * step_m).sum()
    }

    /// Applies it to the surface: height, depth below the rim and settlement.
    pub fn apply(&self, rows: &mut [Month]) {
        let mut tracker = DiscrepancyTracker::new(self);
        for row in rows {
            let extra_m = tracker.month_end(row.settlement_m);
            row.height_m -= extra_m;
            row.below_rim_m = row.below_rim_m.map(|below_m| below_m + extra_m);
            row.settlement_m += extra_m;
        }
    }
}

/// Additional settlement of a bed, followed month by month.
#[derive(Debug, Clone)]
pub(crate) struct DiscrepancyTracker<'a> {
    /// Shares of the months to come.
    shares: core::slice::Iter<'a, f64>,
    /// Settlement by the laws at the last month end; none before day zero.
    settlement_m: Option<f64>,
    extra_m: f64,
}

impl<'a> DiscrepancyTracker<'a> {
    /// From day zero on.
    pub(crate) fn new(discrepancy: &'a Discrepancy) -> Self {
        Self {
            shares: discrepancy.by_month.iter(),
            settlement_m: None,
            extra_m: 0.0,
        }
    }

    /// Additional settlement by the end of the next month (first day zero), from the settlement
    /// by the laws; m. Months beyond the discrepancy add none.
    pub(crate) fn month_end(&mut self, settlement_m: f64) -> f64 {
        if let Some(before_m) = self.settlement_m {
            let share = self.shares.next().copied().unwrap_or_default();
            self.extra_m += share * (settlement_m - before_m);
        }
        self.settlement_m = Some(settlement_m);
        self.extra_m
    }

    /// The same at the last month end; m.
    pub(crate) const fn extra_m(&self) -> f64 {
        self.extra_m
    }
}

/// Autocorrelation of the fading part over a month.
fn monthly_autocorrelation() -> f64 {
    exp(-1.0 / FADING_MONTHS.best)
}

/// Covariance of each month's share with the additional settlement by some day, from the
/// settlement in each month by that day; m.
///
/// Sums over all pairs of months, in one pass forward and one back.
pub(crate) fn covariances(steps_m: &[f64]) -> Vec<f64> {
    let half = 0.5 * DISCREPANCY_SD.best * DISCREPANCY_SD.best;
    let autocorrelation = monthly_autocorrelation();
    let all_m: f64 = steps_m.iter().sum();
    let mut before_m = 0.0;
    let mut covariances: Vec<f64> = steps_m
        .iter()
        .map(|step_m| {
            before_m = step_m + autocorrelation * before_m;
            all_m + before_m
        })
        .collect();
    let mut after_m = 0.0;
    for (covariance, step_m) in covariances.iter_mut().zip(steps_m).rev() {
        *covariance = half * (*covariance + after_m);
        after_m = autocorrelation * (step_m + after_m);
    }
    covariances
}

#[cfg(test)]
mod tests {
    use super::{DISCREPANCY_SD, Discrepancy, FADING_MONTHS, covariances};
    use moulder_core::math::elementary::exp;

    /// Settlement in four months.
    const STEPS_M: [f64; 4] = [0.2, 0.05, -0.01, 0.03];

    /// Against the definition, pair by pair.
    #[test]
    fn two_passes_sum_all_pairs() {
        let covariances = covariances(&STEPS_M);
        for (month, covariance) in (0_u32..).zip(&covariances) {
            let pairs = (0_u32..).zip(STEPS_M).map(|(other, step_m)| {
                let apart = f64::from(month.abs_diff(other));
                let alike = 1.0 + exp(-apart / FADING_MONTHS.best);
                0.5 * DISCREPANCY_SD.best * DISCREPANCY_SD.best * alike * step_m
            });
            let pairs: f64 = pairs.sum();
            assert!(
                (covariance - pairs).abs() < 1e-15,
                "{month}: {covariance} {pairs}"
            );
        }
    }

    #[test]
    fn first_months_do_not_depend_on_how_many_there_are() {
        let (short, long) = (Discrepancy::new(1, 7, 6), Discrepancy::new(1, 7, 24));
        assert_eq!(short.by_month(), &long.by_month()[..6]);
    }

    /// 20 000 realisations have that covariance and mean 0; the standard error of a variance is
    /// 1 %.
    #[test]
    fn realisations_have_the_covariance() {
        const DRAWS: u32 = 20_000;
        let early = [STEPS_M[0], STEPS_M[1], 0.0, 0.0];
        let (mut mean, mut own, mut both) = (0.0, 0.0, 0.0);
        for number in 0..DRAWS {
            let realisation = Discrepancy::new(3, number, 4);
            let (late_m, early_m) = (realisation.extra_m(&STEPS_M), realisation.extra_m(&early));
            mean += late_m / f64::from(DRAWS);
            own += late_m * late_m / f64::from(DRAWS);
            both += late_m * early_m / f64::from(DRAWS);
        }
        let dot = |of: &[f64], steps: &[f64]| -> f64 {
            of.iter().zip(steps).map(|(one, other)| one * other).sum()
        };
        let covariances = covariances(&STEPS_M);
        let (own_told, both_told) = (dot(&covariances, &STEPS_M), dot(&covariances, &early));
        assert!(mean.abs() < 4.0 * (own_told / f64::from(DRAWS)).sqrt());
        assert!((own / own_told - 1.0).abs() < 0.04, "{own} {own_told}");
        assert!((both / both_told - 1.0).abs() < 0.04, "{both} {both_told}");
        // Over a few months hardly anything has faded: 8 % of 27 cm.
        assert!((own_told.sqrt() / (0.08 * 0.27) - 1.0).abs() < 0.05);
    }
}
