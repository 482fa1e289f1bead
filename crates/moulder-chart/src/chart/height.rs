//! The height of the surface over time: nominal run, interval, rim, additions, readings.

use moulder::Date;
use moulder::Month;
use moulder::Units;
use moulder_words::figure::height::{in_unit, reading, spelt};
use moulder_words::forecast::{how_sure, in_a_sentence};

use crate::chart::opening::{NAME_LIMIT, STEP_PX, calendar, counting, still_labels};
use crate::plot::course::{Course, ends};
use crate::plot::frame::{Frame, Plan};
use crate::plot::head::EDGE;
use crate::plot::label::{self, Label};
use crate::plot::look::{Look, Margins};
use crate::plot::pace::Pace;
use crate::plot::reading::Reading;
use crate::plot::scale::Scale;
use crate::subject::Subject;
use crate::svg::document::{Anchor, Room, Svg, TextSize, Words};
use crate::svg::escape::named;
use crate::svg::ink::Ink;

/// Half the width of the ends of an error bar; px.
const END: f64 = 4.0;

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let forecast = subject.forecast;
    let units = forecast.units;
    let pace = subject.pace();
    let steps = steps(subject, &pace);
    let lines = heights(subject, units);
    let labels = labels(subject);
    let name = named(&forecast.name, NAME_LIMIT);
    let last = forecast
        .months
        .last()
        .map_or(0.0, |row| f64::from(row.month));
    let margins = Margins {
        left: EDGE + 34.0,
        right: EDGE + if forecast.rim_m.is_some() { 36.0 } else { 0.0 },
        gutter: label::gutter(&labels),
    };
    let plan = Plan {
        title: &format!("{name}: height of the surface"),
        about: &about(subject, &steps),
        heading: &name,
        key: &[],
        below: &below(subject, &steps),
        left: &format!("{} above the ground", spelt(units)),
        right: &forecast
            .rim_m
            .map_or_else(String::new, |_| format!("{} below the rim", spelt(units))),
        last,
        scale: scale(subject, &lines, look),
        margins,
        foot_px: 0.0,
    };
    let frame = Frame::new(look, &plan);
    frame.left_axis();
    lines.draw_range_as(&frame, "Where 8 in 10 such beds stand");
    frame.calendar(&calendar(subject));
    still_lines(&frame, subject);
    frame.named_line("height", "The expected height", Ink::First, &lines.middle);
    label::write(&frame, &labels);
    laid_on(&frame, &steps, &lines.high, units);
    tape(&frame, subject.readings, &steps, &lines.middle, units);
    frame.done()
}

/// An addition.
struct Step {
    /// Months since filling.
    month: f64,
    /// The surface before and after, in the nominal run; m.
    from_m: f64,
    to_m: f64,
}

/// The additions. A forecast has heights at the ends of months: between them the surface
/// settles at the bed's pace but for the step on the day of the addition.
fn steps(subject: &Subject<'_>, pace: &Pace) -> Vec<Step> {
    let calendar = calendar(subject);
    let mut steps = Vec::new();
    for pair in subject.forecast.months.windows(2) {
        let (before, after) = (&pair[0], &pair[1]);
        let rise_m = after.added_m - before.added_m;
        if rise_m == 0.0 {
            continue;
        }
        let (from, to) = (f64::from(before.month), f64::from(after.month));
        let days = subject.bed.additions().iter().map(|added| added.on);
        let month = days
            .map(|day: Date| calendar.months_to(day))
            .find(|month| from < *month && *month <= to)
            .unwrap_or(to);
        let share = pace.share(from, to, month);
        let from_m = sunk(before.height_m, after.height_m, rise_m, share);
        steps.push(Step {
            month,
            from_m,
            to_m: from_m + rise_m,
        });
    }
    steps
}

/// The height just before a step in a month of which `share` has passed; m.
fn sunk(before_m: f64, after_m: f64, rise_m: f64, share: f64) -> f64 {
    before_m + (after_m - rise_m - before_m) * share
}

/// The lines of the chart: heights in those units.
pub(crate) fn heights(subject: &Subject<'_>, units: Units) -> Course {
    let forecast = subject.forecast;
    let pace = subject.pace();
    let steps = steps(subject, &pace);
    let line = |heights: &mut dyn Iterator<Item = (u32, f64)>| {
        let heights: Vec<(f64, f64)> = heights
            .map(|(month, height_m)| (f64::from(month), height_m))
            .collect();
        stepped(&heights, &steps, &pace)
            .into_iter()
            .map(|(month, height_m)| (month, in_unit(height_m, units)))
            .collect()
    };
    let row = |row: &Month| (row.month, row.height_m);
    let bands = &forecast.intervals;
    Course {
        middle: line(&mut forecast.months.iter().map(row)),
        low: line(&mut bands.iter().map(|band| (band.month, band.height_m.lower))),
        high: line(&mut bands.iter().map(|band| (band.month, band.height_m.upper))),
    }
}

