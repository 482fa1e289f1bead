//! Tallies of the top-ups of an ensemble.

use std::collections::BTreeMap;

use jiff::civil::Date;
use jiff::{Span, ToSpan};

use super::intervals::{DateInterval, Sums, Together, TopUpInterval, TopUpIntervals, YearOfTopUps};
use super::stock::{Purchase, Stock};
use super::{Planned, Restored, TopUp, TopUpRule, TopUpTrigger};
use crate::bed::Bed;
use crate::fit::conditioned::Conditioned;
use crate::forecast::calendar::month_day;
use crate::numeric::tally::Tally;
use crate::uncertainty::ensemble::Realisations;

/// Widths of the histogram bins of large ensembles.
const BIN_M: f64 = 1e-4;
const BIN_M3: f64 = 1e-5;
const BIN_KG: f64 = 1e-2;
const BIN_MONEY: f64 = 1e-2;
const BIN_WHOLE: f64 = 1.0;

/// Sums of one realisation.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    laid_m3: f64,
    laid_kg: f64,
    bought: f64,
    cost: f64,
}

impl Sum {
    /// Adds a top-up of so many beds.
    fn plus(self, topup: &TopUp, beds: u32) -> Self {
        let beds = f64::from(beds);
        Self {
            laid_m3: self.laid_m3 + topup.laid_m3 * beds,
            laid_kg: self.laid_kg + topup.laid_kg * beds,
            bought: self.bought + f64::from(topup.bought) * beds,
            cost: self.cost + topup.cost.unwrap_or(0.0) * beds,
        }
    }
}

/// Tallies of these sums.
#[derive(Debug, Clone)]
struct SumTally {
    laid_m3: Tally,
    laid_kg: Tally,
    bought: Tally,
    cost: Tally,
}

impl SumTally {
    fn new(ensemble_size: u32) -> Self {
        Self {
            laid_m3: Tally::of(ensemble_size, BIN_M3),
            laid_kg: Tally::of(ensemble_size, BIN_KG),
            bought: Tally::of(ensemble_size, BIN_WHOLE),
            cost: Tally::of(ensemble_size, BIN_MONEY),
        }
    }

    fn add(&mut self, sum: Sum) {
        self.laid_m3.add(sum.laid_m3);
        self.laid_kg.add(sum.laid_kg);
        self.bought.add(sum.bought);
        self.cost.add(sum.cost);
    }

    fn sums(&self, has_price: bool) -> Sums {
        Sums {
            laid_m3: self.laid_m3.band(),
            laid_kg: self.laid_kg.band(),
            bought: self.bought.band(),
            cost: has_price.then(|| self.cost.band()),
        }
    }
}

/// Tallies by calendar year, and over all.
pub(super) struct YearsTally {
    years: BTreeMap<i16, SumTally>,
    /// Years with a top-up in any realisation.
    used: Vec<i16>,
    all: SumTally,
    has_price: bool,
}

impl YearsTally {
    pub(super) fn new<'a>(
        beds: impl Iterator<Item = (&'a Bed, &'a TopUpRule)>,
        ensemble_size: u32,
    ) -> Self {
        let mut tally = Self {
            years: BTreeMap::new(),
            used: Vec::new(),
            all: SumTally::new(ensemble_size),
            has_price: true,
        };
        for (bed, rule) in beds {
            let last = month_day(bed.filled, rule.months).year();
            for year in bed.filled.year()..=last {
                tally
                    .years
                    .entry(year)
                    .or_insert_with(|| SumTally::new(ensemble_size));
            }
            tally.has_price &= rule.package.price.is_some();
        }
        tally
    }

    /// Adds a realisation: the top-ups of each bed, and the count of that bed.
    pub(super) fn add<'a>(&mut self, beds: impl Iterator<Item = (u32, &'a [TopUp])>) {
        let mut by_year: BTreeMap<i16, Sum> = BTreeMap::new();
        let mut all = Sum::default();
        for (count, list) in beds {
            for topup in list {
                let year = topup.date.year();
                let sum = by_year.entry(year).or_default();
                *sum = sum.plus(topup, count);
                all = all.plus(topup, count);
            }
        }
        for (year, tally) in &mut self.years {
            let sum = by_year.get(year).copied();
            if sum.is_some() && !self.used.contains(year) {
                self.used.push(*year);
            }
            tally.add(sum.unwrap_or_default());
        }
        self.all.add(all);
    }

    pub(super) fn years(&self) -> Vec<YearOfTopUps> {
        let years = self.years.iter();
        years
            .filter(|(year, _)| self.used.contains(year))
            .map(|(year, tally)| YearOfTopUps {
                year: *year,
                sums: tally.sums(self.has_price),
            })
            .collect()
    }

    pub(super) fn all(&self) -> Sums {
        self.all.sums(self.has_price)
    }
}

