//! What makes the range wide: for each uncertain thing a bar, as long as the range would be
//! narrower if it were known.

use moulder::Sensitivity;
use moulder::Units;
use moulder::ensembles::ParameterSensitivity;
use moulder_words::figure::height::{in_unit, reading, spelt};
use moulder_words::forecast::spoken_date;
use moulder_words::sensitivity::{how_to_measure, most_in_a_sentence, rows_in_words, what};

use crate::chart::opening::{NAME_LIMIT, counting};
use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::look::Look;
use crate::plot::scale::Scale;
use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::escape::named;
use crate::svg::font::Font;
use crate::svg::ink::Ink;

/// A gain for which it is worth measuring anything; m (our own judgement: how closely a tape is
/// read on a rough surface).
const WORTH_M: f64 = 0.02;

/// Thickness of a bar; px.
const BAR: f64 = 11.0;

/// Between the words of a bar and the next one's; px.
const APART: f64 = 12.0;

/// Half the height of the ends of a whisker; px.
const END: f64 = 3.5;

/// Width that a step of the axis takes at least; px.
const STEP_PX: f64 = 56.0;

/// How to read the chart.
const BELOW: &str = "Bars: how much narrower if one thing were known; filled where you can \
                     measure it, hatched where you cannot. Thin lines: how far a bar may be off.";

/// Whether a gain is told as no less than [`WORTH_M`].
fn is_worth_it(m: f64, units: Units) -> bool {
    m >= WORTH_M || reading(m, units) == reading(WORTH_M, units)
}

/// An uncertain thing, and how much narrower the range would be without it.
struct Gain<'a> {
    one: &'a ParameterSensitivity,
    m: f64,
    /// One standard error less, and one more.
    ends_m: [f64; 2],
}

/// All that gain as much as a tape reads, the largest first.
fn gains(found: &Sensitivity) -> Vec<Gain<'_>> {
    let narrower_m = |share: f64| found.width_m() * (1.0 - libm::sqrt(1.0 - share.clamp(0.0, 1.0)));
    let gain = |one: &ParameterSensitivity, off: f64| narrower_m(one.first_order.share + off);
    let all = found.groups.iter().map(|one| {
        let error = one.first_order.standard_error;
        Gain {
            one,
            m: gain(one, 0.0),
            ends_m: [gain(one, -error), gain(one, error)],
        }
    });
    let mut gains: Vec<Gain<'_>> = all
        .filter(|gain| !reading(gain.m, found.units).starts_with("0 "))
        .collect();
    gains.sort_by(|one, other| other.m.total_cmp(&one.m));
    gains
}

/// Draws the chart.
#[must_use]
pub fn svg(found: &Sensitivity, look: &Look) -> Svg {
    let units = found.units;
    let name = named(&found.name, NAME_LIMIT);
    let gains = gains(found);
    let head = Head::new(look, &name, &below(found, &gains));
    let plot = Room {
        left: EDGE,
        top: head.bottom() + LINE,
        right: look.width_px() - EDGE - 16.0,
        bottom: head.bottom()
            + LINE
            + gains
                .iter()
                .map(|gain| row_px(gain, found, look))
                .sum::<f64>(),
    };
    let widest_m = gains.iter().map(|gain| gain.ends_m[1]).fold(0.0, f64::max);
    let most = plot.width() / STEP_PX;
    let across = Across {
        plot,
        scale: Scale::around(0.0, in_unit(widest_m, units), most, counting(units)),
        one_m: in_unit(1.0, units),
    };
    let foot_px = if gains.is_empty() { 0.0 } else { 2.5 * LINE };
    let mut svg = Svg::new(
        look.id(),
        look.width_px(),
        plot.bottom + foot_px,
        &format!("{name}: what makes its range wide"),
        &about(found, &gains),
    );
    head.write(&mut svg);
    if gains.is_empty() {
        return svg;
    }
    across.axis(&mut svg, &format!("{} narrower", spelt(units)));
    let mut top = plot.top;
    for gain in &gains {
        across.row(&mut svg, gain, &lines(gain, found, look), top);
        top += row_px(gain, found, look);
    }
    svg
}

/// What a thing is and gains, and whether it can be measured, in as many lines as that takes;
/// the second part in small words.
fn lines(gain: &Gain<'_>, found: &Sensitivity, look: &Look) -> [Vec<String>; 2] {
    let text = format!("{}: {}", what(gain.one.group), reading(gain.m, found.units));
    let room = look.width_px() - 2.0 * EDGE;
    [(text, TextSize::Body), (mark(gain.one), TextSize::Small)]
        .map(|(text, size)| Font::shipped().wrapped(&text, size.px(), room))
}

