//! Doses of feed in words: in the owner's feed, by a kitchen scale.
//!
//! ```
//! use moulder::{Bed, date, feed::feeding, months::unwatched};
//! use moulder_words::feeding::{doses_in_words, twelve_months};
//!
//! let bed = Bed::example();
//! let forecast = bed.forecast().months(12).ensemble_size(8).run()?;
//! let advice = feeding(&bed, date(2026, 3, 14), 8, 1, &unwatched)?;
//! assert!(!doses_in_words(&forecast, &advice).is_empty());
//! let months = twelve_months(&forecast, Some(&advice));
//! assert_eq!(months.len(), 12);
//! # Ok::<(), moulder::Error>(())
//! ```

use moulder::feed::Feeding;
use moulder::months::month_day;
use moulder::{Crop, Date, Forecast, Units};

use crate::figure::amount::{small_weight_in_unit, small_weight_unit};
use crate::forecast::MONTHS;
use crate::nitrogen::months_of_the_year;

/// Nitrogen in the feed that is told where the owner names none, as a share of its weight.
pub const USUAL_FEED: f64 = 0.13;
/// Less feed than this is not worth weighing; g.
const LEAST_FEED_G: f64 = 10.0;
/// Grams in a kilogram.
const GRAMS: f64 = 1000.0;

/// What is said of a month in which the crop runs short.
const SHORT: &str = "short";

/// A dose as it is told.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Told {
    /// Its day.
    on: Date,
    /// The last day that it is for: what is too small to weigh is given with it.
    until: Date,
    /// Feed in the unit of a kitchen scale, rounded up as one is used.
    weighed: f64,
}

/// The doses worth weighing; none where all are less than 10 g of feed together, or than their own
/// standard errors.
fn told(feeding: &Feeding, units: Units) -> Vec<Told> {
    let share = feeding.feed_share.unwrap_or(USUAL_FEED);
    let sum = |of: fn(&moulder::feed::Dose) -> f64| feeding.doses.iter().map(of).sum::<f64>();
    let (all_g, error_g) = (
        sum(|dose| dose.nitrogen_g),
        sum(|dose| dose.standard_error_g),
    );
    if all_g / share < LEAST_FEED_G || all_g <= error_g {
        return Vec::new();
    }
    // What is too small to weigh is given with the next of its kind, or else with the one before.
    let mut together: Vec<(Date, Date, f64)> = Vec::new();
    for dose in &feeding.doses {
        let feed_g = dose.nitrogen_g / share;
        match together.last_mut() {
            Some((_, until, sum_g)) if sum_g.max(feed_g) < LEAST_FEED_G => {
                *until = dose.on;
                *sum_g += feed_g;
            }
            _ => together.push((dose.on, dose.on, feed_g)),
        }
    }
    let mut told: Vec<(Date, Date, f64)> = Vec::new();
    let mut early_g = 0.0;
    for (on, until, feed_g) in together {
        match told.last_mut() {
            Some((_, told_until, sum_g)) if feed_g < LEAST_FEED_G => {
                *told_until = until;
                *sum_g += feed_g;
            }
            None if feed_g < LEAST_FEED_G => early_g += feed_g,
            _ => told.push((on, until, feed_g + core::mem::take(&mut early_g))),
        }
    }
    let weighed = told.into_iter().map(|(on, until, feed_g)| Told {
        on,
        until,
        weighed: on_a_scale(feed_g, units),
    });
    weighed.collect()
}

/// A weight of feed in the unit of a kitchen scale, rounded up: to 5 g, and 10 g from 100 g on; to
/// 0.2 oz, and 0.5 oz from 4 oz on.
fn on_a_scale(feed_g: f64, units: Units) -> f64 {
    let shown = small_weight_in_unit(feed_g / GRAMS, units);
    let (step, many, coarse) = match units {
        Units::Metric | Units::UkGarden => (5.0, 100.0, 10.0),
        Units::Us => (0.2, 4.0, 0.5),
    };
    let step = if shown < many { step } else { coarse };
    (shown / step - 1e-9).ceil() * step
}

/// "30 g", "1.2 oz".
fn weight(weighed: f64, units: Units) -> String {
    let text = match units {
        Units::Metric | Units::UkGarden => format!("{weighed:.0}"),
        Units::Us => format!("{weighed:.1}"),
    };
    let text = text.strip_suffix(".0").unwrap_or(&text);
    format!("{text} {}", small_weight_unit(units))
}

/// "your 13 % feed", or what is told where the owner names none.
#[must_use]
pub fn feed_in_words(feeding: &Feeding) -> String {
    match feeding.feed_share {
        Some(share) => format!("your {} feed", percent(share)),
        None => format!("a feed with {} nitrogen", percent(USUAL_FEED)),
    }
}

/// A share as a label prints it: "13 %", "4.5 %".
fn percent(share: f64) -> String {
    let text = format!("{:.3}", 100.0 * share);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{text} %")
}