/// A line through month ends, at the bed's pace and with the steps between them.
fn stepped(heights: &[(f64, f64)], steps: &[Step], pace: &Pace) -> Vec<(f64, f64)> {
    let mut line: Vec<(f64, f64)> = heights.first().copied().into_iter().collect();
    for pair in heights.windows(2) {
        let ((from, before_m), (to, after_m)) = (pair[0], pair[1]);
        let within = |step: &&Step| from < step.month && step.month <= to;
        let step = steps.iter().find(within);
        let (on, rise_m) = step.map_or((to, 0.0), |step| (step.month, step.to_m - step.from_m));
        // Before the step.
        let low_m = |month: f64| sunk(before_m, after_m, rise_m, pace.share(from, to, month));
        let (early, late): (Vec<f64>, Vec<f64>) =
            pace.between(from, to).partition(|month| *month < on);
        line.extend(early.into_iter().map(|month| (month, low_m(month))));
        if step.is_some() {
            line.extend([(on, low_m(on)), (on, low_m(on) + rise_m)]);
        }
        let late = late.into_iter().filter(|month| *month > on);
        line.extend(late.map(|month| (month, low_m(month) + rise_m)));
        line.push((to, after_m));
    }
    line
}

/// From the ground or the lowest value to the highest.
fn scale(subject: &Subject<'_>, lines: &Course, look: &Look) -> Scale {
    let units = subject.forecast.units;
    let (lowest, highest) = lines.ends();
    let rim = subject.forecast.rim_m.map(|rim_m| in_unit(rim_m, units));
    let read = subject.readings.iter().flat_map(|reading| {
        [-1.0, 1.0].map(|way| in_unit(reading.height_m + way * reading.plus_minus_m, units))
    });
    let (low, high) = ends([lowest, highest].into_iter().chain(rim).chain(read));
    let most = look.plot_height_px() / STEP_PX;
    Scale::around(low, high, most, counting(units))
}

/// What stands beside the ends of the lines.
fn labels(subject: &Subject<'_>) -> Vec<Label> {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut labels = still_labels(forecast.rim_m, units);
    let Some(row) = forecast.months.last() else {
        return labels;
    };
    let middle = reading(row.height_m, units);
    if let Some(band) = forecast.intervals.last() {
        for (name, end_m) in [("high", band.height_m.upper), ("low", band.height_m.lower)] {
            let end = reading(end_m, units);
            // An interval narrower than the step of a tape measure has no ends to name.
            if end != middle {
                labels.push(Label::quiet(in_unit(end_m, units), format!("{name} {end}")));
            }
        }
    }
    let value = in_unit(row.height_m, units);
    labels.push(Label::new(value, format!("about {middle}")));
    labels
}

/// The ground and the rim, with depths below it on the right.
fn still_lines(frame: &Frame, subject: &Subject<'_>) {
    let units = subject.forecast.units;
    let across = |ink, class: &str, label, height: f64| {
        frame.svg().open(class, Some(label));
        frame.across(ink, height);
        frame.svg().close();
    };
    across(Ink::Ground, "ground-line", "The ground", 0.0);
    let Some(rim_m) = subject.forecast.rim_m else {
        return;
    };
    let rim = in_unit(rim_m, units);
    across(Ink::Rim, "rim-line", "The rim", rim);
    let depths = Scale::around(0.0, rim, frame.plot().height() / STEP_PX, counting(units));
    let ticks: Vec<_> = depths
        .ticks()
        .into_iter()
        .filter(|depth| *depth <= rim)
        .map(|depth| (rim - depth, depths.written(depth)))
        .collect();
    frame.right_axis(&ticks);
}

/// An arrow up at each addition.
fn laid_on(frame: &Frame, steps: &[Step], high: &[(f64, f64)], units: Units) {
    if steps.is_empty() {
        return;
    }
    frame.svg().open("laid-on", Some("Laid on"));
    for step in steps {
        let x = frame.x(step.month);
        let (foot, head) = (
            frame.y(in_unit(step.from_m, units)),
            frame.y(in_unit(step.to_m, units)),
        );
        let mut svg = frame.svg();
        svg.line(Ink::Step, &[(x, foot), (x, head)]);
        let barb = (0.5 * (foot - head).abs()).min(5.0);
        if foot - head > 2.0 {
            let tips = [(x - barb, head + barb), (x, head), (x + barb, head + barb)];
            svg.line(Ink::Step, &tips);
        }
        let text = format!("+{}", reading(step.to_m - step.from_m, units));
        // Clear of the interval above the arrow.
        let on_the_day = |(month, _): &&(f64, f64)| (month - step.month).abs() < 1e-9;
        let range = high
            .iter()
            .filter(on_the_day)
            .map(|(_, high)| frame.y(*high));
        let y = range.fold(head, f64::min) - 8.0;
        note(&mut svg, frame.plot(), &text, x, y);
    }
    frame.svg().close();
}

