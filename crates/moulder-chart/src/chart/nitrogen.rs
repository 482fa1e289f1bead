//! Nitrogen month by month: mineralised or immobilised in the growing layer, crop demand, and
//! the months in which it is not met.

use moulder::Crop;
use moulder::Forecast;
use moulder_words::nitrogen::nitrogen_in_a_sentence;

use crate::chart::opening::{self, Opening, calendar};
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
    let freed = Course::over_months(
        forecast,
        look,
        &|row| row.nitrogen.mineralised_g_m2,
        &|band| band.nitrogen_mineralised_g_m2,
    );
    let wanted = Course::over_months(
        forecast,
        look,
        &|row| row.nitrogen.crop_demand_g_m2,
        &|band| band.crop_nitrogen_demand_g_m2,
    );
    let taken = Course::over_months(
        forecast,
        look,
        &|row| row.nitrogen.crop_uptake_g_m2,
        &|band| band.crop_nitrogen_uptake_g_m2,
    );
    let crop: &[_] = match forecast.crop {
        Crop::None => &[],
        _ => &[
            (Ink::Second, "crop wants", &wanted.middle),
            (Ink::Third, "crop finds", &taken.middle),
        ],
    };
    let labels = labels(&freed.middle, crop);
    let (low, high) = freed.ends();
    let most = crop.iter().flat_map(|(_, _, line)| line.iter());
    let high = most.fold(high, |high, (_, value)| high.max(*value));
    let rows = short_months(forecast, look);
    let opening = Opening {
        what: "nitrogen that rot frees or binds",
        about: &about(forecast),
        below: &below(forecast, look, !rows.is_empty()),
        left: "g of nitrogen on a square metre, each month",
        ends: (low, high),
        counting: Counting::Tens,
        labels: &labels,
        rows: &rows,
    };
    let frame = opening::frame(subject, look, &opening);
    frame.left_axis();
    freed.draw_range(&frame);
    frame.calendar(&calendar(subject));
    frame.across(Ink::Zero, 0.0);
    freed.draw_middle(&frame);
    for (ink, name, line) in crop.iter().filter(|(_, _, line)| !line.is_empty()) {
        frame.named_line("crop", name, *ink, line);
    }
    month_bar::draw(&frame, &rows);
    label::write(&frame, &labels);
    frame.done()
}

/// A line of (month, value).
type Line = Vec<(f64, f64)>;

fn labels(freed: &Line, crop: &[(Ink, &str, &Line)]) -> Vec<Label> {
    let label = |ink: Ink, line: &Line, text: &str| {
        line.last().map(|(_, value)| Label {
            ink: Some(ink),
            ..Label::new(*value, text.to_owned())
        })
    };
    let freed = label(Ink::First, freed, "rot frees");
    let crop = crop
        .iter()
        .filter_map(|(ink, name, line)| label(*ink, line, name));
    freed.into_iter().chain(crop).collect()
}

/// A row with a bar for each month in which the crop is short; none where it never is.
fn short_months(forecast: &Forecast, look: &Look) -> Vec<MonthBar> {
    let months = forecast.months.iter().filter(|row| row.month > 0);
    let shares: Vec<f64> = months
        .map(|row| f64::from(u8::from(row.nitrogen.is_short)))
        .collect();
    if shares.iter().all(|share| *share == 0.0) {
        return Vec::new();
    }
    let months = MonthBar {
        name: "crop is short".to_owned(),
        shares,
    };
    vec![if is_yearly(forecast, look) {
        months.by_year()
    } else {
        months
    }]
}

fn below(forecast: &Forecast, look: &Look, is_short: bool) -> String {
    let mut text = format!(
        "Nitrogen that rot frees in the growing layer each month; below the line of nothing it \
         binds some: {}",
        range_in_words(forecast, look)
    );
    match (forecast.crop, is_short) {
        (Crop::None, _) => text.push_str(" Nothing grows here."),
        (_, true) => text.push_str(
            " The crop can also draw on what lay there before. Bars: months in which it finds \
             less than four fifths of what it wants.",
        ),
        (_, false) => text.push_str(" The crop finds enough in every month."),
    }
    text
}

fn about(forecast: &Forecast) -> String {
    let mut said = Vec::new();
    if let Some(row) = forecast
        .months
        .iter()
        .filter(|row| row.month > 0)
        .min_by(|one, other| {
            one.nitrogen
                .mineralised_g_m2
                .total_cmp(&other.nitrogen.mineralised_g_m2)
        })
    {
        let freed = row.nitrogen.mineralised_g_m2;
        let does = if freed < 0.0 { "binds" } else { "frees" };
        said.push(format!(
            "The leanest month is month {}: rot {does} {:.1} g of nitrogen on a square metre.",
            row.month,
            freed.abs()
        ));
    }
    let short: Vec<String> = forecast
        .months
        .iter()
        .filter(|row| row.nitrogen.is_short)
        .map(|row| row.month.to_string())
        .collect();
    if !short.is_empty() {
        let (count, all) = (short.len(), short.join(", "));
        said.push(format!("The crop is short in {count} months: {all}."));
    }
    said.extend(nitrogen_in_a_sentence(forecast));
    opening::about(forecast, said)
}
