//! The page of a bed, or of several with one order for all.

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::feeding::Feeding;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::calendar::{month_day, months_to};
use moulder::internals::forecast::day::{Day, days};
use moulder::internals::forecast::progress::Progress;
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{Buying, TopUpTrigger, TopUps, forecast_and_top_ups};
use moulder::internals::uncertainty::default_width::defaults_with_widths;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::{Date, Forecast};
use moulder_page::page::{Contents, More, page};
use moulder_page::paper::Paper;
use moulder_page::sheet::FirstSheet;

use super::ahead::{Ahead, Rule, ahead, as_of, one_order};
use super::feed::doses;

/// Months that the shopping list looks ahead: two springs.
const SHOPPING_MONTHS: u32 = 24;
/// The month for which the widths of defaults are computed, if the forecast goes as far: two
/// forecasts each, which would take long over a century.
const WIDTHS_MONTH: u32 = 24;

/// What is asked of a page.
#[allow(missing_debug_implementations, reason = "it holds functions")]
pub struct Report<'a> {
    /// The day to take for today.
    pub today: Date,
    /// Months that the part after the first sheet looks ahead.
    pub months: u32,
    /// Whether every chart, column and source is shown.
    pub is_full: bool,
    /// The paper; by the units where none was asked for.
    pub paper: Option<Paper>,
    /// Ensemble of a bed.
    pub draws: &'a dyn Fn(&Bed) -> Realisations,
    /// Nitrogen in the feed that doses are told in; share of its weight.
    pub feed_share: Option<f64>,
    /// By which rule beds are topped up.
    pub rule: &'a Rule<'a>,
    /// How it is bought, where beds share orders.
    pub buying: Option<&'a Buying>,
    /// Called while it runs.
    pub progress: &'a Progress<'a>,
}

impl Report<'_> {
    /// The page of beds: a first sheet each; of a single one the rest follows, with the text of
    /// its document, where that is given.
    ///
    /// # Errors
    ///
    /// Those of its parts, with the bed.
    pub fn page(&self, beds: &[Bed], text: Option<&str>) -> Result<String, Error> {
        let mut sheets = Vec::new();
        for (index, bed) in beds.iter().enumerate() {
            sheets.push(self.sheet(bed).map_err(|error| of_bed(index, bed, error))?);
        }
        let rest = match (beds, text) {
            ([bed], Some(text)) => Some((self.rest(bed).map_err(|e| of_bed(0, bed, e))?, text)),
            _ => None,
        };
        let plans: Vec<TopUps> = sheets
            .iter()
            .map(|(ahead, _)| ahead.topups.clone())
            .collect();
        let one_order = self.buying.map(|buying| one_order(buying, beds, &plans));
        let one_order = one_order.transpose()?;
        let first = beds
            .iter()
            .zip(&sheets)
            .map(|(bed, (ahead, feeding))| FirstSheet {
                bed,
                forecast: &ahead.forecast,
                topups: &ahead.topups,
                feeding: feeding.as_ref(),
                as_of: ahead.as_of,
            });
        let first: Vec<FirstSheet<'_>> = first.collect();
        let units = beds.first().map_or(Units::Metric, Bed::units);
        let usual = match units {
            Units::Us => Paper::Letter,
            _ => Paper::A4,
        };
        Ok(page(&Contents {
            sheets: &first,
            one_order: one_order.as_deref(),
            more: rest
                .as_ref()
                .map(|(rest, text)| rest.more(text, self.is_full)),
            paper: self.paper.unwrap_or(usual),
        }))
    }

    /// What a first sheet is made from.
    fn sheet(&self, bed: &Bed) -> Result<(Ahead, Option<Feeding>), Error> {
        let draws = (self.draws)(bed);
        let ahead = ahead(bed, self.rule, draws, self.today, self.progress)?;
        // Doses take a range.
        let is_fed = draws.ensemble_size > 0;
        let feeding =
            is_fed.then(|| doses(bed, ahead.as_of, draws, self.feed_share, self.progress));
        Ok((ahead, feeding.transpose()?))
    }

    /// What follows it.
    fn rest(&self, bed: &Bed) -> Result<Rest, Error> {
        let (draws, watch) = ((self.draws)(bed), self.progress);
        let as_of = as_of(bed, self.today);
        let reached = |months| months_to(bed.filled(), month_day(as_of, months));
        let trigger = TopUpTrigger::before_spring(bed.climate().latitude_deg);
        let rule = (self.rule)(trigger, reached(SHOPPING_MONTHS)?).as_of(as_of);
        let (mut forecast, topups) = forecast_and_top_ups(bed, &rule, draws, watch)?;
        let months = reached(self.months).unwrap_or(MONTHS_LIMIT);
        if rule.months != months {
            forecast = current_forecast(bed, months, draws, watch)?;
        }
        let widths_month = months.min(WIDTHS_MONTH);
        forecast.defaults = defaults_with_widths(bed, widths_month, watch)?;
        Ok(Rest {
            forecast,
            widths_month,
            topups,
            days: days(bed)?,
        })
    }
}

/// An error about one of the beds.
fn of_bed(index: usize, bed: &Bed, error: Error) -> Error {
    Error::OfBed {
        index,
        name: bed.name().to_owned(),
        error: Box::new(error),
    }
}

/// What follows the first sheet of a bed.
struct Rest {
    forecast: Forecast,
    widths_month: u32,
    topups: TopUps,
    days: Vec<Day>,
}

impl Rest {
    fn more<'a>(&'a self, file_text: &'a str, is_full: bool) -> More<'a> {
        More {
            forecast: &self.forecast,
            widths_month: self.widths_month,
            topups: &self.topups,
            days: &self.days,
            file_text,
            is_full,
        }
    }
}
