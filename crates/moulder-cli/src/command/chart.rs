//! `moulder chart`: a forecast as a picture.

use std::path::PathBuf;

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use moulder::internals::compare::height_differences;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::fit::{self, Fitting};
use moulder::internals::forecast::day::days;
use moulder::internals::topup::{TopUpTrigger, nominal_top_ups, top_ups_with_intervals};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::sensitivity::{USUAL_ROWS, sensitivity};
use moulder_chart::internals::chart::comparison::{self, BEDS_LIMIT, Comparison};
use moulder_chart::internals::chart::{self, topups, unknowns};
use moulder_chart::internals::kind::of_forecast;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::plot::reading::Reading;
use moulder_chart::internals::section;
use moulder_chart::internals::subject::Subject;
use moulder_chart::{Chart, Svg, png};

use crate::common::bed_file::{BedArguments, dangers, read_all};
use crate::common::clock::ClockArguments;
use crate::common::feed::FeedArguments;
use crate::common::number::{draws, height, months, realisations, within};
use crate::common::output::{Output, OutputArguments};
use crate::common::packs::PackArguments;
use crate::common::short_answer::as_of;
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

/// Default number of months: as many as in the command that finds what it shows.
const fn usual_months(chart: Chart) -> u32 {
    match chart {
        Chart::Section | Chart::Fit | Chart::Comparison => 60,
        Chart::TopUps => 36,
        Chart::Sensitivity => 6,
        _ => 24,
    }
}

/// Default size of the ensemble.
const fn usual_draws(chart: Chart) -> u32 {
    match chart {
        Chart::Sensitivity => USUAL_ROWS,
        Chart::Fit => 128,
        Chart::TopUps | Chart::Comparison => 32,
        _ => 64,
    }
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
    let look = Look::new(asked.width, asked.kind.as_str());
    let chart = if Chart::OF_A_FORECAST.contains(&asked.kind) {
        of_bed(asked, &look)?
    } else {
        of_task(asked, &look)?
    };
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
    /// How many months the forecast must have.
    fn months(&self) -> u32 {
        let last = self.at.iter().copied().max();
        let asked = self.months.or(last);
        asked.unwrap_or(usual_months(self.kind))
    }

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

/// A chart of a bed's forecast.
fn of_bed(asked: &ChartArguments, look: &Look) -> Result<Svg, Trouble> {
    let read = asked.bed.read()?;
    let bed = &read.bed;
    read.dangers(true)?;
    let forecast = read.run(asked.output.look, |bed, watch| {
        current_forecast(bed, asked.months(), asked.draws(), watch)
    })?;
    let last = f64::from(asked.months());
    let mut readings = Reading::all_of(bed);
    readings.retain(|reading| reading.month <= last);
    let days = days(bed).map_err(|error| read.refused(&error))?;
    let feeding = match asked.kind {
        // Doses take a range.
        Chart::Nitrogen if asked.draws().ensemble_size > 0 => {
            read.run(asked.output.look, |bed, watch| {
                let from = as_of(bed, asked.clock.today());
                let doses = FeedArguments::default().doses(bed, from, asked.draws(), watch);
                doses.map(Some)
            })?
        }
        _ => None,
    };
    let subject = Subject {
        bed,
        forecast: &forecast,
        readings: &readings,
        days: &days,
        feeding: feeding.as_ref(),
    };
    if !asked.at.is_empty() {
        return Ok(section::svg_at(&subject, look, &asked.at));
    }
    let svg = of_forecast(asked.kind, &subject, look);
    Ok(svg.expect("it is one of those that are drawn from a forecast"))
}

/// A chart of the result of another task, with the defaults of that task's command.
fn of_task(asked: &ChartArguments, look: &Look) -> Result<Svg, Trouble> {
    let paths = std::iter::once(&asked.bed.bed).chain(&asked.beside);
    let (beds, files) = read_all(&asked.bed, paths)?;
    let Some((bed, file)) = beds.first().zip(files.first()) else {
        let refusal = Refusal::new(FaultCode::MissingOption, "There is no bed file.");
        return Err(Trouble::bad_input(refusal.option("<BED>")));
    };
    dangers(&beds, &files, true)?;
    let refused = |error: Error| Trouble::of_error(&file.name, &error);
    let (months, draws) = (asked.months(), asked.draws());
    let progress = Progress::of(asked.output.look);
    match asked.kind {
        Chart::TopUps => {
            // The default of `moulder topup`: in the month before spring.
            let trigger = asked.below.map_or_else(
                || TopUpTrigger::before_spring(bed.climate().latitude_deg),
                TopUpTrigger::BelowRimM,
            );
            asked.packs.only_one()?;
            let material = asked.packs.material(&asked.bed.shelf)?;
            let rule = asked.packs.rule(&material, trigger, months);
            let topups = if draws.ensemble_size == 0 {
                nominal_top_ups(bed, &rule, &progress.watch())
            } else {
                top_ups_with_intervals(bed, &rule, draws, &progress.watch())
            };
            let topups = topups.map_err(refused)?;
            Ok(topups::svg(&topups, look))
        }
        Chart::Sensitivity => {
            let found = sensitivity(
                bed,
                months,
                draws.ensemble_size,
                draws.seed,
                &progress.watch(),
            );
            Ok(unknowns::svg(&found.map_err(refused)?, look))
        }
        Chart::Fit => {
            let asked = Fitting {
                months: asked.months,
                ensemble_size: draws.ensemble_size,
                seed: draws.seed,
            };
            let found = fit::fit(bed, asked, &progress.watch()).map_err(refused)?;
            Ok(chart::fit::svg(bed, &found, look))
        }
        _ => {
            let mut forecasts = Vec::new();
            for (bed, file) in beds.iter().zip(&files) {
                let progress = Progress::of(asked.output.look);
                let forecast = current_forecast(bed, months, draws, &progress.watch());
                forecasts.push(forecast.map_err(|error| Trouble::of_error(&file.name, &error))?);
            }
            let differences = if draws.ensemble_size == 0 {
                Vec::new()
            } else {
                height_differences(&beds, &draws.for_months(months), &progress.watch())
                    .map_err(refused)?
            };
            let days = beds.iter().map(days).collect::<Result<Vec<_>, _>>();
            let days = days.map_err(refused)?;
            let subjects: Vec<Subject<'_>> = beds
                .iter()
                .zip(&forecasts)
                .zip(&days)
                .map(|((bed, forecast), days)| Subject {
                    bed,
                    forecast,
                    readings: &[],
                    days,
                    feeding: None,
                })
                .collect();
            let comparison = Comparison {
                beds: &subjects,
                differences: &differences,
            };
            Ok(comparison::svg(&comparison, look))
        }
    }
}
