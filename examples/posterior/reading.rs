//! The realisations of the readings of a case, on the scale on which they are compared.

use std::sync::Arc;

use moulder::internals::fault::error::Error;
use moulder::internals::library::calibration::{Calibrated, Calibration};
use moulder_core::math::elementary::ln;

use crate::draws::{Open, realised};
use crate::files::CaseBed;
use crate::observed::{Case, Side, Unit};

/// Strains count up to this: what is gone to the last hundredth has no logarithm worth comparing
/// (our own closure, as in `examples/series`).
const MOST_STRAIN: f64 = 0.99;

/// A case and its realisations.
pub(crate) struct Readings {
    pub(crate) source: String,
    pub(crate) id: String,
    /// What families have in common, by realisation.
    pub(crate) families: Vec<Vec<(Calibrated, f64)>>,
    pub(crate) all: Vec<OneReading>,
}

/// One reading of it.
pub(crate) struct OneReading {
    /// `-ln(1 - strain)` of each realisation.
    pub(crate) eta: Vec<f64>,
    /// The same of the low and the high end of what was seen.
    pub(crate) seen: [f64; 2],
    pub(crate) side: Side,
}

/// The readings of a case with about that many realisations over its beds.
///
/// # Errors
///
/// As those of a forecast.
pub(crate) fn readings(
    case: &Case,
    beds: &[CaseBed],
    draws: u32,
    calibration: &Arc<Calibration>,
) -> Result<Readings, Error> {
    let of_case = beds.iter().filter(|bed| bed.id == case.id);
    let variants = of_case.filter(|bed| !bed.is_loose()).count().max(1);
    let each = draws.div_ceil(u32::try_from(variants).unwrap_or(u32::MAX));
    let realised = realised(case, beds, each, Open::Spread, calibration)?;
    let all = case.readings.iter().enumerate().map(|(at, reading)| {
        let falls = || realised.iter().map(|one| one.falls[at]);
        let count = f64::from(u32::try_from(realised.len()).unwrap_or(u32::MAX));
        let height_cm = falls().map(|fall| fall.height_cm).sum::<f64>() / count;
        let strain = |sink: f64, height_cm: f64| match reading.unit {
            Unit::Cm => sink / height_cm,
            Unit::Percent => sink / 100.0,
        };
        OneReading {
            eta: falls()
                .map(|fall| eta(strain(fall.sink, fall.height_cm)))
                .collect(),
            seen: [reading.sink.low, reading.sink.high].map(|sink| eta(strain(sink, height_cm))),
            side: reading.side,
        }
    });
    Ok(Readings {
        source: case.group.clone(),
        id: case.id.clone(),
        all: all.collect(),
        families: realised.into_iter().map(|one| one.families).collect(),
    })
}

fn eta(strain: f64) -> f64 {
    -ln(1.0 - strain.min(MOST_STRAIN))
}
