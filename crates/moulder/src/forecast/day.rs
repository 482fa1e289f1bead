//! Settlement on days between month ends: in the first month, when it is fastest, and on the days
//! of readings. How a month's settlement is spread over its days is that of the nominal run.

use jiff::ToSpan as _;
use jiff::civil::Date;
use moulder_solve::schedule::StepSchedule;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::Forecast;
use crate::forecast::calendar::{month_day, months_to};
use crate::forecast::progress::unwatched;
use crate::forecast::row::Month;
use crate::forecast::run::{Observation, rows};
use crate::model::figures::Figures;
use crate::numeric::interval::Interval;

/// Days after filling reported in the first month: close together at first.
const FIRST_DAYS: [i64; 9] = [1, 2, 3, 5, 7, 10, 14, 18, 23];
/// Least settlement of a month for its course to be reported; m.
const LEAST_SINK_M: f64 = 0.005;

/// Where in its month a day stands, before any addition of that day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// The day.
    pub on: Date,
    /// Months since filling at the end of its month.
    pub month: u32,
    /// Share of that month's settlement done by it, 0 to 1; in a month of hardly any settlement,
    /// the share of its days.
    pub settled_share: f64,
    /// Share of that month's rise by additions done by it.
    pub added_share: f64,
}

/// Days of a bed's first month and of its readings, in order of date; by the nominal run.
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
/// assert!(days[0].settled_share < days[8].settled_share);
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn days(bed: &Bed) -> Result<Vec<Day>, Error> {
    let first = FIRST_DAYS.map(|day| bed.filled.saturating_add(day.days()));
    let read = bed.readings.iter().map(|reading| reading.on);
    let mut on: Vec<Date> = first.into_iter().chain(read).collect();
    on.sort_unstable();
    on.dedup();
    let last = on.last().copied().unwrap_or(bed.filled);
    let months = months_to(bed.filled, last)?;
    let schedule = StepSchedule::default();
    let run = rows(bed, Figures::nominal(), months, schedule, &on, &unwatched)?;
    let observed = on.into_iter().zip(&run.observations);
    Ok(observed
        .filter_map(|(on, observation)| day(bed, &run.months, on, observation))
        .collect())
}

/// The day of an observation; none beyond the rows.
fn day(bed: &Bed, rows: &[Month], on: Date, observation: &Observation) -> Option<Day> {
    let at = (1..rows.len()).find(|at| month_day(bed.filled, rows[*at].month) >= on)?;
    let (start, before, after) = (&rows[0], &rows[at - 1], &rows[at]);
    let from = month_day(bed.filled, before.month);
    let sink_m = after.settlement_m - before.settlement_m;
    let settled_share = if sink_m >= LEAST_SINK_M {
        (observation.settlement_m - before.settlement_m) / sink_m
    } else {
        let days = |to: Date| f64::from(from.until(to).map_or(0, |span| span.get_days()));
        days(on) / days(month_day(bed.filled, after.month)).max(1.0)
    };
    let filled_m = start.height_m + start.settlement_m - start.added_m;
    let added_m = observation.height_m + observation.settlement_m - filled_m - before.added_m;
    let rise_m = after.added_m - before.added_m;
    let added_share = if rise_m > 0.0 { added_m / rise_m } else { 0.0 };
    Some(Day {
        on,
        month: after.month,
        settled_share: settled_share.clamp(0.0, 1.0),
        added_share: added_share.clamp(0.0, 1.0),
    })
}

impl Day {
    /// The rows and intervals at both ends of its month; none beyond the forecast.
    fn ends<T>(self, of_months: &[T]) -> Option<[&T; 2]> {
        let after = self.month as usize;
        Some([of_months.get(after.checked_sub(1)?)?, of_months.get(after)?])
    }

    /// Height of the surface of a forecast above the ground on that day; m. None beyond its end.
    #[must_use]
    pub fn height_m(self, forecast: &Forecast) -> Option<f64> {
        let [before, after] = self.ends(&forecast.months)?;
        let sink_m = after.settlement_m - before.settlement_m;
        let rise_m = after.added_m - before.added_m;
        Some(before.height_m - sink_m * self.settled_share + rise_m * self.added_share)
    }

    /// Interval of that height; m. It widens over a month in proportion to the settlement. None
    /// without realisations.
    #[must_use]
    pub fn interval_m(self, forecast: &Forecast) -> Option<Interval> {
        let mean = self.height_m(forecast)?;
        let [before, after] = self.ends(&forecast.intervals)?;
        let (before, after) = (before.height_m, after.height_m);
        let between = |of: fn(&Interval) -> f64| {
            let (before, after) = (of(&before), of(&after));
            before + (after - before) * self.settled_share
        };
        Some(Interval {
            mean,
            standard_error: between(|at| at.standard_error),
            lower: mean + between(|at| at.lower - at.mean),
            median: mean + between(|at| at.median - at.mean),
            upper: mean + between(|at| at.upper - at.mean),
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
        let turn_m = turn.unwrap().height_m(&forecast).unwrap();
        assert!((turn_m - forecast.months[1].height_m).abs() < 1e-4);
        for pair in reported.windows(2) {
            assert!(pair[0].on < pair[1].on);
        }
        assert_eq!([reported[8].month, reported[10].month], [1, 2]);
        assert!((reported[9].settled_share - 1.0).abs() < 1e-3);
        // From the first week on it is ahead of uniform settlement.
        for (place, day) in [(4, 7.0), (6, 14.0), (8, 23.0)] {
            assert!(reported[place].settled_share > day / 31.0, "{reported:?}");
        }
        // 5 cm were added on 20 April, in the second month.
        let [before, after] = [9, 10].map(|place: usize| reported[place]);
        assert!(before.added_share < 1e-9 && after.added_share > 1.0 - 1e-9);
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
        let at = |place: usize| width(reported[place].interval_m(&forecast).unwrap());
        let turns = [0, 1].map(|month: usize| width(forecast.intervals[month].height_m));
        assert!((at(9) - turns[1]).abs() < 1e-3);
        for place in 0..9 {
            assert!(turns[0] < at(place) && at(place) < turns[1]);
        }
        // The second month is not covered.
        assert!(reported[10].interval_m(&forecast).is_none());
    }
}
