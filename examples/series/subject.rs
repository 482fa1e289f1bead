//! What is scored: a reading and the realisations of it.

use std::sync::Arc;

use moulder::internals::fault::error::Error;
use moulder::internals::library::calibration::Calibration;
use moulder_core::math::elementary::ln;

use crate::draws::{Open, Pool, drawn};
use crate::files::CaseBed;
use crate::observed::{Case, Quantity, Reading, Side, Unit};
use crate::range::Range;

/// Strains are scored up to this: what is gone to the last hundredth has no logarithm worth
/// comparing (our own closure).
const MOST_STRAIN: f64 = 0.99;

/// Where a case comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Set {
    /// A published series that no figure was made with.
    Series,
    /// A published series that figures or laws were made with.
    Used,
    /// An open case, by which laws were chosen.
    Seen,
}

impl Set {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Series => "series",
            Self::Used => "used",
            Self::Seen => "seen",
        }
    }

    /// All of them.
    pub(crate) const ALL: [Self; 3] = [Self::Series, Self::Used, Self::Seen];

    /// Its example and the file of its cases there.
    pub(crate) fn place(self) -> (&'static str, &'static str) {
        match self {
            Self::Series | Self::Used => ("series", "series.json"),
            Self::Seen => ("cases", "open.json"),
        }
    }
}

/// The scale of a score.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scale {
    /// Centimetres of height.
    Cm,
    /// `-ln(1 - strain)`, which adds up over time, and over which neither small nor large
    /// settlements count for more.
    Eta,
}

/// A reading of a case, and what moulder says of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Subject<'a> {
    pub(crate) set: Set,
    pub(crate) case: &'a Case,
    pub(crate) reading: &'a Reading,
    /// Number of the reading in its case, from 1.
    pub(crate) number: usize,
    /// Over all that the case leaves open: its variants, heights and months.
    pub(crate) open: Pool,
    /// Of the bed as told: its central bed, the middle height and month.
    pub(crate) told: Pool,
}

/// `-ln(1 - strain)`.
pub(crate) fn eta(strain: f64) -> f64 {
    -ln(1.0 - strain.min(MOST_STRAIN))
}

impl<'a> Subject<'a> {
    /// The readings of a case under a calibration, with about that many realisations over its beds, and half as many
    /// of its central one, of which the width alone is told.
    ///
    /// # Errors
    ///
    /// As those of a forecast.
    pub(crate) fn of_case(
        set: Set,
        case: &'a Case,
        beds: &[CaseBed],
        draws: u32,
        calibration: &Arc<Calibration>,
    ) -> Result<Vec<Self>, Error> {
        let of_case = |bed: &&CaseBed| bed.id == case.id;
        let all: Vec<CaseBed> = beds.iter().filter(of_case).cloned().collect();
        let told_alone = |bed: &&CaseBed| bed.variant.is_none() || bed.is_loose();
        let central: Vec<CaseBed> = all.iter().filter(told_alone).cloned().collect();
        let variants = all.iter().filter(|bed| !bed.is_loose()).count();
        let each = draws.div_ceil(u32::try_from(variants.max(1)).unwrap_or(u32::MAX));
        let open = drawn(case, &all, each, Open::Spread, calibration)?;
        let told = drawn(case, &central, draws.div_ceil(2), Open::Middle, calibration)?;
        let readings = case.readings.iter().zip(open.into_iter().zip(told));
        Ok((1..)
            .zip(readings)
            .map(|(number, (reading, (open, told)))| Self {
                set,
                case,
                reading,
                number,
                open,
                told,
            })
            .collect())
    }

    /// A name of its own.
    pub(crate) fn key(&self) -> String {
        format!("{} {}", self.case.id, self.number)
    }

    /// A settlement in the unit of the reading, as a strain.
    pub(crate) fn strain(&self, sink: f64) -> f64 {
        match self.reading.unit {
            Unit::Cm => sink / self.open.height_cm,
            Unit::Percent => sink / 100.0,
        }
    }

    /// What was observed, as a strain; open to one side where it is a bound.
    pub(crate) fn observed(&self) -> Range {
        let Range { low, high } = self.reading.sink;
        match self.reading.side {
            Side::Both => Range {
                low: self.strain(low),
                high: self.strain(high),
            },
            Side::AtLeast => Range {
                low: self.strain(low),
                high: f64::INFINITY,
            },
            Side::AtMost => Range {
                low: f64::NEG_INFINITY,
                high: self.strain(high),
            },
        }
    }

    /// The figure that scores are against, as a strain: the middle, or the bound.
    pub(crate) fn truth(&self) -> f64 {
        let Range { low, high } = self.observed();
        match self.reading.side {
            Side::Both => 0.5 * (low + high),
            Side::AtLeast => low,
            Side::AtMost => high,
        }
    }

    /// A strain on a scale.
    pub(crate) fn on(&self, scale: Scale, strain: f64) -> f64 {
        match scale {
            Scale::Cm => strain * self.open.height_cm,
            Scale::Eta => eta(strain),
        }
    }

    /// Whether it is of a height; else of dry mass, which has no centimetres, and of which rules
    /// of thumb say nothing.
    pub(crate) fn is_of_height(&self) -> bool {
        self.reading.quantity != Quantity::DryMass
    }

    /// The realisations that are scored, as strains with their weights.
    pub(crate) fn members(&self) -> Vec<(f64, f64)> {
        self.weighted(&self.open)
    }

    /// Those of the bed as told.
    pub(crate) fn members_told(&self) -> Vec<(f64, f64)> {
        self.weighted(&self.told)
    }

    fn weighted(&self, pool: &Pool) -> Vec<(f64, f64)> {
        let weight = 1.0 / f64::from(u32::try_from(pool.sinks.len()).unwrap_or(u32::MAX));
        let strains = pool.sinks.iter().map(|sink| self.strain(*sink));
        strains.map(|strain| (strain, weight)).collect()
    }
}
