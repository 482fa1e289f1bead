//! What is asked of a bed, and run.

use core::ops::ControlFlow;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::current::current_forecast;
use crate::fit::{Fit, Fitting, fit};
use crate::forecast::Forecast;
use crate::forecast::options::ForecastOptions;
use crate::forecast::progress::{Progress, unwatched};
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::sensitivity::{Sensitivity, sensitivity};

/// A run of a bed that is being set up: how many months, how many realisations, who watches.
///
/// [`Bed::forecast`] begins one; [`run`](Self::run) and its sisters end it.
///
/// ```
/// let bed = moulder::Bed::example();
/// let run = bed.forecast().months(2).ensemble_size(8).seed(7);
/// assert_eq!(run.run()?, run.run()?);
/// # Ok::<(), moulder::Error>(())
/// ```
#[must_use]
#[derive(Clone, Copy)]
pub struct Run<'a> {
    pub(crate) bed: &'a Bed,
    pub(crate) options: ForecastOptions,
    /// Whether months and an ensemble size were asked for: a fit has other defaults.
    asked: [bool; 2],
    pub(crate) progress: &'a Progress<'a>,
}

impl core::fmt::Debug for Run<'_> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Run")
            .field("bed", &self.bed.name)
            .field("options", &self.options)
            .finish_non_exhaustive()
    }
}

static UNWATCHED: fn(u32, u32) -> ControlFlow<()> = unwatched;

impl Bed {
    /// Asks for a forecast: a year with 80 % intervals, when nothing else is said.
    ///
    /// ```
    /// use moulder::Bed;
    ///
    /// let forecast = Bed::example().forecast().months(6).ensemble_size(20).run()?;
    /// let settlement_m = forecast.intervals[6].settlement_m;
    /// assert!(settlement_m.lower < settlement_m.median);
    /// assert!(settlement_m.median < settlement_m.upper);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn forecast(&self) -> Run<'_> {
        Run {
            bed: self,
            options: ForecastOptions::default(),
            asked: [false; 2],
            progress: &UNWATCHED,
        }
    }
}

impl<'a> Run<'a> {
    /// With all of these options.
    pub const fn options(mut self, options: ForecastOptions) -> Self {
        self.options = options;
        self.asked = [true; 2];
        self
    }

    /// For so many months from the day of filling.
    pub const fn months(mut self, months: u32) -> Self {
        self.options = self.options.months(months);
        self.asked[0] = true;
        self
    }

    /// With so many realisations; 0 for the nominal run alone.
    pub const fn ensemble_size(mut self, ensemble_size: u32) -> Self {
        self.options = self.options.ensemble_size(ensemble_size);
        self.asked[1] = true;
        self
    }

    /// With realisations of that seed.
    pub const fn seed(mut self, seed: u64) -> Self {
        self.options = self.options.seed(seed);
        self
    }

    /// With the chance that the surface lies deeper below the rim than this; m.
    pub const fn deeper_than_m(mut self, depth_m: f64) -> Self {
        self.options = self.options.deeper_than_m(depth_m);
        self
    }

    /// Watched by a function that is called with how much is done, and of how much, once a
    /// realisation, from any thread and in any order; [`ControlFlow::Break`] stops the run.
    ///
    /// ```
    /// use std::ops::ControlFlow;
    ///
    /// use moulder::{Bed, Error};
    ///
    /// let bed = Bed::example();
    /// let stopped = bed.forecast().progress(&|_done, _of| ControlFlow::Break(())).run();
    /// assert_eq!(stopped, Err(Error::Stopped));
    /// ```
    pub const fn progress(mut self, progress: &'a Progress<'a>) -> Self {
        self.progress = progress;
        self
    }

    /// The forecast, month by month: means, and where four in five realisations lie. It goes on
    /// from the readings of the bed; [`Bed::as_filled`] leaves them out.
    ///
    /// # Errors
    ///
    /// Too many months or realisations, a mound without room for what is added, or
    /// [`Error::Stopped`].
    pub fn run(self) -> Result<Forecast, Error> {
        let Self {
            bed,
            options,
            progress,
            ..
        } = self;
        current_forecast(bed, options.months, options.into(), progress)
    }

