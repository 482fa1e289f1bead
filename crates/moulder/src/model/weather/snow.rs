//! Snow on a bed: what falls as snow lies on it, keeps frost and drying from it, and melts later.

use moulder_core::law::snow::{bare_share, frost_share, melt_mm, snow_share};
use moulder_core::weather::{Day, Weather};

/// The weather below the snow that lies, from a bed without snow on its first day. Water and its
/// nitrogen are kept: what falls comes down, or lies after the last day.
#[must_use]
pub fn under_snow(weather: &Weather) -> Weather {
    let (mut snow_mm, mut snow_nitrogen_kg_m2) = (0.0, 0.0);
    let days = weather.days().iter().map(|day| {
        let share = snow_share(day.mean_c);
        snow_mm += share * day.rain_mm;
        snow_nitrogen_kg_m2 += share * day.nitrogen_kg_m2;
        let melts = (melt_mm(day.mean_c) / f64::max(snow_mm, f64::MIN_POSITIVE)).min(1.0);
        let below = Day {
            // Frost alone is kept off: in the thaw snow is as warm as the air above 0.
            mean_c: day.mean_c.max(0.0) + day.mean_c.min(0.0) * frost_share(snow_mm),
            half_swing_c: day.half_swing_c * frost_share(snow_mm),
            rain_mm: (1.0 - share) * day.rain_mm + melts * snow_mm,
            eto_mm: day.eto_mm * bare_share(snow_mm),
            nitrogen_kg_m2: (1.0 - share) * day.nitrogen_kg_m2 + melts * snow_nitrogen_kg_m2,
        };
        snow_mm -= melts * snow_mm;
        snow_nitrogen_kg_m2 -= melts * snow_nitrogen_kg_m2;
        below
    });
    // As many days as before, at least one.
    Weather::new(days.collect(), weather.eto_by()).unwrap_or_else(|| weather.clone())
}

#[cfg(test)]
mod tests {
    use super::under_snow;
    use moulder_core::weather::{Day, EtoMethod, Weather};

    fn day(mean_c: f64, rain_mm: f64) -> Day {
        Day {
            mean_c,
            half_swing_c: 4.0,
            rain_mm,
            eto_mm: 1.0,
            nitrogen_kg_m2: 1e-6 * rain_mm,
        }
    }

    #[test]
    fn what_falls_comes_down_or_lies() {
        let winter = (0..90).map(|n| day(-8.0 + 0.05 * f64::from(n), f64::from(n % 4)));
        let spring = (0..60).map(|n| day(4.0 + 0.1 * f64::from(n), 1.0));
        let open = Weather::new(winter.chain(spring).collect(), EtoMethod::Hargreaves).unwrap();
        let below = under_snow(&open);
        let sum = |weather: &Weather, what: fn(&Day) -> f64| -> f64 {
            weather.days().iter().map(what).sum()
        };
        for what in [
            |day: &Day| day.rain_mm,
            |day: &Day| 1e6 * day.nitrogen_kg_m2,
        ] {
            let (fell, came) = (sum(&open, what), sum(&below, what));
            assert!(
                came <= fell + 1e-9 && fell - came < 0.02 * fell,
                "{fell} {came}"
            );
            // In January hardly anything comes down.
            let january: f64 = below.days()[..31].iter().map(what).sum();
            assert!(january < 0.2 * sum(&open, what) / 4.0, "{january}");
        }
        let deep = &below.days()[60];
        assert!(deep.mean_c > open.days()[60].mean_c && deep.eto_mm < 0.1);
        assert!(below.days().iter().all(|day| day.rain_mm >= 0.0));
        assert!((below.days().last().unwrap().eto_mm - 1.0).abs() < 0.02);
    }

    #[test]
    fn warm_days_are_unchanged() {
        let open = Weather::new(vec![day(25.0, 7.0); 9], EtoMethod::Hargreaves).unwrap();
        let below = under_snow(&open);
        for (one, other) in open.days().iter().zip(below.days()) {
            assert!((one.rain_mm - other.rain_mm).abs() < 1e-9);
            assert!((one.eto_mm - other.eto_mm).abs() < 1e-9);
        }
    }
}