/// One top-up of the list.
struct Line {
    /// In how many realisations it is needed, material is laid on, and less than needed.
    needed: u32,
    comes: u32,
    held_back: u32,
    month: Tally,
    below_before_m: Tally,
    below_after_m: Tally,
    needed_m3: Tally,
    sum: SumTally,
}

impl Line {
    fn new(ensemble_size: u32) -> Self {
        Self {
            needed: 0,
            comes: 0,
            held_back: 0,
            month: Tally::of(ensemble_size, BIN_WHOLE),
            below_before_m: Tally::of(ensemble_size, BIN_M),
            below_after_m: Tally::of(ensemble_size, BIN_M),
            needed_m3: Tally::of(ensemble_size, BIN_M3),
            sum: SumTally::new(ensemble_size),
        }
    }
}

/// The top-ups of one bed.
pub(super) struct BedTally {
    filled: Date,
    readings: u32,
    lead: Span,
    /// Whether top-ups are matched by month; else by place.
    by_month: bool,
    ensemble_size: u32,
    lines: BTreeMap<u32, Line>,
    any: u32,
    times: Tally,
    years: YearsTally,
    restored: Restored,
    below_at_end_m: Tally,
    /// Sums by month.
    below_without_m: Vec<f64>,
    /// Sum over realisations; kg.
    most_kg: f64,
}

impl BedTally {
    pub(super) fn new(bed: &Bed, rule: &TopUpRule, ensemble_size: u32) -> Self {
        Self {
            filled: bed.filled,
            readings: u32::try_from(bed.readings.len()).unwrap_or(u32::MAX),
            lead: i64::from(rule.package.lead_days).days(),
            by_month: matches!(rule.trigger, TopUpTrigger::Months(_)),
            ensemble_size,
            lines: BTreeMap::new(),
            any: 0,
            times: Tally::of(ensemble_size, BIN_WHOLE),
            years: YearsTally::new(core::iter::once((bed, rule)), ensemble_size),
            restored: Restored::default(),
            below_at_end_m: Tally::of(ensemble_size, BIN_M),
            below_without_m: Vec::new(),
            most_kg: 0.0,
        }
    }

    pub(super) fn add(&mut self, realised: &Planned) {
        let ensemble_size = self.ensemble_size;
        let mut times = 0;
        for topup in &realised.list {
            let key = if self.by_month { topup.month } else { times };
            let is_laid = topup.laid_m3 > 0.0;
            // A top-up without material counts as held back only where months are fixed.
            if !is_laid && !self.by_month {
                continue;
            }
            let line = self.lines.entry(key);
            let line = line.or_insert_with(|| Line::new(ensemble_size));
            line.needed += 1;
            line.held_back += u32::from(topup.is_held_back);
            line.month.add(f64::from(topup.month));
            line.below_before_m.add(topup.below_before_m);
            line.below_after_m.add(topup.below_after_m);
            line.needed_m3.add(topup.needed_m3);
            if !is_laid {
                continue;
            }
            times += 1;
            line.comes += 1;
            line.sum.add(Sum::default().plus(topup, 1));
        }
        self.any += u32::from(times > 0);
        self.times.add(f64::from(times));
        self.years
            .add(core::iter::once((1, realised.list.as_slice())));
        self.below_at_end_m.add(realised.below_at_end_m);
        self.below_without_m
            .resize(realised.below_without_m.len(), 0.0);
        let by_month = self.below_without_m.iter_mut();
        for (sum_m, below_m) in by_month.zip(&realised.below_without_m) {
            *sum_m += below_m;
        }
        self.most_kg += realised.most_kg;
        let (sum, one) = (&mut self.restored, &realised.restored);
        sum.raised_m += one.raised_m;
        sum.restored_m += one.restored_m;
        sum.own_loss_m += one.own_loss_m;
        sum.loss_below_m += one.loss_below_m;
    }