    /// The forecast before and after the bed's tape measure readings: a year beyond the last
    /// reading over 128 realisations, when nothing else is said.
    ///
    /// Readings that are a surprise to the prior are fitted all the same; `agreement` says so.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run), and: no reading in the bed, a reading after the months asked for,
    /// fewer than 100 realisations.
    ///
    /// ```
    /// use moulder::{Bed, Reading, date};
    ///
    /// let bed = Bed::example().with_reading(Reading::below_rim_m(date(2026, 5, 14), 0.10))?;
    /// let fit = bed.forecast().months(6).fit()?;
    /// let (prior, posterior) = (fit.months[3].height_before_m, fit.months[3].height_m);
    /// assert!(posterior.upper - posterior.lower < prior.upper - prior.lower);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn fit(self) -> Result<Fit, Error> {
        let usual = Fitting::default();
        let [months, ensemble_size] = self.asked;
        let asked = Fitting {
            months: months.then_some(self.options.months),
            ensemble_size: if ensemble_size {
                self.options.ensemble_size
            } else {
                usual.ensemble_size
            },
            seed: self.options.seed,
        };
        fit(self.bed, asked, self.progress)
    }
}

impl Run<'_> {
    /// What makes the interval of the settlement wide at the last month: first-order and total
    /// sensitivity indices of each group of uncertain parameters.
    ///
    /// `rows` pairs of realisations, 8 at least; a group more costs as many again.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run), and: no month, too few rows.
    ///
    /// ```
    /// let found = moulder::Bed::example().forecast().months(3).sensitivity(8)?;
    /// assert!(found.groups[0].total.share >= found.groups[1].total.share);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn sensitivity(self, rows: u32) -> Result<Sensitivity, Error> {
        let ForecastOptions { months, seed, .. } = self.options;
        sensitivity(self.bed, months, rows, seed, self.progress)
    }
}

impl Realisations {
    /// The options of a forecast of so many months with these realisations.
    #[must_use]
    pub const fn for_months(self, months: u32) -> ForecastOptions {
        ForecastOptions {
            months,
            ensemble_size: self.ensemble_size,
            seed: self.seed,
            deeper_than_m: self.deeper_than_m,
        }
    }
}

impl From<ForecastOptions> for Realisations {
    fn from(options: ForecastOptions) -> Self {
        Self {
            ensemble_size: options.ensemble_size,
            seed: options.seed,
            deeper_than_m: options.deeper_than_m,
        }
    }
}

/// Forecasts several beds, one after the other.
///
/// `progress` counts the realisations of all of them together.
///
/// # Errors
///
/// As [`Run::run`]; the first that fails ends it. [`Error::OfBed`] says which bed it is, unless
/// the error is of all of them.
///
/// ```
/// use std::ops::ControlFlow;
///
/// use moulder::{Bed, ForecastOptions, forecast_all};
///
/// let beds = [Bed::example(), Bed::example()];
/// let options = ForecastOptions::default().months(2).ensemble_size(10);
/// let forecasts = forecast_all(&beds, &options, &|_done, _of| ControlFlow::Continue(()))?;
/// assert_eq!(forecasts[0], forecasts[1]);
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn forecast_all(
    beds: &[Bed],
    options: &ForecastOptions,
    progress: &Progress<'_>,
) -> Result<Vec<Forecast>, Error> {
    let count = u32::try_from(beds.len()).unwrap_or(u32::MAX);
    (0..)
        .zip(beds.iter().enumerate())
        .map(|(before, (index, bed)): (u32, (usize, &Bed))| {
            let of_all = |done: u32, of: u32| {
                let before = before.saturating_mul(of);
                progress(before.saturating_add(done), count.saturating_mul(of))
            };
            let run = bed.forecast().options(*options).progress(&of_all).run();
            run.map_err(|error| match error {
                // These are of all beds alike.
                Error::Stopped | Error::TooManyMonths { .. } | Error::TooManyDraws { .. } => error,
                error => Error::OfBed {
                    index,
                    name: bed.name.clone(),
                    error: Box::new(error),
                },
            })
        })
        .collect()
}
