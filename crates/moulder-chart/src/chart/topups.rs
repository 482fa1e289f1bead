//! A list of top-ups: for each its date, the packs to buy, their cost, and a bar with its
//! interval.

use moulder::Interval;
use moulder::TopUps;
use moulder::purchases::{TopUp, TopUpInterval};
use moulder_words::figure::amount::volume;
use moulder_words::forecast::spoken_date;
use moulder_words::range::{date_or_months, of_ten, volumes, wholes};
use moulder_words::topup::{money, plural, policy_in_words, sum_in_words};
use moulder_words::topup_range::{draws_in_words, sum_in_ranges};

use crate::chart::opening::NAME_LIMIT;
use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::look::Look;
use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::escape::named;
use crate::svg::ink::Ink;

/// From one top-up to the next; px.
const ROW: f64 = 2.0 * LINE + BAR + 20.0;

/// Thickness of a bar; px.
const BAR: f64 = 10.0;

/// Half the height of the ends of a whisker; px.
const END: f64 = 4.0;

/// Most of the width that packs and cost take.
const PACKS_SHARE: f64 = 0.62;

/// Most characters of what a unit is called.
const UNIT_LIMIT: usize = 20;

/// A top-up that happens less often than that is told with its chance.
const SURE: f64 = 0.95;

/// A top-up as it is drawn.
struct Row {
    date: String,
    /// What to buy, and what that costs.
    packs: String,
    /// The interval and the loose volume.
    range: String,
    /// Packs.
    count: f64,
    /// The interval of them; none for the nominal run.
    ends: Option<[f64; 2]>,
    /// Whether it is to be expected.
    is_likely: bool,
}

