//! `moulder report`: a bed's forecast as one page to keep, its first sheet complete in itself.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use moulder::Forecast;
use moulder::internals::bed::Bed;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::feeding::Feeding;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::calendar::{month_day, months_to};
use moulder::internals::forecast::day::{Day, days};
use moulder::internals::library::material::Material;
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{TopUpRule, TopUpTrigger, TopUps, forecast_and_top_ups};
use moulder::internals::uncertainty::default_width::defaults_with_widths;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_page::page::{Contents, More, page};
use moulder_page::paper::Paper;
use moulder_page::sheet::FirstSheet;

use crate::common::bed_file::{BedArguments, read_all};
use crate::common::bed_paths::bed_paths;
use crate::common::clock::ClockArguments;
use crate::common::feed::FeedArguments;
use crate::common::number::{SeedArguments, draws, realisations, some_months};
use crate::common::output::OutputArguments;
use crate::common::packs::OrderArguments;
use crate::common::short_answer::{Ahead, ahead, as_of, one_order};
use crate::common::text_file::TextFile;
use crate::print::progress::Progress;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
#[command(after_help = "\
The page is one HTML file for any browser, on a phone, a screen or paper. It holds all \
it needs: nothing is fetched, and it has no script. Its first sheet stands alone; of several \
beds it has a first sheet each, and one order for all.\n\nFor example: moulder report \
my-bed.toml --one-sheet --paper a5 -o sheet.html")]
pub(crate) struct ReportArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// More bed files; a folder stands for all bed files in it
    #[arg(value_name = "MORE")]
    pub(crate) more: Vec<PathBuf>,

    /// The first sheet alone
    #[arg(long, conflicts_with = "full")]
    pub(crate) one_sheet: bool,

    /// Every chart, column and source, which few read
    #[arg(long)]
    pub(crate) full: bool,

    #[arg(
        long,
        value_enum,
        value_name = "PAPER",
        hide_possible_values = true,
        help = "The paper it is printed on: a4, letter or a5; letter for US units and else a4 if \
                  nothing is said"
    )]
    pub(crate) paper: Option<PaperName>,

    /// How many months to look ahead from today, at most 1200 (a hundred years); the shopping
    /// list is always of two years
    #[arg(long, value_name = "N", default_value = "24", value_parser = some_months)]
    pub(crate) months: u32,

    #[command(flatten)]
    pub(crate) order: OrderArguments,

    #[command(flatten)]
    pub(crate) feed: FeedArguments,

    /// How many beds like it the ranges are reckoned from; 0 for one run with the best
    /// figures, no range, which is quick; 64 if
    /// nothing is said, and fewer for a bed of more than 200 ingredients
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    #[command(flatten)]
    pub(crate) clock: ClockArguments,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperName {
    /// 210 by 297 mm
    A4,
    /// 8 1/2 by 11 in
    Letter,
    /// 148 by 210 mm
    A5,
}

impl PaperName {
    /// That which was asked for, or the usual one of those units.
    fn paper(asked: Option<Self>, units: Units) -> Paper {
        match asked {
            Some(Self::Letter) => Paper::Letter,
            Some(Self::A5) => Paper::A5,
            None if units == Units::Us => Paper::Letter,
            Some(Self::A4) | None => Paper::A4,
        }
    }
}

/// Months that the shopping list looks ahead: two springs.
const SHOPPING_MONTHS: u32 = 24;
/// The month for which the widths of defaults are computed, if the forecast goes as far: two
/// forecasts each, which would take long over a century.
const WIDTHS_MONTH: u32 = 24;

