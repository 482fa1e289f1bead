//! The draws of a bed that are believed: all alike, or those that its readings leave.

use jiff::civil::Date;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::ensemble::{Ensemble, LEAST_DRAWS};
use crate::fit::{Fitting, MORE, Weighed};
use crate::forecast::calendar::months_to;
use crate::forecast::progress::Progress;
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::draws::Realisations;
use crate::uncertainty::parameter::UncertainParameters;

/// Draws weighed by readings for each that is asked for, at most.
pub const WEIGHED_A_DRAW: u32 = 25;

/// The draws by which a bed is planned for.
pub(crate) struct Believed {
    /// The number of each, and by how much its laws are off.
    draws: Vec<(u32, Discrepancy)>,
    /// How many readings they agree with; 0 for a bed that nobody measured.
    pub(crate) readings: u32,
    /// The power to which their likelihoods were taken; 1 where they count in full.
    pub(crate) tempering_exponent: f64,
    /// Whether readings were passed over, since they contradict what was believed.
    pub(crate) is_contradicted: bool,
    /// How many draws to ask for so that readings count, or count for more; none where more
    /// would not help.
    pub(crate) better_draws: Option<u32>,
}

impl Believed {
    /// The draws of a bed for so many months. Where a tape was held to it, many are weighed
    /// by the readings as a [`fit`](crate::fit::fit) does, and as many as were asked for are
    /// taken of what is left, each as often as it counts. No more than [`WEIGHED_A_DRAW`] are
    /// weighed for each of these; where that is too few, readings are passed over.
    ///
    /// # Errors
    ///
    /// As [`fit`](crate::fit::fit).
    pub(crate) fn of(
        bed: &Bed,
        uncertain: &UncertainParameters,
        months: u32,
        draws: Realisations,
        progress: &Progress<'_>,
    ) -> Result<Self, Error> {
        let Realisations {
            ensemble_size: count,
            seed,
            ..
        } = draws;
        let Some(last) = bed.readings.last() else {
            return Ok(Self::unmeasured(months, draws));
        };
        // As many as a fit makes, and as it makes where few count.
        let usual = Fitting::default().ensemble_size.max(count);
        let most = count.saturating_mul(WEIGHED_A_DRAW);
        if most < LEAST_DRAWS {
            return Ok(Self {
                better_draws: Some(draws_to_weigh(LEAST_DRAWS)),
                ..Self::unmeasured(months, draws)
            });
        }
        let days: Vec<Date> = bed.readings.iter().map(|reading| reading.on).collect();
        let until = months_to(bed.filled, last.on)?;
        let ensemble = Ensemble::of_uncertain(
            bed,
            uncertain.clone(),
            [until, months.max(until)],
            &days,
            (usual.min(most), seed),
            progress,
        )?;
        let enough = usual.saturating_mul(MORE);
        let Weighed {
            after, agreement, ..
        } = Weighed::of(ensemble, enough.min(most), progress)?;
        if agreement.contradicts {
            return Ok(Self {
                is_contradicted: true,
                ..Self::unmeasured(months, draws)
            });
        }
        let left = after.weights().resampled(count).into_iter();
        let draws = left.filter_map(|draw| {
            let off = after.offs().get(draw)?.clone();
            Some((u32::try_from(draw).ok()?, off))
        });
        Ok(Self {
            draws: draws.collect(),
            tempering_exponent: after.weights().tempering_exponent,
            readings: u32::try_from(bed.readings.len()).unwrap_or(u32::MAX),
            is_contradicted: false,
            better_draws: (after.weights().tempering_exponent < 1.0 && most < enough)
                .then(|| draws_to_weigh(enough)),
        })
    }

    /// The draws as they come.
    fn unmeasured(months: u32, draws: Realisations) -> Self {
        let each = 0..draws.ensemble_size;
        Self {
            draws: each
                .map(|number| (number, Discrepancy::of(draws.seed, number, months)))
                .collect(),
            readings: 0,
            tempering_exponent: 1.0,
            is_contradicted: false,
            better_draws: None,
        }
    }

    /// The draw of that place: its number, and by how much its laws are off.
    pub(crate) fn draw(&self, place: u32) -> Option<&(u32, Discrepancy)> {
        self.draws.get(place as usize)
    }
}

/// How many draws to ask for, to have so many weighed.
const fn draws_to_weigh(count: u32) -> u32 {
    count.div_ceil(WEIGHED_A_DRAW)
}
