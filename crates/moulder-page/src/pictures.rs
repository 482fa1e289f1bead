//! The charts, each for a wide screen or paper and for a telephone.

use moulder::{Bed, Date, Forecast, Month};
use moulder_chart::Chart;
use moulder_chart::Svg;
use moulder_chart::internals::chart::comparison;
use moulder_chart::internals::kind::of_forecast;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::section::{self, Moment, svg_of};
use moulder_chart::internals::subject::Subject;
use moulder_words::answer::horizons;
use moulder_words::feeding::twelve_months;

use crate::name::sentence_case;
use crate::paper::Paper;

/// Charts that lead, by their words; the others follow further down.
const FIRST: [&str; 2] = ["height", "section"];
/// Charts that a page has only when it is asked for in full.
const LEFT_OUT: [&str; 4] = ["section", "carbon", "warmth", "weight"];

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
    /// The height of the wide drawing, as a share of its width.
    pub(crate) share: f64,
    /// The wide drawing, whole.
    pub(crate) wide: String,
    /// The narrow one.
    pub(crate) narrow: String,
}

impl Picture {
    /// A chart of that kind from its wide and its narrow drawing.
    fn new(word: &str, caption: &str, (wide, narrow): (&Svg, &Svg)) -> Self {
        let room = wide.room();
        Self {
            word: word.to_owned(),
            caption: caption.to_owned(),
            share: room.height() / room.width(),
            wide: wide.inline(),
            narrow: narrow.inline(),
        }
    }
}

/// Those that lead, and the others: all, or those that say what to do.
pub(crate) fn pictures(subject: &Subject<'_>, is_full: bool) -> (Vec<Picture>, Vec<Picture>) {
    let charts = Chart::OF_A_FORECAST.iter();
    let charts = charts.filter(|chart| is_full || !LEFT_OUT.contains(&chart.as_str()));
    let has_months = !twelve_months(subject.forecast, subject.feeding).is_empty();
    let charts = charts.filter(|chart| has_months || **chart != Chart::Nitrogen);
    let all = charts.filter_map(|chart| picture(*chart, subject));
    all.partition(|picture| FIRST.contains(&picture.word.as_str()))
}

/// The bed cut across on the day of which a first sheet tells, at the next turn of the season and a
/// year on.
pub(crate) fn at_a_glance(
    bed: &Bed,
    forecast: &Forecast,
    as_of: Date,
    paper: Paper,
    nth: &str,
) -> Option<Picture> {
    let [turn, year] = horizons(as_of);
    let is_south = bed.climate().latitude_deg < 0.0;
    let season = if (turn.month() == 10) == is_south {
        "spring"
    } else {
        "autumn"
    };
    let now = if as_of > forecast.filled {
        "now"
    } else {
        "when filled"
    };
    let mut days = vec![(as_of, now), (turn, season), (year, "in a year")];
    days.dedup_by_key(|(day, _)| *day);
    let moments = days.into_iter().filter_map(|(day, heading)| {
        Some(Moment {
            heading: heading.to_owned(),
            row: row_on(forecast, day)?,
        })
    });
    let moments: Vec<Moment> = moments.collect();
    if moments.is_empty() {
        return None;
    }
    let subject = Subject {
        bed,
        forecast,
        readings: &[],
        days: &[],
        feeding: None,
    };
    let word = format!("first{nth}");
    let [wide, narrow] = [(paper.drawing_px(), "wide"), (NARROW, "narrow")].map(|(px, name)| {
        let look = Look::new(px, &format!("{word}-{name}"));
        svg_of(&subject, &look, &moments, px == NARROW)
    });
    Some(Picture::new(
        &word,
        "The bed cut across, to scale.",
        (&wide, &narrow),
    ))
}

/// A bed on a day, in proportion to the days between the ends of its month; none beyond its months.
fn row_on(forecast: &Forecast, on: Date) -> Option<Month> {
    let at = forecast.months.iter().position(|row| row.date >= on)?;
    let after = forecast.months.get(at)?;
    let mut row = after.clone();
    row.date = on;
    let Some(before) = at.checked_sub(1).and_then(|at| forecast.months.get(at)) else {
        return (after.date == on).then_some(row);
    };
    let days = |from: Date, to: Date| {
        let days = from.until(to).map_or(0, |span| span.get_days());
        f64::from(days)
    };
    let share = days(before.date, on) / days(before.date, after.date).max(1.0);
    let between = |before: f64, after: f64| before + share * (after - before);
    row.height_m = between(before.height_m, after.height_m);
    row.below_rim_m = after
        .below_rim_m
        .map(|below_m| between(before.below_rim_m.unwrap_or(below_m), below_m));
    for (layer, before) in row.layers.iter_mut().zip(&before.layers) {
        for (now, before) in [
            (&mut layer.thickness_m, before.thickness_m),
            (&mut layer.wood_m3, before.wood_m3),
            (&mut layer.soft_m3, before.soft_m3),
            (&mut layer.fines_m3, before.fines_m3),
            (&mut layer.migrated_m3, before.migrated_m3),
            (&mut layer.open_m3, before.open_m3),
            (&mut layer.wood_carbon_kg, before.wood_carbon_kg),
        ] {
            *now = between(before, *now);
        }
    }
    Some(row)
}

/// None of a chart that is not drawn from a forecast.
fn picture(chart: Chart, subject: &Subject<'_>) -> Option<Picture> {
    let [wide, narrow] = looks(chart.as_str()).map(|look| of_forecast(chart, subject, &look));
    let caption = format!("{}.", sentence_case(chart.about()));
    Some(Picture::new(chart.as_str(), &caption, (&wide?, &narrow?)))
}

/// Widths for a wide screen and for a telephone.
fn looks(word: &str) -> [Look; 2] {
    [(WIDE, "wide"), (NARROW, "narrow")]
        .map(|(width, name)| Look::new(width, &format!("{word}-{name}")))
}

/// Beds side by side: their heights in one frame, then each cut across, to one scale.
pub(crate) fn beside(comparison: &comparison::Comparison<'_>) -> Vec<Picture> {
    let [wide, narrow] = looks("comparison").map(|look| comparison::svg(comparison, &look));
    let heights = Picture::new(
        "comparison",
        "How high they stand, and how much higher each than the first.",
        (&wide, &narrow),
    );
    let beds = comparison.beds;
    let months = beds
        .first()
        .map_or_else(Vec::new, |bed| section::usual_months(bed.forecast));
    let [wide, narrow] =
        looks("section").map(|look| section::svgs_to_one_scale(beds, &look, &months));
    let sections = (1_u32..).zip(wide.iter().zip(&narrow));
    let sections = sections.map(|(number, drawn)| {
        let caption = format!("Bed {number}, cut across. All beds are drawn to one scale.");
        Picture::new(&format!("section-{number}"), &caption, drawn)
    });
    std::iter::once(heights).chain(sections).collect()
}
