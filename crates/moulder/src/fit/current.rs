//! The forecast of a bed as it is known now.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::agreement::Agreement;
use crate::fit::conditioned::Conditioned;
use crate::forecast::progress::Progress;
use crate::forecast::{Doubted, Forecast, GivenReadings};
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble_forecast::{ensemble_forecast, forecast_with_intervals};
use crate::uncertainty::parameter::UncertainParameters;

/// Draws from the posterior, at least: so many that the means are those of its weights to well
/// below a millimetre. The same realisation drawn again costs nothing.
const LEAST_DRAWN: u32 = 512;

/// The forecast of a bed: from its readings on where it was measured, else as filled.
///
/// With readings it rests on the posterior of a [`fit`](crate::fit::fit): realisations weighted by
/// how well they agree with the tape, each with its discrepancies given the readings. However far
/// off a reading is, the forecast goes on from it; [`Forecast::given`] says how far it was off.
///
/// # Errors
///
/// As [`forecast_with_intervals`], and a reading more than a hundred years after filling.
pub fn current_forecast(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    let asked = ensemble.ensemble_size;
    if bed.readings.is_empty() || asked == 0 {
        return forecast_with_intervals(bed, months, ensemble, progress);
    }
    if asked > SAMPLES_LIMIT {
        return Err(Error::TooManyDraws { asked });
    }
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let uncertain = UncertainParameters::new(bed);
    let conditioned = Conditioned::new(bed, &uncertain, months, ensemble, progress)?;
    conditioned_forecast(bed, &uncertain, months, ensemble, &conditioned, progress)
}

/// The forecast of a bed from its realisations given the readings.
///
/// # Errors
///
/// As [`current_forecast`].
pub(crate) fn conditioned_forecast(
    bed: &Bed,
    uncertain: &UncertainParameters,
    months: u32,
    ensemble: Realisations,
    conditioned: &Conditioned,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    let drawn = conditioned.drawn(ensemble.ensemble_size.max(LEAST_DRAWN));
    let mut forecast = ensemble_forecast(
        bed,
        uncertain,
        months,
        ensemble,
        &drawn,
        &mut |_, _| {},
        progress,
    )?;
    let given = bed.readings.last().zip(conditioned.agreement());
    forecast.given = given.map(|(last, agreement)| GivenReadings {
        count: u32::try_from(bed.readings.len()).unwrap_or(u32::MAX),
        last_on: last.on,
        last_height_m: last.height_m,
        as_unlikely: agreement.share,
        is_surprising: agreement.is_surprising,
        doubted: doubted(bed, agreement),
        tempering_exponent: conditioned.tempering_exponent(),
    });
    Ok(forecast)
}

/// The readings at fault.
pub(crate) fn doubted(bed: &Bed, agreement: &Agreement) -> Vec<Doubted> {
    let each = agreement.at_fault.iter().map(|at| {
        let slip = agreement.slips.iter().find(|slip| slip.reading == *at);
        Doubted {
            on: bed.readings[*at].on,
            would_fit: slip.map(|slip| (slip.figure, slip.in_inches)),
        }
    });
    each.collect()
}
