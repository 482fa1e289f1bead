//! Temperature of the root zone against open ground, and the days warm enough to sow.

use std::iter;

use moulder::Month;
use moulder_words::warmth::{
    degrees, difference, lift_figure, sowing_warmth, warmth_in_a_sentence,
};

use crate::chart::opening::{self, Opening, calendar};
use crate::plot::calendar::days_to_month;
use crate::plot::course::{Course, is_yearly, range_in_words};
use crate::plot::label::{self, Label};
use crate::plot::look::Look;
use crate::plot::month_bar::{self, MonthBar};
use crate::plot::scale::Counting;
use crate::subject::Subject;
use crate::svg::document::Svg;
use crate::svg::ink::Ink;

/// Draws the chart.
#[must_use]
pub(crate) fn svg(subject: &Subject<'_>, look: &Look) -> Svg {
    let forecast = subject.forecast;
    let units = forecast.units;
    let lift = Course::over_months(
        forecast,
        look,
        &|row| difference(row.root_zone_lift_c, units),
        &|band| {
            band.root_zone_lift_c
                .map(|lift_c| difference(lift_c, units))
        },
    );
    let rows = [
        sowing(subject, "sowing days, bed", |row| row.warm_days),
        sowing(subject, "open ground", |row| row.warm_days_open_ground),
    ];
    let rows = if is_yearly(forecast, look) {
        rows.map(MonthBar::by_year)
    } else {
        rows
    };
    let labels = labels(&lift);
    let opening = Opening {
        what: "warmth of its roots against open ground",
        about: &about(subject),
        below: &format!(
            "How much warmer the growing layer is than open ground at the same depth, each \
             month: {} Bars: the share of each month's days on which it is warm enough to sow \
             ({} and more).",
            range_in_words(forecast, look),
            sowing_warmth(units)
        ),
        left: &format!("{} warmer than open ground", degrees(units)),
        ends: lift.ends(),
        counting: Counting::Tens,
        labels: &labels,
        rows: &rows,
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis();
    lift.draw_range(&frame);
    frame.calendar(&calendar(subject));
    frame.across(Ink::Zero, 0.0);
    lift.draw_middle(&frame);
    month_bar::draw(&frame, &rows);
    label::write(&frame, &labels);
    frame.done()
}

fn labels(lift: &Course) -> Vec<Label> {
    let ground = Label::quiet(0.0, "as open ground".to_owned());
    let bed = lift.middle.last();
    let bed = bed.map(|(_, value)| Label::new(*value, "the bed".to_owned()));
    iter::once(ground).chain(bed).collect()
}

/// A row of the share of each month's days that are warm enough.
fn sowing(subject: &Subject<'_>, name: &str, days: fn(&Month) -> f64) -> MonthBar {
    let filled = subject.bed.filled();
    let months = subject.forecast.months.iter().filter(|row| row.month > 0);
    let shares = months.map(|row| {
        let from = days_to_month(filled, row.month.saturating_sub(1));
        days(row) / (days_to_month(filled, row.month) - from)
    });
    MonthBar {
        name: name.to_owned(),
        shares: shares.collect(),
    }
}

fn about(subject: &Subject<'_>) -> String {
    let forecast = subject.forecast;
    let units = forecast.units;
    let mut said: Vec<String> = warmth_in_a_sentence(forecast).into_iter().collect();
    let months = || forecast.months.iter().filter(|row| row.month > 0);
    let most =
        months().max_by(|one, other| one.root_zone_lift_c.total_cmp(&other.root_zone_lift_c));
    if let Some(row) = most {
        said.push(format!(
            "The difference is largest in month {}: {} {}.",
            row.month,
            lift_figure(row.root_zone_lift_c, units),
            degrees(units)
        ));
    }
    let days = |of: fn(&Month) -> f64| months().map(of).sum::<f64>();
    said.push(format!(
        "Over all months {:.0} days are warm enough to sow in the bed, and {:.0} in open ground.",
        days(|row| row.warm_days),
        days(|row| row.warm_days_open_ground)
    ));
    opening::about(forecast, said)
}
