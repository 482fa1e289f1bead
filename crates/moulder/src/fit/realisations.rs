//! The realisations behind a forecast, one by one.

use crate::fault::error::Error;
use crate::fit::conditioned::Conditioned;
use crate::fit::run::Run;
use crate::forecast::row::Month;
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};
use crate::uncertainty::ensemble::{Realisations, run_ensemble};
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::{has_room, months_of_sample};
use crate::uncertainty::sample::Sample;

impl Run<'_> {
    /// Shows the months of each realisation, in order: for figures that no interval tells, such as
    /// how two months go together. It goes on from the readings of the bed, as [`run`](Self::run).
    ///
    /// The surface of each is that with one of its model discrepancies, where an interval takes in
    /// all twenty: the quantiles of few realisations lie a little off those of the interval.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run), and: no realisation.
    ///
    /// ```
    /// let mut heights_m = Vec::new();
    /// let bed = moulder::Bed::example();
    /// let run = bed.forecast().months(2).ensemble_size(8);
    /// run.each_realisation(&mut |months| heights_m.push(months[2].height_m))?;
    /// assert_eq!(heights_m.len(), 8);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn each_realisation(self, see: &mut dyn FnMut(&[Month])) -> Result<(), Error> {
        let Self {
            bed,
            options,
            progress,
            ..
        } = self;
        let (months, ensemble) = (options.months, Realisations::from(options));
        if months > MONTHS_LIMIT {
            return Err(Error::TooManyMonths { asked: months });
        }
        let asked = ensemble.ensemble_size;
        if asked == 0 {
            return Err(Error::TooFewDraws { asked, least: 1 });
        }
        if asked > SAMPLES_LIMIT {
            return Err(Error::TooManyDraws { asked });
        }
        has_room(bed, months)?;
        let uncertain = UncertainParameters::new(bed);
        let conditioned = Conditioned::new(bed, &uncertain, months, ensemble, progress)?;
        // A realisation drawn twice is run once, and has another discrepancy each time.
        let drawn = conditioned.drawn(asked);
        let runs = Realisations {
            ensemble_size: u32::try_from(drawn.len()).unwrap_or(u32::MAX),
            ..ensemble
        };
        let seed = ensemble.seed;
        let one_realisation = |place: u32| {
            let drawn = &drawn[place as usize];
            let sample = Sample::new(bed, &uncertain, seed, drawn.number);
            let rows = months_of_sample(&sample, months)?;
            let each = (0..drawn.times).map(|time| {
                let mut rows = rows.clone();
                let discrepancy = drawn.discrepancy(bed, seed, time, months);
                discrepancy.apply(&mut rows);
                rows
            });
            Ok(each.collect::<Vec<Vec<Month>>>())
        };
        run_ensemble(runs, progress, &one_realisation, &mut |each| {
            for rows in each {
                see(rows);
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::bed::Bed;
    use crate::bed::builder::Reading;

    fn heights_m(bed: &Bed, draws: u32) -> Result<Vec<f64>, Error> {
        let mut heights_m = Vec::new();
        let run = bed.forecast().months(3).ensemble_size(draws);
        run.each_realisation(&mut |rows| heights_m.push(rows[3].height_m))?;
        Ok(heights_m)
    }

    #[test]
    fn their_mean_is_that_of_the_forecast() {
        let bed = Bed::example();
        let forecast = bed.forecast().months(3).ensemble_size(32).run().unwrap();
        let heights_m = heights_m(&bed, 32).unwrap();
        let mean_m = heights_m.iter().sum::<f64>() / 32.0;
        assert!((mean_m - forecast.months[3].height_m).abs() < 2e-3);
        assert!(
            heights_m
                .windows(2)
                .all(|pair| pair[0].to_bits() != pair[1].to_bits())
        );
    }

    #[test]
    fn they_go_on_from_readings_and_differ_when_drawn_twice() {
        let reading = Reading::below_rim_m(date(2026, 5, 14), 0.12).give_or_take_m(0.002);
        let bed = Bed::example().with_reading(reading).unwrap();
        let mut heights_m = heights_m(&bed, 100).unwrap();
        assert_eq!(heights_m.len(), 100);
        heights_m.sort_by(f64::total_cmp);
        heights_m.dedup();
        assert!(heights_m.len() > 90, "{}", heights_m.len());
    }

    #[test]
    fn none_and_too_many_are_refused() {
        let asked = SAMPLES_LIMIT + 1;
        let few = heights_m(&Bed::example(), 0);
        assert_eq!(few, Err(Error::TooFewDraws { asked: 0, least: 1 }));
        let many = heights_m(&Bed::example(), asked);
        assert_eq!(many, Err(Error::TooManyDraws { asked }));
    }
}
