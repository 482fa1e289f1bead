//! Where the carbon of many draws lies.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Ledger, LedgerRow, Simulated, ledger, simulate};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::{Progress, unwatched};
use crate::library::gas::Burning;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::uncertainty::draws::Realisations;
use crate::uncertainty::draws::run_ensemble;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::until_it_fits;
use crate::uncertainty::sample::Sample;

/// Widths of the bins in which many draws are counted.
const BIN_KG: f64 = 1e-3;
const BIN_SHARE: f64 = 1e-4;

/// Where four in five draws lie. Each figure has its own band: they are not of one draw,
/// and the kinds do not add up to all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct LedgerIntervals {
    /// Seed of the draws.
    pub seed: u64,
    /// How many draws.
    pub ensemble_size: u32,
    /// What burning its wood on the day of filling would have given off. None without wood.
    pub burning: Option<BurningIntervals>,
    /// The rows, as those of the middle line.
    pub rows: Vec<LedgerRowIntervals>,
}

/// Where that which burning the wood would have given off lies. The wood is drawn; what a
/// fire makes of it is not.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BurningIntervals {
    /// Carbon dioxide; kg.
    pub co2_kg: Interval,
    /// Methane and nitrous oxide of the smoke, as carbon dioxide; kg.
    pub smoke_co2e_kg: Interval,
}

/// Declares the figures of a row that have a band: their names, in which bins they are
/// counted, and where they stand in a row.
macro_rules! figures {
    ($($(#[doc = $doc:literal])+ $name:ident, $width:expr, $of:expr;)+) => {
        /// Where the carbon of one day lies.
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[non_exhaustive]
        pub struct LedgerRowIntervals {
            /// Months since filling.
            pub month: u32,
            /// The day, year-month-day.
            #[schemars(with = "String")]
            pub date: Date,
            /// Share of the carbon of all wood put in so far that is still in the wood. None
            /// without wood.
            pub wood_share: Option<Interval>,
            $($(#[doc = $doc])+ pub $name: Interval,)+
        }

        /// The figures of a row from many draws.
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

            /// The bands of the draws taken in, of the day of that row.
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
    /// In humus made in the bed since filling; kg.
    humus_kg, BIN_KG, |row| row.left.humus_kg;
    /// All that is left; kg.
    all_kg, BIN_KG, |row| row.left.all_kg;
    /// Carbon put in so far; kg.
    put_in_kg, BIN_KG, |row| row.put_in_kg;
    /// Share of it that is left.
    left_share, BIN_SHARE, |row| row.left_share;
    /// Carbon given off since filling; kg.
    released_kg, BIN_KG, |row| row.released_kg;
    /// The same as carbon dioxide; kg.
    released_co2_kg, BIN_KG, |row| row.released_co2_kg;
}

/// Keeps the ledger of a bed with bands: the middle line of [`ledger`], and where four in
/// five draws lie. The screen for methane and nitrous oxide keeps the range of its factors.
///
/// # Errors
///
/// As [`ledger`], and too many draws.
pub fn ledger_with_bands(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Ledger, Error> {
    if ensemble.ensemble_size == 0 {
        return ledger(bed, months, progress);
    }
    let mut ledger = ledger(bed, months, &unwatched)?;
    let uncertain = UncertainParameters::of(bed);
    let mut rows = vec![RowTally::new(ensemble.ensemble_size); ledger.rows.len()];
    let mut fire = [
        Tally::of(ensemble.ensemble_size, BIN_KG),
        Tally::of(ensemble.ensemble_size, BIN_KG),
    ];
    run_ensemble(
        ensemble,
        progress,
        &|number| {
            let sample = Sample::of(bed, &uncertain, ensemble.seed, number);
            until_it_fits(&sample, &|sample| {
                simulate(sample.bed(), sample.figures(), months, &unwatched)
            })
        },
        &mut |simulate: &Simulated| {
            for (tally, row) in rows.iter_mut().zip(&simulate.rows) {
                tally.add(row);
            }
            if let Some(Burning {
                co2_kg,
                smoke_co2e_kg,
                ..
            }) = simulate.burning
            {
                fire[0].add(co2_kg);
                fire[1].add(smoke_co2e_kg);
            }
        },
    )?;
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