/// Tape measure readings: a dot and an error bar.
fn tape(frame: &Frame, readings: &[Reading], steps: &[Step], middle: &[(f64, f64)], units: Units) {
    if readings.is_empty() {
        return;
    }
    frame.svg().open("tape", Some("Measured with a tape"));
    for read in readings {
        let x = frame.x(read.month);
        let at = |height_m| frame.y(in_unit(height_m, units));
        let (top, bottom) = (
            at(read.height_m + read.plus_minus_m),
            at(read.height_m - read.plus_minus_m),
        );
        let mut svg = frame.svg();
        svg.line(Ink::Reading, &[(x, top), (x, bottom)]);
        for y in [top, bottom] {
            svg.line(Ink::Reading, &[(x - END, y), (x + END, y)]);
        }
        svg.circle(Ink::SecondArea, (x, at(read.height_m)), 4.0);
        // A figure must not hide an arrow.
        let text = reading(read.height_m, units);
        let reach = 0.5 * svg.font().width(&text, TextSize::Small.px()) + 4.0;
        let mut arrows = steps.iter().map(|step| frame.x(step.month));
        if arrows.all(|arrow| (arrow - x).abs() > reach) {
            // Away from the nominal run.
            let expected = height_at(middle, read.month);
            let y = match expected {
                Some(height) if in_unit(read.height_m, units) >= height => top - 8.0,
                _ => bottom + 17.0,
            };
            note(&mut svg, frame.plot(), &text, x, y);
        }
    }
    frame.svg().close();
}

/// The height of a line in a month; none outside it.
fn height_at(line: &[(f64, f64)], month: f64) -> Option<f64> {
    let pair = line
        .windows(2)
        .find(|pair| pair[0].0 <= month && month <= pair[1].0 && pair[0].0 < pair[1].0)?;
    let ((from, before), (to, after)) = (pair[0], pair[1]);
    Some(before + (after - before) * (month - from) / (to - from))
}

/// Small words over lines, where there is room for them in the plot.
fn note(svg: &mut Svg, plot: Room, text: &str, x: f64, y: f64) {
    let words = Words::small(text, x, y).anchored(Anchor::Middle);
    if plot.holds(&words.room(svg.font())) {
        svg.write_in_room(&words, true);
    }
}

/// How to read the chart, in a line or two.
fn below(subject: &Subject<'_>, steps: &[Step]) -> String {
    let forecast = subject.forecast;
    let mut text = "How high the surface stands: the line is what to expect".to_owned();
    if forecast.intervals.is_empty() {
        text.push_str(", and no range was asked for.");
    } else {
        text.push_str(", and 8 in 10 such beds stand in the shaded band.");
    }
    if !steps.is_empty() {
        text.push_str(" Arrows: laid on.");
    }
    if !subject.readings.is_empty() {
        text.push_str(" Dots: measured with a tape.");
    }
    text
}

/// What the chart shows, for those who do not see it.
fn about(subject: &Subject<'_>, steps: &[Step]) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut said = vec![format!("Filled {}.", forecast.filled)];
    if let Some(rim_m) = forecast.rim_m {
        let rim = reading(rim_m, units);
        said.push(format!("The rim is {rim} above the ground."));
    }
    if let Some(first) = forecast.months.first() {
        let height = reading(first.height_m, units);
        said.push(format!(
            "At first the surface stands {height} above the ground."
        ));
    }
    if let Some(sentence) = in_a_sentence(forecast) {
        said.extend([sentence, how_sure(forecast)]);
    }
    if let [.., last] = steps {
        let all_m: f64 = steps.iter().map(|step| step.to_m - step.from_m).sum();
        said.push(format!(
            "Laid on {}, {} in all, the last in month {:.1}.",
            times(steps.len()),
            reading(all_m, units),
            last.month
        ));
    }
    let readings = subject.readings;
    let later = |one: &&Reading, other: &&Reading| one.month.total_cmp(&other.month);
    if let Some(last) = readings.iter().max_by(later) {
        said.push(format!(
            "Measured with a tape {}; the last, in month {:.1}, read {}, give or take {}.",
            times(readings.len()),
            last.month,
            reading(last.height_m, units),
            reading(last.plus_minus_m, units)
        ));
    }
    said.join(" ")
}

/// "once", "3 times".
fn times(count: usize) -> String {
    match count {
        1 => "once".to_owned(),
        _ => format!("{count} times"),
    }
}
