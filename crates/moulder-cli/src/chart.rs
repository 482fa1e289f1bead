//! `moulder chart`: a forecast as a picture.

use std::path::Path;

use moulder::bed::Bed;
use moulder::compare::height_differences;
use moulder::fit::{self, Fitting};
use moulder::forecast::Forecast;
use moulder::influence::influences;
use moulder::normal::quantile;
use moulder::reading_error::TAPE_M;
use moulder::topup::{Policy, Sold, Wish, plan_topups, topups_with_bands};
use moulder::uncertain::{Draws, forecast_with_bands};
use moulder_chart::calendar::Calendar;
use moulder_chart::comparison::{self, BEDS_LIMIT, Comparison};
use moulder_chart::kind::{Kind, Subject, draw};
use moulder_chart::look::Look;
use moulder_chart::raster::png;
use moulder_chart::reading::Reading;
use moulder_chart::svg::Svg;
use moulder_chart::task::Task;
use moulder_chart::{section, topups, unknowns};

use crate::arguments::ChartArguments;
use crate::bed_file::{BedFile, read_all};
use crate::chart_kind::ChartKind;
use crate::output::Output;
use crate::progress::Progress;
use crate::trouble::Trouble;
use crate::{forecast, shelf};

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
            _ => Err(Trouble::bad_input(&format!(
                "{name} does not say what kind of picture it is to be. Let its name end in \
                 .svg (lines, sharp at any size, best for a web page) or .png (dots, for \
                 everything else)."
            ))),
        }
    }
}

/// Draws what was asked for and puts it where it belongs.
pub(crate) fn answer(asked: &ChartArguments) -> Result<(), Trouble> {
    let output = Output::open(&asked.destination, &asked.paths())?;
    let format = Format::of(&output)?;
    check_others(asked)?;
    check_months(asked)?;
    let look = Look::new(asked.width, asked.kind.word());
    let chart = match asked.kind {
        ChartKind::Bed(kind) => of_bed(asked, kind, &look)?,
        ChartKind::Task(task) => of_task(asked, task, &look)?,
    };
    match format {
        Format::Svg => output.put(&chart.file(), ""),
        Format::Png => {
            let picture = png(&chart, DOTS_TO_A_PIXEL)
                .map_err(|error| Trouble::cannot(&format!("There is no picture: {error}.")))?;
            output.put_bytes(&picture, "")
        }
    }
}

impl ChartArguments {
    /// The files that are read.
    fn paths(&self) -> Vec<&Path> {
        let others = self.with.iter().map(AsRef::as_ref);
        self.bed.paths().into_iter().chain(others).collect()
    }

    /// How many months the forecast must have.
    fn months(&self) -> u32 {
        let last = self.at.iter().copied().max();
        let asked = self.months.or(last);
        asked.unwrap_or(self.kind.usual_months())
    }

    fn draws(&self) -> Draws {
        Draws {
            // The cross-section draws the likeliest course alone.
            count: match self.kind {
                ChartKind::Bed(Kind::Section) => 0,
                kind => self.draws.unwrap_or(kind.usual_draws()),
            },
            seed: self.seed,
            ..Draws::default()
        }
    }
}

/// Other beds are for a comparison, which needs them; a rule of topping up is for top-ups.
fn check_others(asked: &ChartArguments) -> Result<(), Trouble> {
    if asked.below.is_some() && asked.kind != ChartKind::Task(Task::Topups) {
        return Err(Trouble::bad_input(
            "--below says when to top up. Leave it out, or add --kind topups.",
        ));
    }
    let compares = asked.kind == ChartKind::Task(Task::Comparison);
    let most = BEDS_LIMIT - 1;
    let said = match asked.with.len() {
        0 if compares => "A comparison needs another bed. Add --with and its bed file; up to \
                          three times."
            .to_owned(),
        1.. if !compares => format!(
            "--with sets a second bed beside the first, and the chart \"{}\" is of one bed. \
             Leave it out, or add --kind comparison.",
            asked.kind.word()
        ),
        count if count > most => format!(
            "--with is given {count} times, and a comparison draws at most {BEDS_LIMIT} beds. \
             Leave some out."
        ),
        _ => return Ok(()),
    };
    Err(Trouble::bad_input(&said))
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
    Err(Trouble::bad_input(&said))
}

