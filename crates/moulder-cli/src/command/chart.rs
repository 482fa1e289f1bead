//! `moulder chart`: a forecast as a picture.

use std::path::PathBuf;

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use moulder::internals::bed::Bed;
use moulder::internals::compare::height_differences;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::fit::{self, Fitting};
use moulder::internals::forecast::Forecast;
use moulder::internals::forecast::day::days;
use moulder::internals::topup::{TopUpTrigger, nominal_top_ups, top_ups_with_intervals};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::internals::uncertainty::sensitivity::sensitivity;
use moulder_chart::chart::comparison::{self, BEDS_LIMIT, Comparison};
use moulder_chart::chart::{topups, unknowns};
use moulder_chart::kind::{Kind, draw};
use moulder_chart::plot::look::Look;
use moulder_chart::plot::reading::Reading;
use moulder_chart::section;
use moulder_chart::subject::Subject;
use moulder_chart::svg::document::Svg;
use moulder_chart::svg::raster::png;
use moulder_chart::task::Task;

use crate::common::bed_file::{BedArguments, dangers, read_all};
use crate::common::number::{draws, height, months, realisations, within};
use crate::common::output::{Output, OutputArguments};
use crate::common::packs::PackArguments;
use crate::print::notices;
use crate::print::progress::Progress;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct ChartArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// What to draw
    #[arg(long, value_name = "KIND", default_value = ChartKind::USUAL.as_str(), value_parser = kinds())]
    pub(crate) kind: ChartKind,

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

    /// How many draws the range rests on; 0 for the middle line alone, which is quick; 100
    /// when nothing is said, 40 for top-ups and a comparison, 64 and at least 8 for unknowns,
    /// 500 and at least 100 for a fit
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    /// Seed of the draws: the same seed gives the same range
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Width of the picture, from 320 (a telephone) to 4000; a PNG has twice as many dots
    #[arg(long, value_name = "PIXELS", default_value = "800", value_parser = width)]
    pub(crate) width: u32,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// The kinds of charts, with what each shows.
fn kinds() -> impl TypedValueParser<Value = ChartKind> {
    let listed = ChartKind::all().map(|kind| PossibleValue::new(kind.as_str()).help(kind.about()));
    PossibleValuesParser::new(listed)
        .map(|word| ChartKind::named(&word).expect("the parser lets only listed kinds through"))
}

fn width(text: &str) -> Result<u32, String> {
    within(text, Look::NARROWEST, Look::WIDEST)
}

/// A kind of chart: of a bed's forecast, or of what another task finds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ChartKind {
    Bed(Kind),
    Task(Task),
}

impl ChartKind {
    /// The default.
    pub(crate) const USUAL: Self = Self::Bed(Kind::Height);

    /// All there are.
    pub(crate) fn all() -> impl Iterator<Item = Self> {
        let of_beds = Kind::ALL.iter().copied().map(Self::Bed);
        of_beds.chain(Task::ALL.iter().copied().map(Self::Task))
    }

    /// The word it is asked for by.
    pub(crate) const fn as_str(self) -> &'static str {
        match self {
            Self::Bed(kind) => kind.as_str(),
            Self::Task(task) => task.as_str(),
        }
    }

    /// What it shows, in a few words.
    pub(crate) const fn about(self) -> &'static str {
        match self {
            Self::Bed(kind) => kind.about(),
            Self::Task(task) => task.about(),
        }
    }

    /// The kind of that word.
    pub(crate) fn named(word: &str) -> Option<Self> {
        Self::all().find(|kind| kind.as_str() == word)
    }

    /// Default number of months: as many as in the command that finds what it shows.
    pub(crate) const fn usual_months(self) -> u32 {
        match self {
            Self::Bed(Kind::Section) => 60,
            Self::Bed(_) => 24,
            Self::Task(Task::Topups) => 36,
            Self::Task(Task::Sensitivity) => 6,
            Self::Task(_) => 60,
        }
    }

    /// Default size of the ensemble.
    pub(crate) const fn usual_draws(self) -> u32 {
        match self {
            Self::Bed(_) => 100,
            Self::Task(Task::Sensitivity) => {
                moulder::internals::uncertainty::sensitivity::USUAL_ROWS
            }
            Self::Task(Task::Fit) => 500,
            Self::Task(_) => 40,
        }
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
    let chart = match asked.kind {
        ChartKind::Bed(kind) => of_bed(asked, kind, &look)?,
        ChartKind::Task(task) => of_task(asked, task, &look)?,
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
        asked.unwrap_or(self.kind.usual_months())
    }

    fn draws(&self) -> Realisations {
        let ensemble_size = match self.kind {
            // The cross-section shows the nominal run alone.
            ChartKind::Bed(Kind::Section) => 0,
            kind => self.draws.unwrap_or(kind.usual_draws()),
        };
        realisations(ensemble_size, self.seed)
    }
}

