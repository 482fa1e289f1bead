//! The page.

use askama::Template;
use moulder::months::Day;
use moulder::{Forecast, TopUps};
use moulder_chart::internals::plot::reading::Reading;
use moulder_chart::internals::subject::Subject;
use moulder_words::forecast::{fewer_draws, how_sure, in_a_sentence};
use moulder_words::nitrogen::nitrogen_in_a_sentence;
use moulder_words::sources::counted;
use moulder_words::warmth::warmth_in_a_sentence;
use moulder_words::water::{water_in_a_sentence, weather_in_a_sentence};

use crate::cautions::{Caution, Cautions};
use crate::name::{as_written, in_a_line, sentence_case};
use crate::paper::Paper;
use crate::pictures::{Picture, pictures};
use crate::sheet::{FirstSheet, Sheet, notices};
use crate::shopping::Shopping;
use crate::sources::{Sourced, in_short, sources};
use crate::style::style;
use crate::table::Table;
use crate::{assumed, climate, months, tape};

/// What a page is made from.
#[derive(Debug, Clone, Copy, Default)]
pub struct Contents<'a> {
    /// A first sheet for each bed.
    pub sheets: &'a [FirstSheet<'a>],
    /// What is ordered for all of them at once, in words; none where each buys for itself.
    pub one_order: Option<&'a str>,
    /// What follows the first sheet of a single bed; none for that sheet alone.
    pub more: Option<More<'a>>,
    /// The paper that it is printed on.
    pub paper: Paper,
}

/// What follows the first sheet of a bed.
#[derive(Debug, Clone, Copy)]
pub struct More<'a> {
    /// Its forecast, whose defaults may carry the width that each adds to the interval of the
    /// settlement.
    pub forecast: &'a Forecast,
    /// The month of these widths, since filling.
    pub widths_month: u32,
    /// Its top-ups.
    pub topups: &'a TopUps,
    /// Heights on days within the months ([`moulder::months::days`]), for the charts and for the
    /// table of readings.
    pub days: &'a [Day],
    /// The bed file as it was written.
    pub file_text: &'a str,
    /// Whether it has every chart, column and source, which few read.
    pub is_full: bool,
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
        sheets,
        one_order,
        more,
        paper,
    } = *contents;
    let of = sheets;
    let sheets = (1..).zip(sheets);
    let sheets = sheets.map(|(number, sheet)| Sheet::of(number, sheet, paper));
    let mut sheets: Vec<Sheet> = sheets.collect();
    let mut one_order = one_order.map(|said| sentence_case(&in_a_line(said)));
    if let [only] = sheets.as_mut_slice() {
        only.one_order = one_order.take();
        if more.is_some() {
            only.elsewhere = "the next sheets have them";
            only.rest = "The rest follows.";
        }
    }
    let sheets: Vec<Sheet> = sheets
        .into_iter()
        .map(|sheet| sheet.fitted(paper))
        .collect();
    let rest = match (of, sheets.as_slice()) {
        ([of], [sheet]) => more.map(|more| rest(of, sheet, &more)),
        _ => None,
    };
    let title = match sheets.as_slice() {
        [only] => format!("{}: how far it sinks", only.name),
        all => format!("{} beds: how far they sink", all.len()),
    };
    let made = rest.as_ref().map_or_else(
        || "The same bed files, day and version make the same page to the letter.".to_owned(),
        |rest| rest.made.clone(),
    );
    let page = Page {
        title,
        style: style(Some(paper)),
        paper: paper.name(),
        sheets,
        one_order,
        rest,
        made,
    };
    page.render()
        .expect("the template is checked when it is built, and a string takes all")
}

/// What follows the first sheet of a bed.
fn rest(of: &FirstSheet<'_>, sheet: &Sheet, more: &More<'_>) -> Rest {
    let bed = of.bed;
    let More {
        forecast,
        widths_month,
        topups,
        days,
        file_text,
        is_full,
    } = *more;
    let last = forecast.months.last().map_or(0, |row| row.month);
    let mut drawn = Reading::all_of(bed);
    drawn.retain(|reading| reading.month <= f64::from(last));
    let subject = Subject {
        bed,
        forecast,
        readings: &drawn,
        days,
        feeding: of.feeding,
    };
    let (first, more) = pictures(&subject, is_full);
    let besides = [
        warmth_in_a_sentence(forecast),
        water_in_a_sentence(forecast),
        nitrogen_in_a_sentence(forecast),
        Some(weather_in_a_sentence(forecast)),
    ];
    let told = |caution: &Caution| {
        let mut told = sheet.warnings.iter();
        told.any(|told| told.text == caution.text && told.layer == caution.layer)
    };
    let mut cautions = Cautions::of(&notices(forecast, topups), &forecast.layers);
    // Dangers and the first warnings stand on the first sheet.
    cautions
        .warnings
        .retain(|caution| caution.class == "warning" && !told(caution));
    if of.as_of > forecast.filled {
        cautions.before.clear();
    }
    let materials = sources(&[bed]);
    Rest {
        sentence: in_a_line(&in_a_sentence(forecast).unwrap_or_default()),
        sure: [Some(how_sure(forecast)), fewer_draws(bed, forecast)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" "),
        shopping: Shopping::of(topups),
        cautions,
        first,
        more,
        months: months::table(forecast, is_full),
        besides: besides
            .into_iter()
            .flatten()
            .map(|said| in_a_line(&said))
            .collect(),
        assumed: assumed::table(bed, forecast, (Some(widths_month), is_full), "assumed-list"),
        tape: tape::table(bed, forecast, days),
        materials: if is_full {
            Materials::InFull(materials)
        } else {
            let counted = materials.iter();
            let counted = counted.map(|material| (material.name.clone(), in_short(material)));
            Materials::Counted(counted.collect())
        },
        counted: counted(),
        climates: climate::sources(&[bed]),
        made: made(forecast),
        file_text: as_written(file_text),
    }
}

/// With what it was made.
fn made(forecast: &Forecast) -> String {
    let months = forecast.months.last().map_or(0, |row| row.month);
    let draws = match forecast.seed {
        Some(seed) => format!("{} beds like it from seed {seed}", forecast.ensemble_size),
        None => "one run with the best figures".to_owned(),
    };
    format!(
        "moulder {}, form {} of its forecasts, {months} months, {draws}. The same bed file, day and \
         version make the same page to the letter.",
        forecast.engine, forecast.schema
    )
}

/// Sources of the figures of materials.
enum Materials {
    /// Every figure with its source.
    InFull(Vec<Sourced>),
    /// How many were read, recalled and judged, by the name of the material.
    Counted(Vec<(String, String)>),
}

/// What follows the first sheet, as the template takes it.
struct Rest {
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
    materials: Materials,
    counted: String,
    climates: Vec<String>,
    made: String,
    file_text: String,
}

impl Rest {
    /// Whether there is nothing to take care of beyond what the first sheet says.
    fn has_no_cautions(&self) -> bool {
        let cautions = &self.cautions;
        let lists = [&cautions.warnings, &cautions.notes, &cautions.before];
        lists.iter().all(|list| list.is_empty()) && cautions.seen.is_empty()
    }
}

/// All that the template needs.
#[derive(Template)]
#[template(path = "page.html")]
struct Page {
    title: String,
    style: String,
    paper: &'static str,
    sheets: Vec<Sheet>,
    one_order: Option<String>,
    rest: Option<Rest>,
    made: String,
}