/// The page.
pub(crate) fn answer(asked: &ReportArguments) -> Result<String, Trouble> {
    let (beds, files) = read_all(&asked.bed, &bed_paths(&asked.bed, &asked.more)?)?;
    if asked.full && beds.len() > 1 {
        let said = "Several beds get a first sheet each. Ask for the rest of one bed at a time.";
        let refusal = Refusal::new(FaultCode::TooMany, said.to_owned());
        return Err(Trouble::bad_input(refusal.option("--full")));
    }
    let material = asked.order.packs.material(&asked.bed.shelf)?;
    let buying = asked.order.buying()?;
    let shares = buying.ways.len() > 1 || beds.iter().map(Bed::count).sum::<u32>() > 1;
    let told = Told {
        asked,
        material: &material,
        shares,
        progress: &Progress::of(asked.output.look),
    };
    let mut sheets = Vec::new();
    for (bed, file) in beds.iter().zip(&files) {
        let refused = |error: Error| Trouble::of_error(&file.name, &error);
        sheets.push(told.sheet(bed).map_err(refused)?);
    }
    let rest = match (beds.as_slice(), files.as_slice()) {
        ([bed], [file]) if !asked.one_sheet => {
            let refused = |error: Error| Trouble::of_error(&file.name, &error);
            Some((told.rest(bed).map_err(refused)?, file))
        }
        _ => None,
    };
    let plans: Vec<TopUps> = sheets
        .iter()
        .map(|(ahead, _)| ahead.topups.clone())
        .collect();
    let one_order = shares.then(|| one_order(&buying, &beds, &plans));
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
    Ok(page(&Contents {
        sheets: &first,
        one_order: one_order.as_deref(),
        more: rest
            .as_ref()
            .map(|(rest, file)| rest.more(file, asked.full)),
        paper: PaperName::paper(asked.paper, units),
    }))
}

/// What all sheets of a page have in common.
struct Told<'a> {
    asked: &'a ReportArguments,
    material: &'a Material,
    /// Whether beds share orders.
    shares: bool,
    progress: &'a Progress,
}

impl Told<'_> {
    fn rule(&self, trigger: TopUpTrigger, months: u32) -> TopUpRule {
        let order = &self.asked.order;
        order.rule(self.material, trigger, months, self.shares)
    }

    fn draws(&self, bed: &Bed) -> Realisations {
        let usual = || Realisations::usual_count(bed);
        realisations(self.asked.draws.unwrap_or_else(usual), self.asked.seed.seed)
    }

    /// What a first sheet is made from.
    fn sheet(&self, bed: &Bed) -> Result<(Ahead, Option<Feeding>), Error> {
        let (asked, draws, watch) = (self.asked, self.draws(bed), &self.progress.watch());
        let today = asked.clock.today();
        let rule = |trigger, months| self.rule(trigger, months);
        let ahead = ahead(bed, &rule, draws, today, watch)?;
        // Doses take a range.
        let is_fed = draws.ensemble_size > 0;
        let feeding = is_fed.then(|| asked.feed.doses(bed, ahead.as_of, draws, watch));
        Ok((ahead, feeding.transpose()?))
    }

    /// What follows it.
    fn rest(&self, bed: &Bed) -> Result<Rest, Error> {
        let (asked, draws, watch) = (self.asked, self.draws(bed), &self.progress.watch());
        let as_of = as_of(bed, asked.clock.today());
        let reached = |months| months_to(bed.filled(), month_day(as_of, months));
        let trigger = TopUpTrigger::before_spring(bed.climate().latitude_deg);
        let rule = self.rule(trigger, reached(SHOPPING_MONTHS)?).as_of(as_of);
        let (mut forecast, topups) = forecast_and_top_ups(bed, &rule, draws, watch)?;
        let months = reached(asked.months).unwrap_or(MONTHS_LIMIT);
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

/// What follows the first sheet of a bed.
struct Rest {
    forecast: Forecast,
    widths_month: u32,
    topups: TopUps,
    days: Vec<Day>,
}

impl Rest {
    fn more<'a>(&'a self, file: &'a TextFile, is_full: bool) -> More<'a> {
        More {
            forecast: &self.forecast,
            widths_month: self.widths_month,
            topups: &self.topups,
            days: &self.days,
            file_text: &file.text,
            is_full,
        }
    }
}
