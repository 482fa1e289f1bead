//! `moulder chart`: a forecast as a picture.

use moulder::uncertain::{Draws, forecast_with_bands};
use moulder_chart::kind::{Subject, draw};
use moulder_chart::look::Look;
use moulder_chart::raster::png;

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
    let draws = Draws {
        count: asked.draws,
        seed: asked.seed,
        ..Draws::default()
    };
    let forecast = forecast_with_bands(&bed, asked.months, draws, &mut Progress::of(asked.look))
        .map_err(|error| forecast::refused(&file.file.name, error))?;
    let subject = Subject {
        bed: &bed,
        forecast: &forecast,
        readings: &[],
    };
    let look = Look::new(asked.width, asked.kind.word());
    let chart = draw(asked.kind, &subject, &look);
    match format {
        Format::Svg => output.put(&chart.file(), ""),
        Format::Png => {
            let picture = png(&chart, DOTS_TO_A_PIXEL)
                .map_err(|error| Trouble::cannot(&format!("There is no picture: {error}.")))?;
            output.put_bytes(&picture, "")
        }
    }
}
