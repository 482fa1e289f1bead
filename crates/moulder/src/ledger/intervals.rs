//! 80 % intervals of a ledger.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Ledger, LedgerRow, Simulated, ledger, ledger_of_rows, simulate};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::{Progress, unwatched};
use crate::library::gas::Burning;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::text::limit::MONTHS_LIMIT;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble::run_ensemble;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::{has_room, until_it_fits};
use crate::uncertainty::sample::Sample;

/// Widths of the histogram bins of large ensembles.
const BIN_KG: f64 = 1e-3;
const BIN_SHARE: f64 = 1e-4;

/// 80 % intervals. Each figure has its own quantiles: the pools do not add up to the total.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct LedgerIntervals {
    /// Seed of the realisations.
    pub seed: u64,
    /// Number of realisations.
    pub ensemble_size: u32,
    /// Emissions had its wood been burnt on the day of filling. None without wood.
    pub burning: Option<BurningIntervals>,
    /// The rows, as those of the means.
    pub rows: Vec<LedgerRowIntervals>,
}

/// 80 % intervals of the emissions of burning the wood. Only the wood is uncertain; the
/// emission factors are fixed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BurningIntervals {
    /// Carbon dioxide; kg.
    pub co2_kg: Interval,
    /// Methane and nitrous oxide of the smoke, as carbon dioxide equivalent; kg.
    pub smoke_co2e_kg: Interval,
}

/// Declares the figures of a row that have an interval: name, bin width, and the field of the
/// row.
macro_rules! figures {
    ($($(#[doc = $doc:literal])+ $name:ident, $width:expr, $of:expr;)+) => {
        /// 80 % intervals of the carbon on one day.
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        #[non_exhaustive]
        pub struct LedgerRowIntervals {
            /// Months since filling.
            pub month: u32,
            /// The day.
            #[cfg_attr(feature = "schema", schemars(with = "String"))]
            pub date: Date,
            /// Share of the carbon of all wood put in so far that is still in the wood. None
            /// without wood.
            pub wood_share: Option<Interval>,
            $($(#[doc = $doc])+ pub $name: Interval,)+
        }

        /// Tallies of the figures of a row.
        #[derive(Debug, Clone)]
        struct RowTally {
            wood_share: Tally,
            $($name: Tally,)+
        }

        impl RowTally {
            fn new(ensemble_size: u32) -> Self {
                Self {
                    wood_share: Tally::of(ensemble_size, BIN_SHARE),
                    $($name: Tally::of(ensemble_size, $width),)+
                }
            }

            fn add(&mut self, row: &LedgerRow) {
                if let Some(share) = row.wood_share {
                    self.wood_share.add(share);
                }
                $({
                    let of: fn(&LedgerRow) -> f64 = $of;
                    self.$name.add(of(row));
                })+
            }

            /// The intervals of the realisations added, for the day of that row.
            fn intervals(&self, row: &LedgerRow) -> LedgerRowIntervals {
                LedgerRowIntervals {
                    month: row.month,
                    date: row.date.clone(),
                    wood_share: row.wood_share.map(|_| self.wood_share.band()),
                    $($name: self.$name.band(),)+
                }
            }
        }
    };
}

figures! {
    /// Carbon left in wood of any size; kg.
    wood_kg, BIN_KG, |row| row.left.wood_kg;
    /// In leaves, grass, card, the mat of turf and the like; kg.
    soft_kg, BIN_KG, |row| row.left.soft_kg;
    /// In soil and compost that came with the fill; kg.
    soil_kg, BIN_KG, |row| row.left.soil_kg;
    /// In humus formed in the bed since filling; kg.
    humus_kg, BIN_KG, |row| row.left.humus_kg;
    /// All that is left; kg.
    all_kg, BIN_KG, |row| row.left.all_kg;
    /// Carbon put in so far; kg.
    put_in_kg, BIN_KG, |row| row.put_in_kg;
    /// Share of it that is left.
    left_share, BIN_SHARE, |row| row.left_share;
    /// Carbon released since filling; kg.
    released_kg, BIN_KG, |row| row.released_kg;
    /// The same as carbon dioxide; kg.
    released_co2_kg, BIN_KG, |row| row.released_co2_kg;
}

/// The ledger of a bed from an ensemble: means over the realisations with 80 % intervals; without
/// realisations the nominal [`ledger`]. The screen for methane and nitrous oxide keeps
/// the range of its emission factors.
///
/// # Errors
///
/// As [`ledger`], and too many realisations.
pub fn ledger_with_intervals(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Ledger, Error> {
    if ensemble.ensemble_size == 0 {
        return ledger(bed, months, progress);
    }
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    has_room(bed, months)?;
    let uncertain = UncertainParameters::new(bed);
    let mut rows: Vec<RowTally> = Vec::new();
    let mut sum: Option<Simulated> = None;
    let mut fire = [
        Tally::of(ensemble.ensemble_size, BIN_KG),
        Tally::of(ensemble.ensemble_size, BIN_KG),
    ];
    run_ensemble(
        ensemble,
        progress,
        &|number| {
            let sample = Sample::new(bed, &uncertain, ensemble.seed, number);
            until_it_fits(&sample, &|sample| {
                simulate(sample.bed(), sample.figures(), months, &unwatched)
            })
        },
        &mut |run: &Simulated| {
            rows.resize_with(run.rows.len(), || RowTally::new(ensemble.ensemble_size));
            for (tally, row) in rows.iter_mut().zip(&run.rows) {
                tally.add(row);
            }
            let burning = Burning::of(run.burnt.dry_kg, run.burnt.carbon_kg);
            fire[0].add(burning.co2_kg);
            fire[1].add(burning.smoke_co2e_kg);
            match &mut sum {
                Some(sum) => sum.plus(run),
                None => sum = Some(run.clone()),
            }
        },
    )?;
    let Some(sum) = sum else {
        return ledger(bed, months, progress);
    };
    let mean = sum.over(f64::from(ensemble.ensemble_size));
    let mut ledger = ledger_of_rows(bed, mean)?;
    let [co2_kg, smoke_co2e_kg] = fire;
    ledger.intervals = Some(LedgerIntervals {
        seed: ensemble.seed,
        ensemble_size: ensemble.ensemble_size,
        burning: ledger.burning.map(|_| BurningIntervals {
            co2_kg: co2_kg.band(),
            smoke_co2e_kg: smoke_co2e_kg.band(),
        }),
        rows: rows
            .iter()
            .zip(&ledger.rows)
            .map(|(tally, row)| tally.intervals(row))
            .collect(),
    });
    Ok(ledger)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_many_months_are_refused_with_draws_as_without() {
        for asked in [MONTHS_LIMIT + 1, u32::MAX] {
            for draws in [0, 4] {
                let bed = Bed::example();
                let run = bed.forecast().months(asked).ensemble_size(draws);
                assert_eq!(run.ledger(), Err(Error::TooManyMonths { asked }));
            }
        }
    }
}
