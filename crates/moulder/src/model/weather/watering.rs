//! Irrigation and cover.

use jiff::civil::Date;
use moulder_core::weather::{Day, Weather};

use crate::bed::Irrigation;

/// Days in a week.
const WEEK: f64 = 7.0;

/// The weather below the cover: a share of the rain, and in the season a seventh of the weekly
/// irrigation each day. A litre on a square metre is a millimetre.
#[must_use]
pub fn watered(weather: &Weather, filled: Date, watering: &Irrigation, area_m2: f64) -> Weather {
    let by_hand_mm = watering.litres_per_week / WEEK / area_m2;
    let mut date = filled;
    let days: Vec<Day> = weather
        .days()
        .iter()
        .map(|day| {
            let season = watering.is_season(date.month().unsigned_abs());
            // The calendar ends with the year 9999; its last day is repeated.
            date = date.tomorrow().unwrap_or(date);
            Day {
                rain_mm: day.rain_mm * watering.rain_share + if season { by_hand_mm } else { 0.0 },
                nitrogen_kg_m2: day.nitrogen_kg_m2 * watering.rain_share,
                ..*day
            }
        })
        .collect();
    // As many days as before, at least one.
    Weather::new(days, weather.eto_by()).unwrap_or_else(|| weather.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;
    use crate::model::weather::lay_out;
    use jiff::civil::date;

    #[test]
    fn irrigation_is_in_the_season_only() {
        let library = Library::built_in();
        let climate = &library.find_station("Hobart AU").unwrap().climate;
        let filled = date(2026, 1, 1);
        let open = lay_out(climate, filled, 365, 1);
        let watering = Irrigation {
            litres_per_week: 28.0,
            from: 11,
            to: 3,
            rain_share: 0.7,
        };
        let got = watered(&open, filled, &watering, 2.0);
        let mut by_hand_mm = 0.0;
        for (number, (before, after)) in open.days().iter().zip(got.days()).enumerate() {
            let given_mm = after.rain_mm - 0.7 * before.rain_mm;
            by_hand_mm += given_mm;
            // In 2026 January to March are the first 90 days, November begins with day 304.
            let season = !(90..304).contains(&number);
            let due_mm = if season { 2.0 } else { 0.0 };
            assert!((given_mm - due_mm).abs() < 1e-12, "{number}: {given_mm}");
            assert_eq!((after.mean_c, after.eto_mm), (before.mean_c, before.eto_mm));
        }
        assert!((by_hand_mm - 2.0 * 151.0).abs() < 1e-9, "{by_hand_mm}");
    }
}
