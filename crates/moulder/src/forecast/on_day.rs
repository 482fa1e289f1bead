//! What to expect on a day between the ends of months.

use jiff::civil::Date;

use crate::forecast::{Forecast, Month};
use crate::numeric::interval::Interval;

/// Where a bed is expected on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Expected {
    /// The day.
    pub on: Date,
    /// Height of the surface above the ground; m.
    pub height_m: Interval,
    /// Depth below the rim, negative above it; m. None without a rim.
    pub below_rim_m: Option<Interval>,
    /// Fall of the surface below its height when filled; m.
    pub lowered_m: Interval,
}

impl Forecast {
    /// Where the bed is expected on a day, in proportion to the days between the ends of its month;
    /// none before filling and beyond the last month. Without realisations intervals have no width.
    ///
    /// ```
    /// use moulder::{Bed, date};
    ///
    /// let forecast = Bed::example().forecast().months(8).ensemble_size(8).run()?;
    /// let expected = forecast.expected_on(date(2026, 10, 1)).unwrap();
    /// assert!(expected.height_m.mean < forecast.months[6].height_m);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    #[must_use]
    pub fn expected_on(&self, on: Date) -> Option<Expected> {
        let at = self.months.iter().position(|row| row.date >= on)?;
        let after = &self.months[at];
        let before = match at.checked_sub(1) {
            Some(at) => &self.months[at],
            None if after.date == on => after,
            None => return None,
        };
        let days = |from: Date, to: Date| {
            let days = from.until(to).map_or(0, |span| span.get_days());
            f64::from(days)
        };
        let share = days(before.date, on) / days(before.date, after.date).max(1.0);
        let between = |of: &dyn Fn(&Month) -> Interval| {
            let (before, after) = (of(before), of(after));
            before.towards(after, share)
        };
        let bands = |row: &Month| self.intervals.get(row.month as usize);
        Some(Expected {
            on,
            height_m: between(&|row| {
                bands(row).map_or(Interval::known(row.height_m), |bands| bands.height_m)
            }),
            below_rim_m: after.below_rim_m.map(|_| {
                between(&|row| {
                    let below_m = row.below_rim_m.unwrap_or_default();
                    let band = bands(row).and_then(|bands| bands.below_rim_m);
                    band.unwrap_or(Interval::known(below_m))
                })
            }),
            lowered_m: between(&|row| {
                let lowered_m = row.settlement_m - row.added_m;
                bands(row).map_or(Interval::known(lowered_m), |bands| bands.lowered_m)
            }),
        })
    }
}
