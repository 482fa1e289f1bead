//! How much nitrogen to feed a bed, checked by running it.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::bed::{Bed, Feed};
use crate::fault::error::Error;
use crate::fit::current::current_forecast;
use crate::forecast::Forecast;
use crate::forecast::calendar::{month_day, months_to};
use crate::forecast::nitrogen::{ENOUGH, FEED_FOUND, MOST_AT_ONCE_G_M2, NitrogenRow};
use crate::forecast::progress::Progress;
use crate::library::crop::Crop;
use crate::text::limit::MONTHS_LIMIT;
use crate::uncertainty::ensemble::Realisations;

/// Months that are fed ahead.
const AHEAD: u32 = 12;
/// Most forecasts: the start, and one after each change of the doses.
const MOST_ROUNDS: u32 = 12;
/// Crops are fed to somewhat more than what is enough, so that another ensemble finds enough too.
const MARGIN: f64 = 0.02;
/// How much more is asked for what is still lacking, each time.
const RAISED: f64 = 2.0;
/// A shortage of a bed of half a gram in all is not told; half of that, for another ensemble finds
/// another; g.
const LEAST_TOLD_G: f64 = 0.25;
/// Bisections of the doses once they are enough.
const HALVINGS: u32 = 3;
/// What is left of doses beyond what the bisection finds, so that another ensemble finds enough too.
const SLACK: f64 = 1.25;
/// Grams in a kilogram.
const GRAMS: f64 = 1000.0;

/// Doses of nitrogen for the crop of a bed over a year.
///
/// ```
/// use moulder::{Bed, date, feed::feeding, months::unwatched};
///
/// let bed = Bed::example();
/// let advice = feeding(&bed, date(2026, 3, 14), 8, 1, &unwatched)?;
/// assert_eq!(advice.given_to(&bed, 1.0).fed().len(), advice.doses.len());
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Feeding {
    /// The twelve months ahead without the doses, from the first that begins on the day or later;
    /// none where nothing grows.
    pub months: Vec<MonthAhead>,
    /// The doses, in order of date; none where the bed feeds its crop.
    pub doses: Vec<Dose>,
    /// Whether the crop has enough in every month with these doses; false where it takes more than
    /// 10 g of nitrogen on a square metre at once.
    pub is_enough: bool,
    /// Share of nitrogen in the owner's feed, by weight: that of the last feeding in the document
    /// that has it. None where none has.
    pub feed_share: Option<f64>,
}

/// A month ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct MonthAhead {
    /// Its first day, on which a dose is given.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub begins: Date,
    /// Whether the crop runs short in it; nowhere where all months together lack less than is
    /// worth telling.
    pub is_short: bool,
}

/// One dose.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Dose {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub on: Date,
    /// Plant-available nitrogen for one bed; g.
    pub nitrogen_g: f64,
    /// Standard error of it, as the crop's uptake without the doses has one; g.
    pub standard_error_g: f64,
}

impl Feeding {
    /// The bed with these doses, each multiplied by that factor.
    #[must_use]
    pub fn given_to(&self, bed: &Bed, times: f64) -> Bed {
        let mut fed = bed.clone();
        fed.fed.extend(self.doses.iter().map(|dose| Feed {
            on: dose.on,
            nitrogen_kg: times * dose.nitrogen_g / GRAMS,
            feed_share: self.feed_share,
        }));
        fed.fed.sort_by_key(|feed| feed.on);
        fed
    }
}