    /// The mean of the realisations, with the orders that it comes to.
    pub(super) fn mean(&self, rule: &TopUpRule) -> Planned {
        let count = f64::from(self.ensemble_size);
        Planned {
            list: self.orders(rule),
            restored: Restored {
                raised_m: self.restored.raised_m / count,
                restored_m: self.restored.restored_m / count,
                own_loss_m: self.restored.own_loss_m / count,
                loss_below_m: self.restored.loss_below_m / count,
            },
            below_at_end_m: self.below_at_end_m.mean(),
            below_without_m: self.below_without_m.iter().map(|m| m / count).collect(),
            most_kg: self.most_kg / count,
        }
    }

    /// The top-ups that are needed in half of the realisations or more: the mean volume of each
    /// where it is laid on, in whole packages.
    fn orders(&self, rule: &TopUpRule) -> Vec<TopUp> {
        let mut stock = Stock::default();
        let lines = self.lines.values();
        let likely = lines.filter(|line| 2 * line.needed >= self.ensemble_size);
        likely
            .map(|line| {
                let month = whole(line.month.band().median);
                let date = self.day(month, Span::new());
                let is_laid = 2 * line.comes >= line.needed;
                let needed_m3 = line.needed_m3.mean();
                let Purchase {
                    laid_m3,
                    bought,
                    cost,
                    ..
                } = stock.buy(
                    core::slice::from_ref(&rule.package),
                    rule.yearly_budget,
                    date.year(),
                    needed_m3,
                );
                let kg_per_m3 = line.sum.laid_kg.mean() / line.sum.laid_m3.mean();
                TopUp {
                    month,
                    date,
                    order_by: (bought > 0).then(|| self.day(month, self.lead)),
                    below_before_m: line.below_before_m.mean(),
                    below_after_m: line.below_after_m.mean(),
                    needed_m3,
                    laid_m3,
                    laid_kg: if is_laid { laid_m3 * kg_per_m3 } else { 0.0 },
                    bought,
                    left_over_m3: stock.left_over_m3,
                    cost,
                    is_held_back: 2 * line.held_back >= line.needed,
                }
            })
            .collect()
    }

    pub(super) fn intervals(
        &self,
        ensemble: Realisations,
        planning: &Conditioned,
        together: &Together,
    ) -> TopUpIntervals {
        let come = self.lines.values().filter(|line| line.comes > 0);
        let list = (1..).zip(come);
        let list = list.map(|(number, line)| self.line(number, line)).collect();
        TopUpIntervals {
            seed: ensemble.seed,
            ensemble_size: ensemble.ensemble_size,
            discrepancy_sd: planning.discrepancy_sd,
            readings: self.readings,
            readings_tempering_exponent: planning.tempering_exponent(),
            readings_surprise: planning
                .agreement()
                .is_some_and(|agreement| agreement.is_surprising),
            top_ups: list,
            chance_of_any: f64::from(self.any) / f64::from(self.ensemble_size),
            times: self.times.band(),
            years: self.years.years(),
            all: self.years.all(),
            below_at_end_m: self.below_at_end_m.band(),
            together: together.clone(),
        }
    }

    fn line(&self, number: u32, line: &Line) -> TopUpInterval {
        let share = |count: u32| f64::from(count) / f64::from(self.ensemble_size);
        let months = line.month.band();
        let dates = |earlier: Span| DateInterval {
            lower: self.day(whole(months.lower), earlier),
            median: self.day(whole(months.median), earlier),
            upper: self.day(whole(months.upper), earlier),
        };
        let Sums {
            laid_m3,
            laid_kg,
            bought,
            cost,
        } = line.sum.sums(self.years.has_price);
        TopUpInterval {
            number,
            chance: share(line.comes),
            chance_held_back: share(line.held_back),
            date: dates(Span::new()),
            order_by: dates(self.lead),
            below_before_m: line.below_before_m.band(),
            laid_m3,
            laid_kg,
            bought,
            cost,
        }
    }

    /// The end of a month, less so many days.
    fn day(&self, month: u32, earlier: Span) -> Date {
        month_day(self.filled, month).saturating_sub(earlier)
    }
}

/// The nearest whole month.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "months of a forecast, far below 2^32"
)]
fn whole(month: f64) -> u32 {
    month.round().max(0.0) as u32
}
