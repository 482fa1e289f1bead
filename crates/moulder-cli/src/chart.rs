//! `moulder chart`: a forecast as a picture.

use moulder::uncertain::{Draws, forecast_with_bands};
use moulder_chart::kind::{Kind, Subject, draw};
use moulder_chart::look::Look;
use moulder_chart::raster::png;
use moulder_chart::section;

use crate::arguments::ChartArguments;
use crate::bed_file::BedFile;
use crate::forecast;
use crate::output::Output;
use crate::progress::Progress;
use crate::trouble::Trouble;

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
    let output = Output::open(&asked.destination, &asked.bed.paths())?;
    let format = Format::of(&output)?;
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed, false)?;
    let months = months(asked)?;
    let draws = Draws {
        // The cross-section draws the likeliest course alone.
        count: if asked.kind == Kind::Section {
            0
        } else {
            asked.draws
        },
        seed: asked.seed,
        ..Draws::default()
    };
    let forecast = forecast_with_bands(&bed, months, draws, &mut Progress::of(asked.look))
        .map_err(|error| forecast::refused(&file.file.name, error))?;
    let subject = Subject {
        bed: &bed,
        forecast: &forecast,
        readings: &[],
    };
    let look = Look::new(asked.width, asked.kind.word());
    let chart = if asked.at.is_empty() {
        draw(asked.kind, &subject, &look)
    } else {
        section::draw_at(&subject, &look, &asked.at)
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

/// How many months the forecast must have.
fn months(asked: &ChartArguments) -> Result<u32, Trouble> {
    let usual = if asked.kind == Kind::Section { 60 } else { 24 };
    let Some(last) = asked.at.iter().copied().max() else {
        return Ok(asked.months.unwrap_or(usual));
    };
    if asked.kind != Kind::Section {
        return Err(Trouble::bad_input(
            "--at says which months a cross-section draws, and this chart has them all. \
             Leave it out, or add --kind section.",
        ));
    }
    if asked.at.len() > section::PICTURES_LIMIT {
        return Err(Trouble::bad_input(&format!(
            "--at has {} months, and a cross-section draws at most {}. Leave some out.",
            asked.at.len(),
            section::PICTURES_LIMIT
        )));
    }
    match asked.months {
        Some(months) if months < last => Err(Trouble::bad_input(&format!(
            "--at asks for month {last}, and --months ends at {months}. Leave --months out: \
             the forecast then goes as far as is drawn."
        ))),
        Some(months) => Ok(months),
        None => Ok(last),
    }
}
