//! Model discrepancy: how far the settlement deviates from the laws.
//!
//! In each month the rate at which the surface falls, relative to the thickness T of the fill,
//! deviates by a share x of itself. To first order in x the surface is lower by
//!
//! ```text
//! E,   d(E/T) = -x d ln T      where nothing is added,   E unchanged by additions
//! ```
//!
//! which is x times the settlement while that is small, and less once little is left to sink. Half
//! of the variance of x is constant over the life of the bed, the other half a first-order
//! autoregressive series over months, so the deviation grows with the settlement and changes
//! slowly. Within a month x is constant, so one day more or less changes nothing.
//!
//! The standard deviation is that of the bed's class ([`DiscrepancyPrior`]), and the scale of one
//! bed about it is random and common to both halves, so that tails are heavy: deviations are
//! Student's t with three degrees of freedom.
//!
//! Deviations come in pairs of opposite sign, so that their mean is zero and the mean of an
//! ensemble is that of the laws: the several of one realisation, and the first ones of realisations
//! 0 and 1, 2 and 3 and so on.
//!
//! Only the surface deviates: additions, the parts of the settlement, carbon and water stay
//! those of the laws. Top-ups are decided by the surface with discrepancy, and settle with the
//! same shares. However far the tails, the surface neither rises where it sinks by the laws, nor
//! sinks below a twentieth of the thickness that the laws leave.

use libm::sqrt;
use moulder_core::math::elementary::{exp, ln};
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use crate::forecast::row::Month;
use crate::numeric::normal::quantile;
use crate::numeric::scale_mixture::scale;
use crate::numeric::uniform::part;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;

/// Decay time (to 1/e) of the autoregressive part.
static FADING_MONTHS: Value = Value::new(
    12.0,
    Spread::new(6.0, 24.0),
    "months",
    "our own closure: a law that is wrong in one season is wrong in the next alike",
    Status::Judgement,
);

/// Share of the thickness by the laws that additional settlement may take at most.
const MOST_SHARE: f64 = 0.95;

/// Discrepancies of one realisation in intervals of its surface. They cost next to nothing, and
/// twenty narrow the error of the quantiles as twice the realisations would.
pub(crate) const DISCREPANCIES: u32 = 20;

/// Stream of the random number generator for the discrepancy.
const STREAM: u128 = 0x6b8e_93a5_17f4_0c2d_91de_5a08_33b7_c64f;

/// Relative deviation of each month's rate of settlement.
#[derive(Debug, Clone, PartialEq)]
pub struct Discrepancy {
    by_month: Vec<f64>,
    /// Its scale, as in [`scale`].
    power: i32,
    /// How much higher a tape reads than the surface lies, by its datum; 0 before any reading; m.
    datum_m: f64,
}

impl Discrepancy {
    /// The realisation of that number, for so many months from filling.
    ///
    /// The first months do not depend on how many are asked for, and beds in the same
    /// realisation deviate together, each in proportion to its standard deviation.
    #[must_use]
    pub fn new(prior: &DiscrepancyPrior, seed: u64, number: u32, months: u32) -> Self {
        Self::another(prior, seed, number, 0, months)
    }

    /// One of several of the realisation of that number; [`Discrepancy::new`] is the first.
    fn another(prior: &DiscrepancyPrior, seed: u64, number: u32, of: u32, months: u32) -> Self {
        // The first of an odd realisation is the opposite of the even one's before it; the second
        // of two in a realisation is the opposite of the first.
        let (pair, mate, sign) = match of / 2 {
            0 => (
                0,
                number & !1,
                if (number ^ of) & 1 == 0 { 1.0 } else { -1.0 },
            ),
            pair => (pair, number, if of & 1 == 0 { 1.0 } else { -1.0 }),
        };
        let start = (u128::from(pair) << 96) | (u128::from(seed) << 32) | u128::from(mate);
        let mut numbers = Pcg64::new(start, STREAM);
        let power = prior.scales.at(part(&mut numbers));
        let half = sign * prior.sd * scale(power) * core::f64::consts::FRAC_1_SQRT_2;
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
        Self {
            by_month,
            power,
            datum_m: 0.0,
        }
    }

    /// All [`DISCREPANCIES`] of the realisation of that number.
    pub(crate) fn all(prior: &DiscrepancyPrior, seed: u64, number: u32, months: u32) -> Vec<Self> {
        let each = 0..DISCREPANCIES;
        each.map(|of| Self::another(prior, seed, number, of, months))
            .collect()
    }

