//! Nitrogen for the crop over the twelve months ahead: a cell a month, with a word and a shade,
//! and how much to feed.

use moulder::{Crop, Date};
use moulder_words::feeding::{
    doses_in_words, feed_in_words, month_name, months_in_a_sentence, twelve_months,
};
use moulder_words::forecast::spoken_date;
use moulder_words::nitrogen::nitrogen_in_a_sentence;

use crate::chart::opening::{self, NAME_LIMIT};
use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::look::Look;
use crate::subject::Subject;
use crate::svg::document::{Anchor, Room, Svg, Words};
use crate::svg::escape::named;
use crate::svg::ink::Ink;

/// Height of a cell beside that of its lines; px.
const AROUND: f64 = 12.0;

/// A narrower cell has no room for its word; px.
const NARROWEST: f64 = 60.0;

/// Between rows of cells; px.
const GAP: f64 = 8.0;

/// Cells of a row, by the room there is.
const COLUMNS: [usize; 3] = [12, 6, 4];

/// The first days of months with their words, as [`twelve_months`] gives them.
type Months = [(Date, String)];

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let name = named(&subject.forecast.name, NAME_LIMIT);
    let months = twelve_months(subject.forecast, subject.feeding);
    let head = Head::new(look, &name, &below(subject, &months));
    let top = head.bottom() + 10.0;
    // Month and word, and where any is fed the amount.
    let is_fed = months.iter().any(|(_, word)| word.contains(' '));
    let cell_high = AROUND + LINE * if is_fed { 3.0 } else { 2.0 };
    let width = look.width_px() - 2.0 * EDGE;
    #[allow(clippy::cast_precision_loss, reason = "a few columns")]
    let cell_px = |columns: usize| width / columns as f64;
    let fits = |columns: &usize| cell_px(*columns) >= NARROWEST;
    let columns = COLUMNS.into_iter().find(fits).unwrap_or(COLUMNS[2]);
    #[allow(clippy::cast_precision_loss, reason = "a few cells")]
    let cell = |at: usize| {
        let left = EDGE + cell_px(columns) * (at % columns) as f64;
        let top = top + (cell_high + GAP) * (at / columns) as f64;
        Room {
            left,
            top,
            right: left + cell_px(columns),
            bottom: top + cell_high,
        }
    };
    let bottom = months
        .len()
        .checked_sub(1)
        .map_or(top, |last| cell(last).bottom);
    let mut svg = Svg::new(
        look.id(),
        look.width_px(),
        bottom + EDGE,
        &format!("{name}: nitrogen, month by month"),
        &about(subject, &months),
    );
    head.write(&mut svg);
    for (at, (begins, word)) in months.iter().enumerate() {
        draw(&mut svg, cell(at), month_name(*begins), word);
    }
    svg
}

/// A cell: blank where there is enough, hatched where it is short, filled where it is fed.
fn draw(svg: &mut Svg, room: Room, month: &str, word: &str) {
    svg.open("month", Some(&format!("{month}: {word}")));
    let (word, amount) = word.split_once(' ').unwrap_or((word, ""));
    match word {
        "enough" => {}
        "short" => svg.rectangle(Ink::SecondBand, room),
        _ => svg.rectangle(Ink::Interval, room),
    }
    let corners = [
        (room.left, room.top),
        (room.right, room.top),
        (room.right, room.bottom),
        (room.left, room.bottom),
        (room.left, room.top),
    ];
    svg.line(Ink::Axis, &corners);
    let middle = 0.5 * (room.left + room.right);
    let words = Words::small(month, middle, room.top + LINE).anchored(Anchor::Middle);
    svg.write(&words.quiet(true), word == "short");
    for (line, text) in [(2.0, word), (3.0, amount)] {
        if !text.is_empty() {
            let words = Words::body(text, middle, room.top + line * LINE + 3.0);
            svg.write(&words.anchored(Anchor::Middle), word == "short");
        }
    }
    svg.close();
}

fn below(subject: &Subject<'_>, months: &Months) -> String {
    let forecast = subject.forecast;
    let Some((from, _)) = months.first() else {
        return if forecast.crop == Crop::None {
            "Nothing grows here."
        } else {
            "The forecast ends before twelve months are told: look further ahead."
        }
        .to_owned();
    };
    let has = |wanted: &str| months.iter().any(|(_, word)| word.starts_with(wanted));
    let mut text = format!(
        "Nitrogen that {} crop finds in the twelve months from {}.",
        forecast.crop.article_and_name(),
        spoken_date(*from)
    );
    if has("short") {
        text.push_str(" Short: less than four fifths of what it wants.");
    }
    if let Some(feeding) = subject.feeding.filter(|_| has("feed")) {
        text.extend([
            " Feed: so much of ",
            feed_in_words(feeding).as_str(),
            " for a bed, early in that month.",
        ]);
    }
    text.push_str(" The least certain figure of all: watch the leaves.");
    text
}

fn about(subject: &Subject<'_>, months: &Months) -> String {
    let forecast = subject.forecast;
    let feeding = subject.feeding;
    let said = [
        (!months.is_empty()).then(|| months_in_a_sentence(months)),
        feeding.map(|feeding| format!("Feed {}.", doses_in_words(forecast, feeding))),
        nitrogen_in_a_sentence(forecast),
    ];
    opening::about(forecast, said.into_iter().flatten())
}
