//! `moulder report`: a bed's forecast as one page to keep, its first sheet complete in itself.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use moulder::internals::bed::Bed;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_bridge::recipe::report::Report;
use moulder_page::paper::Paper;

use crate::common::bed_file::{BedArguments, read_all};
use crate::common::bed_paths::bed_paths;
use crate::common::clock::ClockArguments;
use crate::common::feed::FeedArguments;
use crate::common::number::{SeedArguments, draws, realisations, some_months};
use crate::common::output::OutputArguments;
use crate::common::packs::OrderArguments;
use crate::common::short_answer::have_prices;
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
    const fn paper(self) -> Paper {
        match self {
            Self::A4 => Paper::A4,
            Self::Letter => Paper::Letter,
            Self::A5 => Paper::A5,
        }
    }
}

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
    if shares {
        have_prices(&buying)?;
    }
    let progress = Progress::of(asked.output.look);
    let watch = &progress.watch();
    let report = Report {
        today: asked.clock.today(),
        months: asked.months,
        is_full: asked.full,
        paper: asked.paper.map(PaperName::paper),
        draws: &|bed| {
            let usual = || Realisations::usual_count(bed);
            realisations(asked.draws.unwrap_or_else(usual), asked.seed.seed)
        },
        feed_share: asked.feed.share(),
        rule: &|trigger, months| asked.order.rule(&material, trigger, months, shares),
        buying: shares.then_some(&buying),
        progress: watch,
    };
    let text = match files.as_slice() {
        [only] if !asked.one_sheet => Some(only.text.as_str()),
        _ => None,
    };
    report.page(&beds, text).map_err(|error| match error {
        Error::OfBed { index, error, .. } => {
            let name = files.get(index).map_or("", |file| file.name.as_str());
            Trouble::of_error(name, &error)
        }
        other => Trouble::of_error("", &other),
    })
}