/// The doses that leave the crop of a bed without a shortage for twelve months from a day on.
///
/// Each month that is short gets a dose on its first day, of 10 g/m2 at most, raised until the forecast of the bed with
/// all doses finds enough in every month.
///
/// # Errors
///
/// As [`current_forecast`].
pub fn feeding(
    bed: &Bed,
    from: Date,
    ensemble_size: u32,
    seed: u64,
    progress: &Progress<'_>,
) -> Result<Feeding, Error> {
    let mut advice = Feeding {
        months: Vec::new(),
        doses: Vec::new(),
        is_enough: true,
        feed_share: bed.fed.iter().rev().find_map(|feed| feed.feed_share),
    };
    if bed.crop == Crop::None {
        return Ok(advice);
    }
    // A tape tells next to nothing of nitrogen.
    let bed = &bed.as_filled();
    let from = from.max(bed.filled);
    let begun = months_to(bed.filled, from)?;
    let until = begun.saturating_add(AHEAD).min(MONTHS_LIMIT);
    let ensemble = Realisations {
        ensemble_size,
        seed,
        deeper_than_m: None,
    };
    let area_m2 = bed.shape.area_m2();
    // What a month of uptake is worth in feed; g per g/m2.
    let worth_g = area_m2 / FEED_FOUND.best;
    let run = |advice: &Feeding, times: f64| {
        let fed = advice.given_to(bed, times);
        current_forecast(&fed, until, ensemble, progress)
    };
    let ahead = |forecast: &Forecast| {
        let months = forecast.months.iter();
        let ahead = months.filter(|row| row.month > begun);
        ahead
            .map(|row| (row.month, row.nitrogen))
            .collect::<Vec<_>>()
    };
    let is_enough = |months: &[(u32, NitrogenRow)], margin: f64| {
        let below = |row: &NitrogenRow| row.is_below(ENOUGH.best + margin, bed.crop);
        let counts = |row: &NitrogenRow| row.is_short || margin > 0.0 && below(row);
        let short = months.iter().filter(|(_, row)| counts(row));
        let lacking = short.map(|(_, row)| row.crop_demand_g_m2 - row.crop_uptake_g_m2);
        lacking.sum::<f64>() * area_m2 < LEAST_TOLD_G
    };
    let begins = |month: u32| month_day(bed.filled, month.saturating_sub(1));
    // By month of the forecast.
    let mut doses_g = vec![0.0; until as usize + 1];
    let mut errors_g = Vec::new();
    let mut more = 1.0;
    for round in 0..MOST_ROUNDS {
        let forecast = run(&advice, 1.0)?;
        if round == 0 {
            let bands = forecast.intervals.iter();
            errors_g = bands
                .map(|band| worth_g * band.crop_nitrogen_uptake_g_m2.standard_error)
                .collect();
        }
        let months = ahead(&forecast);
        advice.is_enough = is_enough(&months, 0.0);
        if round == 0 {
            let each = months.iter().map(|(month, row)| MonthAhead {
                begins: begins(*month),
                is_short: row.is_short && !advice.is_enough,
            });
            advice.months = each.collect();
        }
        if advice.is_enough && (round == 0 || is_enough(&months, MARGIN)) {
            break;
        }
        for (month, row) in &months {
            let lacking_g_m2 = (ENOUGH.best + MARGIN) * row.crop_demand_g_m2 - row.crop_uptake_g_m2;
            if lacking_g_m2 <= 0.0 || !row.is_short && doses_g[*month as usize] <= 0.0 {
                continue;
            }
            let dose_g = &mut doses_g[*month as usize];
            *dose_g += more * lacking_g_m2 * worth_g;
            *dose_g = dose_g.min(MOST_AT_ONCE_G_M2 * area_m2);
        }
        // Crops find less of each further gram.
        more *= RAISED;
        let each = (0_u32..).zip(&doses_g).filter(|(_, dose_g)| **dose_g > 0.0);
        advice.doses = each
            .map(|(month, dose_g)| Dose {
                on: begins(month),
                nitrogen_g: *dose_g,
                // One run alone has none.
                standard_error_g: errors_g.get(month as usize).copied().unwrap_or_default(),
            })
            .collect();
    }
    if advice.is_enough && !advice.doses.is_empty() {
        // Not much more than it takes.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if is_enough(&ahead(&run(&advice, middle)?), MARGIN) {
                high = middle;
            } else {
                low = middle;
            }
        }
        for dose in &mut advice.doses {
            dose.nitrogen_g *= (SLACK * high).min(1.0);
        }
    }
    Ok(advice)
}
