//! The charts, each for a wide screen or paper and for a telephone.

use moulder_chart::Chart;
use moulder_chart::internals::chart::comparison;
use moulder_chart::internals::kind::of_forecast;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::section;
use moulder_chart::internals::subject::Subject;

use crate::name::sentence_case;

/// Charts that lead, by their words; the others follow further down.
const FIRST: [&str; 2] = ["height", "section"];

/// Width of the chart that is shown on a wide screen and printed; px.
const WIDE: u32 = Look::USUAL;
/// Width of the chart that is shown on a telephone: a screen of 360 less its edges; px.
const NARROW: u32 = 328;

/// A chart.
pub(crate) struct Picture {
    /// The word of its kind, for an id.
    pub(crate) word: String,
    /// What it shows.
    pub(crate) caption: String,
    /// The wide drawing, whole.
    pub(crate) wide: String,
    /// The narrow one.
    pub(crate) narrow: String,
}

/// Those that lead, and the others.
pub(crate) fn pictures(subject: &Subject<'_>) -> (Vec<Picture>, Vec<Picture>) {
    let all = Chart::OF_A_FORECAST
        .iter()
        .filter_map(|chart| picture(*chart, subject));
    all.partition(|picture| FIRST.contains(&picture.word.as_str()))
}

/// None of a chart that is not drawn from a forecast.
fn picture(chart: Chart, subject: &Subject<'_>) -> Option<Picture> {
    let [wide, narrow] = looks(chart.as_str()).map(|look| of_forecast(chart, subject, &look));
    Some(Picture {
        word: chart.as_str().to_owned(),
        caption: format!("{}.", sentence_case(chart.about())),
        wide: wide?.inline(),
        narrow: narrow?.inline(),
    })
}

/// Widths for a wide screen and for a telephone.
fn looks(word: &str) -> [Look; 2] {
    [(WIDE, "wide"), (NARROW, "narrow")]
        .map(|(width, name)| Look::new(width, &format!("{word}-{name}")))
}

/// Beds side by side: their heights in one frame, then each cut across, to one scale.
pub(crate) fn beside(comparison: &comparison::Comparison<'_>) -> Vec<Picture> {
    let [wide, narrow] =
        looks("comparison").map(|look| comparison::svg(comparison, &look).inline());
    let heights = Picture {
        word: "comparison".to_owned(),
        caption: "How high they stand, and how much higher each than the first.".to_owned(),
        wide,
        narrow,
    };
    let beds = comparison.beds;
    let months = beds
        .first()
        .map_or_else(Vec::new, |bed| section::usual_months(bed.forecast));
    let [wide, narrow] =
        looks("section").map(|look| section::svgs_to_one_scale(beds, &look, &months));
    let sections = (1_u32..).zip(wide.iter().zip(&narrow));
    let sections = sections.map(|(number, (wide, narrow))| Picture {
        word: format!("section-{number}"),
        caption: format!("Bed {number}, cut across. All beds are drawn to one scale."),
        wide: wide.inline(),
        narrow: narrow.inline(),
    });
    std::iter::once(heights).chain(sections).collect()
}
