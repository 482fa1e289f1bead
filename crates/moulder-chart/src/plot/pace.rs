//! How a month's settlement is spread over its days: a fresh bed does most of its first
//! month's in a few of them, which a straight line would hide.

use moulder::Bed;
use moulder::Forecast;
use moulder::months::Day;

use crate::plot::calendar::Calendar;

/// The pace of a bed between the ends of months.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pace {
    /// Months since filling, and the share of that month's settlement by then.
    points: Vec<(f64, f64)>,
}

impl Pace {
    /// From the settlement by those days of its months; linear in months without any.
    #[must_use]
    pub fn of(bed: &Bed, forecast: &Forecast, days: &[Day]) -> Self {
        let calendar = Calendar::new(bed.filled(), bed.climate().latitude_deg);
        let point = |day: &Day| {
            day.height_m(forecast)?;
            Some((calendar.months_to(day.on), day.settled_share))
        };
        let mut points: Vec<(f64, f64)> = days.iter().filter_map(point).collect();
        points.sort_by(|one, other| one.0.total_cmp(&other.0));
        Self { points }
    }

    /// Its points, in months since filling, after `from` and before `to`.
    pub fn between(&self, from: f64, to: f64) -> impl Iterator<Item = f64> {
        let within = self.within(from, to);
        within.map(|(month, _)| month)
    }

    /// The share of the settlement from `from` to `to`, the ends of a month, that has happened by
    /// a time between.
    #[must_use]
    pub fn share(&self, from: f64, to: f64, month: f64) -> f64 {
        let mut before = (from, 0.0);
        let mut after = (to, 1.0);
        for point in self.within(from, to) {
            if point.0 <= month {
                before = point;
            } else {
                after = point;
                break;
            }
        }
        let length = after.0 - before.0;
        if length <= 0.0 {
            return after.1;
        }
        before.1 + (after.1 - before.1) * (month - before.0) / length
    }

    fn within(&self, from: f64, to: f64) -> impl Iterator<Item = (f64, f64)> {
        let points = self.points.iter().copied();
        points.filter(move |(month, _)| from < *month && *month < to)
    }
}

#[cfg(test)]
mod tests {
    use super::Pace;

    #[test]
    fn between_what_is_told_it_is_even() {
        let pace = Pace {
            points: vec![(0.25, 0.5), (0.5, 0.75), (1.0, 1.0)],
        };
        let shares = [0.0, 0.125, 0.25, 0.375, 0.75, 1.0].map(|month| pace.share(0.0, 1.0, month));
        let wanted = [0.0, 0.25, 0.5, 0.625, 0.875, 1.0];
        for (share, wanted) in shares.into_iter().zip(wanted) {
            assert!((share - wanted).abs() < 1e-12, "{shares:?}");
        }
        assert_eq!(pace.between(0.0, 1.0).count(), 2);
        // In another month it is linear.
        assert!((pace.share(1.0, 2.0, 1.25) - 0.25).abs() < 1e-12);
    }
}
