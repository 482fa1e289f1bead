//! `moulder chart`: a forecast as a picture.

use std::iter;
use std::path::PathBuf;

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::topup::TopUpTrigger;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_bridge::recipe::chart::{Drawing, NoDrawing, usual_draws};
use moulder_chart::internals::chart::comparison::BEDS_LIMIT;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::section;
use moulder_chart::{Chart, ChartOptions, Svg, png};

use crate::common::bed_file::{BedArguments, dangers, read_all};
use crate::common::clock::ClockArguments;
use crate::common::number::{draws, height, months, realisations, within};
use crate::common::output::{Output, OutputArguments};
use crate::common::packs::PackArguments;
use crate::print::progress::Progress;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct ChartArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// What to draw
    #[arg(long, value_name = "KIND", default_value = Chart::Height.as_str(), value_parser = kinds())]
    pub(crate) kind: Chart,

    /// For the comparison: a bed to set beside it; may be given three times
    #[arg(long, value_name = "OTHER")]
    pub(crate) beside: Vec<PathBuf>,

    /// For top-ups: lay on as soon as the soil lies this far below the rim, as in "5 cm"; in
    /// the month before spring if nothing is said
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) below: Option<f64>,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// How many months to look ahead, at most 1200 (a hundred years); 24 when nothing is
    /// said, 60 for the cross-section and a comparison, 36 for top-ups, 6 for unknowns, and
    /// for a fit a year beyond the last reading
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    /// For the cross-section: the months since filling that are drawn, such as 0,12,36
    #[arg(long, value_name = "MONTHS", value_delimiter = ',', value_parser = months)]
    pub(crate) at: Vec<u32>,

    /// How many beds like it the range is reckoned from; 0 for one run with the best figures,
    /// no range, which is quick; 64
    /// when nothing is said, 32 for top-ups and a comparison, at least 8 for unknowns, 128 and
    /// at least 100 for a fit
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    /// Another number makes up other beds like it; the same number gives the same range
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Width of the picture, from 320 (a telephone) to 4000; a PNG has twice as many dots
    #[arg(long, value_name = "PIXELS", default_value = "800", value_parser = width)]
    pub(crate) width: u32,

    #[command(flatten)]
    pub(crate) clock: ClockArguments,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// The kinds of charts, with what each shows.
fn kinds() -> impl TypedValueParser<Value = Chart> {
    let value = |chart: &Chart| PossibleValue::new(chart.as_str()).help(chart.about());
    PossibleValuesParser::new(Chart::ALL.iter().map(value)).map(|word| {
        word.parse()
            .expect("the parser lets only listed kinds through")
    })
}

fn width(text: &str) -> Result<u32, String> {
    within(text, Look::NARROWEST, Look::WIDEST)
}

/// Dots of a PNG to a pixel of the SVG: sharp on a good screen and in print.
const DOTS_TO_A_PIXEL: f64 = 2.0;

/// What a file can hold, by its ending.
enum Format {
    Svg,
    Png,
}

impl Format {
    /// The format of where the answer goes; the screen gets SVG.
    fn of(output: &Output) -> Result<Self, Trouble> {
        let Some(name) = output.name() else {
            return Ok(Self::Svg);
        };
        match output.ending().as_deref() {
            Some("svg") => Ok(Self::Svg),
            Some("png") => Ok(Self::Png),
            _ => Err(Trouble::bad_option(
                "--output",
                format!(
                    "{name} does not say what kind of picture it is to be. Let its name end in \
                     .svg (lines, sharp at any size, best for a web page) or .png (dots, for \
                     everything else)."
                ),
            )),
        }
    }
}

/// Draws what was asked for and puts it where it belongs.
pub(crate) fn answer(asked: &ChartArguments) -> Result<(), Trouble> {
    let output = Output::open(
        &asked.output.destination,
        &asked.bed.paths_with(&asked.beside),
    )?;
    let format = Format::of(&output)?;
    check_others(asked)?;
    check_months(asked)?;
    let chart = drawn(asked)?;
    match format {
        Format::Svg => output.put(&chart.file(), ""),
        Format::Png => {
            let picture = png(&chart, DOTS_TO_A_PIXEL).map_err(|error| {
                let said = format!("There is no picture: {error}.");
                Trouble::cannot(Refusal::new(FaultCode::Unfinished, said))
            })?;
            output.put_bytes(&picture, "")
        }
    }
}

