//! `moulder report`: a bed's forecast as one page to keep.

use clap::Args;
use moulder::internals::fault::error::Error;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::day::days;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{TopUpRule, forecast_and_top_ups, months_measured};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_page::page::{Contents, page};

use crate::common::assumed;
use crate::common::bed_file::BedArguments;
use crate::common::feed::FeedArguments;
use crate::common::number::{SeedArguments, draws, realisations, some_months};
use crate::common::output::OutputArguments;
use crate::common::packs::USUAL_MATERIAL;
use crate::print::progress::Progress;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
#[command(after_help = "\
The page is one HTML file for any browser, on a phone, a screen or paper. It holds all \
it needs: nothing is fetched, and it has no script.")]
pub(crate) struct ReportArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months to look ahead, at most 1200 (a hundred years); the shopping list is
    /// always of two years
    #[arg(long, value_name = "N", default_value = "24", value_parser = some_months)]
    pub(crate) months: u32,

    /// How many beds like it the ranges are reckoned from; 0 for one run with the best
    /// figures, no range, which is quick; 64 if
    /// nothing is said, and fewer for a bed of more than 200 ingredients
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    #[command(flatten)]
    pub(crate) feed: FeedArguments,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// Months that the shopping list looks ahead: two springs.
const SHOPPING_MONTHS: u32 = 24;
/// The month for which the widths of defaults are computed, if the forecast goes as far: two
/// forecasts each, which would take long over a century.
const WIDTHS_MONTH: u32 = 24;

/// The page.
pub(crate) fn answer(asked: &ReportArguments) -> Result<String, Trouble> {
    let read = asked.bed.read()?;
    let bed = &read.bed;
    let material = asked.bed.shelf.material(USUAL_MATERIAL)?;
    let usual = || Realisations::usual_count(bed);
    let draws = realisations(asked.draws.unwrap_or_else(usual), asked.seed.seed);
    let refused = |error: Error| read.refused(&error);
    let progress = Progress::of(asked.output.look);
    let rule = TopUpRule::usual(
        bed,
        &material,
        (months_measured(bed) + SHOPPING_MONTHS).min(MONTHS_LIMIT),
    );
    let (mut forecast, topups) =
        forecast_and_top_ups(bed, &rule, draws, &progress.watch()).map_err(refused)?;
    if rule.months != asked.months {
        forecast =
            current_forecast(bed, asked.months, draws, &progress.watch()).map_err(refused)?;
    }
    // The weight on a deck is told with the top-ups.
    for notice in &mut forecast.notices {
        let mut dangers = topups.dangers.iter();
        if let Some(danger) = dangers.find(|danger| danger.code == notice.code) {
            danger.clone_into(notice);
        }
    }
    let widths_month = asked.months.min(WIDTHS_MONTH);
    forecast.defaults = assumed::widths(&read, widths_month, asked.output.look)?;
    let feeding = asked
        .feed
        .where_short(bed, &forecast, draws, &progress.watch())
        .map_err(refused)?;
    Ok(page(&Contents {
        bed,
        forecast: &forecast,
        widths_month,
        topups: &topups,
        feeding: feeding.as_ref(),
        days: &days(bed).map_err(refused)?,
        file_text: &read.file.file.text,
    }))
}
