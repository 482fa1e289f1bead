//! Two to four beds in one frame, and below it how much higher each stands than the first.

use moulder::Interval;
use moulder::Units;
use moulder_words::comparison::told_apart;
use moulder_words::figure::height::{in_unit, reading, span, spelt, unit};
use moulder_words::range::from_to;

use crate::chart::height::heights;
use crate::chart::opening::{NAME_LIMIT, STEP_PX, calendar, counting};
use crate::plot::course::{Course, ends};
use crate::plot::frame::{Frame, Plan};
use crate::plot::head::EDGE;
use crate::plot::label::{self, AWAY, Label, stroke};
use crate::plot::look::{Look, Margins};
use crate::plot::scale::Scale;
use crate::subject::Subject;
use crate::svg::document::{Anchor, Svg, TextSize, Words};
use crate::svg::escape::named;
use crate::svg::font::Font;
use crate::svg::ink::Ink;

/// Most beds whose lines can be distinguished.
pub const BEDS_LIMIT: usize = 4;

/// The inks of a bed.
#[derive(Debug, Clone, Copy)]
struct Inks {
    line: Ink,
    /// Its interval, and the edges of that.
    band: Ink,
    edge: Ink,
}

/// Those of the beds, in their order.
const INKS: [Inks; BEDS_LIMIT] = [
    inks(Ink::First, Ink::FirstBand, Ink::FirstEdge),
    inks(Ink::Second, Ink::SecondBand, Ink::SecondEdge),
    inks(Ink::Third, Ink::ThirdBand, Ink::ThirdEdge),
    inks(Ink::Fourth, Ink::FourthBand, Ink::FourthEdge),
];

const fn inks(line: Ink, band: Ink, edge: Ink) -> Inks {
    Inks { line, band, edge }
}

/// The differences' share of the height of the upper plot.
const LOWER: f64 = 0.6;

/// Between the two plots, with room for the words over the lower; px.
const APART: f64 = 46.0;

/// Between one label and the next; px.
const LABELS: f64 = 16.0;

/// Beds side by side. The units are those of the first.
#[derive(Debug, Clone, Copy)]
pub struct Comparison<'a> {
    /// Each bed with its forecast, over the same months; of more than [`BEDS_LIMIT`] the
    /// first. Their readings are not drawn.
    pub beds: &'a [Subject<'a>],
    /// How much higher each bed after the first stands than the first, by month from day
    /// zero on; m. Empty without an ensemble.
    pub differences: &'a [Vec<Interval>],
}

/// A line with what it is drawn with and called.
struct Named {
    inks: Inks,
    name: String,
    course: Course,
}

/// Draws the chart.
#[must_use]
pub fn svg(comparison: &Comparison<'_>, look: &Look) -> Svg {
    let beds = comparison.beds;
    let beds = &beds[..beds.len().min(BEDS_LIMIT)];
    let Some(first) = beds.first() else {
        return Svg::new(
            look.id(),
            look.width_px(),
            1.0,
            "No bed",
            "There is no bed.",
        );
    };
    let first_forecast = first.forecast;
    let units = first_forecast.units;
    let names = names(beds);
    let upper = courses(beds, &names, units);
    let lower = differences(beds, &names, comparison.differences, units);
    let key: Vec<(Ink, String)> = upper
        .iter()
        .map(|line| (line.inks.line, line.name.clone()))
        .collect();
    let mut upper_labels = labels(&upper, look, units, reading);
    upper_labels.push(Label::quiet(0.0, "ground".to_owned()));
    let lower_labels = labels(&lower, look, units, signed);
    let lower_px = LOWER * look.plot_height_px();
    let most = look.plot_height_px() / STEP_PX;
    let name = named(&first_forecast.name, NAME_LIMIT);
    let plan = Plan {
        title: &format!("{name}: compared with other beds"),
        about: &about(beds, &names, &lower, units),
        heading: &heading(look, &upper),
        key: &key,
        below: &below(comparison),
        left: &format!("{} above the ground", spelt(units)),
        right: "",
        last: first_forecast
            .months
            .last()
            .map_or(0.0, |row| f64::from(row.month)),
        scale: scale(&upper, most, units),
        margins: Margins {
            left: EDGE + 34.0,
            right: EDGE,
            gutter: label::gutter(&upper_labels).max(label::gutter(&lower_labels)),
        },
        foot_px: APART + lower_px,
    };
    let frame = Frame::new(look, &plan);
    frame.left_axis();
    draw_courses(&frame, &upper);
    frame.across(Ink::Ground, 0.0);
    label::write(&frame, &upper_labels);
    frame.calendar(&calendar(first));
    let panel = Panel {
        frame: &frame,
        top: frame.floor() + APART,
        bottom: frame.plot().bottom - 4.0,
        scale: scale(&lower, LOWER * most, units),
    };
    let than = Font::shipped().fitted(
        &format!(
            "{} higher than {}",
            spelt(units),
            named(&first_forecast.name, NAME_LIMIT)
        ),
        TextSize::Small.px(),
        look.width_px() - 2.0 * EDGE,
    );
    panel.draw(&than, &lower, &lower_labels);
    frame.done()
}