/// How much feed, and in which months: "about 30 g of your 13 % feed, in May"; or that it takes
/// none. Of the same finding as [`twelve_months`]: a month that is short there is named.
#[must_use]
pub fn doses_in_words(forecast: &Forecast, feeding: &Feeding) -> String {
    if forecast.crop == Crop::None {
        return "nothing, for nothing grows".to_owned();
    }
    let units = forecast.units;
    let doses = told(feeding, units);
    let months = twelve_months(forecast, Some(feeding));
    let is_short = |(_, word): &&(Date, String)| word == SHORT;
    let short = in_months(months.iter().filter(is_short).map(|(begins, _)| *begins));
    let Some(when) = in_months(doses.iter().map(|dose| dose.on)) else {
        return match short {
            Some(short) => format!(
                "nothing this year: it may run a little short {short}, but by too little to weigh \
                 or to be sure of; watch the leaves"
            ),
            None => "nothing this year; watch the leaves".to_owned(),
        };
    };
    let all = doses.iter().map(|dose| dose.weighed).sum();
    let most = doses.iter().map(|dose| dose.weighed).fold(0.0, f64::max);
    let (within, at_once) = if doses.len() > 1 {
        let at_once = format!(", never more than {} at once", weight(most, units));
        (" for the whole bed within a year", at_once)
    } else {
        ("", String::new())
    };
    let enough = match short {
        Some(short) => format!("; even so it may run short {short}"),
        None if !feeding.is_enough => "; even so it may run short".to_owned(),
        None => String::new(),
    };
    format!(
        "about {} of {}{within}, {when}{at_once}{enough}; watch the leaves",
        weight(all, units),
        feed_in_words(feeding),
    )
}

/// The months of the year of some days: "in May and June".
fn in_months(days: impl Iterator<Item = Date>) -> Option<String> {
    let mut months = [false; 12];
    days.for_each(|day| months[month_of(day)] = true);
    months_of_the_year(months)
}

/// The twelve months from the first that begins on the day of the advice or later, each by its
/// first day with a word: "enough", "short", or "feed 30 g". Without advice those of the forecast
/// after filling or after the last reading. None where nothing grows, or the forecast ends before.
#[must_use]
pub fn twelve_months(forecast: &Forecast, feeding: Option<&Feeding>) -> Vec<(Date, String)> {
    let units = forecast.units;
    let doses = feeding.map_or_else(Vec::new, |feeding| told(feeding, units));
    let months = feeding.map_or_else(
        || months_of(forecast),
        |feeding| {
            let months = feeding.months.iter();
            months.map(|month| (month.begins, month.is_short)).collect()
        },
    );
    let each = months.into_iter().map(|(begins, is_short)| {
        let is_seen_to = |dose: &Told| dose.on < begins && begins <= dose.until;
        let word = match doses.iter().find(|dose| dose.on == begins) {
            Some(dose) => format!("feed {}", weight(dose.weighed, units)),
            None if is_short && !doses.iter().any(is_seen_to) => SHORT.to_owned(),
            None => "enough".to_owned(),
        };
        (begins, word)
    });
    each.collect()
}

/// The twelve months of a forecast after filling or after the last reading: the first day of each,
/// and whether the crop runs short in it.
fn months_of(forecast: &Forecast) -> Vec<(Date, bool)> {
    let given = forecast.given.as_ref();
    let from = given.map_or(forecast.filled, |given| given.last_on);
    let rows = forecast.months.iter().skip_while(|row| row.date < from);
    // A month that has begun is past.
    let ahead: Vec<(Date, bool)> = rows
        .skip(1)
        .take(12)
        .map(|row| {
            let begins = month_day(forecast.filled, row.month.saturating_sub(1));
            (begins, row.nitrogen.is_short)
        })
        .collect();
    let is_told = ahead.len() == 12 && forecast.crop != Crop::None;
    if is_told { ahead } else { Vec::new() }
}

/// The name of the month of a day: "May".
#[must_use]
pub fn month_name(day: Date) -> &'static str {
    MONTHS[month_of(day)]
}

/// [`twelve_months`] in a sentence.
#[must_use]
pub fn months_in_a_sentence(months: &[(Date, String)]) -> String {
    let told: Vec<String> = months
        .iter()
        .map(|(begins, word)| format!("{} {word}", month_name(*begins)))
        .collect();
    format!("Month by month: {}.", told.join(", "))
}