/// A comparison needs other beds; only top-ups take a rule. Anything else is refused.
fn check_others(asked: &ChartArguments) -> Result<(), Trouble> {
    if asked.kind != ChartKind::Task(Task::Topups) {
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
    let compares = asked.kind == ChartKind::Task(Task::Comparison);
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
    let said = if asked.kind != ChartKind::Bed(Kind::Section) {
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
fn of_bed(asked: &ChartArguments, kind: Kind, look: &Look) -> Result<Svg, Trouble> {
    let read = asked.bed.read()?;
    let bed = &read.bed;
    notices::aside(&read.dangers()?);
    let forecast = forecast_of(asked, bed, read.name())?;
    let last = f64::from(asked.months());
    let mut readings = Reading::all_of(bed);
    readings.retain(|reading| reading.month <= last);
    let days = days(bed).map_err(|error| read.refused(&error))?;
    let subject = Subject {
        bed,
        forecast: &forecast,
        readings: &readings,
        days: &days,
    };
    Ok(if asked.at.is_empty() {
        draw(kind, &subject, look)
    } else {
        section::draw_at(&subject, look, &asked.at)
    })
}

fn forecast_of(asked: &ChartArguments, bed: &Bed, name: &str) -> Result<Forecast, Trouble> {
    let progress = Progress::of(asked.output.look);
    forecast_with_intervals(bed, asked.months(), asked.draws(), &progress.watch())
        .map_err(|error| Trouble::of_error(name, &error))
}

/// A chart of the result of another task, with the defaults of that task's command.
fn of_task(asked: &ChartArguments, task: Task, look: &Look) -> Result<Svg, Trouble> {
    let paths = std::iter::once(&asked.bed.bed).chain(&asked.beside);
    let (beds, files) = read_all(&asked.bed, paths)?;
    let Some((bed, file)) = beds.first().zip(files.first()) else {
        let refusal = Refusal::new(FaultCode::MissingOption, "There is no bed file.");
        return Err(Trouble::bad_input(refusal.option("<BED>")));
    };
    notices::aside(&dangers(&beds, &files)?);
    let refused = |error: Error| Trouble::of_error(&file.name, &error);
    let (months, draws) = (asked.months(), asked.draws());
    let progress = Progress::of(asked.output.look);
    match task {
        Task::Topups => {
            // The default of `moulder topup`: in the month before spring.
            let trigger = asked.below.map_or_else(
                || TopUpTrigger::before_spring(bed.climate().latitude_deg),
                TopUpTrigger::BelowRimM,
            );
            let material = asked.packs.material(&asked.bed.shelf)?;
            let rule = asked.packs.rule(&material, trigger, months);
            let topups = if draws.ensemble_size == 0 {
                nominal_top_ups(bed, &rule, &progress.watch())
            } else {
                top_ups_with_intervals(bed, &rule, draws, &progress.watch())
            };
            let topups = topups.map_err(refused)?;
            Ok(topups::draw(&topups, bed.climate().latitude_deg, look))
        }
        Task::Sensitivity => {
            let found = sensitivity(
                bed,
                months,
                draws.ensemble_size,
                draws.seed,
                &progress.watch(),
            );
            Ok(unknowns::draw(&found.map_err(refused)?, look))
        }
        Task::Fit => {
            let asked = Fitting {
                months: asked.months,
                ensemble_size: draws.ensemble_size,
                seed: draws.seed,
            };
            let found = fit::fit(bed, asked, &progress.watch()).map_err(refused)?;
            Ok(moulder_chart::chart::fit::draw(bed, &found, look))
        }
        _ => {
            let mut forecasts = Vec::new();
            for (bed, file) in beds.iter().zip(&files) {
                forecasts.push(forecast_of(asked, bed, &file.name)?);
            }
            let differences = if draws.ensemble_size == 0 {
                Vec::new()
            } else {
                height_differences(&beds, months, draws, &progress.watch()).map_err(refused)?
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
                })
                .collect();
            let comparison = Comparison {
                beds: &subjects,
                differences: &differences,
            };
            Ok(comparison::draw(&comparison, look))
        }
    }
}
