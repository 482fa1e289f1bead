//! Weather measured day by day.

use jiff::civil::Date;

use crate::library::climates::Climate;

/// What was measured on a day; none where it was not.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MeasuredDay {
    /// Highest temperature; degC.
    pub high_c: Option<f64>,
    /// Lowest temperature; degC, not above the highest.
    pub low_c: Option<f64>,
    /// Precipitation, snow as meltwater; mm, 0 or more.
    pub rain_mm: Option<f64>,
}

#[cfg(any(test, feature = "weather-csv"))]
impl MeasuredDay {
    const NOTHING: Self = Self {
        high_c: None,
        low_c: None,
        rain_mm: None,
    };

    /// Whether anything was measured.
    pub(crate) fn is_something(&self) -> bool {
        *self != Self::NOTHING
    }
}

/// Weather measured day by day, with gaps; read by `WeatherRecord::from_csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct WeatherRecord {
    first: Date,
    days: Vec<MeasuredDay>,
}

impl WeatherRecord {
    /// The days of a record in order of date, those without a row as gaps. None without a day on
    /// which something was measured.
    #[cfg(any(test, feature = "weather-csv"))]
    pub(crate) fn new(days: impl IntoIterator<Item = (Date, MeasuredDay)>) -> Option<Self> {
        let mut record: Option<Self> = None;
        for (date, day) in days {
            if !day.is_something() {
                continue;
            }
            let Self { first, days } = record.get_or_insert_with(|| Self {
                first: date,
                days: Vec::new(),
            });
            let at = usize::try_from(days_between(*first, date)).ok()?;
            days.resize(at.max(days.len()), MeasuredDay::NOTHING);
            days.push(day);
        }
        record
    }

    /// What was measured on a day.
    #[must_use]
    pub fn on(&self, date: Date) -> MeasuredDay {
        let at = usize::try_from(days_between(self.first, date)).ok();
        let day = at.and_then(|at| self.days.get(at));
        day.copied().unwrap_or_default()
    }

    /// The first day on which something was measured.
    #[must_use]
    pub const fn first(&self) -> Date {
        self.first
    }

    /// The last day on which something was measured.
    #[must_use]
    pub fn last(&self) -> Date {
        let more = i32::try_from(self.days.len() - 1).unwrap_or(i32::MAX);
        self.first.saturating_add(jiff::ToSpan::days(more))
    }
}

/// Least number of days by which a record is judged.
const LEAST_DAYS: usize = 20;
/// Least number of them for its rain.
const LEAST_RAIN_DAYS: usize = 180;
/// Means of days that lie farther from the normals are of another place or in another unit; K.
/// Our own closure: the coldest month of most records lies within 10 K.
const UNLIKE_K: f64 = 12.0;
/// So many times the normal rain is that of another unit. Our own closure.
const UNLIKE_RAIN: f64 = 6.0;

impl WeatherRecord {
    /// How it contradicts the normals of a climate: what is found, and what would do.
    pub(crate) fn contradicts(&self, climate: &Climate) -> Option<(String, &'static str)> {
        let (mut warmer_k, mut fell_mm, mut due_mm) = (Vec::new(), Vec::new(), 0.0);
        for (number, day) in (0..).zip(&self.days) {
            let date = self.first.saturating_add(jiff::ToSpan::days(number));
            let month = usize::from(date.month().unsigned_abs().clamp(1, 12) - 1);
            if let (Some(high_c), Some(low_c)) = (day.high_c, day.low_c) {
                let normal_c = climate.high_c[month] + climate.low_c[month];
                warmer_k.push(0.5 * (high_c + low_c - normal_c));
            }
            if let Some(rain_mm) = day.rain_mm {
                fell_mm.push(rain_mm);
                due_mm += climate.rain_mm[month] / f64::from(date.days_in_month());
            }
        }
        let count = f64::from(u32::try_from(warmer_k.len()).unwrap_or(u32::MAX));
        let warmer = warmer_k.iter().sum::<f64>() / count;
        if warmer_k.len() >= LEAST_DAYS && warmer.abs() > UNLIKE_K {
            let (by, than) = (warmer.abs(), if warmer > 0.0 { "warmer" } else { "colder" });
            let found = format!(
                "its days are {by:.0} degrees Celsius {than} on average than those of {}",
                climate.name
            );
            return Some((
                found,
                "days of that place, under \"high_f\" and \"low_f\" if they are in Fahrenheit",
            ));
        }
        let times = fell_mm.iter().sum::<f64>() / due_mm;
        (fell_mm.len() >= LEAST_RAIN_DAYS && times > UNLIKE_RAIN).then(|| {
            let found = format!("its rain is {times:.0} times that of {}", climate.name);
            (
                found,
                "rain in millimetres a day, or in inches under \"rain_in\"",
            )
        })
    }
}

/// Days from one date to another; negative where it comes before.
fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(-1, |span| span.get_days())
}

#[cfg(test)]
mod tests {
    use super::{MeasuredDay, WeatherRecord};
    use jiff::civil::{Date, date};

    fn rain(mm: f64) -> MeasuredDay {
        MeasuredDay {
            rain_mm: Some(mm),
            ..MeasuredDay::default()
        }
    }

    #[test]
    fn days_without_a_row_are_gaps() {
        let nothing = MeasuredDay::default();
        let rows = [
            (date(2024, 2, 27), nothing),
            (date(2024, 2, 28), rain(1.0)),
            (date(2024, 3, 2), rain(2.0)),
            (date(2024, 3, 3), nothing),
        ];
        let record = WeatherRecord::new(rows).unwrap();
        assert_eq!(record.first(), date(2024, 2, 28));
        assert_eq!(record.last(), date(2024, 3, 2));
        assert_eq!(record.on(date(2024, 3, 2)), rain(2.0));
        for on in [date(2024, 2, 29), date(2024, 2, 27), Date::MIN, Date::MAX] {
            assert_eq!(record.on(on), nothing);
        }
        assert_eq!(WeatherRecord::new([(date(2024, 2, 27), nothing)]), None);
    }

    #[test]
    fn other_units_contradict_the_climate() {
        let library = crate::library::Library::built_in();
        let climate = library.climate("Cambridge UK").unwrap();
        let of = |days: i32, warmer_k: f64, rain_mm: f64| {
            let days = (0..days).map(|number| {
                let on = date(2025, 1, 1).saturating_add(jiff::ToSpan::days(number));
                let month = usize::from(on.month().unsigned_abs()) - 1;
                let day = MeasuredDay {
                    high_c: Some(climate.high_c[month] + warmer_k),
                    low_c: Some(climate.low_c[month] + warmer_k),
                    rain_mm: Some(rain_mm),
                };
                (on, day)
            });
            WeatherRecord::new(days).unwrap().contradicts(climate)
        };
        assert_eq!(of(365, 4.0, 3.0), None);
        assert_eq!(of(365, -11.0, 0.0), None);
        assert_eq!(of(10, 40.0, 90.0), None);
        let (found, _) = of(30, 20.0, 3.0).unwrap();
        assert_eq!(
            found,
            "its days are 20 degrees Celsius warmer on average than those of Cambridge UK"
        );
        let (found, _) = of(365, -20.0, 3.0).unwrap();
        assert!(found.contains("20 degrees Celsius colder"), "{found}");
        let (found, _) = of(365, 0.0, 15.43).unwrap();
        assert_eq!(found, "its rain is 10 times that of Cambridge UK");
    }
}
