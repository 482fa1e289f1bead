//! Ensembles that are run in parts: piece by piece, or in many places.

use core::ops::Range;

use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::{Fault, FaultCode, Faults};
use crate::forecast::progress::Progress;
use crate::forecast::row::Month;
use crate::forecast::run::SimulatedMonths;
use crate::forecast::{ENGINE, Forecast};
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};
use crate::uncertainty::discrepancy::DISCREPANCIES;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::ensemble::{Realisations, run_each};
use crate::uncertainty::ensemble_forecast::ForecastTally;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::{Realisation, has_room};

/// Some realisations of an ensemble: those of the numbers `from` up to but not `to`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct EnsemblePart {
    /// Version of the engine.
    pub engine: String,
    /// Digest of the bed, its materials and weather: parts of another bed are not merged.
    pub bed: String,
    /// The first.
    pub from: u32,
    /// The one after the last.
    pub to: u32,
    /// Seed of the ensemble.
    pub seed: u64,
    /// Each of them.
    pub realisations: Vec<RealisationRows>,
}

/// The rows of a realisation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RealisationRows {
    /// By the laws, day zero first.
    pub months: Vec<Month>,
    /// Additional settlement at each end of a month, with each of its discrepancies; m.
    pub extras_m: Vec<Vec<f64>>,
}

/// Realisations of a forecast of a bed over so many months.
///
/// Tape readings do not count: they weigh all realisations at once.
///
/// # Errors
///
/// As [`forecast_with_intervals`](crate::uncertainty::ensemble_forecast::forecast_with_intervals).
pub fn part_of_ensemble(
    bed: &Bed,
    months: u32,
    seed: u64,
    numbers: Range<u32>,
    progress: &Progress<'_>,
) -> Result<EnsemblePart, Error> {
    is_possible(bed, months, numbers.end)?;
    let uncertain = UncertainParameters::new(bed);
    let all = Drawn::of_prior(numbers.end);
    let mut realisations = Vec::new();
    let first = numbers.start;
    let one =
        |at: u32| Realisation::new(bed, &uncertain, (seed, &all[(first + at) as usize]), months);
    let count = numbers.end.saturating_sub(first);
    run_each(0..count, progress, &one, &mut |realisation| {
        realisations.push(RealisationRows {
            months: realisation.run.months,
            extras_m: realisation.extras_m,
        });
    })?;
    Ok(EnsemblePart {
        engine: ENGINE.into_owned(),
        bed: digest(bed),
        from: first,
        to: numbers.end,
        seed,
        realisations,
    })
}

/// The forecast from parts of an ensemble, which follow one another from realisation 0 on: the same
/// bytes as that of so many realisations in one piece.
///
/// # Errors
///
/// Parts of another seed or other months, a gap between them, and those of a forecast.
pub fn merged(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    parts: Vec<EnsemblePart>,
) -> Result<Forecast, Error> {
    follow_one_another(bed, months, ensemble.seed, &parts)?;
    let size = parts.last().map_or(0, |part| part.to);
    is_possible(bed, months, size)?;
    let ensemble = Realisations {
        ensemble_size: size,
        ..ensemble
    };
    let uncertain = UncertainParameters::new(bed);
    let mut tally = ForecastTally::new(ensemble, size);
    // What a run has besides its rows is that of the first.
    let mut first = Some(Realisation::new(
        bed,
        &uncertain,
        (ensemble.seed, &Drawn::of_prior(1)[0]),
        months,
    )?);
    for rows in parts.into_iter().flat_map(|part| part.realisations) {
        let RealisationRows { months, extras_m } = rows;
        let run = first.take().map_or_else(
            || SimulatedMonths {
                months: Vec::new(),
                observations: Vec::new(),
                layers: Vec::new(),
                evapotranspiration_by: "",
            },
            |first| first.run,
        );
        let run = SimulatedMonths { months, ..run };
        tally.add(&Realisation { run, extras_m }, 1);
    }
    tally
        .forecast(bed)
        .ok_or(Error::TooFewDraws { asked: 0, least: 1 })
}

impl RealisationRows {
    /// Whether it has those months, with as many layers each as the first realisation has.
    fn fits(&self, months: u32, discrepancies: usize) -> bool {
        self.months.len() == months as usize + 1
            && self.extras_m.len() == self.months.len()
            && self
                .extras_m
                .iter()
                .all(|extras_m| extras_m.len() == discrepancies)
    }
}

fn is_possible(bed: &Bed, months: u32, asked: u32) -> Result<(), Error> {
    if asked == 0 || asked > SAMPLES_LIMIT {
        return Err(Error::TooManyDraws { asked });
    }
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    has_room(bed, months)
}

/// A digest of all that a bed is (FNV-1a, 64 bits).
fn digest(bed: &Bed) -> String {
    const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0100_0000_01b3;
    let told = format!("{bed:?}");
    let bytes = told.bytes();
    let sum = bytes.fold(BASIS, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(PRIME)
    });
    format!("{sum:016x}")
}

/// Refuses parts that make no ensemble.
fn follow_one_another(
    bed: &Bed,
    months: u32,
    seed: u64,
    parts: &[EnsemblePart],
) -> Result<(), Error> {
    let mut faults = Vec::new();
    let mut next = 0;
    let bed = digest(bed);
    for (at, part) in parts.iter().enumerate() {
        let mut unless = |holds: bool, field: &str, found: &str, expected: String| {
            if !holds {
                let pointer = format!("/parts/{at}/{field}");
                let fault = Fault::in_value(FaultCode::DoesNotFit, &pointer, found, expected);
                faults.push(fault);
            }
        };
        let other = "the part was made by another version";
        unless(
            part.engine == ENGINE,
            "engine",
            other,
            format!("run it again with {ENGINE}"),
        );
        let other = "the part is of another bed, or of other materials or weather";
        unless(
            part.bed == bed,
            "bed",
            other,
            "merge parts of one bed".to_owned(),
        );
        let other = "the part has another seed";
        unless(
            part.seed == seed,
            "seed",
            other,
            format!("its seed must be {seed}"),
        );
        let other = "the parts do not follow one another";
        let begins = format!("this one must begin with realisation {next}");
        unless(part.from == next, "from", other, begins);
        let count = u32::try_from(part.realisations.len()).ok();
        let is_whole = count.is_some() && count == part.to.checked_sub(part.from);
        let mut rows = part.realisations.iter();
        let has_rows = rows.all(|rows| rows.fits(months, DISCREPANCIES as usize));
        let other = "the part has other realisations than it says, or other months";
        let wanted = format!(
            "it must have {} to {} over {months} months",
            part.from, part.to
        );
        unless(is_whole && has_rows, "realisations", other, wanted);
        next = part.to;
    }
    if parts.is_empty() {
        faults.push(Fault::in_value(
            FaultCode::TooFew,
            "/parts",
            "none",
            "one part or more",
        ));
    }
    Faults::of(faults, 0).map_or(Ok(()), |faults| Err(faults.into()))
}