fn mark(one: &ParameterSensitivity) -> String {
    if one.measurable {
        format!("you can measure this: {}", how_to_measure(one.group))
    } else {
        "you cannot measure this".to_owned()
    }
}

/// The height of a row; px.
fn row_px(gain: &Gain<'_>, found: &Sensitivity, look: &Look) -> f64 {
    let lines = lines(gain, found, look);
    lines.iter().flatten().map(|_| LINE).sum::<f64>() + BAR + APART
}

/// Lengths laid out from left to right.
struct Across {
    plot: Room,
    /// In the owner's unit.
    scale: Scale,
    one_m: f64,
}

impl Across {
    fn x(&self, value: f64) -> f64 {
        self.plot.left + self.plot.width() * value / self.scale.high
    }

    fn axis(&self, svg: &mut Svg, counted: &str) {
        svg.open("gains", None);
        let y = self.plot.bottom + LINE;
        for tick in self.scale.ticks() {
            let x = self.x(tick);
            svg.line(Ink::Grid, &[(x, self.plot.top), (x, self.plot.bottom)]);
            let text = self.scale.written(tick);
            let words = Words::small(&text, x, y).anchored(Anchor::Middle);
            svg.write_in_room(&words.quiet(true), false);
        }
        svg.write(&Words::small(counted, EDGE, y + LINE).quiet(true), false);
        svg.close();
    }

    fn row(&self, svg: &mut Svg, gain: &Gain<'_>, lines: &[Vec<String>; 2], top: f64) {
        svg.open("unknown", Some(what(gain.one.group)));
        let mut y = top;
        for text in &lines[0] {
            y += LINE;
            svg.write(&Words::body(text, self.plot.left, y - 3.0), true);
        }
        for text in &lines[1] {
            y += LINE;
            svg.write(
                &Words::small(text, self.plot.left, y - 4.0).quiet(true),
                true,
            );
        }
        let bar = Room {
            left: self.x(0.0),
            top: y,
            right: self.x(gain.m * self.one_m),
            bottom: y + BAR,
        };
        if gain.one.measurable {
            svg.rectangle(Ink::ThirdArea, bar);
        } else {
            svg.rectangle(Ink::SecondBand, bar);
            let around = [
                (bar.left, bar.top),
                (bar.right, bar.top),
                (bar.right, bar.bottom),
                (bar.left, bar.bottom),
                (bar.left, bar.top),
            ];
            svg.line(Ink::Zero, &around);
        }
        let middle = y + 0.5 * BAR;
        let ends = gain.ends_m.map(|end_m| self.x(end_m * self.one_m));
        svg.line(Ink::Zero, &ends.map(|x| (x, middle)));
        for x in ends {
            svg.line(Ink::Zero, &[(x, middle - END), (x, middle + END)]);
        }
        svg.close();
    }
}

/// Whether anything is worth measuring, and how to read the chart.
fn below(found: &Sensitivity, gains: &[Gain<'_>]) -> String {
    let units = found.units;
    if found.most().is_none() {
        return "Nothing that is uncertain moves the surface.".to_owned();
    }
    let best = gains.iter().find(|gain| gain.one.measurable);
    let worth = match best.filter(|best| is_worth_it(best.m, units)) {
        Some(best) => format!("Most worth measuring: {}.", what(best.one.group)),
        None => format!(
            "Nothing but a tape is worth it: nothing you can measure when it is filled gains {}.",
            reading(WORTH_M, units)
        ),
    };
    let range = format!(
        "The range of its sink by {} is {} wide.",
        spoken_date(found.by),
        reading(found.width_m(), units)
    );
    if gains.is_empty() {
        return format!("{worth} {range}");
    }
    let rest = match found.groups.len() - gains.len() {
        0 => String::new(),
        1 => " One more thing would gain next to nothing.".to_owned(),
        count => format!(" {count} more things would gain next to nothing each."),
    };
    format!("{worth} {range} {BELOW}{rest}")
}

fn about(found: &Sensitivity, gains: &[Gain<'_>]) -> String {
    let units = found.units;
    let mut said = vec![most_in_a_sentence(found)];
    said.extend(gains.iter().map(|gain| {
        let Gain { one, m, ends_m } = gain;
        format!(
            "{}: {} narrower, between {} and {}; {}.",
            what(one.group),
            reading(*m, units),
            reading(ends_m[0], units),
            reading(ends_m[1], units),
            mark(one)
        )
    }));
    said.push(rows_in_words(found));
    said.join(" ")
}
