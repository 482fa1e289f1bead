//! The 80 % interval of a case: realisations of all uncertain parameters, over everything that
//! the case leaves open.

use moulder::internals::fault::error::Error;
use moulder::internals::forecast::Month;
use moulder::internals::numeric::quantile::of_sorted;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use rayon::prelude::*;

use crate::files::CaseBed;
use crate::forecasts::{is_top_layer_read, scaled};
use crate::observed::{Case, Unit};
use crate::range::Range;

/// Default number of realisations of each bed of a case: with the two variants that most cases
/// have, the ends of an interval rest on five realisations beyond each.
pub(crate) const DRAWS_A_BED: u32 = 16;

/// Seed of the realisations.
const SEED: u64 = 1;

/// Steps of two sequences that fill a square evenly: one over the plastic number and one over
/// its square (the additive recurrence of Roberts 2018, from memory).
const HEIGHT_STEP: f64 = 0.754_877_666_246_692_7;
const MONTHS_STEP: f64 = 0.569_840_290_998_053_2;

/// The realisations of one reading, in the unit of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Drawn {
    /// From the 10 % to the 90 % quantile.
    pub(crate) band: Range,
    /// The median.
    pub(crate) middle: f64,
}

/// Realisations of a case's readings, in their order: that many for each of its beds, all with
/// equal weight. Each takes a height and a month from the case's ranges, spread evenly over
/// both.
///
/// # Errors
///
/// As those of a forecast.
pub(crate) fn drawn(case: &Case, beds: &[CaseBed], draws: u32) -> Result<Vec<Drawn>, Error> {
    let beds = beds.iter().filter(|bed| bed.id == case.id);
    let asked: Vec<(&CaseBed, u32)> = beds
        .flat_map(|bed| (0..draws).map(move |number| (bed, number)))
        .collect();
    let sinks: Vec<Vec<f64>> = asked
        .into_par_iter()
        .map(|(bed, number)| sinks(case, bed, number))
        .collect::<Result<_, _>>()?;
    Ok((0..case.readings.len())
        .map(|reading| {
            let mut pool: Vec<f64> = sinks.iter().map(|sinks| sinks[reading]).collect();
            pool.sort_by(f64::total_cmp);
            Drawn {
                band: Range {
                    low: of_sorted(&pool, 0.1),
                    high: of_sorted(&pool, 0.9),
                },
                middle: of_sorted(&pool, 0.5),
            }
        })
        .collect())
}

/// The settlements of one realisation of one bed, by reading.
fn sinks(case: &Case, bed: &CaseBed, number: u32) -> Result<Vec<f64>, Error> {
    let share = |step: f64| (f64::from(number) * step + 0.5).fract();
    let scale = case
        .height_cm
        .map_or(1.0, |cm| cm.at(share(HEIGHT_STEP)) / cm.middle());
    let bed = scaled(&bed.bed, scale, is_top_layer_read(case));
    let months: Vec<f64> = case
        .readings
        .iter()
        .map(|reading| reading.months.at(share(MONTHS_STEP)))
        .collect();
    let last = months.iter().copied().fold(0.0, f64::max);
    let uncertain = UncertainParameters::new(&bed);
    let rows = months_of_realisation(&bed, &uncertain, SEED, number, floor(last) + 1)?;
    let heights_m: Vec<f64> = rows.iter().map(|row| height_m(case, row)).collect();
    Ok(case
        .readings
        .iter()
        .zip(months)
        .map(|(reading, month)| {
            let settlement_m = heights_m[0] - between(&heights_m, month);
            match reading.unit {
                Unit::Cm => 100.0 * settlement_m,
                Unit::Percent => 100.0 * settlement_m / heights_m[0],
            }
        })
        .collect())
}

/// Linear interpolation between months.
fn between(months: &[f64], month: f64) -> f64 {
    let before = floor(month);
    let at = usize::try_from(before).unwrap_or(0);
    months[at] + (months[at + 1] - months[at]) * (month - f64::from(before))
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "months of a case, none of them negative"
)]
fn floor(months: f64) -> u32 {
    months as u32
}

/// The height that a case reads.
fn height_m(case: &Case, row: &Month) -> f64 {
    match row.layers.last() {
        Some(top) if is_top_layer_read(case) => top.thickness_m,
        _ => row.height_m,
    }
}
