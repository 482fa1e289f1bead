//! `moulder report`: a bed's forecast as one page to keep.

use moulder::internals::forecast::day::days;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{TopUpRule, months_measured, top_ups_with_intervals};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder_page::page::{Contents, page};

use crate::arguments::ReportArguments;
use crate::bed_file::BedFile;
use crate::packs::USUAL_MATERIAL;
use crate::progress::Progress;
use crate::trouble::Trouble;
use crate::{assumed, forecast, shelf};

/// Months that the shopping list looks ahead: two springs.
const SHOPPING_MONTHS: u32 = 24;
/// The month by which the widths of defaults are told, if the forecast goes as far: two
/// forecasts each, which would take long over a century.
const WIDTHS_MONTH: u32 = 24;

/// The page.
pub(crate) fn answer(asked: &ReportArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    let material = shelf::one(&asked.bed.shelf, USUAL_MATERIAL)?;
    let draws = Realisations {
        ensemble_size: asked
            .draws
            .unwrap_or_else(|| Realisations::usual_count(&bed)),
        seed: asked.seed,
        ..Realisations::default()
    };
    let refused = |error| forecast::refused(&file.file.name, error);
    let progress = Progress::of(asked.look);
    let mut forecast =
        forecast_with_intervals(&bed, asked.months, draws, &progress.watch()).map_err(refused)?;
    let widths_month = asked.months.min(WIDTHS_MONTH);
    forecast.defaults = assumed::widths(&bed, widths_month, asked.look, &file.file.name)?;
    let rule = TopUpRule::usual(
        &bed,
        &material,
        (months_measured(&bed) + SHOPPING_MONTHS).min(MONTHS_LIMIT),
    );
    let topups = top_ups_with_intervals(&bed, &rule, draws, &progress.watch()).map_err(refused)?;
    Ok(page(&Contents {
        bed: &bed,
        forecast: &forecast,
        widths_month,
        topups: &topups,
        days: &days(&bed).map_err(refused)?,
        file_text: &file.file.text,
    }))
}
