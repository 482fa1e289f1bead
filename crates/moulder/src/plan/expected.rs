//! A fill forecast from an ensemble, and moved until its means meet the requirement.

use super::answer::FillIntervals;
use super::retention::Retention;
use super::search::search;
use super::tried::{Miss, Stands, Tried, best};
use crate::bed::plan_request::PlanRequest;
use crate::fault::error::Error;
use crate::forecast::mean::shares_of_layers;
use crate::forecast::progress::Progress;
use crate::numeric::tally::Tally;
use crate::uncertainty::discrepancy::DISCREPANCIES;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble_forecast::forecast_seeing_each;

/// Most ensembles of a fill: the first, after the shift, and after what the shift left.
const ENSEMBLES: usize = 3;
/// Bin of the depth of soil; m.
const BIN_M: f64 = 1e-4;

/// The fills that lead from one that meets the requirement in the nominal run to one that meets it
/// in the mean, each forecast from the ensemble of the request.
///
/// The mean lies off the nominal run by a shift that hardly depends on the amounts: the search goes
/// on for the requirement less the shift.
pub(super) fn in_the_mean(
    plan: &PlanRequest,
    retentions: &[Retention],
    start: &Tried,
    progress: &Progress<'_>,
) -> Result<Vec<Tried>, Error> {
    let mut nominal = start.clone();
    let mut all: Vec<Tried> = Vec::new();
    loop {
        let expected = expected(plan, &nominal, progress)?;
        let shift = expected.stands.minus(nominal.stands);
        let meets = expected.miss.meets();
        all.push(expected);
        if meets || all.len() >= ENSEMBLES {
            return Ok(all);
        }
        let found = search(plan, retentions, nominal.aim, nominal.layers, shift)?;
        let found = found.unwrap_or_default();
        match best(plan, &found, nominal.aim) {
            Some(next) if next.trial != nominal.trial => {
                let forecasts = nominal.forecasts + next.forecasts;
                nominal = Tried {
                    forecasts,
                    ..next.clone()
                };
            }
            _ => return Ok(all),
        }
    }
}

/// A fill by its ensemble.
fn expected(plan: &PlanRequest, nominal: &Tried, progress: &Progress<'_>) -> Result<Tried, Error> {
    let ensemble = Realisations {
        ensemble_size: plan.ensemble_size,
        seed: plan.seed,
        ..Realisations::default()
    };
    let soil = nominal.trial.soil();
    let values = plan.ensemble_size.saturating_mul(DISCREPANCIES);
    let mut soil_m = Tally::of(values, BIN_M);
    let forecast = forecast_seeing_each(
        &nominal.bed,
        plan.after_months,
        ensemble,
        &mut |rows, extras_m| {
            let Some((end, extras_m)) = rows.last().zip(extras_m.last()) else {
                return;
            };
            let shares = shares_of_layers(end, rows.first());
            let layer = soil.and_then(|index| Some((end.layers.get(index)?, shares.get(index)?)));
            let (thickness_m, share) =
                layer.map_or((0.0, 0.0), |(layer, share)| (layer.thickness_m, *share));
            soil_m.add_all(extras_m.iter().map(|m| (thickness_m - share * m).max(0.0)));
        },
        progress,
    )?;
    let intervals = forecast.intervals.last().map(|end| FillIntervals {
        height_m: end.height_m,
        soil_m: soil_m.band(),
    });
    let stands = Stands::of(&nominal.trial, &forecast);
    Ok(Tried {
        stands,
        miss: Miss::new(plan, stands),
        intervals,
        forecast,
        ..nominal.clone()
    })
}
