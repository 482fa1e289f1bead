//! `moulder chart`: a forecast as a picture.

use std::path::Path;

use moulder::internals::bed::Bed;
use moulder::internals::compare::height_differences;
use moulder::internals::fault::FaultCode;
use moulder::internals::fit::{self, Fitting};
use moulder::internals::forecast::Forecast;
use moulder::internals::forecast::day::days;
use moulder::internals::topup::{TopUpRule, TopUpTrigger, nominal_top_ups, top_ups_with_intervals};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::internals::uncertainty::sensitivity::sensitivity;
use moulder_chart::chart::comparison::{self, BEDS_LIMIT, Comparison};
use moulder_chart::chart::topups;
use moulder_chart::chart::unknowns;
use moulder_chart::kind::{Kind, draw};
use moulder_chart::plot::look::Look;
use moulder_chart::plot::reading::Reading;
use moulder_chart::section;
use moulder_chart::subject::Subject;
use moulder_chart::svg::document::Svg;
use moulder_chart::svg::raster::png;
use moulder_chart::task::Task;

use crate::arguments::ChartArguments;
use crate::bed_file::{BedFile, read_all};
use crate::chart_kind::ChartKind;
use crate::output::Output;
use crate::progress::Progress;
use crate::refusal::Refusal;
use crate::trouble::Trouble;
use crate::{forecast, notices};

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
    let output = Output::open(&asked.destination, &asked.paths())?;
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
    /// The files that are read.
    fn paths(&self) -> Vec<&Path> {
        let others = self.beside.iter().map(AsRef::as_ref);
        self.bed.paths().into_iter().chain(others).collect()
    }

    /// How many months the forecast must have.
    fn months(&self) -> u32 {
        let last = self.at.iter().copied().max();
        let asked = self.months.or(last);
        asked.unwrap_or(self.kind.usual_months())
    }

    fn draws(&self) -> Realisations {
        Realisations {
            // The cross-section draws the likeliest course alone.
            ensemble_size: match self.kind {
                ChartKind::Bed(Kind::Section) => 0,
                kind => self.draws.unwrap_or(kind.usual_draws()),
            },
            seed: self.seed,
            ..Realisations::default()
        }
    }
}

/// Other beds are for a comparison, which needs them; a rule of topping up is for top-ups.
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

/// Months picked out are for a cross-section, which draws so many and no later ones than it
/// is told to look ahead.
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
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    notices::aside(&notices::first_of(std::iter::once((
        &bed,
        &*file.file.name,
    )))?);
    let forecast = forecast_of(asked, &bed, &file.file.name)?;
    let last = f64::from(asked.months());
    let mut readings = Reading::all_of(&bed);
    readings.retain(|reading| reading.month <= last);
    let days = days(&bed).map_err(|error| forecast::refused(&file.file.name, error))?;
    let subject = Subject {
        bed: &bed,
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
    let progress = Progress::of(asked.look);
    forecast_with_intervals(bed, asked.months(), asked.draws(), &progress.watch())
        .map_err(|error| forecast::refused(name, error))
}

/// A chart of what another task finds, which is asked as its own command asks when nothing
/// is said.
fn of_task(asked: &ChartArguments, task: Task, look: &Look) -> Result<Svg, Trouble> {
    let paths = std::iter::once(&asked.bed.bed).chain(&asked.beside);
    let read = read_all(&asked.bed, paths.cloned())?;
    let read = read.into_iter().map(|(bed, file)| (bed, file.name));
    let (beds, names): (Vec<Bed>, Vec<String>) = read.unzip();
    let Some((bed, name)) = beds.first().zip(names.first()) else {
        let refusal = Refusal::new(FaultCode::MissingOption, "There is no bed file.");
        return Err(Trouble::bad_input(refusal.option("<BED>")));
    };
    let dangers = notices::first_of(beds.iter().zip(names.iter().map(String::as_str)))?;
    notices::aside(&dangers);
    let refused = |error| forecast::refused(name, error);
    let (months, draws) = (asked.months(), asked.draws());
    let progress = Progress::of(asked.look);
    match task {
        Task::Topups => {
            let rule = rule(asked, bed)?;
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
            for (bed, name) in beds.iter().zip(&names) {
                forecasts.push(forecast_of(asked, bed, name)?);
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

/// As `moulder topup` has it when nothing else is said: in the month before spring.
fn rule(asked: &ChartArguments, bed: &Bed) -> Result<TopUpRule, Trouble> {
    Ok(TopUpRule {
        trigger: asked.below.map_or_else(
            || TopUpTrigger::before_spring(bed.climate().latitude_deg),
            TopUpTrigger::BelowRimM,
        ),
        material: asked.packs.material(&asked.bed.shelf)?,
        package: asked.packs.sold(),
        most_m: None,
        yearly_budget: None,
        months: asked.months(),
    })
}