/// Draws the chart.
#[must_use]
pub fn svg(topups: &TopUps, look: &Look) -> Svg {
    let topups = &harmless(topups);
    let name = topups.name.clone();
    let rows = rows(topups);
    let head = Head::new(look, &name, &below(topups, &rows));
    let top = head.bottom() + 12.0;
    let foot = top + rows.iter().map(|_| ROW).sum::<f64>();
    let is_summed = rows.len() > 1 && topups.bought() > 0;
    let sum_px = if is_summed { LINE + 8.0 } else { 0.0 };
    let mut svg = Svg::new(
        look.id(),
        look.width_px(),
        foot + sum_px + EDGE,
        &format!("{name}: when to top up, with what"),
        &about(topups, &rows),
    );
    head.write(&mut svg);
    let ends = rows
        .iter()
        .map(|row| row.ends.map_or(row.count, |ends| ends[1].max(row.count)));
    let most = ends.fold(1.0, f64::max);
    let mut y = top;
    for row in &rows {
        svg.open("topup", Some(&row.date));
        entry(&mut svg, y + LINE, &row.date, &row.packs);
        bar(&mut svg, y + LINE + 6.0, row, most);
        let range = fitted(&svg, &row.range, TextSize::Small, 1.0);
        let words = Words::small(&range, EDGE, y + 2.0 * LINE + BAR + 8.0);
        svg.write(&words.quiet(true), false);
        svg.close();
        y += ROW;
    }
    if is_summed {
        svg.open("sum", None);
        let right = look.width_px() - EDGE;
        svg.line(Ink::Axis, &[(EDGE, y), (right, y)]);
        let packs = bought(topups, topups.bought(), topups.cost());
        entry(&mut svg, y + LINE, "In all", &packs);
        svg.close();
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

/// "7 bags for 41.86".
fn bought(topups: &TopUps, count: u32, cost: Option<f64>) -> String {
    let packs = format!("{count} {}", plural(&topups.package.name, count));
    cost.map_or(packs.clone(), |cost| format!("{packs} for {}", money(cost)))
}

/// What an order comes to.
fn order(topups: &TopUps, order: &TopUp) -> String {
    match order.bought {
        0 if order.is_held_back => "needed, but not bought".to_owned(),
        0 => "nothing to buy: enough is left".to_owned(),
        count => bought(topups, count, order.cost),
    }
}

/// "5 to 10 bags".
fn packs(topups: &TopUps, interval: &Interval) -> String {
    let range = wholes(interval);
    let count = u32::from(range != "1") + 1;
    format!("{range} {}", plural(&topups.package.name, count))
}

/// The top-ups with intervals where there are any, else those of the nominal run.
fn rows(topups: &TopUps) -> Vec<Row> {
    match &topups.intervals {
        Some(bands) => bands
            .top_ups
            .iter()
            .map(|band| ranged(topups, band))
            .collect(),
        None => topups
            .top_ups
            .iter()
            .map(|one| nominal(topups, one))
            .collect(),
    }
}

fn nominal(topups: &TopUps, one: &TopUp) -> Row {
    Row {
        date: spoken_date(one.date),
        packs: order(topups, one),
        range: format!("{} laid on", volume(one.laid_m3, topups.units)),
        count: f64::from(one.bought),
        ends: None,
        is_likely: true,
    }
}

fn ranged(topups: &TopUps, band: &TopUpInterval) -> Row {
    let own = topups.order(band);
    let range = packs(topups, &band.bought);
    let laid = volumes(&band.laid_m3, topups.units);
    let (told, range) = match own {
        Some(own) => (order(topups, own), format!("8 in 10: {range}, {laid}")),
        None => (format!("perhaps {range}"), laid),
    };
    let chance = if band.chance < SURE {
        format!("; {}", of_ten(band.chance))
    } else {
        String::new()
    };
    Row {
        date: if band.date.lower == band.date.upper {
            spoken_date(band.date.median)
        } else {
            date_or_months(&band.date)
        },
        packs: told,
        range: format!("{range} laid on{chance}"),
        count: own.map_or(band.bought.mean, |own| f64::from(own.bought)),
        ends: Some([band.bought.lower, band.bought.upper]),
        is_likely: own.is_some(),
    }
}

/// A text cut to a share of the width within the edges.
fn fitted(svg: &Svg, text: &str, size: TextSize, share: f64) -> String {
    let width = svg.room().width() - 2.0 * EDGE;
    svg.font().fitted(text, size.px(), share * width)
}

/// A line of the list: its name on the left, packs on the right.
fn entry(svg: &mut Svg, y: f64, name: &str, packs: &str) {
    let packs = fitted(svg, packs, TextSize::Body, PACKS_SHARE);
    let right = svg.room().right - EDGE;
    let words = Words::body(&packs, right, y).anchored(Anchor::End);
    let room = words.room(svg.font()).left - EDGE - 10.0;
    let name = svg.font().fitted(name, TextSize::Body.px(), room);
    svg.write(&words, false);
    svg.write(&Words::body(&name, EDGE, y), false);
}

/// The bar of a top-up, hatched where it is not to be expected, with its interval.
fn bar(svg: &mut Svg, top: f64, row: &Row, most: f64) {
    let width = svg.room().width() - 2.0 * EDGE;
    let x = |count: f64| EDGE + width * count / most;
    let bar = Room {
        left: EDGE,
        top,
        right: x(row.count),
        bottom: top + BAR,
    };
    let ink = if row.is_likely {
        Ink::ThirdArea
    } else {
        Ink::SecondBand
    };
    svg.rectangle(ink, bar);
    svg.line(Ink::Axis, &[(EDGE, top - 1.0), (EDGE, top + BAR + 1.0)]);
    if let Some(ends) = row.ends {
        let (ends, middle) = (ends.map(x), top + 0.5 * BAR);
        svg.line(Ink::Zero, &ends.map(|x| (x, middle)));
        for x in ends {
            svg.line(Ink::Zero, &[(x, middle - END), (x, middle + END)]);
        }
    }
}

fn below(topups: &TopUps, rows: &[Row]) -> String {
    if rows.is_empty() {
        return format!(
            "No top-up is due in {} months. {}",
            topups.months,
            policy_in_words(topups)
        );
    }
    let mut text = format!(
        "{} Bars: {} to buy",
        policy_in_words(topups),
        plural(&topups.package.name, 2)
    );
    text.push_str(if topups.intervals.is_some() {
        "; thin lines: 8 in 10 such beds."
    } else {
        ". No range was asked for."
    });
    if rows.iter().any(|row| !row.is_likely) {
        text.push_str(" Hatched: in fewer than half of them.");
    }
    if topups.beds > 1 {
        text.push_str(" For one bed.");
    }
    text
}

fn about(topups: &TopUps, rows: &[Row]) -> String {
    let mut said = vec![policy_in_words(topups)];
    said.push(sum_in_ranges(topups, false).unwrap_or_else(|| sum_in_words(topups, false)));
    said.extend(
        rows.iter()
            .map(|row| format!("{}: {}; {}.", row.date, row.packs, row.range)),
    );
    said.extend(draws_in_words(topups));
    said.join(" ")
}
