//! Mass of the fill over time, water included.

use moulder::months::MonthIntervals;
use moulder_words::figure::amount::{load, weight, weight_in_unit, weight_unit};
use moulder_words::forecast::spoken_date;

use crate::chart::opening::{self, Opening, calendar};
use crate::plot::course::{Course, range_in_words};
use crate::plot::label;
use crate::plot::look::Look;
use crate::plot::scale::Counting;
use crate::subject::Subject;
use crate::svg::document::Svg;

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let forecast = subject.forecast;
    let units = forecast.units;
    let unit = |kg| weight_in_unit(kg, units);
    let all = Course::at_turns(forecast, look, &|row| unit(row.total_mass_kg), &|bands| {
        bands.total_mass_kg.map(unit)
    });
    let labels = all.labels(&|value| format!("{value:.0} {}", weight_unit(units)));
    let heaviest = heaviest(subject);
    let opening = Opening {
        what: "its weight, water included",
        about: &about(subject, heaviest.as_deref()),
        below: &format!(
            "What the fill weighs, water included: {} {}",
            range_in_words(forecast, look),
            heaviest.as_deref().unwrap_or_default()
        ),
        left: weight_unit(units),
        ends: all.ends(),
        counting: Counting::Tens,
        labels: &labels,
        rows: &[],
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis();
    all.draw_range(&frame);
    frame.calendar(&calendar(subject));
    all.draw_middle(&frame);
    label::write(&frame, &labels);
    frame.done()
}

/// When it is heaviest, and the load on the ground below it: for decks and roofs.
fn heaviest(subject: &Subject<'_>) -> Option<String> {
    let forecast = subject.forecast;
    let units = forecast.units;
    let area_m2 = subject.bed.shape().area_m2();
    let high = |bands: &&MonthIntervals, than: &&MonthIntervals| {
        bands
            .total_mass_kg
            .upper
            .total_cmp(&than.total_mass_kg.upper)
    };
    if let Some(bands) = forecast.intervals.iter().max_by(high) {
        let kg = bands.total_mass_kg.upper;
        return Some(format!(
            "One time in ten it weighs more than {} on {}: {}.",
            weight(kg, units),
            spoken_date(bands.date),
            load(kg / area_m2, units)
        ));
    }
    let months = forecast.months.iter();
    let row = months.max_by(|one, other| one.total_mass_kg.total_cmp(&other.total_mass_kg))?;
    Some(format!(
        "It is heaviest on {}: {}, {}.",
        spoken_date(row.date),
        weight(row.total_mass_kg, units),
        load(row.total_mass_kg / area_m2, units)
    ))
}

fn about(subject: &Subject<'_>, heaviest: Option<&str>) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let ends = forecast.months.first().zip(forecast.months.last());
    let weighs = ends.map(|(first, last)| {
        format!(
            "It weighs {} at first and {} after {} months.",
            weight(first.total_mass_kg, units),
            weight(last.total_mass_kg, units),
            last.month
        )
    });
    let said = weighs.into_iter().chain(heaviest.map(str::to_owned));
    opening::about(forecast, said)
}
