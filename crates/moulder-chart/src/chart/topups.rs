//! A calendar of top-ups: a row a year, a bar over the days on which each may come due, and
//! how much it takes.

use moulder::Date;
use moulder::Interval;
use moulder::TopUps;
use moulder_words::figure::amount::volume;
use moulder_words::forecast::{MONTHS, spoken_date};
use moulder_words::range::{of_ten, on_or_between, volumes, wholes};
use moulder_words::topup::{plural, policy_in_words, sum_in_words};
use moulder_words::topup_range::{draws_in_words, sum_in_ranges};

use crate::chart::opening::NAME_LIMIT;
use crate::plot::calendar::Calendar;
use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::look::Look;
use crate::svg::document::{Anchor, Room, Svg, Words};
use crate::svg::escape::named;
use crate::svg::ink::Ink;

/// From one year to the next; px.
const ROW: f64 = 66.0;

/// Room for the years on the left; px.
const YEARS: f64 = 42.0;

/// Thickness of a bar; px.
const BAR: f64 = 4.0;

/// Half the height of the ends of a bar; px.
const END: f64 = 3.5;

/// Offsets of bars from the line of their year, in turn, so that overlapping intervals do not
/// run into each other; px.
const LANES: [f64; 3] = [0.0, -8.0, 8.0];

/// Most characters of what a unit is called.
const UNIT_LIMIT: usize = 20;

/// A top-up as it is drawn.
struct Mark {
    low: Date,
    middle: Date,
    high: Date,
    text: String,
    about: String,
}

/// Draws the chart of a bed at that latitude; degrees, south negative.
#[must_use]
pub fn svg(topups: &TopUps, latitude_deg: f64, look: &Look) -> Svg {
    let topups = &harmless(topups);
    let name = topups.name.clone();
    let marks = marks(topups);
    let head = Head::new(look, &name, &below(topups, &marks));
    let years = years(topups, &marks);
    let top = head.bottom() + 3.0 * LINE;
    let grid = Room {
        left: EDGE + YEARS,
        top,
        right: look.width_px() - EDGE,
        bottom: top + years.iter().map(|_| ROW).sum::<f64>(),
    };
    let mut svg = Svg::new(
        look.id(),
        look.width_px(),
        grid.bottom + EDGE,
        &format!("{name}: calendar of top-ups"),
        &about(topups, &marks),
    );
    head.write(&mut svg);
    months(&mut svg, grid);
    seasons(&mut svg, grid, latitude_deg);
    let mut row_top = grid.top;
    for year in years {
        let row = Room {
            top: row_top,
            bottom: row_top + ROW,
            ..grid
        };
        rule(&mut svg, row, year);
        if topups.filled.year() == year {
            let at = x(row, topups.filled);
            let y = line_of(row);
            svg.line(Ink::Zero, &[(at, y - 7.0), (at, y + 7.0)]);
            note(&mut svg, row, at, "filled");
        }
        for (mark, y) in marks.iter().zip(lanes(&marks, line_of(row))) {
            bar(&mut svg, row, year, mark, y);
        }
        for (mark, y) in marks.iter().zip(lanes(&marks, line_of(row))) {
            dot(&mut svg, row, year, mark, y);
        }
        row_top += ROW;
    }
    svg
}

/// The same with names made harmless.
fn harmless(topups: &TopUps) -> TopUps {
    let mut topups = topups.clone();
    topups.name = named(&topups.name, NAME_LIMIT);
    topups.material = named(&topups.material, NAME_LIMIT);
    topups.package.name = named(&topups.package.name, UNIT_LIMIT);
    topups
}

/// The top-ups with intervals where there are any, else those of the nominal run.
fn marks(topups: &TopUps) -> Vec<Mark> {
    let units = topups.units;
    let sold = &topups.package.name;
    let Some(bands) = &topups.intervals else {
        let mark = |topup: &moulder::purchases::TopUp| {
            let count = topup.bought;
            let text = format!(
                "{}, {count} {}",
                volume(topup.laid_m3, units),
                plural(sold, count)
            );
            Some(Mark {
                low: topup.date,
                middle: topup.date,
                high: topup.date,
                about: format!("On {}: {text}.", spoken_date(topup.date)),
                text,
            })
        };
        return topups.top_ups.iter().filter_map(mark).collect();
    };
    let mark = |band: &moulder::purchases::TopUpInterval| {
        let bags = bags(&band.bought, sold);
        let text = format!("{}, {bags}", volumes(&band.laid_m3, units));
        let (text, chance) = if band.chance < 0.95 {
            let chance = of_ten(band.chance);
            (format!("{text}, {chance}"), format!(", {chance}"))
        } else {
            (text, String::new())
        };
        Some(Mark {
            low: band.date.lower,
            middle: band.date.median,
            high: band.date.upper,
            about: format!(
                "{}{chance}: {}, {bags}.",
                capital(&on_or_between(&band.date)),
                volumes(&band.laid_m3, units)
            ),
            text,
        })
    };
    bands.top_ups.iter().filter_map(mark).collect()
}

/// "6 to 9 bags".
fn bags(bought: &Interval, sold: &str) -> String {
    let range = wholes(bought);
    let count = u32::from(range != "1") + 1;
    format!("{range} {}", plural(sold, count))
}

fn capital(text: &str) -> String {
    let mut signs = text.chars();
    let first = signs.next().map(|sign| sign.to_ascii_uppercase());
    first.into_iter().chain(signs).collect()
}

/// From the year of filling to that of the last top-up or of the last month.
fn years(topups: &TopUps, marks: &[Mark]) -> Vec<i16> {
    let filled = topups.filled;
    let end = moulder::months::month_day(filled, topups.months).year();
    let last = marks
        .iter()
        .map(|mark| mark.high.year())
        .fold(end, i16::max);
    (filled.year()..=last).collect()
}