/// A chart of a bed's forecast.
fn of_bed(asked: &ChartArguments, kind: Kind, look: &Look) -> Result<Svg, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed, false)?;
    let forecast = forecast_of(asked, &bed, &file.file.name)?;
    let last = f64::from(asked.months());
    let mut readings = readings(&bed);
    readings.retain(|reading| reading.month <= last);
    let subject = Subject {
        bed: &bed,
        forecast: &forecast,
        readings: &readings,
    };
    Ok(if asked.at.is_empty() {
        draw(kind, &subject, look)
    } else {
        section::draw_at(&subject, look, &asked.at)
    })
}

/// What a tape said of it, with where four in five such readings lie.
fn readings(bed: &Bed) -> Vec<Reading> {
    let calendar = Calendar::new(bed.filled, bed.climate.latitude_deg);
    let usual_m = quantile(0.9) * TAPE_M.best;
    let reading = |read: &moulder::bed::Reading| Reading {
        month: calendar.months_to(read.on),
        height_m: read.height_m,
        plus_minus_m: read.give_or_take_m.unwrap_or(usual_m),
    };
    bed.readings.iter().map(reading).collect()
}

fn forecast_of(asked: &ChartArguments, bed: &Bed, name: &str) -> Result<Forecast, Trouble> {
    let mut progress = Progress::of(asked.look);
    forecast_with_bands(bed, asked.months(), asked.draws(), &mut progress)
        .map_err(|error| forecast::refused(name, error))
}

/// A chart of what another task finds, which is asked as its own command asks when nothing
/// is said.
fn of_task(asked: &ChartArguments, task: Task, look: &Look) -> Result<Svg, Trouble> {
    let paths = std::iter::once(&asked.bed.bed).chain(&asked.with);
    let read = read_all(&asked.bed, paths.cloned())?;
    let (beds, names): (Vec<Bed>, Vec<String>) = read.into_iter().unzip();
    let Some((bed, name)) = beds.first().zip(names.first()) else {
        return Err(Trouble::bad_input("There is no bed file."));
    };
    let refused = |error| forecast::refused(name, error);
    let (months, draws) = (asked.months(), asked.draws());
    let mut progress = Progress::of(asked.look);
    match task {
        Task::Topups => {
            let wish = usual_wish(asked, bed)?;
            let topups = if draws.count == 0 {
                plan_topups(bed, &wish, &mut progress)
            } else {
                topups_with_bands(bed, &wish, draws, &mut progress)
            };
            let topups = topups.map_err(refused)?;
            Ok(topups::draw(&topups, bed.climate.latitude_deg, look))
        }
        Task::Unknowns => {
            let found = influences(bed, months, draws.count, draws.seed, &mut progress);
            Ok(unknowns::draw(&found.map_err(refused)?, look))
        }
        Task::Fit => {
            let asked = Fitting {
                months: asked.months,
                draws: draws.count,
                seed: draws.seed,
            };
            let found = fit::fit(bed, asked, &mut progress).map_err(refused)?;
            Ok(moulder_chart::fit::draw(bed, &found, look))
        }
        _ => {
            let mut forecasts = Vec::new();
            for (bed, name) in beds.iter().zip(&names) {
                forecasts.push(forecast_of(asked, bed, name)?);
            }
            let differences = if draws.count == 0 {
                Vec::new()
            } else {
                height_differences(&beds, months, draws, &mut progress).map_err(refused)?
            };
            let pairs: Vec<_> = beds.iter().zip(&forecasts).collect();
            let comparison = Comparison {
                beds: &pairs,
                differences: &differences,
            };
            Ok(comparison::draw(&comparison, look))
        }
    }
}

/// Topsoil in bags of 40 L, in the month before spring if nothing is said, as `moulder
/// topup` has it.
fn usual_wish(asked: &ChartArguments, bed: &Bed) -> Result<Wish, Trouble> {
    Ok(Wish {
        policy: asked.below.map_or_else(
            || Policy::before_spring(bed.climate.latitude_deg),
            Policy::Below,
        ),
        material: shelf::one(&asked.bed.shelf, "loamy topsoil")?,
        sold: Sold {
            name: "bag".to_owned(),
            volume_m3: 0.04,
            price: None,
            delivery: 0.0,
            lead_days: 0,
        },
        most_m: None,
        yearly_budget: None,
        months: asked.months(),
    })
}