/// The month of the year, from 0.
fn month_of(day: Date) -> usize {
    usize::from(day.month().unsigned_abs().saturating_sub(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use moulder::{Bed, date};

    fn forecast(units: Units) -> Forecast {
        let bed = Bed::example().with_units(units);
        bed.forecast().months(12).ensemble_size(0).run().unwrap()
    }

    /// Doses of so much nitrogen, so many months after filling.
    fn doses(share: Option<f64>, given: &[(u32, f64)], standard_error_g: f64) -> Feeding {
        let doses = given.iter().map(|(month, nitrogen_g)| {
            serde_json::json!({
                "on": month_day(date(2026, 3, 14), *month).to_string(),
                "nitrogen_g": nitrogen_g,
                "standard_error_g": standard_error_g,
            })
        });
        let months = (0..12).map(|month| {
            let begins = month_day(date(2026, 3, 14), month).to_string();
            let is_short = given.iter().any(|(short, _)| *short == month);
            serde_json::json!({ "begins": begins, "is_short": is_short })
        });
        let advice = serde_json::json!({
            "months": months.collect::<Vec<_>>(),
            "doses": doses.collect::<Vec<_>>(), "is_enough": true, "feed_share": share,
        });
        serde_json::from_value(advice).unwrap()
    }

    #[test]
    fn doses_are_told_in_the_owners_feed() {
        let (metric, us) = (forecast(Units::Metric), forecast(Units::Us));
        for (forecast, advice, said) in [
            (
                &metric,
                doses(Some(0.13), &[(2, 3.9)], 0.0),
                "about 30 g of your 13 % feed, in May; watch the leaves",
            ),
            (
                &us,
                doses(Some(0.13), &[(2, 3.9)], 0.0),
                "about 1.2 oz of your 13 % feed, in May; watch the leaves",
            ),
            (
                &metric,
                doses(None, &[(2, 3.9), (3, 15.0)], 0.0),
                "about 150 g of a feed with 13 % nitrogen for the whole bed within a year, in May \
                 and June, never more than 120 g at once; watch the leaves",
            ),
            (
                &metric,
                doses(Some(0.045), &[(2, 3.9)], 0.0),
                "about 90 g of your 4.5 % feed, in May; watch the leaves",
            ),
        ] {
            assert_eq!(doses_in_words(forecast, &advice), said);
        }
    }

    #[test]
    fn what_is_not_worth_weighing_is_nothing() {
        let metric = forecast(Units::Metric);
        let nothing = "nothing this year; watch the leaves";
        let too_little = "nothing this year: it may run a little short in May, but by too little \
                          to weigh or to be sure of; watch the leaves";
        for (advice, said, short) in [
            (doses(Some(0.13), &[], 0.0), nothing, 0),
            // 9.2 g of feed.
            (doses(Some(0.13), &[(2, 1.2)], 0.0), too_little, 1),
            // Within its standard error.
            (doses(Some(0.13), &[(2, 3.9)], 4.0), too_little, 1),
        ] {
            assert_eq!(doses_in_words(&metric, &advice), said);
            let months = twelve_months(&metric, Some(&advice));
            assert_eq!(months.len(), 12);
            let of = |wanted: &str| months.iter().filter(|(_, word)| word == wanted).count();
            assert_eq!((of("short"), of("enough")), (short, 12 - short));
        }
        for (share, nitrogen_g, error_g) in [(0.11, 1.2, 0.0), (0.13, 3.9, 3.8)] {
            let advice = doses(Some(share), &[(2, nitrogen_g)], error_g);
            assert!(doses_in_words(&metric, &advice).starts_with("about"));
        }
    }

    /// From which month to which, and how much.
    fn outline(advice: &Feeding) -> Vec<(i8, i8, f64)> {
        let told = told(advice, Units::Metric);
        let outline = told
            .iter()
            .map(|dose| (dose.on.month(), dose.until.month(), dose.weighed));
        outline.collect()
    }

    #[test]
    fn a_dose_too_small_to_weigh_goes_with_another() {
        let metric = forecast(Units::Metric);
        let advice = doses(Some(0.1), &[(1, 0.4), (2, 0.9), (3, 0.5), (5, 4.0)], 0.0);
        assert_eq!(outline(&advice), [(4, 6, 20.0), (8, 8, 40.0)]);
        // Together they are worth weighing; the last of them is not.
        let advice_of_small = doses(Some(0.1), &[(1, 2.0), (2, 0.9), (3, 0.9), (6, 0.9)], 0.0);
        assert_eq!(outline(&advice_of_small), [(4, 4, 20.0), (5, 9, 30.0)]);
        // What comes first and is too small waits for the next.
        let early = doses(Some(0.1), &[(1, 0.4), (4, 2.0)], 0.0);
        assert_eq!(outline(&early), [(7, 7, 25.0)]);
        let said = doses_in_words(&metric, &early);
        assert!(said.contains("even so it may run short in April"), "{said}");
        let months = twelve_months(&metric, Some(&advice));
        assert_eq!(months[1], (date(2026, 4, 14), "feed 20 g".to_owned()));
        assert_eq!(months[2].1, "enough");
        assert_eq!(months[5].1, "feed 40 g");
    }

    #[test]
    fn months_begin_with_the_last_reading() {
        let from = |bed: &Bed, months| {
            let forecast = bed
                .forecast()
                .months(months)
                .ensemble_size(8)
                .run()
                .unwrap();
            let months = twelve_months(&forecast, None);
            months.first().map(|(begins, _)| month_name(*begins))
        };
        let bed = Bed::example();
        assert_eq!((from(&bed, 12), from(&bed, 11)), (Some("Mar"), None));
        let reading = moulder::Reading::below_rim_m(date(2026, 5, 20), 0.2);
        let measured = bed.with_reading(reading).unwrap();
        // A month that has begun is past.
        assert_eq!(
            (from(&measured, 15), from(&measured, 14)),
            (Some("Jun"), None)
        );
    }
}
