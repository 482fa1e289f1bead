//! Nitrogen fed to a bed, day by day.

use jiff::civil::Date;
use moulder_core::weather::{Day, Weather};

use crate::bed::Feed;

/// The weather with each feeding on its day, spread over the bed. Feedings after its last day are
/// left out.
#[must_use]
pub fn fed(weather: &Weather, filled: Date, feeds: &[Feed], area_m2: f64) -> Weather {
    let mut days: Vec<Day> = weather.days().to_vec();
    for feed in feeds {
        let number = filled.until(feed.on).map_or(0, |span| span.get_days());
        let day = usize::try_from(number)
            .ok()
            .and_then(|index| days.get_mut(index));
        if let Some(day) = day {
            day.nitrogen_kg_m2 += feed.nitrogen_kg / area_m2;
        }
    }
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
    fn every_feeding_falls_on_its_day() {
        let library = Library::built_in();
        let climate = &library.find_station("Cambridge UK").unwrap().climate;
        let filled = date(2026, 3, 14);
        let open = lay_out(climate, filled, 60, 1);
        let feed = |on, nitrogen_kg| Feed {
            on,
            nitrogen_kg,
            feed_share: None,
        };
        let feeds = [
            feed(filled, 0.01),
            feed(date(2026, 4, 3), 0.02),
            feed(date(2027, 1, 1), 0.5),
        ];
        let got = fed(&open, filled, &feeds, 2.0);
        for (number, (before, after)) in open.days().iter().zip(got.days()).enumerate() {
            let given = after.nitrogen_kg_m2 - before.nitrogen_kg_m2;
            let due = match number {
                0 => 0.005,
                20 => 0.01,
                _ => 0.0,
            };
            assert!((given - due).abs() < 1e-12, "{number}: {given}");
        }
    }
}
