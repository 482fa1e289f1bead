//! How the charts of one bed over time begin: with a frame of its name and calendar.

use std::iter;

use moulder::{Forecast, Units};
use moulder_words::figure::height::{in_unit, reading};
use moulder_words::forecast::how_sure;

use crate::plot::calendar::Calendar;
use crate::plot::frame::{Frame, Plan};
use crate::plot::head::EDGE;
use crate::plot::label::{Label, gutter};
use crate::plot::look::{Look, Margins};
use crate::plot::month_bar::{self, MonthBar};
use crate::plot::scale::{Counting, Scale};
use crate::subject::Subject;
use crate::svg::document::TextSize;
use crate::svg::escape::named;
use crate::svg::font::Font;

/// Most characters of a bed's name in a chart's title.
pub(crate) const NAME_LIMIT: usize = 120;

/// Height of the plot that a step of the axis takes at least; px.
pub(crate) const STEP_PX: f64 = 44.0;

/// Between an axis and its figures; px.
const BESIDE: f64 = 6.0;

/// What one of these charts is of.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Opening<'a> {
    /// What it shows, after the bed's name in the title.
    pub what: &'a str,
    /// Its description for those who do not see it.
    pub about: &'a str,
    /// How to read it.
    pub below: &'a str,
    /// What the left axis counts.
    pub left: &'a str,
    /// The least and the largest value drawn.
    pub ends: (f64, f64),
    /// What its steps are counted in.
    pub counting: Counting,
    /// Labels at the ends of its lines.
    pub labels: &'a [Label],
    /// Rows of months at its foot.
    pub rows: &'a [MonthBar],
}

/// The frame, with nothing but its head written.
#[must_use]
pub(crate) fn frame(subject: &Subject<'_>, look: &Look, opening: &Opening<'_>) -> Frame {
    let name = named(&subject.forecast.name, NAME_LIMIT);
    let scale = scale(look, opening);
    Frame::new(
        look,
        &Plan {
            title: &format!("{name}: {}", opening.what),
            about: opening.about,
            heading: &name,
            key: &[],
            below: opening.below,
            left: opening.left,
            right: "",
            last: last_month(subject),
            scale,
            margins: Margins {
                left: figures_px(&scale),
                right: EDGE,
                gutter: gutter(opening.labels).max(month_bar::gutter(opening.rows)),
            },
            foot_px: month_bar::foot_px(opening.rows),
        },
    )
}

/// A description: the day of filling, what is said, and how sure all of it is.
#[must_use]
pub(crate) fn about(forecast: &Forecast, said: impl IntoIterator<Item = String>) -> String {
    let filled = format!("Filled {}.", forecast.filled);
    let said = iter::once(filled).chain(said);
    let all: Vec<String> = said.chain([how_sure(forecast)]).collect();
    all.join(" ")
}

/// The labels of the ground and of the rim, where there is one.
#[must_use]
pub(crate) fn still_labels(rim_m: Option<f64>, units: Units) -> Vec<Label> {
    let rim = rim_m.map(|rim_m| {
        let text = format!("rim {}", reading(rim_m, units));
        Label::quiet(in_unit(rim_m, units), text)
    });
    let ground = Label::quiet(0.0, "ground".to_owned());
    iter::once(ground).chain(rim).collect()
}

/// The bed's calendar.
#[must_use]
pub(crate) fn calendar(subject: &Subject<'_>) -> Calendar {
    Calendar::new(subject.bed.filled(), subject.bed.climate().latitude_deg)
}

fn scale(look: &Look, opening: &Opening<'_>) -> Scale {
    let (low, high) = opening.ends;
    let most = look.plot_height_px() / STEP_PX;
    Scale::around(low, high, most, opening.counting)
}

/// The months that are drawn.
fn last_month(subject: &Subject<'_>) -> f64 {
    let last = subject.forecast.months.last();
    last.map_or(0.0, |row| f64::from(row.month))
}

/// What heights are counted in.
#[must_use]
pub(crate) const fn counting(units: Units) -> Counting {
    match units {
        Units::Metric => Counting::Tens,
        Units::Us | Units::UkGarden => Counting::Inches,
    }
}

/// Room for the figures on the left; px.
fn figures_px(scale: &Scale) -> f64 {
    /// Room for three figures and a sign.
    const USUAL: f64 = 34.0;
    let font = Font::shipped();
    let width = |tick: &f64| font.width(&scale.written(*tick), TextSize::Small.px());
    let widest = scale.ticks().iter().map(width).fold(0.0, f64::max);
    EDGE + f64::max(USUAL, widest + BESIDE)
}
