//! Thickness of each layer over time: hatched slabs from the ground up to the surface.

use core::fmt::Write;

use moulder::Month;
use moulder_words::figure::height::{in_unit, reading, span, spelt, unit};
use moulder_words::forecast::{how_sure, in_a_sentence};

use crate::chart::moment::{laid_in_months, moments};
use crate::chart::opening::{self, Opening, calendar, counting, still_labels};
use crate::plot::course::ends;
use crate::plot::label;
use crate::plot::look::Look;
use crate::plot::material_hatch::hatches;
use crate::plot::slab::{self, Slab, stacked};
use crate::subject::Subject;
use crate::svg::document::Svg;
use crate::svg::escape::named;
use crate::svg::hatch::Hatch;
use crate::svg::ink::Ink;

/// Most characters of a layer's name.
const NAME_LIMIT: usize = 40;

/// Labels that are no layer's: ground and rim.
const OTHERS: usize = 2;

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let units = subject.forecast.units;
    let slabs = slabs(subject, look);
    let (mut labels, unnamed) = slab::labels(&slabs, label::most(look).saturating_sub(OTHERS));
    let rim_m = subject.forecast.rim_m;
    labels.extend(still_labels(rim_m, units));
    let drawn = slabs
        .iter()
        .flat_map(|slab| slab.low.iter().chain(&slab.high));
    let drawn = drawn.map(|(_, height)| *height);
    let rim = rim_m.map(|rim_m| in_unit(rim_m, units));
    let band = subject.forecast.intervals.last();
    let band = band.map(|band| band.height_m.map(|m| in_unit(m, units)));
    let highest = band.map(|band| band.upper);
    let opening = Opening {
        what: "thickness of its layers",
        about: &about(subject),
        below: &below(subject, unnamed),
        left: &format!("{} above the ground", spelt(units)),
        ends: ends(drawn.chain(rim).chain(highest)),
        counting: counting(units),
        labels: &labels,
        rows: &[],
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis();
    slab::draw(&frame, &slabs);
    frame.calendar(&calendar(subject));
    frame.svg().open(
        "still-lines",
        Some("The ground, and the rim if there is one"),
    );
    frame.across(Ink::Ground, 0.0);
    if let Some(rim) = rim {
        frame.across(Ink::Rim, rim);
    }
    frame.svg().close();
    if let Some(top) = slabs.last() {
        frame.named_line("surface", "The surface", Ink::First, &top.high);
    }
    if let Some(band) = band {
        slab::range(&frame, band.ends());
    }
    label::write(&frame, &labels);
    frame.done()
}

/// The layers at the end of each month, and just before and after each addition.
fn slabs(subject: &Subject<'_>, look: &Look) -> Vec<Slab> {
    let forecast = subject.forecast;
    let units = forecast.units;
    let Some(first) = forecast.months.first() else {
        return Vec::new();
    };
    let whole_m: f64 = first.layers.iter().map(|layer| layer.thickness_m).sum();
    let foot = in_unit(first.height_m - whole_m, units);
    let filled = subject.bed.layers().len();
    let laid = laid_in_months(subject);
    let moments = moments(&forecast.months, &laid, &subject.pace());
    let months: Vec<f64> = moments.iter().map(|moment| moment.month).collect();
    let hatches = hatches(subject.bed);
    let parts = (0..forecast.layers.len()).map(|at| {
        let on = at.checked_sub(filled).and_then(|at| laid.get(at)).copied();
        let of = |row: &Month| row.layers.get(at).map_or(0.0, |layer| layer.thickness_m);
        let thick = moments
            .iter()
            .map(|moment| in_unit(moment.value(&forecast.months, &of, on), units));
        let end = forecast.months.last().and_then(|row| row.layers.get(at));
        let end_m = end.map_or(0.0, |layer| layer.thickness_m);
        let name = named(&subject.layer_name(at), NAME_LIMIT);
        let label = label::fitted(&name, &thickness(end_m, subject), look);
        let hatch = hatches.get(at).copied().unwrap_or(Hatch::Soil);
        (Some(hatch), label, thick.collect())
    });
    stacked(foot, &months, parts.collect())
}

/// A thickness to the step of a tape measure.
fn thickness(thick_m: f64, subject: &Subject<'_>) -> String {
    let units = subject.forecast.units;
    let read = reading(thick_m, units);
    if !read.starts_with("0 ") {
        return read;
    }
    let least = match unit(units) {
        "in" => "1/2 in",
        _ => "1 cm",
    };
    format!("under {least}")
}

fn below(subject: &Subject<'_>, unnamed: usize) -> String {
    let forecast = subject.forecast;
    let mut text = "How thick to expect each layer: the top is the surface.".to_owned();
    if let Some(band) = forecast.intervals.last() {
        let (low, high) = (band.height_m.lower, band.height_m.upper);
        let _ = write!(
            text,
            " In the end 8 in 10 such beds stand at {} (the bar).",
            span(low, high, forecast.units)
        );
    }
    if unnamed > 0 {
        let _ = write!(text, " {unnamed} thin layers have no room for a name.");
    }
    text
}

fn about(subject: &Subject<'_>) -> String {
    let forecast = subject.forecast;
    let (Some(first), Some(last)) = (forecast.months.first(), forecast.months.last()) else {
        return format!("Filled {}.", forecast.filled);
    };
    let mut said = vec![format!(
        "Filled {}. Layers from the ground up, their thickness at first and after {} months:",
        forecast.filled, last.month
    )];
    for (at, (first, last)) in first.layers.iter().zip(&last.layers).enumerate() {
        said.push(format!(
            "{}: {}, then {}.",
            named(&subject.layer_name(at), NAME_LIMIT),
            thickness(first.thickness_m, subject),
            thickness(last.thickness_m, subject)
        ));
    }
    said.extend(in_a_sentence(forecast));
    said.push(how_sure(forecast));
    said.join(" ")
}
