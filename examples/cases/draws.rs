//! Realisations of a case: of all uncertain parameters, over everything that the case leaves
//! open.

use std::sync::Arc;

use moulder::internals::fault::error::Error;
use moulder::internals::forecast::Month;
use moulder::internals::library::calibration::{Calibrated, Calibration};
use moulder::internals::numeric::quantile::of_sorted;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use moulder::internals::uncertainty::sample::families;
use rayon::prelude::*;

use crate::files::CaseBed;
use crate::observed::{Case, Quantity, Reading, Unit};
use crate::range::Range;
use crate::scaled::scaled;

/// Seed of the realisations.
const SEED: u64 = 1;

/// Steps of two sequences that fill a square evenly: one over the plastic number and one over
/// its square (the additive recurrence of Roberts 2018, from memory).
const HEIGHT_STEP: f64 = 0.754_877_666_246_692_7;
const MONTHS_STEP: f64 = 0.569_840_290_998_053_2;

/// What a realisation takes from the ranges that a case leaves open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Open {
    /// A height and a month from the ranges, spread evenly over both.
    Spread,
    /// Their middles.
    Middle,
}

/// The realisations of one reading.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pool {
    /// In the unit of the reading, ascending, all with equal weight.
    pub(crate) sinks: Vec<f64>,
    /// Median height at the earlier age; cm.
    pub(crate) height_cm: f64,
}

impl Pool {
    /// From the 10 % to the 90 % quantile.
    pub(crate) fn band(&self) -> Range {
        Range {
            low: of_sorted(&self.sinks, 0.1),
            high: of_sorted(&self.sinks, 0.9),
        }
    }

    pub(crate) fn median(&self) -> f64 {
        of_sorted(&self.sinks, 0.5)
    }
}

/// Realisations of a case's readings, in their order: that many for each of its beds.
///
/// # Errors
///
/// As those of a forecast.
pub(crate) fn drawn(
    case: &Case,
    beds: &[CaseBed],
    draws: u32,
    open: Open,
    calibration: &Arc<Calibration>,
) -> Result<Vec<Pool>, Error> {
    let realised = realised(case, beds, draws, open, calibration)?;
    Ok((0..case.readings.len())
        .map(|reading| {
            let sorted = |of: fn(&Fall) -> f64| {
                let falls = realised.iter().map(|bed| of(&bed.falls[reading]));
                let mut values: Vec<f64> = falls.collect();
                values.sort_by(f64::total_cmp);
                values
            };
            Pool {
                sinks: sorted(|fall| fall.sink),
                height_cm: of_sorted(&sorted(|fall| fall.height_cm), 0.5),
            }
        })
        .collect())
}

/// One realisation of a case.
pub(crate) struct Realised {
    /// What families of figures have in common in it, in standard deviations.
    pub(crate) families: Vec<(Calibrated, f64)>,
    /// By reading.
    pub(crate) falls: Vec<Fall>,
}

/// The same one by one, with what families of figures have in common in each.
///
/// # Errors
///
/// As those of a forecast.
pub(crate) fn realised(
    case: &Case,
    beds: &[CaseBed],
    draws: u32,
    open: Open,
    calibration: &Arc<Calibration>,
) -> Result<Vec<Realised>, Error> {
    let of_case = || beds.iter().filter(|bed| bed.id == case.id);
    let loose = of_case().find(|bed| case.starts_loose && bed.is_loose());
    let asked: Vec<(&CaseBed, u32)> = of_case()
        .filter(|bed| !(case.starts_loose && bed.is_loose()))
        .flat_map(|bed| (0..draws).map(move |number| (bed, number)))
        .collect();
    asked
        .into_par_iter()
        .map(|(bed, number)| {
            let uncertain = UncertainParameters::under(calibration, &bed.bed);
            Ok(Realised {
                families: families(&uncertain, SEED, number),
                falls: falls(case, bed, loose, (number, open), calibration)?,
            })
        })
        .collect()
}

/// One realisation of one reading.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fall {
    /// In the unit of the reading.
    pub(crate) sink: f64,
    /// Height at the earlier age; cm.
    pub(crate) height_cm: f64,
}

/// One realisation of one bed, by reading.
fn falls(
    case: &Case,
    bed: &CaseBed,
    loose: Option<&CaseBed>,
    (number, open): (u32, Open),
    calibration: &Arc<Calibration>,
) -> Result<Vec<Fall>, Error> {
    let share = |step: f64| match open {
        Open::Spread => (f64::from(number) * step + 0.5).fract(),
        Open::Middle => 0.5,
    };
    let scale = case
        .height_cm
        .map_or(1.0, |cm| cm.at(share(HEIGHT_STEP)) / cm.middle());
    let month = |range: Range| range.at(share(MONTHS_STEP));
    let last = case.readings.iter().map(|reading| month(reading.months));
    let months = floor(last.fold(0.0, f64::max)) + 1;
    let course = |of: &CaseBed, months: u32| {
        let bed = scaled(&of.bed, scale, case);
        let uncertain = UncertainParameters::under(calibration, &bed);
        let rows = months_of_realisation(&bed, &uncertain, SEED, number, months)?;
        Ok::<_, Error>(
            rows.iter()
                .map(|row| Day::of(case, row))
                .collect::<Vec<Day>>(),
        )
    };
    let days = course(bed, months)?;
    let before = match loose {
        Some(loose) => course(loose, 1)?,
        None => days.clone(),
    };
    Ok(case
        .readings
        .iter()
        .map(|reading| {
            let start = Day::between(&before, month(reading.from_months));
            start.fall(Day::between(&days, month(reading.months)), reading)
        })
        .collect())
}

/// A bed on a day.
#[derive(Debug, Clone, Copy)]
struct Day {
    height_m: f64,
    dry_kg: f64,
}

impl Day {
    fn of(case: &Case, row: &Month) -> Self {
        let whole = Self {
            height_m: row.height_m,
            dry_kg: row.total_mass_kg - row.water_l,
        };
        match row.layers.last() {
            Some(top) if case.is_top_layer_read => Self {
                height_m: top.thickness_m,
                dry_kg: top.total_mass_kg - top.water_l,
            },
            _ => whole,
        }
    }

    /// Linear interpolation between months.
    fn between(months: &[Self], month: f64) -> Self {
        let before = floor(month);
        let at = usize::try_from(before).unwrap_or(0);
        let share = month - f64::from(before);
        let mixed = |of: fn(&Self) -> f64| {
            of(&months[at]) + (of(&months[at + 1]) - of(&months[at])) * share
        };
        Self {
            height_m: mixed(|day| day.height_m),
            dry_kg: mixed(|day| day.dry_kg),
        }
    }

    /// From this day to a later one.
    fn fall(self, later: Self, reading: &Reading) -> Fall {
        let height_left = later.height_m / self.height_m;
        let mass_left = later.dry_kg / self.dry_kg;
        let left = match reading.quantity {
            Quantity::Height => height_left,
            Quantity::Density => height_left / mass_left,
            Quantity::DryMass => mass_left,
        };
        let height_cm = 100.0 * self.height_m;
        Fall {
            sink: match reading.unit {
                Unit::Cm => height_cm * (1.0 - left),
                Unit::Percent => 100.0 * (1.0 - left),
            },
            height_cm,
        }
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "months of a case, none of them negative"
)]
fn floor(months: f64) -> u32 {
    months as u32
}
