//! Parts of the settlement over time: hatched slabs by cause, down from the first height of
//! the surface, which add up to the settlement.

use core::fmt::Write;

use moulder::Interval;
use moulder::months::MonthIntervals;
use moulder::{Month, SettlementParts};
use moulder_words::figure::height::{in_unit, reading, span, spelt, unit};
use moulder_words::forecast::in_a_sentence;

use crate::chart::moment::moments;
use crate::chart::opening::{self, Opening, calendar, counting};
use crate::plot::course::ends;
use crate::plot::label::{self, Label};
use crate::plot::look::Look;
use crate::plot::slab::{self, Slab, stacked};
use crate::subject::Subject;
use crate::svg::document::Svg;
use crate::svg::hatch::Hatch;
use crate::svg::ink::Ink;

/// A part of the settlement.
struct Cause {
    name: &'static str,
    hatch: Hatch,
    fall_m: fn(&SettlementParts) -> f64,
    band: fn(&MonthIntervals) -> Interval,
}

/// In the order in which they set in, each hatched as what is lost: fines, non-woody material,
/// wood; what settles, by a hatch of its own.
const CAUSES: [Cause; 4] = [
    Cause {
        name: "settling",
        hatch: Hatch::Settling,
        fall_m: |split| split.mechanical_m,
        band: |band| band.mechanical_m,
    },
    Cause {
        name: "sifting down",
        hatch: Hatch::Soil,
        fall_m: |split| split.fines_migration_m,
        band: |band| band.fines_migration_m,
    },
    Cause {
        name: "soft rot",
        hatch: Hatch::Soft,
        fall_m: |split| split.nonwoody_decay_m,
        band: |band| band.nonwoody_decay_m,
    },
    Cause {
        name: "wood rot",
        hatch: Hatch::Wood,
        fall_m: |split| split.wood_decay_m,
        band: |band| band.wood_decay_m,
    },
];

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let forecast = subject.forecast;
    let units = forecast.units;
    let (falls, rises) = slabs(subject, look);
    let (mut labels, _) = slab::labels(&falls, CAUSES.len());
    labels.extend(whole(subject));
    let sunk = moments(&forecast.months, &[], &subject.pace())
        .iter()
        .map(|moment| {
            let settlement_m = moment.value(&forecast.months, &|row| row.settlement_m, None);
            (moment.month, -in_unit(settlement_m, units))
        })
        .collect::<Vec<(f64, f64)>>();
    // A bed that may stand higher in the end than when filled: the bar reaches above its zero.
    let range = forecast.intervals.last().map(|band| {
        let [least_m, most_m] = band.settlement_m.ends();
        [most_m, least_m].map(|fall_m| -in_unit(fall_m, units))
    });
    let slabs = falls.iter().chain(&rises).flat_map(|slab| &slab.high);
    let drawn = slabs.chain(&sunk).map(|(_, value)| *value);
    let ends = ends(drawn.chain(range.iter().flatten().copied()));
    let has_rises = rises
        .iter()
        .any(|slab| slab.high.iter().any(|at| at.1 > 1e-9));
    let opening = Opening {
        what: "what its sink is made of",
        about: &about(subject),
        below: &below(subject, has_rises),
        left: &format!("{} lower than when filled", spelt(units)),
        ends,
        counting: counting(units),
        labels: &labels,
        rows: &[],
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis_down();
    slab::draw(&frame, &falls);
    slab::draw(&frame, &rises);
    frame.calendar(&calendar(subject));
    frame.across(Ink::Zero, 0.0);
    frame.named_line("sunk", "The whole sink", Ink::First, &sunk);
    if let Some(range) = range {
        slab::range(&frame, range);
    }
    label::write(&frame, &labels);
    frame.done()
}

/// Falls below the first height of the surface, rises (wood that swells) above it.
fn slabs(subject: &Subject<'_>, look: &Look) -> (Vec<Slab>, Vec<Slab>) {
    let forecast = subject.forecast;
    let units = forecast.units;
    let moments = moments(&forecast.months, &[], &subject.pace());
    let months: Vec<f64> = moments.iter().map(|moment| moment.month).collect();
    let parts = |of: fn(f64) -> f64| {
        let parts = CAUSES.iter().map(|cause| {
            let fall_m = |row: &Month| of((cause.fall_m)(&row.parts));
            let falls = moments
                .iter()
                .map(|moment| moment.value(&forecast.months, &fall_m, None));
            let thick = falls.map(|fall_m| -in_unit(fall_m, units)).collect();
            (Some(cause.hatch), labelled(subject, cause, look), thick)
        });
        stacked(0.0, &months, parts.collect())
    };
    (
        parts(|fall_m| fall_m.max(0.0)),
        parts(|fall_m| fall_m.min(0.0)),
    )
}

/// The name of a part, its final value and its 80 % interval.
fn labelled(subject: &Subject<'_>, cause: &Cause, look: &Look) -> String {
    /// From this width on there is room for both; px.
    const WIDE_PX: f64 = 600.0;
    let forecast = subject.forecast;
    let units = forecast.units;
    let Some(row) = forecast.months.last() else {
        return cause.name.to_owned();
    };
    let part = reading((cause.fall_m)(&row.parts), units);
    match forecast.intervals.last().map(cause.band) {
        Some(band) if look.width_px() >= WIDE_PX => {
            let range = span(band.lower, band.upper, units);
            let range = range.trim_end_matches(unit(units)).trim_end();
            format!("{} {part} ({range})", cause.name)
        }
        _ => format!("{} {part}", cause.name),
    }
}

/// The label of the whole.
fn whole(subject: &Subject<'_>) -> Option<Label> {
    let forecast = subject.forecast;
    let row = forecast.months.last()?;
    Some(Label::new(
        -in_unit(row.settlement_m, forecast.units),
        format!("in all {}", reading(row.settlement_m, forecast.units)),
    ))
}

fn below(subject: &Subject<'_>, has_rises: bool) -> String {
    let forecast = subject.forecast;
    let mut text =
        "What the expected sink is made of: the parts add up to the line below them.".to_owned();
    if has_rises {
        text.push_str(" What swells stands above the first surface and counts against it.");
    }
    if let Some(band) = forecast.intervals.last() {
        let _ = write!(
            text,
            " In all {} in 8 of 10 such beds (the bar).",
            span(
                band.settlement_m.lower,
                band.settlement_m.upper,
                forecast.units
            )
        );
    }
    text
}

fn about(subject: &Subject<'_>) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut said = Vec::new();
    if let Some(row) = forecast.months.last() {
        said.push(format!(
            "After {} months it has sunk {}:",
            row.month,
            reading(row.settlement_m, units)
        ));
        for cause in &CAUSES {
            let part = reading((cause.fall_m)(&row.parts), units);
            said.push(format!("{} {part}.", cause.name));
        }
    }
    said.extend(in_a_sentence(forecast));
    opening::about(forecast, said)
}
