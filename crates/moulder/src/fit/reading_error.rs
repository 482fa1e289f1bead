//! Error model of tape measure readings.
//!
//! Three independent errors: of the datum (rim or ground), shared by all readings of a bed; of
//! the spot on a rough surface, shared by the readings of a day; of the tape, new with each
//! reading. They are normal: what is distrusted, discrepancy and starting height, has the heavy
//! tails, so that a surprising reading moves these. A misread one is left to
//! `agreement`.

use libm::sqrt;
use moulder_core::value::{Spread, Status, Value};

use crate::bed::Reading;
use crate::numeric::normal::quantile;
use crate::numeric::prior::TENTH_Z;
use crate::quantity::height::step_m;
use crate::quantity::units::Units;

/// Error of the datum; standard deviation.
static DATUM_M: Value = Value::new(
    0.02,
    Spread::new(0.01, 0.03),
    "m",
    "our own closure: rims sag and bow, and the ground beside a bed is uneven",
    Status::Judgement,
);

/// Error of the spot against the mean of the surface; standard deviation.
static SURFACE_M: Value = Value::new(
    0.015,
    Spread::new(0.01, 0.02),
    "m",
    "our own closure: soil that was dug, rained on and trodden by birds",
    Status::Judgement,
);

/// Error of the tape where the document gives none; standard deviation.
pub static TAPE_M: Value = Value::new(
    0.0075,
    Spread::new(0.005, 0.01),
    "m",
    "our own closure: a tape held by hand against a rough surface",
    Status::Judgement,
);

/// Error model of the readings of a bed.
#[derive(Debug, Clone)]
pub struct ReadingError {
    /// Index of the day of each reading.
    days: Vec<usize>,
    /// Standard deviation of tape and rounding; m.
    tape_m: Vec<f64>,
}

impl ReadingError {
    /// For readings in order of date, rounded in these units.
    ///
    /// A given error is an 80 % interval. A tape is read to the nearest centimetre or half
    /// inch.
    #[must_use]
    pub fn new(readings: &[Reading], units: Units) -> Self {
        let mut day = 0;
        let days = readings.iter().enumerate().map(|(at, reading)| {
            let before = at.checked_sub(1).and_then(|before| readings.get(before));
            day += usize::from(before.is_some_and(|before| before.on != reading.on));
            day
        });
        let days = days.collect();
        // Variance of a uniform distribution over one step.
        let rounded_m2 = step_m(units) * step_m(units) / 12.0;
        let tape_m = readings.iter().map(|reading| {
            let given_m = reading.give_or_take_m.map(|off_m| off_m / TENTH_Z);
            let tape_m = given_m.unwrap_or(TAPE_M.best);
            sqrt(tape_m * tape_m + rounded_m2)
        });
        Self {
            tape_m: tape_m.collect(),
            days,
        }
    }

    /// Covariance of the readings about the surface, row by row; m2.
    #[must_use]
    pub(crate) fn covariance(&self) -> Vec<f64> {
        let each = || self.days.iter().zip(&self.tape_m).enumerate();
        each()
            .flat_map(|(row, (day, tape_m))| {
                each().map(move |(column, (other, _))| {
                    let datum = Self::datum_m2();
                    let same_day = f64::from(u8::from(day == other));
                    let surface = same_day * SURFACE_M.best * SURFACE_M.best;
                    let same = f64::from(u8::from(row == column));
                    datum + surface + same * tape_m * tape_m
                })
            })
            .collect()
    }

    /// A realisation of the errors, positive where a reading is too high: that of the datum alone,
    /// and that of each reading with it; m.
    ///
    /// `uniform` returns independent numbers in (0, 1).
    #[must_use]
    pub fn errors_m(&self, mut uniform: impl FnMut() -> f64) -> (f64, Vec<f64>) {
        let mut z = || quantile(uniform());
        let datum_m = DATUM_M.best * z();
        let mut day = None;
        let mut surface_m = 0.0;
        let mut errors_m = Vec::with_capacity(self.days.len());
        for (on, tape_m) in self.days.iter().zip(&self.tape_m) {
            if day != Some(on) {
                surface_m = SURFACE_M.best * z();
                day = Some(on);
            }
            errors_m.push(datum_m + surface_m + tape_m * z());
        }
        (datum_m, errors_m)
    }

    /// Covariance of the datum with any reading; m2.
    pub(crate) const fn datum_m2() -> f64 {
        DATUM_M.best * DATUM_M.best
    }
}

#[cfg(test)]
mod tests {
    use super::{DATUM_M, ReadingError, SURFACE_M, TAPE_M};
    use crate::bed::Reading;
    use crate::numeric::uniform::part;
    use crate::quantity::units::Units;
    use jiff::civil::date;
    use rand_pcg::Pcg64;

    fn readings() -> Vec<Reading> {
        [(1, None), (1, Some(0.01)), (2, None)]
            .map(|(day, give_or_take_m)| Reading {
                on: date(2026, 6, day),
                height_m: 0.5,
                give_or_take_m,
                note: None,
            })
            .to_vec()
    }

    #[test]
    fn errors_are_shared_by_bed_and_day() {
        let covariance = ReadingError::new(&readings(), Units::Metric).covariance();
        let square = |m: f64| m * m;
        let (datum, surface) = (square(DATUM_M.best), square(SURFACE_M.best));
        let rounded = square(0.01) / 12.0;
        let tape = square(TAPE_M.best) + rounded;
        // 80 % within a centimetre: 1.2816 standard deviations.
        let given_tape = square(0.01 / 1.281_551_565_5) + rounded;
        let all = datum + surface;
        let want = [
            [all + tape, all, datum],
            [all, all + given_tape, datum],
            [datum, datum, all + tape],
        ];
        for (covariance, want) in covariance.iter().zip(want.concat()) {
            assert!((covariance - want).abs() < 1e-12, "{covariance} {want}");
        }
        let inches = ReadingError::new(&readings(), Units::Us).covariance();
        assert!(inches[0] > covariance[0]);
    }

    #[test]
    fn medians_of_the_errors_are_zero() {
        let error = ReadingError::new(&readings(), Units::Metric);
        let (datum_m, errors_m) = error.errors_m(|| 0.5);
        assert!(errors_m.iter().all(|m| m.abs() < 1e-12));
        assert!(datum_m.abs() < 1e-12);
        assert!(error.errors_m(|| 0.9).1[0] > 0.02);
    }

    /// 20 000 realisations have that covariance; its standard error is about 1 %.
    #[test]
    fn errors_have_the_covariance() {
        let error = ReadingError::new(&readings(), Units::Metric);
        let mut numbers = Pcg64::new(5, 6);
        let mut sums = [0.0; 9];
        for _ in 0..20_000 {
            let (_, errors_m) = error.errors_m(|| part(&mut numbers));
            for (at, sum) in sums.iter_mut().enumerate() {
                *sum += errors_m[at / 3] * errors_m[at % 3] / 20_000.0;
            }
        }
        for (sum, covariance) in sums.iter().zip(error.covariance()) {
            assert!((sum - covariance).abs() < 0.03 * 7e-4, "{sum} {covariance}");
        }
    }
}
