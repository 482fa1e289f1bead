//! Prior and posterior intervals of the height over time, with the tape measure readings.

use moulder::Bed;
use moulder::Fit;
use moulder::Interval;
use moulder::ensembles::FitMonth;
use moulder_words::figure::height::{in_unit, reading, span, spelt};
use moulder_words::fit::{draws_in_words, fit_in_a_sentence, posterior_in_words};

use crate::chart::opening::{NAME_LIMIT, STEP_PX, counting, still_labels};
use crate::plot::calendar::Calendar;
use crate::plot::course::{Course, ends};
use crate::plot::frame::{Frame, Plan};
use crate::plot::head::EDGE;
use crate::plot::label::{self, Label};
use crate::plot::look::{Look, Margins};
use crate::plot::scale::Scale;
use crate::svg::document::Svg;
use crate::svg::escape::named;
use crate::svg::ink::Ink;

/// Draws the chart of a bed and its fit.
#[must_use]
pub fn svg(bed: &Bed, fit: &Fit, look: &Look) -> Svg {
    let units = fit.units;
    let before = course(fit, |month| month.height_before_m);
    let after = course(fit, |month| month.height_m);
    let calendar = Calendar::new(bed.filled(), bed.climate().latitude_deg);
    let seen = seen(fit, &calendar);
    let labels = labels(fit);
    let heights = seen.iter().map(|seen| seen.height);
    let rim = fit.rim_m.map(|rim_m| in_unit(rim_m, units));
    let drawn = [before.ends(), after.ends()].map(<[f64; 2]>::from);
    let (low, high) = ends(drawn.into_iter().flatten().chain(heights).chain(rim));
    let name = named(&fit.name, NAME_LIMIT);
    let months = fit
        .months
        .last()
        .map_or(0.0, |month| f64::from(month.month));
    let frame = Frame::new(
        look,
        &Plan {
            title: &format!("{name}: before and after its tape readings"),
            about: &about(fit),
            heading: &name,
            key: &[],
            below: &below(fit),
            left: &format!("{} above the ground", spelt(units)),
            right: "",
            last: seen.iter().map(|seen| seen.month).fold(months, f64::max),
            scale: Scale::around(low, high, look.plot_height_px() / STEP_PX, counting(units)),
            margins: Margins {
                left: EDGE + 34.0,
                right: EDGE,
                gutter: label::gutter(&labels),
            },
            foot_px: 0.0,
        },
    );
    frame.left_axis();
    after.draw_range(&frame);
    frame.calendar(&calendar);
    frame.across(Ink::Ground, 0.0);
    if let Some(rim) = rim {
        frame.across(Ink::Rim, rim);
    }
    frame.svg().open(
        "before",
        Some("Where 8 in 10 such beds were thought to stand"),
    );
    for edge in [&before.low, &before.high]
        .into_iter()
        .filter(|edge| !edge.is_empty())
    {
        frame.line(Ink::Third, edge);
    }
    frame.svg().close();
    after.draw_middle(&frame);
    dots(&frame, &seen);
    label::write(&frame, &labels);
    frame.done()
}

/// A reading.
struct Seen {
    /// Months since filling.
    month: f64,
    /// In the owner's unit.
    height: f64,
    is_doubted: bool,
}

fn seen(fit: &Fit, calendar: &Calendar) -> Vec<Seen> {
    let seen = |read: &moulder::ensembles::FitReading| {
        Some(Seen {
            month: calendar.months_to(read.on),
            height: in_unit(read.seen_m, fit.units),
            is_doubted: read.is_doubted,
        })
    };
    fit.readings.iter().filter_map(seen).collect()
}

fn course(fit: &Fit, band: fn(&FitMonth) -> Interval) -> Course {
    let line = |of: fn(&Interval) -> f64| {
        let months = fit.months.iter();
        months
            .map(|month| (f64::from(month.month), in_unit(of(&band(month)), fit.units)))
            .collect()
    };
    Course {
        middle: line(|band| band.mean),
        low: line(|band| band.lower),
        high: line(|band| band.upper),
    }
}

/// A dot for each reading; a ring where it is doubted.
fn dots(frame: &Frame, seen: &[Seen]) {
    frame.svg().open("tape", Some("Measured with a tape"));
    for seen in seen {
        let at = (frame.x(seen.month), frame.y(seen.height));
        let mut svg = frame.svg();
        svg.circle(Ink::SecondArea, at, 4.5);
        if seen.is_doubted {
            svg.circle(Ink::Paper, at, 2.5);
        }
    }
    frame.svg().close();
}

fn labels(fit: &Fit) -> Vec<Label> {
    let units = fit.units;
    let mut labels = still_labels(fit.rim_m, units);
    let Some(month) = fit.months.last() else {
        return labels;
    };
    let (before, after) = (month.height_before_m, month.height_m);
    labels.push(Label {
        value: in_unit(after.mean, units),
        text: format!("now {}", reading(after.mean, units)),
        quiet: false,
        ink: Some(Ink::First),
    });
    labels.push(Label {
        ink: Some(Ink::BandEdge),
        ..Label::new(
            in_unit(after.upper, units),
            format!("now {}", span(after.lower, after.upper, units)),
        )
    });
    labels.push(Label {
        ink: Some(Ink::Third),
        ..Label::quiet(
            in_unit(before.lower, units),
            format!("before {}", span(before.lower, before.upper, units)),
        )
    });
    labels
}

fn below(fit: &Fit) -> String {
    let surprise = if fit.agreement.is_surprising {
        " The readings are a surprise: fewer than one in a hundred such beds would be read so."
    } else {
        ""
    };
    let doubted = if fit.readings.iter().any(|read| read.is_doubted) {
        ", rings where they are doubted"
    } else {
        ""
    };
    format!(
        "Shaded: where 8 in 10 such beds stand, now that it is measured, and the line in it what \
         to expect. Dotted: where they were thought to stand before. Dots: tape \
         readings{doubted}.{surprise}"
    )
}

fn about(fit: &Fit) -> String {
    let units = fit.units;
    let mut said = vec![format!("Filled {}.", fit.filled)];
    if let Some(month) = fit.months.last() {
        let (before, after) = (month.height_before_m, month.height_m);
        said.push(format!(
            "After {} months the surface was thought to stand at {}, and now at {}.",
            month.month,
            span(before.lower, before.upper, units),
            span(after.lower, after.upper, units)
        ));
    }
    for read in &fit.readings {
        let seen = reading(read.seen_m, units);
        let doubted = if read.is_doubted {
            ", which is doubted"
        } else {
            ""
        };
        said.push(format!("Measured on {}: {seen}{doubted}.", read.on));
    }
    said.extend(fit_in_a_sentence(fit));
    said.push(posterior_in_words(fit));
    said.push(draws_in_words(fit));
    said.join(" ")
}
