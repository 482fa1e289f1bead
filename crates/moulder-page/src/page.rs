//! The page.

use askama::Template;
use moulder::Bed;
use moulder::Forecast;
use moulder::TopUps;
use moulder::feed::Feeding;
use moulder::months::Day;
use moulder_chart::internals::plot::reading::Reading;
use moulder_chart::internals::subject::Subject;
use moulder_words::feeding::{doses_in_words, months_in_a_sentence, twelve_months};
use moulder_words::forecast::{fewer_draws, how_sure, in_a_sentence, spoken_date};
use moulder_words::nitrogen::nitrogen_in_a_sentence;
use moulder_words::warmth::warmth_in_a_sentence;
use moulder_words::water::{water_in_a_sentence, weather_in_a_sentence};

use crate::cautions::Cautions;
use crate::name::{as_written, in_a_line};
use crate::pictures::{Picture, pictures};
use crate::shopping::Shopping;
use crate::sources::{Sourced, sources};
use crate::style::style;
use crate::table::Table;
use crate::{assumed, climate, months, tape};

/// What a page is made from.
#[derive(Debug, Clone, Copy)]
pub struct Contents<'a> {
    /// The bed.
    pub bed: &'a Bed,
    /// Its forecast, whose defaults may carry the width that each adds to the interval of the
    /// settlement.
    pub forecast: &'a Forecast,
    /// The month of these widths, since filling.
    pub widths_month: u32,
    /// Its top-ups.
    pub topups: &'a TopUps,
    /// What to feed it; none where it takes none.
    pub feeding: Option<&'a Feeding>,
    /// Heights on days within the months ([`moulder::months::days`]), for the charts and for the
    /// table of readings.
    pub days: &'a [Day],
    /// The bed file as it was written.
    pub file_text: &'a str,
}

/// The page as HTML.
///
/// # Panics
///
/// Never: the template is checked when the library is built, and a string takes all that
/// is written.
#[must_use]
pub fn page(contents: &Contents<'_>) -> String {
    let Contents {
        bed,
        forecast,
        widths_month,
        topups,
        feeding,
        days,
        file_text,
    } = *contents;
    let readings = Reading::all_of(bed);
    let last = forecast.months.last().map_or(0, |row| row.month);
    let drawn: Vec<Reading> = readings
        .into_iter()
        .filter(|reading| reading.month <= f64::from(last))
        .collect();
    let (first, more) = pictures(&Subject {
        bed,
        forecast,
        readings: &drawn,
        days,
        feeding,
    });
    let months_fed = twelve_months(forecast, feeding).filter(|_| feeding.is_some());
    let besides = [
        warmth_in_a_sentence(forecast),
        water_in_a_sentence(forecast),
        nitrogen_in_a_sentence(forecast),
        feeding.map(|feeding| format!("Feed {}.", doses_in_words(forecast, feeding))),
        months_fed.map(|months| months_in_a_sentence(&months)),
        Some(weather_in_a_sentence(forecast)),
    ];
    let page = Page {
        name: in_a_line(&forecast.name),
        filled: spoken_date(forecast.filled),
        climate_name: in_a_line(&forecast.climate),
        style: style(),
        sentence: in_a_line(&in_a_sentence(forecast).unwrap_or_default()),
        sure: [Some(how_sure(forecast)), fewer_draws(bed, forecast)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" "),
        shopping: Shopping::of(topups),
        cautions: Cautions::of(forecast),
        first,
        more,
        months: months::table(forecast),
        besides: besides
            .into_iter()
            .flatten()
            .map(|said| in_a_line(&said))
            .collect(),
        assumed: assumed::table(bed, forecast, Some(widths_month), "assumed-list"),
        tape: tape::table(bed, forecast, days),
        materials: sources(&[bed]),
        climates: climate::sources(&[bed]),
        made: made(forecast),
        file_text: as_written(file_text),
    };
    page.render()
        .expect("the template is checked when it is built, and a string takes all")
}

/// With what it was made.
fn made(forecast: &Forecast) -> String {
    let months = forecast.months.last().map_or(0, |row| row.month);
    let draws = match forecast.seed {
        Some(seed) => format!("{} beds like it from seed {seed}", forecast.ensemble_size),
        None => "one run with the best figures".to_owned(),
    };
    format!(
        "moulder {}, form {} of its forecasts, {months} months, {draws}. The same bed file \
         and the same version make the same page to the letter.",
        forecast.engine, forecast.schema
    )
}

/// All that the template needs.
#[derive(Template)]
#[template(path = "page.html")]
struct Page {
    name: String,
    filled: String,
    climate_name: String,
    style: String,
    sentence: String,
    sure: String,
    shopping: Shopping,
    cautions: Cautions,
    first: Vec<Picture>,
    more: Vec<Picture>,
    months: Table,
    besides: Vec<String>,
    tape: Option<Table>,
    assumed: Option<Table>,
    materials: Vec<Sourced>,
    climates: Vec<String>,
    made: String,
    file_text: String,
}
