//! Sensitivity indices: a bar for each group of uncertain parameters.

use moulder::Sensitivity;
use moulder::ensembles::Estimate;
use moulder::ensembles::ParameterSensitivity;
use moulder_words::sensitivity::{most_in_a_sentence, rows_in_words, what};

use crate::chart::opening::NAME_LIMIT;
use crate::plot::head::{EDGE, Head, LINE};
use crate::plot::look::Look;
use crate::plot::scale::{Counting, Scale};
use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::escape::named;
use crate::svg::font::Font;
use crate::svg::ink::Ink;

/// A share of the variance below this gets no bar.
const SMALL: f64 = 0.03;

/// From one group to the next, where its name takes one line; px.
const ROW: f64 = 52.0;

/// Thickness of a bar; px.
const BAR: f64 = 9.0;

/// Between the two bars of a group; px.
const GAP: f64 = 3.0;

/// Half the height of the ends of an error bar; px.
const END: f64 = 3.0;

/// Width that a step of the axis takes at least; px.
const STEP_PX: f64 = 56.0;

/// What the chart is called and how to read it.
const BELOW: &str = "How much of the doubt about the sink each thing brings in. Open bar: all \
                     of it, alone and together with other things. Solid bar: what would go if it \
                     alone were known. Whiskers: how far a bar may be off.";

/// Draws the chart.
#[must_use]
pub fn svg(found: &Sensitivity, look: &Look) -> Svg {
    let name = named(&found.name, NAME_LIMIT);
    let (large, small): (Vec<&ParameterSensitivity>, Vec<&ParameterSensitivity>) = found
        .groups
        .iter()
        .partition(|one| one.total.share >= SMALL || one.first_order.share >= SMALL);
    let below = match (large.len(), small.len()) {
        (0, _) => "Nothing that is uncertain moves the surface.".to_owned(),
        (_, 0) => BELOW.to_owned(),
        (_, small) => format!("{BELOW} {small} more do less than 3 % each."),
    };
    let head = Head::new(look, &name, &below);
    let ends = large
        .iter()
        .flat_map(|one| [one.total, one.first_order])
        .map(|estimate| 100.0 * (estimate.share + estimate.standard_error));
    let most = ends.fold(10.0, f64::max);
    let plot = Room {
        left: EDGE,
        top: head.bottom() + LINE,
        right: look.width_px() - EDGE - 16.0,
        bottom: head.bottom() + LINE + large.iter().map(|one| row_px(one, look)).sum::<f64>(),
    };
    let across = Across {
        plot,
        scale: Scale::around(0.0, most, plot.width() / STEP_PX, Counting::Tens),
    };
    let mut svg = Svg::new(
        look.id(),
        look.width_px(),
        plot.bottom + 2.0 * LINE,
        &format!("{name}: what makes its range wide"),
        &about(found, &large),
    );
    head.write(&mut svg);
    if large.is_empty() {
        return svg;
    }
    across.axis(&mut svg);
    let mut top = plot.top;
    for one in large {
        across.row(&mut svg, one, &heading(one, look), top);
        top += row_px(one, look);
    }
    svg
}

/// The name of a group and its total index, in as many lines as that takes.
fn heading(one: &ParameterSensitivity, look: &Look) -> Vec<String> {
    let text = format!("{}: {}", what(one.group), percent(one.total.share));
    let room = look.width_px() - 2.0 * EDGE;
    Font::shipped().wrapped(&text, TextSize::Body.px(), room)
}

/// The height of a group's row; px.
fn row_px(one: &ParameterSensitivity, look: &Look) -> f64 {
    let heading = heading(one, look);
    ROW + heading.iter().skip(1).map(|_| LINE).sum::<f64>()
}

/// Shares laid out from left to right.
struct Across {
    plot: Room,
    /// Per cent.
    scale: Scale,
}

impl Across {
    fn x(&self, percent: f64) -> f64 {
        let share = percent.clamp(0.0, self.scale.high) / self.scale.high;
        self.plot.left + self.plot.width() * share
    }

    fn axis(&self, svg: &mut Svg) {
        svg.open("shares", None);
        for tick in self.scale.ticks() {
            let x = self.x(tick);
            svg.line(Ink::Grid, &[(x, self.plot.top), (x, self.plot.bottom)]);
            let text = format!("{} %", self.scale.written(tick));
            let anchor = if tick == 0.0 {
                Anchor::Start
            } else {
                Anchor::Middle
            };
            let words = Words::small(&text, x, self.plot.bottom + LINE).anchored(anchor);
            svg.write_in_room(&words.quiet(true), false);
        }
        svg.close();
    }

    fn row(&self, svg: &mut Svg, one: &ParameterSensitivity, heading: &[String], top: f64) {
        svg.open("unknown", Some(what(one.group)));
        let mut top = top - LINE;
        for text in heading {
            top += LINE;
            svg.write(&Words::body(text, self.plot.left, top + LINE), true);
        }
        let bar = |share: f64, top: f64| Room {
            left: self.x(0.0),
            top,
            right: self.x(100.0 * share),
            bottom: top + BAR,
        };
        let total = bar(one.total.share, top + LINE + 6.0);
        svg.rectangle(Ink::Paper, total);
        let around = [
            (total.left, total.top),
            (total.right, total.top),
            (total.right, total.bottom),
            (total.left, total.bottom),
            (total.left, total.top),
        ];
        svg.line(Ink::Zero, &around);
        let first_order = bar(one.first_order.share, total.bottom + GAP);
        svg.rectangle(Ink::ThirdArea, first_order);
        for (estimate, bar) in [(one.total, total), (one.first_order, first_order)] {
            self.whisker(svg, estimate, bar.top + 0.5 * BAR);
        }
        svg.close();
    }

    fn whisker(&self, svg: &mut Svg, estimate: Estimate, y: f64) {
        let ends = [-1.0, 1.0].map(|way| {
            let end = estimate.share + way * estimate.standard_error;
            self.x(100.0 * end)
        });
        svg.line(Ink::Zero, &[(ends[0], y), (ends[1], y)]);
        for x in ends {
            svg.line(Ink::Zero, &[(x, y - END), (x, y + END)]);
        }
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share.max(0.0))
}

fn about(found: &Sensitivity, large: &[&ParameterSensitivity]) -> String {
    let mut said = vec![most_in_a_sentence(found)];
    for one in large {
        said.push(format!(
            "{}: {} in all, give or take {}; {} alone, give or take {}.",
            what(one.group),
            percent(one.total.share),
            percent(one.total.standard_error),
            percent(one.first_order.share),
            percent(one.first_order.standard_error)
        ));
    }
    said.push(rows_in_words(found));
    said.join(" ")
}
