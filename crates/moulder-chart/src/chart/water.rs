//! Water in a bed over time, and the part of it in wood.

use moulder_words::figure::amount::{water, water_in_unit, water_unit};

use crate::chart::opening::{self, Opening, calendar};
use crate::plot::course::{Course, range_in_words};
use crate::plot::label::{self, Label};
use crate::plot::look::Look;
use crate::plot::scale::Counting;
use crate::plot::slab::{self, Slab, stacked};
use crate::subject::Subject;
use crate::svg::document::Svg;
use crate::svg::hatch::Hatch;

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let forecast = subject.forecast;
    let units = forecast.units;
    let unit = |litres| water_in_unit(litres, units);
    let all = Course::at_turns(forecast, look, &|row| unit(row.water_l), &|bands| {
        bands.water_l.map(unit)
    });
    let wood = in_wood(subject);
    let mut labels = all.labels(&|value| format!("{value:.0} {}", water_unit(units)));
    if forecast.has_wood {
        let wood = slab::labels(&wood, 1).0.into_iter();
        labels.extend(wood.map(|label| Label::quiet(label.value, label.text)));
    }
    let opening = Opening {
        what: "water in it",
        about: &about(subject),
        below: &below(subject, look),
        left: &format!("{} of water", water_unit(units)),
        ends: all.ends(),
        counting: Counting::Tens,
        labels: &labels,
        rows: &[],
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis();
    all.draw_range(&frame);
    if forecast.has_wood {
        slab::draw(&frame, &wood);
    }
    frame.calendar(&calendar(subject));
    all.draw_middle(&frame);
    label::write(&frame, &labels);
    frame.done()
}

/// The part in wood, from 0 up.
fn in_wood(subject: &Subject<'_>) -> Vec<Slab> {
    let forecast = subject.forecast;
    let rows = &forecast.months;
    let litres = rows.iter().map(|row| row.water_l * row.water_in_wood);
    let litres: Vec<f64> = litres.collect();
    let last = litres.last().copied().unwrap_or_default();
    let label = format!("in wood {}", water(last, forecast.units));
    let months: Vec<f64> = rows.iter().map(|row| f64::from(row.month)).collect();
    let held = litres
        .iter()
        .map(|litres| water_in_unit(*litres, forecast.units));
    stacked(
        0.0,
        &months,
        vec![(Some(Hatch::Wood), label, held.collect())],
    )
}

fn below(subject: &Subject<'_>, look: &Look) -> String {
    let forecast = subject.forecast;
    let mut text = format!("Water in the whole bed: {}", range_in_words(forecast, look));
    if forecast.has_wood {
        text.push_str(" Hatched: what wood holds, which it gives back slowly.");
    }
    text
}

fn about(subject: &Subject<'_>) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut said = Vec::new();
    if let (Some(first), Some(last)) = (forecast.months.first(), forecast.months.last()) {
        let wood = if forecast.has_wood {
            format!(", {:.0} % of that in wood", 100.0 * last.water_in_wood)
        } else {
            String::new()
        };
        said.push(format!(
            "It holds {} at first and {} after {} months{wood}.",
            water(first.water_l, units),
            water(last.water_l, units),
            last.month
        ));
    }
    let rows = || forecast.months.iter();
    let least = rows().min_by(|one, other| one.water_l.total_cmp(&other.water_l));
    let most = rows().max_by(|one, other| one.water_l.total_cmp(&other.water_l));
    if let (Some(least), Some(most)) = (least, most) {
        said.push(format!(
            "The least is {} in month {}, the most {} in month {}.",
            water(least.water_l, units),
            least.month,
            water(most.water_l, units),
            most.month
        ));
    }
    opening::about(forecast, said)
}
