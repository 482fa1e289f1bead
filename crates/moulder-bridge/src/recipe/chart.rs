//! Charts, each with the answer that it draws.

use moulder::internals::bed::Bed;
use moulder::internals::compare::height_differences;
use moulder::internals::fault::error::Error;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::fit::{Fitting, fit};
use moulder::internals::forecast::day::days;
use moulder::internals::forecast::progress::Progress;
use moulder::internals::topup::{TopUpRule, nominal_top_ups, top_ups_with_intervals};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::sensitivity::{USUAL_ROWS, sensitivity};
use moulder::{Date, Forecast};
use moulder_chart::{
    Chart, ChartError, ChartOptions, Svg, comparison_svg, fit_svg, sensitivity_svg, svg, topups_svg,
};

use super::ahead::as_of;
use super::feed::doses;

/// Default number of months: as many as in the task that finds what it shows.
#[must_use]
pub const fn usual_months(chart: Chart) -> u32 {
    match chart {
        Chart::Section | Chart::Fit | Chart::Comparison => 60,
        Chart::TopUps => 36,
        Chart::Sensitivity => 6,
        _ => 24,
    }
}

/// Default size of the ensemble.
#[must_use]
pub const fn usual_draws(chart: Chart) -> u32 {
    match chart {
        // The cross-section shows the nominal run alone.
        Chart::Section => 0,
        Chart::Sensitivity => USUAL_ROWS,
        Chart::Fit => 128,
        Chart::TopUps | Chart::Comparison => 32,
        _ => 64,
    }
}

/// What is asked of a chart.
#[allow(missing_debug_implementations, reason = "it holds functions")]
pub struct Drawing<'a> {
    /// What to draw.
    pub chart: Chart,
    /// Months that were asked for; the usual ones where none were.
    pub months: Option<u32>,
    /// The ensemble.
    pub draws: Realisations,
    /// The day to take for today.
    pub today: Date,
    /// How a bed is topped up, for the chart of it.
    pub rule: &'a dyn Fn(&Bed, u32) -> TopUpRule,
    /// Width, and the months of a section.
    pub options: ChartOptions,
    /// Months of a section reach this far.
    pub last_month: Option<u32>,
    /// Called while it runs.
    pub progress: &'a Progress<'a>,
}

/// Why there is no drawing.
#[derive(Debug)]
pub enum NoDrawing {
    /// The answer that it draws could not be found.
    Unanswered(Error),
    /// It could not be drawn.
    Undrawn(ChartError),
}

impl From<Error> for NoDrawing {
    fn from(error: Error) -> Self {
        Self::Unanswered(error)
    }
}

impl From<ChartError> for NoDrawing {
    fn from(error: ChartError) -> Self {
        Self::Undrawn(error)
    }
}

impl Drawing<'_> {
    /// Draws a bed; a comparison draws several.
    ///
    /// # Errors
    ///
    /// Those of the answer that it shows; too few or too many beds.
    pub fn of(&self, beds: &[Bed]) -> Result<Svg, NoDrawing> {
        let Some(bed) = beds.first() else {
            return Err(NoDrawing::Undrawn(ChartError::Beds {
                beds: 0,
                forecasts: 0,
            }));
        };
        let usual = self.last_month.unwrap_or(usual_months(self.chart));
        let months = self.months.unwrap_or(usual);
        let (draws, watch) = (self.draws, self.progress);
        Ok(match self.chart {
            Chart::TopUps => {
                let rule = (self.rule)(bed, months);
                let topups = if draws.ensemble_size == 0 {
                    nominal_top_ups(bed, &rule, watch)
                } else {
                    top_ups_with_intervals(bed, &rule, draws, watch)
                };
                topups_svg(&topups?, &self.options)?
            }
            Chart::Sensitivity => {
                let found = sensitivity(bed, months, draws.ensemble_size, draws.seed, watch)?;
                sensitivity_svg(&found, &self.options)?
            }
            Chart::Fit => {
                let asked = Fitting {
                    months: self.months,
                    ensemble_size: draws.ensemble_size,
                    seed: draws.seed,
                };
                fit_svg(bed, &fit(bed, asked, watch)?, &self.options)?
            }
            Chart::Comparison => self.comparison(beds, months)?,
            _ => self.of_forecast(bed, months)?,
        })
    }

    /// A chart of a bed's forecast.
    fn of_forecast(&self, bed: &Bed, months: u32) -> Result<Svg, NoDrawing> {
        let (draws, watch) = (self.draws, self.progress);
        let forecast = current_forecast(bed, months, draws, watch)?;
        let mut options = self.options.clone().days(days(bed)?);
        // Doses take a range.
        if self.chart == Chart::Nitrogen && draws.ensemble_size > 0 {
            let from = as_of(bed, self.today);
            options = options.feeding(doses(bed, from, draws, None, watch)?);
        }
        Ok(svg(self.chart, bed, &forecast, &options)?)
    }

    /// The heights of several beds.
    fn comparison(&self, beds: &[Bed], months: u32) -> Result<Svg, NoDrawing> {
        let (draws, watch) = (self.draws, self.progress);
        let of_each = |(index, bed): (usize, &Bed)| -> Result<Forecast, Error> {
            let forecast = current_forecast(bed, months, draws, watch);
            forecast.map_err(|error| Error::OfBed {
                index,
                name: bed.name().to_owned(),
                error: Box::new(error),
            })
        };
        let forecasts = beds.iter().enumerate().map(of_each);
        let forecasts = forecasts.collect::<Result<Vec<_>, _>>()?;
        let differences = if draws.ensemble_size == 0 {
            Vec::new()
        } else {
            height_differences(beds, &draws.for_months(months), watch)?
        };
        let days = beds.iter().map(days).collect::<Result<Vec<_>, _>>()?;
        let options = self.options.clone().days_of_beds(days);
        Ok(comparison_svg(beds, &forecasts, &differences, &options)?)
    }
}