/// What the beds are called; those of one name are told apart.
fn names(beds: &[Subject<'_>]) -> Vec<String> {
    let names = beds.iter();
    let names: Vec<String> = names
        .map(|bed| named(&bed.forecast.name, NAME_LIMIT))
        .collect();
    told_apart(names.iter().map(String::as_str))
}

fn courses(beds: &[Subject<'_>], names: &[String], units: Units) -> Vec<Named> {
    let of = |((bed, name), inks): ((&Subject<'_>, &String), Inks)| Named {
        inks,
        name: name.clone(),
        course: heights(bed, units),
    };
    beds.iter().zip(names).zip(INKS).map(of).collect()
}

/// Differences from the first, realisation by realisation: mean and interval month by
/// month; without an ensemble the difference of the nominal runs.
fn differences(
    beds: &[Subject<'_>],
    names: &[String],
    ranges: &[Vec<Interval>],
    units: Units,
) -> Vec<Named> {
    let Some((first, others)) = beds.split_first() else {
        return Vec::new();
    };
    let first = first.forecast;
    let inks = INKS.into_iter().skip(1);
    let others = others.iter().zip(names.iter().skip(1));
    let each = others.enumerate().zip(inks);
    each.map(|((at, (bed, name)), inks)| {
        let bands = ranges.get(at).map_or(&[][..], Vec::as_slice);
        let pairs = bed.forecast.months.iter().zip(&first.months).enumerate();
        let middle = pairs.map(|(month, (row, first))| {
            let expected_m = row.height_m - first.height_m;
            let higher_m = bands.get(month).map_or(expected_m, |band| band.mean);
            (f64::from(row.month), in_unit(higher_m, units))
        });
        let end = |of: fn(&Interval) -> f64| {
            let rows = first.months.iter().zip(bands);
            rows.map(|(row, band)| (f64::from(row.month), in_unit(of(band), units)))
                .collect()
        };
        Named {
            inks,
            name: name.clone(),
            course: Course {
                middle: middle.collect(),
                low: end(|band| band.lower),
                high: end(|band| band.upper),
            },
        }
    })
    .collect()
}

fn scale(lines: &[Named], most: f64, units: Units) -> Scale {
    let all = lines
        .iter()
        .flat_map(|line| <[f64; 2]>::from(line.course.ends()));
    let (low, high) = ends(all);
    Scale::around(low, high, most, counting(units))
}

/// All intervals, then all edges and lines, so that none hides another.
fn draw_courses(frame: &Frame, lines: &[Named]) {
    let ranged = || lines.iter().filter(|line| !line.course.low.is_empty());
    frame
        .svg()
        .open("ranges", Some("Where 8 in 10 such beds lie"));
    for line in ranged() {
        frame.between(line.inks.band, &line.course.low, &line.course.high);
    }
    for line in ranged() {
        frame.line(line.inks.edge, &line.course.low);
        frame.line(line.inks.edge, &line.course.high);
    }
    frame.svg().close();
    for line in lines.iter().filter(|line| !line.course.middle.is_empty()) {
        frame.named_line("bed", &line.name, line.inks.line, &line.course.middle);
    }
}

/// How a height is written.
type Told = fn(f64, Units) -> String;

/// Labels of the ends of lines: value and 80 % interval.
fn labels(lines: &[Named], look: &Look, units: Units, tell: Told) -> Vec<Label> {
    /// From this width on there is room for the interval; px.
    const WIDE_PX: f64 = 600.0;
    // The values are in the owner's unit; back to metres.
    let one_m = in_unit(1.0, units);
    let label = |line: &Named| {
        let course = &line.course;
        let (_, value) = course.middle.last()?;
        let said = tell(value / one_m, units);
        let said = match course.low.last().zip(course.high.last()) {
            Some(((_, low), (_, high))) if look.width_px() >= WIDE_PX => {
                let bare = |value: f64| {
                    let told = tell(value / one_m, units);
                    told.trim_end_matches(unit(units)).trim_end().to_owned()
                };
                format!("{said} ({})", from_to(&bare(*low), &bare(*high)))
            }
            _ => said,
        };
        Some(Label {
            value: *value,
            text: said,
            quiet: false,
            ink: Some(line.inks.line),
        })
    };
    lines.iter().filter_map(label).collect()
}

/// A height with its sign.
fn signed(height_m: f64, units: Units) -> String {
    let text = reading(height_m, units);
    if height_m > 0.0 && !text.starts_with("0 ") {
        format!("+{text}")
    } else {
        text.strip_prefix("-0 ")
            .map_or(text.clone(), |rest| format!("0 {rest}"))
    }
}

/// The lower plot.
struct Panel<'a> {
    frame: &'a Frame,
    top: f64,
    bottom: f64,
    scale: Scale,
}

impl Panel<'_> {
    fn y(&self, value: f64) -> f64 {
        let share = (value - self.scale.low) / (self.scale.high - self.scale.low);
        self.bottom - (self.bottom - self.top) * share
    }

    fn places(&self, line: &[(f64, f64)]) -> Vec<(f64, f64)> {
        line.iter()
            .map(|(month, value)| (self.frame.x(*month), self.y(*value)))
            .collect()
    }

    fn draw(&self, than: &str, lines: &[Named], labels: &[Label]) {
        let mut svg = self.frame.svg();
        svg.open("differences", Some(than));
        svg.write(
            &Words::small(than, EDGE, self.top - 12.0).quiet(true),
            false,
        );
        let (left, right) = (self.frame.plot().left, self.frame.months_end());
        for tick in self.scale.ticks() {
            let y = self.y(tick);
            svg.line(Ink::Grid, &[(left, y), (right, y)]);
            let text = self.scale.written(tick);
            let words = Words::small(&text, left - 6.0, y + 4.0).anchored(Anchor::End);
            svg.write(&words.quiet(true), false);
        }
        for line in lines {
            let mut around = self.places(&line.course.low);
            around.extend(self.places(&line.course.high).iter().rev());
            if !around.is_empty() {
                svg.area(line.inks.band, &around);
            }
        }
        for line in lines.iter().filter(|line| !line.course.low.is_empty()) {
            svg.line(line.inks.edge, &self.places(&line.course.low));
            svg.line(line.inks.edge, &self.places(&line.course.high));
        }
        svg.line(Ink::Zero, &[(left, self.y(0.0)), (right, self.y(0.0))]);
        for line in lines {
            svg.line(line.inks.line, &self.places(&line.course.middle));
        }
        let mut labels: Vec<&Label> = labels.iter().collect();
        labels.sort_by(|one, other| other.value.total_cmp(&one.value));
        let wanted: Vec<f64> = labels.iter().map(|label| self.y(label.value)).collect();
        let places = label::spread(&wanted, LABELS, self.top, self.bottom);
        for (label, y) in labels.into_iter().zip(places) {
            let x = right + AWAY;
            let x = label.ink.map_or(x, |ink| stroke(&mut svg, ink, x, y));
            let words = Words::body(&label.text, x, y + 4.5);
            svg.write(&words, true);
        }
        svg.close();
    }
}

/// "Hardwood base beside Softwood base"; where that is too long, how many there are.
fn heading(look: &Look, beds: &[Named]) -> String {
    let names: Vec<&str> = beds.iter().map(|bed| bed.name.as_str()).collect();
    let names = names.join(" beside ");
    let room = look.width_px() - 2.0 * EDGE;
    if Font::shipped().width(&names, TextSize::Heading.px()) <= room {
        return names;
    }
    let count = ["One bed", "Two beds", "Three beds"].get(beds.len().saturating_sub(1));
    format!("{} side by side", count.unwrap_or(&"Four beds"))
}

fn below(comparison: &Comparison<'_>) -> String {
    let range = if comparison.differences.is_empty() {
        "no range was asked for"
    } else {
        "the lower part takes the same weather and the same doubts for all. Hatched bands, each \
         in the ink of its line and slanted its own way: where 8 in 10 such beds lie"
    };
    format!(
        "How high they stand, and below how much higher than the first. Lines: what to expect; \
         {range}."
    )
}

fn about(beds: &[Subject<'_>], names: &[String], lower: &[Named], units: Units) -> String {
    let mut said = Vec::new();
    for (Subject { forecast, .. }, name) in beds.iter().zip(names) {
        let Some(row) = forecast.months.last() else {
            continue;
        };
        let height = reading(row.height_m, units);
        let range = forecast.intervals.last().map_or_else(String::new, |band| {
            let range = span(band.height_m.lower, band.height_m.upper, units);
            format!(", 8 in 10 {range}")
        });
        said.push(format!(
            "{name}: filled {}, {height} high after {} months{range}.",
            forecast.filled, row.month
        ));
    }
    let one_m = in_unit(1.0, units);
    for line in lower {
        let ends = line.course.low.last().zip(line.course.high.last());
        let Some((_, middle)) = line.course.middle.last() else {
            continue;
        };
        let range = ends.map_or_else(String::new, |(low, high)| {
            let (low, high) = (signed(low.1 / one_m, units), signed(high.1 / one_m, units));
            format!(", 8 in 10 from {low} to {high}")
        });
        said.push(format!(
            "{} against the first: {}{range}.",
            line.name,
            signed(middle / one_m, units)
        ));
    }
    said.join(" ")
}