    /// Additional settlement at each end of a month of a realisation by the laws, with each of
    /// those discrepancies; m.
    pub(crate) fn extras_m(discrepancies: &[Self], rows: &[Month]) -> Vec<Vec<f64>> {
        let mut trackers: Vec<_> = discrepancies.iter().map(DiscrepancyTracker::new).collect();
        let ends = rows.iter().map(|row| {
            let (settlement_m, thickness_m) = (row.settlement_m, row.thickness_m());
            let each = trackers.iter_mut();
            each.map(|tracker| tracker.month_end(settlement_m, thickness_m))
                .collect()
        });
        ends.collect()
    }

    /// None, as in the nominal run.
    pub(crate) const fn none() -> Self {
        Self {
            by_month: Vec::new(),
            power: 0,
            datum_m: 0.0,
        }
    }

    /// The same deviation at another scale.
    pub(crate) fn at_scale(&self, power: i32) -> Self {
        let ratio = scale(power - self.power);
        Self {
            by_month: self.by_month.iter().map(|share| ratio * share).collect(),
            power,
            datum_m: self.datum_m,
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

    /// The same, seen by a tape whose datum reads so much too high; m. What the owner is told is
    /// what that tape will read next.
    pub(crate) fn read_from(self, datum_m: f64) -> Self {
        Self { datum_m, ..self }
    }

    /// How much higher a tape reads than the surface lies; m.
    pub(crate) const fn datum_m(&self) -> f64 {
        self.datum_m
    }

    /// Additional settlement, from the effect of each month's share ([`effects_m`]); m. Without the
    /// bounds of the surface: linear, as the weights of a fit need it.
    pub(crate) fn extra_m(&self, effects_m: &[f64]) -> f64 {
        let months = self.by_month.iter().zip(effects_m);
        months.map(|(share, effect_m)| share * effect_m).sum()
    }

    /// Applies it to the surface: height, depth below the rim and settlement.
    pub fn apply(&self, rows: &mut [Month]) {
        let mut tracker = DiscrepancyTracker::new(self);
        for row in rows {
            let extra_m = tracker.month_end(row.settlement_m, row.thickness_m());
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
    datum_m: f64,
    /// Settlement by the laws at the last month end; none before day zero.
    settlement_m: Option<f64>,
    /// Additional settlement, without and with its bounds.
    linear_m: f64,
    extra_m: f64,
}

impl<'a> DiscrepancyTracker<'a> {
    /// From day zero on.
    pub(crate) fn new(discrepancy: &'a Discrepancy) -> Self {
        Self {
            shares: discrepancy.by_month.iter(),
            datum_m: discrepancy.datum_m,
            settlement_m: None,
            linear_m: 0.0,
            extra_m: 0.0,
        }
    }

    /// Additional settlement by the end of the next month (first day zero), from the settlement
    /// and the thickness by the laws; m. Months beyond the discrepancy add none. The height on day
    /// zero is told, not read.
    pub(crate) fn month_end(&mut self, settlement_m: f64, thickness_m: f64) -> f64 {
        let mut datum_m = 0.0;
        if let Some(before_m) = self.settlement_m {
            datum_m = self.datum_m;
            let share = self.shares.next().copied().unwrap_or_default();
            let (left, effect_m) = of_month(settlement_m - before_m, thickness_m);
            self.linear_m = left * self.linear_m + share * effect_m;
        }
        let most_m = MOST_SHARE * thickness_m;
        let extra_m = self.linear_m.max(0.0 - settlement_m.abs()) - datum_m;
        self.extra_m = extra_m.min(most_m);
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

/// What is left of an earlier deviation after a month of that settlement to that thickness, and
/// the effect of the month's share on the surface; m.
fn of_month(settlement_m: f64, thickness_m: f64) -> (f64, f64) {
    let before_m = thickness_m + settlement_m;
    if thickness_m > 0.0 && before_m > 0.0 {
        let left = thickness_m / before_m;
        (left, -thickness_m * ln(left))
    } else {
        (1.0, settlement_m)
    }
}

/// Effect of each month's share on the surface at the last of some month ends, or a day in the last
/// month; m. From settlement and thickness by the laws on these days, day zero first; m.
pub(crate) fn effects_m(days: &[(f64, f64)]) -> Vec<f64> {
    let mut left_since = 1.0;
    let mut effects_m: Vec<f64> = days
        .windows(2)
        .rev()
        .map(|days| {
            let (left, effect_m) = of_month(days[1].0 - days[0].0, days[1].1);
            let effect_m = left_since * effect_m;
            left_since *= left;
            effect_m
        })
        .collect();
    effects_m.reverse();
    effects_m
}

/// Covariance of each month's share with the additional settlement by some day, from the effects
/// of the shares on that day, at the scale 1; m.
///
/// Sums over all pairs of months, in one pass forward and one back.
pub(crate) fn covariances(prior: &DiscrepancyPrior, effects_m: &[f64]) -> Vec<f64> {
    let half = 0.5 * prior.sd * prior.sd;
    let autocorrelation = monthly_autocorrelation();
    let all_m: f64 = effects_m.iter().sum();
    let mut before_m = 0.0;
    let mut covariances: Vec<f64> = effects_m
        .iter()
        .map(|effect_m| {
            before_m = effect_m + autocorrelation * before_m;
            all_m + before_m
        })
        .collect();
    let mut after_m = 0.0;
    for (covariance, effect_m) in covariances.iter_mut().zip(effects_m).rev() {
        *covariance = half * (*covariance + after_m);
        after_m = autocorrelation * (effect_m + after_m);
    }
    covariances
}

#[cfg(test)]
mod tests {
    use super::{
        Discrepancy, DiscrepancyPrior, DiscrepancyTracker, FADING_MONTHS, covariances, effects_m,
    };
    use crate::numeric::prior::TENTH_Z;
    use crate::numeric::quantile::of_sorted;
    use crate::numeric::scale_mixture::{HEAVY, NORMAL, scale};
    use moulder_core::math::elementary::exp;

    const SD: f64 = 0.12;
    const PRIOR: DiscrepancyPrior = DiscrepancyPrior {
        sd: SD,
        scales: HEAVY,
    };

    /// Effects of four months.
    const EFFECTS_M: [f64; 4] = [0.2, 0.05, -0.01, 0.03];

    /// Against the definition, pair by pair.
    #[test]
    fn two_passes_sum_all_pairs() {
        let covariances = covariances(&PRIOR, &EFFECTS_M);
        for (month, covariance) in (0_u32..).zip(&covariances) {
            let pairs = (0_u32..).zip(EFFECTS_M).map(|(other, effect_m)| {
                let apart = f64::from(month.abs_diff(other));
                let alike = 1.0 + exp(-apart / FADING_MONTHS.best);
                0.5 * SD * SD * alike * effect_m
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
        let (short, long) = [6, 24]
            .map(|months| Discrepancy::new(&PRIOR, 1, 7, months))
            .into();
        assert_eq!(short.by_month(), &long.by_month()[..6]);
    }

    /// 20 000 realisations of a normal scale have that covariance and mean 0; the standard error
    /// of a variance is 1 %.
    #[test]
    fn realisations_have_the_covariance() {
        const DRAWS: u32 = 20_000;
        let early = [EFFECTS_M[0], EFFECTS_M[1], 0.0, 0.0];
        let prior = DiscrepancyPrior {
            scales: NORMAL,
            ..PRIOR
        };
        let (mut mean, mut own, mut both) = (0.0, 0.0, 0.0);
        for number in 0..DRAWS {
            let realisation = Discrepancy::new(&prior, 3, number, 4);
            let (late_m, early_m) = (realisation.extra_m(&EFFECTS_M), realisation.extra_m(&early));
            mean += late_m / f64::from(DRAWS);
            own += late_m * late_m / f64::from(DRAWS);
            both += late_m * early_m / f64::from(DRAWS);
        }
        let dot = |of: &[f64], effects: &[f64]| -> f64 {
            of.iter().zip(effects).map(|(one, other)| one * other).sum()
        };
        let covariances = covariances(&prior, &EFFECTS_M);
        let (own_told, both_told) = (dot(&covariances, &EFFECTS_M), dot(&covariances, &early));
        assert!(mean.abs() < 4.0 * (own_told / f64::from(DRAWS)).sqrt());
        assert!((own / own_told - 1.0).abs() < 0.04, "{own} {own_told}");
        assert!((both / both_told - 1.0).abs() < 0.04, "{both} {both_told}");
        // Over a few months hardly anything has faded: 12 % of 27 cm.
        assert!((own_told.sqrt() / (SD * 0.27) - 1.0).abs() < 0.05);
    }

    /// Of 20 000 realisations of one month, four in five lie within the width of the normal
    /// distribution (its standard error is 1 %), and 2 % beyond three times that from zero, where
    /// the normal has one in ten thousand.
    #[test]
    fn the_width_is_kept_and_the_tails_are_heavy() {
        const DRAWS: u32 = 20_000;
        let shares = (0..DRAWS).map(|number| Discrepancy::new(&PRIOR, 5, number, 1).by_month()[0]);
        let mut shares: Vec<f64> = shares.collect();
        shares.sort_by(f64::total_cmp);
        for (share, end) in [(0.1, -TENTH_Z * SD), (0.9, TENTH_Z * SD)] {
            let found = of_sorted(&shares, share);
            assert!((found / end - 1.0).abs() < 0.05, "{found} {end}");
        }
        let far = shares
            .iter()
            .filter(|share| share.abs() > 3.0 * TENTH_Z * SD);
        let far = f64::from(u32::try_from(far.count()).unwrap()) / f64::from(DRAWS);
        assert!((0.01..0.03).contains(&far), "{far}");
    }

    /// The first discrepancy of a realisation is that of [`Discrepancy::new`], each second one the
    /// opposite of the one before, and pairs differ as those of other realisations do.
    #[test]
    fn a_realisation_has_several_discrepancies() {
        let all = Discrepancy::all(&PRIOR, 1, 7, 1);
        assert_eq!(all[0], Discrepancy::new(&PRIOR, 1, 7, 1));
        let each: Vec<f64> = all.iter().map(|one| one.by_month()[0]).collect();
        let mean_square: f64 = each.iter().map(|share| share * share).sum::<f64>() / 20.0;
        assert!((0.3..3.0).contains(&(mean_square.sqrt() / SD)), "{each:?}");
        for pair in each.chunks(2) {
            assert_eq!(pair[0].to_bits(), (-pair[1]).to_bits());
        }
        let even = Discrepancy::new(&PRIOR, 1, 6, 1).by_month()[0];
        assert_eq!(each[0].to_bits(), (-even).to_bits());
        let far = each.iter().filter(|share| share.abs() > SD).count();
        assert!((2..=14).contains(&far), "{each:?}");
    }

    #[test]
    fn another_scale_keeps_the_deviation() {
        let one = Discrepancy::new(&PRIOR, 1, 7, 3);
        let other = one.at_scale(one.power + 2);
        for (one, other) in one.by_month().iter().zip(other.by_month()) {
            assert!((other - scale(2) * one).abs() < 1e-12);
        }
        assert_eq!(other.at_scale(one.power).power, one.power);
    }

    /// Settlement and thickness; at the second end 20 cm were added.
    const DAYS: [(f64, f64); 4] = [(0.0, 1.0), (0.4, 0.6), (0.5, 0.7), (0.45, 0.75)];

    fn of(by_month: &[f64]) -> Discrepancy {
        Discrepancy {
            by_month: by_month.to_vec(),
            power: 0,
            datum_m: 0.0,
        }
    }

    /// Month by month as from the effects of all months, at every end.
    #[test]
    fn the_surface_follows_the_effects() {
        let discrepancy = of(&[0.1, -0.2, 0.3]);
        let mut tracker = DiscrepancyTracker::new(&discrepancy);
        for (end, (settlement_m, thickness_m)) in DAYS.into_iter().enumerate() {
            let extra_m = tracker.month_end(settlement_m, thickness_m);
            let effects_m = effects_m(&DAYS[..=end]);
            assert_eq!(effects_m.len(), end);
            assert!((extra_m - discrepancy.extra_m(&effects_m)).abs() < 1e-15);
        }
    }

    /// By hand: a small settlement is off by the share, a large one by less; where nothing is
    /// added, months may be joined.
    #[test]
    fn the_share_is_of_the_relative_rate() {
        let effect_m =
            |settlement_m: f64| effects_m(&[(0.0, 1.0), (settlement_m, 1.0 - settlement_m)])[0];
        assert!((effect_m(0.001) / 0.001 - 1.0).abs() < 0.001);
        // 0.2 ln 5.
        assert!((effect_m(0.8) - 0.2 * 1.609_437_912_434_1).abs() < 1e-12);
        let two = effects_m(&[(0.0, 1.0), (0.5, 0.5), (0.8, 0.2)]);
        assert!((two[0] + two[1] - effect_m(0.8)).abs() < 1e-15);
    }

    /// A share of -3 does not raise the surface, and one of 3 leaves a twentieth.
    #[test]
    fn the_surface_stays_between_its_bounds() {
        let extra_m = |share: f64, settlement_m: f64| {
            let discrepancy = of(&[share]);
            let mut tracker = DiscrepancyTracker::new(&discrepancy);
            tracker.month_end(0.0, 1.0);
            tracker.month_end(settlement_m, 1.0 - settlement_m)
        };
        assert!((extra_m(-3.0, 0.4) + 0.4).abs() < 1e-15);
        assert!((extra_m(3.0, 0.4) - 0.95 * 0.6).abs() < 1e-15);
        // A bed that swells by a millimetre.
        assert!((extra_m(0.3, -0.001) + 0.000_3).abs() < 1e-6);
    }
}
