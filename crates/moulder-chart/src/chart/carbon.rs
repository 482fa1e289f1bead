//! Carbon in each layer over time and carbon released, stacked: they add up to all that was
//! put in.

use core::fmt::Write;

use moulder::Month;
use moulder_words::figure::amount::co2_kg;
use moulder_words::figure::amount::{weight, weight_in_unit, weight_unit};
use moulder_words::range::weights;

use crate::chart::moment::{laid_in_months, moments};
use crate::chart::opening::{self, Opening, calendar};
use crate::plot::label;
use crate::plot::look::Look;
use crate::plot::material_hatch::hatches;
use crate::plot::pace::Pace;
use crate::plot::scale::Counting;
use crate::plot::slab::{self, Part, Slab, stacked};
use crate::subject::Subject;
use crate::svg::document::Svg;
use crate::svg::escape::named;
use crate::svg::hatch::Hatch;
use crate::svg::ink::Ink;

/// Most characters of a layer's name.
const NAME_LIMIT: usize = 40;

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let forecast = subject.forecast;
    let units = forecast.units;
    let slabs = slabs(subject, look);
    let (labels, unnamed) = slab::labels(&slabs, label::most(look));
    let tops = slabs.iter().flat_map(|slab| &slab.high);
    let band = forecast.intervals.last().map(|band| band.carbon_kg);
    let highest = band.map_or(0.0, |band| weight_in_unit(band.upper, units));
    let high = tops.fold(highest, |high: f64, (_, value)| high.max(*value));
    let opening = Opening {
        what: "carbon left and given off",
        about: &about(subject),
        below: &below(subject, unnamed),
        left: &format!("{} of carbon", weight_unit(units)),
        ends: (0.0, high),
        counting: Counting::Tens,
        labels: &labels,
        rows: &[],
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis();
    slab::draw(&frame, &slabs);
    frame.calendar(&calendar(subject));
    // The carbon left ends where the slab of the carbon released begins.
    if let Some(gone) = slabs.last() {
        frame.named_line("left", "The carbon left", Ink::First, &gone.low);
    }
    if let Some(band) = band {
        slab::range(&frame, band.map(|kg| weight_in_unit(kg, units)).ends());
    }
    label::write(&frame, &labels);
    frame.done()
}

/// The layers, and on top of them the carbon released.
fn slabs(subject: &Subject<'_>, look: &Look) -> Vec<Slab> {
    let forecast = subject.forecast;
    let units = forecast.units;
    let rows = &forecast.months;
    let laid = laid_in_months(subject);
    let filled = subject.bed.layers().len();
    let moments = moments(rows, &laid, &Pace::default());
    let months: Vec<f64> = moments.iter().map(|moment| moment.month).collect();
    let hatches = hatches(subject.bed);
    let part = |name: &str, hatch, of: &dyn Fn(&Month) -> f64, on: Option<f64>| -> Part {
        let kg = moments
            .iter()
            .map(|moment| weight_in_unit(moment.value(rows, of, on), units));
        let end = weight(rows.last().map_or(0.0, of), units);
        (hatch, label::fitted(name, &end, look), kg.collect())
    };
    let layers = (0..forecast.layers.len()).map(|at| {
        let on = at.checked_sub(filled).and_then(|at| laid.get(at)).copied();
        let of = |row: &Month| row.layers.get(at).map_or(0.0, |layer| layer.carbon_kg);
        let hatch = hatches.get(at).copied().unwrap_or(Hatch::Soil);
        part(
            &named(&subject.layer_name(at), NAME_LIMIT),
            Some(hatch),
            &of,
            on,
        )
    });
    let mut parts: Vec<Part> = layers.collect();
    parts.push(part("given off", None, &|row| row.carbon_released_kg, None));
    stacked(0.0, &months, parts)
}

fn below(subject: &Subject<'_>, unnamed: usize) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut text = "The carbon to expect in each layer, with what has sifted into it; the \
                    open part on top has gone into the air."
        .to_owned();
    if let Some(band) = forecast.intervals.last() {
        let _ = write!(
            text,
            " In the end {} is left in 8 of 10 such beds (the bar).",
            weights(&band.carbon_kg, units)
        );
    }
    if unnamed > 0 {
        let _ = write!(text, " {unnamed} small parts have no room for a name.");
    }
    text
}

fn about(subject: &Subject<'_>) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut said = Vec::new();
    if let Some(row) = forecast.months.last() {
        said.push(format!(
            "After {} months {} of carbon is left, {:.0} % of what was put in.",
            row.month,
            weight(row.carbon_kg, units),
            100.0 * row.carbon_left
        ));
        for (at, layer) in row.layers.iter().enumerate() {
            let name = named(&subject.layer_name(at), NAME_LIMIT);
            said.push(format!("{name}: {}.", weight(layer.carbon_kg, units)));
        }
        said.push(format!(
            "{} has gone into the air, as {} of carbon dioxide.",
            weight(row.carbon_released_kg, units),
            weight(co2_kg(row.carbon_released_kg), units)
        ));
    }
    opening::about(forecast, said)
}
