//! Settlement on days between month ends, nominal run: in the first month, when it is fastest,
//! and on the days of readings.

use jiff::ToSpan as _;
use jiff::civil::Date;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::Forecast;
use crate::forecast::calendar::{month_day, months_to};
use crate::forecast::run::observations_on;
use crate::numeric::interval::Interval;

/// Days after filling reported in the first month: close together at first.
const FIRST_DAYS: [i64; 9] = [1, 2, 3, 5, 7, 10, 14, 18, 23];
/// Least settlement of a month for its course to be reported; m.
const LEAST_SINK_M: f64 = 0.005;

/// A bed on a day, before any addition of that day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// The day.
    pub on: Date,
    /// Height of the surface above the ground beside the bed; m.
    pub height_m: f64,
    /// Settlement since filling, without the effect of additions; m.
    pub settlement_m: f64,
}

/// Days of a bed's first month and of its readings, in order of date; nominal run.
///
/// # Errors
///
/// As [`forecast`](crate::forecast::forecast); a reading more than a hundred years after
/// filling.
///
/// ```
/// use moulder::{Bed, months::days};
///
/// let days = days(&Bed::example())?;
/// assert!(days[0].settlement_m < days[8].settlement_m);
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn days(bed: &Bed) -> Result<Vec<Day>, Error> {
    let first = FIRST_DAYS.map(|day| bed.filled.saturating_add(day.days()));
    let read = bed.readings.iter().map(|reading| reading.on);
    let mut on: Vec<Date> = first.into_iter().chain(read).collect();
    on.sort_unstable();
    on.dedup();
    let last = on.last().copied().unwrap_or(bed.filled);
    let observations = observations_on(bed, months_to(bed.filled, last)?, &on)?;
    let day = |(on, observation): (Date, crate::forecast::run::Observation)| Day {
        on,
        height_m: observation.height_m,
        settlement_m: observation.settlement_m,
    };
    Ok(on.into_iter().zip(observations).map(day).collect())
}

impl Day {
    /// Index of the row that ends the month of this day, and the share of that month's
    /// settlement done by it, 0 to 1; in a month of hardly any settlement, the share of its
    /// days. None beyond the end of the forecast.
    #[must_use]
    pub fn in_month(&self, bed: &Bed, forecast: &Forecast) -> Option<(usize, f64)> {
        let at = (1..forecast.months.len())
            .find(|at| month_day(bed.filled, forecast.months[*at].month) >= self.on)?;
        let (before, after) = (&forecast.months[at - 1], &forecast.months[at]);
        let from = month_day(bed.filled, before.month);
        let sink_m = after.settlement_m - before.settlement_m;
        let share = if sink_m >= LEAST_SINK_M {
            (self.settlement_m - before.settlement_m) / sink_m
        } else {
            let days = |to: Date| f64::from(from.until(to).map_or(0, |span| span.get_days()));
            days(self.on) / days(month_day(bed.filled, after.month)).max(1.0)
        };
        Some((at, share.clamp(0.0, 1.0)))
    }

    /// 80 % interval of the height on that day; m. It widens over a month in proportion to the
    /// settlement. None without realisations.
    #[must_use]
    pub fn interval_m(&self, bed: &Bed, forecast: &Forecast) -> Option<Interval> {
        let (at, share) = self.in_month(bed, forecast)?;
        let deviations = |at: usize| {
            let (row, interval) = (forecast.months.get(at)?, forecast.intervals.get(at)?);
            let ends = [
                interval.height_m.lower,
                interval.height_m.median,
                interval.height_m.upper,
            ];
            Some(ends.map(|end_m| end_m - row.height_m))
        };
        let (before, after) = (deviations(at - 1)?, deviations(at)?);
        let end =
            |place: usize| self.height_m + before[place] + (after[place] - before[place]) * share;
        Some(Interval {
            lower: end(0),
            median: end(1),
            upper: end(2),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::days;
    use crate::forecast::calendar::month_day;
    use crate::forecast::forecast;
    use crate::forecast::progress::unwatched;
    use crate::library::Library;
    use crate::read::read_toml;
    use crate::uncertainty::ensemble::Realisations;
    use crate::uncertainty::ensemble_forecast::forecast_with_intervals;

    const BED: &str = r#"
format = 1
filled = 2026-03-14
climate = "Cambridge UK"
[bed]
shape = "round"
across = "1.2 m"
rim = "90 cm"
[[layer]]
put = [{ material = "mixed green waste", amount = "80 cm" }]
[[added]]
on = 2026-04-20
material = "loamy topsoil"
amount = "5 cm"
[[reading]]
on = 2026-04-14
below-rim = "30 cm"
[[reading]]
on = 2026-05-02
below-rim = "30 cm"
"#;

    #[test]
    fn days_lie_between_the_months() {
        let bed = read_toml(BED, &Library::built_in()).unwrap();
        let reported = days(&bed).unwrap();
        assert_eq!(reported.len(), 11);
        let forecast = forecast(&bed, 2, &unwatched).unwrap();
        // An observation at a month end equals its row.
        let turn = reported
            .iter()
            .find(|day| day.on == month_day(bed.filled, 1));
        assert!((turn.unwrap().height_m - forecast.months[1].height_m).abs() < 1e-4);
        for pair in reported.windows(2) {
            assert!(pair[0].on < pair[1].on && pair[0].settlement_m < pair[1].settlement_m);
        }
        let shares: Vec<_> = reported
            .iter()
            .map(|day| day.in_month(&bed, &forecast).unwrap())
            .collect();
        assert_eq!(shares[8].0, 1);
        assert_eq!(shares[10].0, 2);
        assert!((shares[9].1 - 1.0).abs() < 1e-3);
        // From the first week on it is ahead of uniform settlement.
        for (place, day) in [(4, 7.0), (6, 14.0), (8, 23.0)] {
            assert!(shares[place].1 > day / 31.0, "{shares:?}");
        }
    }

    #[test]
    fn intervals_of_days_lie_between_those_of_the_months() {
        let bed = read_toml(BED, &Library::built_in()).unwrap();
        let reported = days(&bed).unwrap();
        let ensemble = Realisations {
            ensemble_size: 8,
            ..Realisations::default()
        };
        let forecast = forecast_with_intervals(&bed, 1, ensemble, &unwatched).unwrap();
        let width = |interval: crate::numeric::interval::Interval| interval.upper - interval.lower;
        let at = |place: usize| width(reported[place].interval_m(&bed, &forecast).unwrap());
        let turns = [0, 1].map(|month: usize| width(forecast.intervals[month].height_m));
        assert!((at(9) - turns[1]).abs() < 1e-3);
        for place in 0..9 {
            assert!(turns[0] < at(place) && at(place) < turns[1]);
        }
        // The second month is not covered.
        assert!(reported[10].interval_m(&bed, &forecast).is_none());
    }
}