/// Where a day of a year stands in a row; px. Months are equally wide.
fn x(row: Room, day: Date) -> f64 {
    let within = (f64::from(day.day()) - 1.0) / f64::from(day.days_in_month());
    row.left + row.width() * (f64::from(day.month()) - 1.0 + within) / 12.0
}

/// The names of the months, or their first letters on a narrow chart, and grid lines.
fn months(svg: &mut Svg, grid: Room) {
    /// Room that the longest name needs, with a margin; px.
    const ROOM: f64 = 32.0;
    let width = grid.width() / 12.0;
    svg.open("months", None);
    let mut left = grid.left;
    for name in MONTHS {
        svg.line(Ink::Grid, &[(left, grid.top), (left, grid.bottom)]);
        let text = if width < ROOM { &name[..1] } else { name };
        let words = Words::small(text, left + 0.5 * width, grid.top - 8.0 - LINE);
        svg.write(&words.anchored(Anchor::Middle).quiet(true), false);
        left += width;
    }
    svg.close();
}

/// The seasons below the months, where they fit.
fn seasons(svg: &mut Svg, grid: Room, latitude_deg: f64) {
    // A year without a leap day: a day does not show at this scale.
    let calendar = Calendar::new(Date::constant(2026, 1, 1), latitude_deg);
    let month = grid.width() / 12.0;
    svg.open("seasons", None);
    for season in calendar.seasons(12.0) {
        let x = grid.left + month * 0.5 * (season.from + season.to);
        let words = Words::small(season.what.name(), x, grid.top - 6.0);
        let words = words.anchored(Anchor::Middle).quiet(true);
        if words.room(svg.font()).width() <= month * (season.to - season.from) {
            svg.write_in_room(&words, false);
        }
    }
    svg.close();
}

/// A year and the line its marks stand on.
fn rule(svg: &mut Svg, row: Room, year: i16) {
    let y = line_of(row);
    svg.line(Ink::Axis, &[(row.left, y), (row.right, y)]);
    svg.write(&Words::body(&year.to_string(), EDGE, y + 4.0), false);
}

const fn line_of(row: Room) -> f64 {
    row.top + 0.5 * ROW
}

/// Where each mark lies, on a year's line at `line`: those of one day on it, those with bars
/// in turn beside each other; px.
fn lanes(marks: &[Mark], line: f64) -> Vec<f64> {
    let mut lanes = LANES.iter().cycle();
    let lane = |mark: &Mark| {
        let lane = (mark.low != mark.high).then(|| lanes.next());
        line + lane.flatten().unwrap_or(&0.0)
    };
    marks.iter().map(lane).collect()
}

/// What of a mark's bar falls into a year, with the ends that do.
fn bar(svg: &mut Svg, row: Room, year: i16, mark: &Mark, y: f64) {
    if mark.low == mark.high || year < mark.low.year() || mark.high.year() < year {
        return;
    }
    let end = |day: Date| (day.year() == year).then(|| x(row, day));
    let (low, high) = (end(mark.low), end(mark.high));
    svg.open("range", Some(&mark.about));
    svg.rectangle(
        Ink::ThirdArea,
        Room {
            left: low.unwrap_or(row.left),
            top: y - 0.5 * BAR,
            right: high.unwrap_or(row.right),
            bottom: y + 0.5 * BAR,
        },
    );
    for x in [low, high].into_iter().flatten() {
        svg.line(Ink::Zero, &[(x, y - END), (x, y + END)]);
    }
    svg.close();
}

/// The dot of a mark in its year, and what it takes.
fn dot(svg: &mut Svg, row: Room, year: i16, mark: &Mark, y: f64) {
    if mark.middle.year() != year {
        return;
    }
    let at = x(row, mark.middle);
    svg.open("topup", Some(&mark.about));
    svg.circle(Ink::FirstArea, (at, y), 4.5);
    note(svg, row, at, &mark.text);
    svg.close();
}

/// Words above the line or below it, as near their mark as there is room.
fn note(svg: &mut Svg, row: Room, at: f64, text: &str) {
    let y = line_of(row);
    for y in [y - 16.0, y + 26.0] {
        let mut words = Words::body(text, at, y).anchored(Anchor::Middle);
        let half = 0.5 * words.room(svg.font()).width();
        words.x = at.min(row.right - half).max(row.left + 4.0 + half);
        if svg.write_in_room(&words, true) {
            return;
        }
    }
}

fn below(topups: &TopUps, marks: &[Mark]) -> String {
    if marks.is_empty() {
        return format!(
            "No top-up is due in {} months. {}",
            topups.months,
            policy_in_words(topups)
        );
    }
    let ranges = match &topups.intervals {
        None => " Dots: the day. No range was asked for.",
        Some(_) if marks.iter().all(|mark| mark.low == mark.high) => {
            " Amounts are of loose material, in 8 of 10 such beds."
        }
        Some(_) => {
            " Dots: the middle day. Bars, and amounts of loose material: where 8 in 10 such beds lie."
        }
    };
    let each = if topups.beds > 1 {
        " Amounts are for one bed."
    } else {
        ""
    };
    format!("{}{ranges}{each}", policy_in_words(topups))
}

fn about(topups: &TopUps, marks: &[Mark]) -> String {
    let mut said = vec![policy_in_words(topups)];
    said.push(sum_in_ranges(topups, false).unwrap_or_else(|| sum_in_words(topups)));
    said.extend(marks.iter().map(|mark| mark.about.clone()));
    said.extend(draws_in_words(topups));
    said.join(" ")
}