impl ChartArguments {
    fn draws(&self) -> Realisations {
        let ensemble_size = match self.kind {
            // The cross-section shows the nominal run alone.
            Chart::Section => 0,
            kind => self.draws.unwrap_or(usual_draws(kind)),
        };
        realisations(ensemble_size, self.seed)
    }
}

/// A comparison needs other beds; only top-ups take a rule. Anything else is refused.
fn check_others(asked: &ChartArguments) -> Result<(), Trouble> {
    if asked.kind != Chart::TopUps {
        if asked.below.is_some() {
            return Err(Trouble::bad_option(
                "--below",
                "--below says when to top up. Leave it out, or add --kind topups.",
            ));
        }
        if asked.packs.is_told() {
            return Err(Trouble::bad_option(
                "--with",
                "--with, --sold-in, --called and --price say what to top up with. Leave them \
                 out, or add --kind topups.",
            ));
        }
    }
    let compares = asked.kind == Chart::Comparison;
    let most = BEDS_LIMIT - 1;
    let said = match asked.beside.len() {
        0 if compares => "A comparison needs another bed. Add --beside and its bed file; up to \
                          three times."
            .to_owned(),
        1.. if !compares => format!(
            "--beside sets a second bed by the first, and the chart \"{}\" is of one bed. \
             Leave it out, or add --kind comparison.",
            asked.kind.as_str()
        ),
        count if count > most => format!(
            "--beside is given {count} times, and a comparison draws at most {BEDS_LIMIT} beds. \
             Leave some out."
        ),
        _ => return Ok(()),
    };
    Err(Trouble::bad_option("--beside", said))
}

/// Only a cross-section takes months of its own: a limited number, none after the last month
/// of the forecast.
fn check_months(asked: &ChartArguments) -> Result<(), Trouble> {
    let Some(last) = asked.at.iter().copied().max() else {
        return Ok(());
    };
    let said = if asked.kind != Chart::Section {
        "--at says which months a cross-section draws, and this chart has them all. Leave it \
         out, or add --kind section."
            .to_owned()
    } else if asked.at.len() > section::PICTURES_LIMIT {
        format!(
            "--at has {} months, and a cross-section draws at most {}. Leave some out.",
            asked.at.len(),
            section::PICTURES_LIMIT
        )
    } else if let Some(months) = asked.months.filter(|months| *months < last) {
        format!(
            "--at asks for month {last}, and --months ends at {months}. Leave --months out: the \
             forecast then goes as far as is drawn."
        )
    } else {
        return Ok(());
    };
    Err(Trouble::bad_option("--at", said))
}

/// Draws what was asked for.
fn drawn(asked: &ChartArguments) -> Result<Svg, Trouble> {
    let paths = iter::once(&asked.bed.bed).chain(&asked.beside);
    let (beds, files) = read_all(&asked.bed, paths)?;
    dangers(&beds, &files, true)?;
    let is_of_topups = asked.kind == Chart::TopUps;
    if is_of_topups {
        asked.packs.only_one()?;
    }
    let material = asked.packs.material(&asked.bed.shelf)?;
    let progress = Progress::of(asked.output.look);
    let watch = &progress.watch();
    let drawing = Drawing {
        chart: asked.kind,
        months: asked.months,
        draws: asked.draws(),
        today: asked.clock.today(),
        rule: &|bed, months| {
            // The default of `moulder topup`: in the month before spring.
            let trigger = asked.below.map_or_else(
                || TopUpTrigger::before_spring(bed.climate().latitude_deg),
                TopUpTrigger::BelowRimM,
            );
            asked.packs.rule(&material, trigger, months)
        },
        options: ChartOptions::default()
            .width_px(asked.width)
            .months(&asked.at),
        last_month: asked.at.iter().copied().max(),
        progress: watch,
    };
    let name = |index: usize| files.get(index).map_or("", |file| file.name.as_str());
    drawing.of(&beds).map_err(|error| match error {
        NoDrawing::Unanswered(Error::OfBed { index, error, .. }) => {
            Trouble::of_error(name(index), &error)
        }
        NoDrawing::Unanswered(error) => Trouble::of_error(name(0), &error),
        NoDrawing::Undrawn(error) => {
            let said = format!("There is no picture: {error}.");
            Trouble::cannot(Refusal::new(FaultCode::Unfinished, said))
        }
    })
}
