//! The water of a bed in words, in the owner's units.
//!
//! ```
//! use moulder::Bed;
//! use moulder_words::water::weather_in_a_sentence;
//!
//! let forecast = Bed::example().forecast().months(1).ensemble_size(0).run()?;
//! assert!(!weather_in_a_sentence(&forecast).is_empty());
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::{water, water_figure};
use crate::forecast::spoken_date;
use moulder::{Forecast, Month};

/// Water in the bed through its first year, or as far as the forecast goes, and its share in
/// wood. None for day zero alone.
#[must_use]
pub fn water_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let rows: Vec<&Month> = forecast
        .months
        .iter()
        .take_while(|row| row.month <= 12)
        .collect();
    let span = match rows.last()?.month {
        0 => return None,
        12 => "its first year".to_owned(),
        1 => "the month".to_owned(),
        months => format!("these {months} months"),
    };
    let units = forecast.units;
    let litres = || rows.iter().map(|row| row.water_l);
    let (least_l, most_l) = (
        litres().fold(f64::INFINITY, f64::min),
        litres().fold(0.0, f64::max),
    );
    let (low, high) = (water_figure(least_l, units), water(most_l, units));
    let holds = if high.starts_with(&format!("{low} ")) {
        high
    } else {
        format!("{low} to {high}")
    };
    let all_l: f64 = litres().sum();
    let wood_l: f64 = rows.iter().map(|row| row.water_l * row.water_in_wood).sum();
    let share = if forecast.has_wood && all_l > 0.0 {
        format!(", {} in the wood", share_in_words(wood_l / all_l))
    } else {
        String::new()
    };
    Some(format!(
        "Through {span} it holds {holds} of water at the turn of the months{share}."
    ))
}

/// The weather of the forecast.
#[must_use]
pub fn weather_in_a_sentence(forecast: &Forecast) -> String {
    let climate = &forecast.climate;
    match forecast.weather_until {
        None => format!("The weather is that of the twelve months of {climate}, laid out on days."),
        Some(last) => format!(
            "The weather is as it was measured until {}, and after that as it may come, about the \
             twelve months of {climate}.",
            spoken_date(last)
        ),
    }
}

/// A share as people say it.
fn share_in_words(share: f64) -> &'static str {
    match share {
        s if s < 0.05 => "hardly any of it",
        s if s < 0.17 => "about a tenth of it",
        s if s < 0.29 => "about a quarter of it",
        s if s < 0.42 => "about a third of it",
        s if s < 0.58 => "about half of it",
        s if s < 0.71 => "about two thirds of it",
        s if s < 0.85 => "about three quarters of it",
        _ => "most of it",
    }
}

#[cfg(test)]
mod tests {
    use super::share_in_words;

    #[test]
    fn the_nearest_share_is_said() {
        for (share, said) in [
            (0.0, "hardly any of it"),
            (0.1, "about a tenth of it"),
            (0.25, "about a quarter of it"),
            (1.0 / 3.0, "about a third of it"),
            (0.5, "about half of it"),
            (2.0 / 3.0, "about two thirds of it"),
            (0.75, "about three quarters of it"),
            (0.95, "most of it"),
        ] {
            assert_eq!(share_in_words(share), said);
        }
    }
}
