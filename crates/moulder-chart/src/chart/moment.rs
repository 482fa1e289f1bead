//! The times at which a stacked chart has points: the ends of months, and just before and
//! after each addition.

use moulder::Month;

use crate::chart::opening::calendar;
use crate::plot::pace::Pace;
use crate::subject::Subject;

/// A moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moment {
    /// Months since filling.
    pub month: f64,
    /// The row at or after it.
    row: usize,
    /// The share of the month's change that has happened by then.
    share: f64,
    /// Whether an addition of that time is there already.
    is_after: bool,
}

/// Months since filling of the additions, in their order.
#[must_use]
pub(crate) fn laid_in_months(subject: &Subject<'_>) -> Vec<f64> {
    let calendar = calendar(subject);
    let days = subject.bed.additions().iter().map(|added| added.on);
    days.map(|day| calendar.months_to(day)).collect()
}

/// The moments of a forecast of those rows, with additions at those months, at that pace.
#[must_use]
pub(crate) fn moments(rows: &[Month], laid: &[f64], pace: &Pace) -> Vec<Moment> {
    let mut moments = Vec::new();
    let mut from = f64::INFINITY;
    for (at, row) in rows.iter().enumerate() {
        let to = f64::from(row.month);
        let moment = |month: f64, is_after: bool| Moment {
            month,
            row: at,
            share: pace.share(from, to, month),
            is_after,
        };
        let mut within: Vec<f64> = laid.to_vec();
        within.retain(|month| from < *month && *month < to);
        within.extend(pace.between(from, to));
        within.sort_by(f64::total_cmp);
        within.dedup();
        for month in within {
            if laid.contains(&month) {
                moments.push(moment(month, false));
            }
            moments.push(moment(month, true));
        }
        moments.push(Moment {
            share: 1.0,
            ..moment(to, true)
        });
        from = to;
    }
    moments
}

impl Moment {
    /// A figure of a layer then, of one added at month `laid`, or there from the start. Between
    /// the ends of two months it changes at the bed's pace; an added layer has at once the value
    /// of the month end that follows.
    #[must_use]
    pub(crate) fn value(
        &self,
        rows: &[Month],
        of: &dyn Fn(&Month) -> f64,
        laid: Option<f64>,
    ) -> f64 {
        let Some(after) = rows.get(self.row) else {
            return 0.0;
        };
        let before = self.row.checked_sub(1).and_then(|before| rows.get(before));
        let Some(before) = before else {
            return of(after);
        };
        let from = f64::from(before.month);
        if let Some(laid) = laid
            && from < laid
        {
            let is_there = laid < self.month || (self.is_after && laid <= self.month);
            return if is_there { of(after) } else { 0.0 };
        }
        of(before) + (of(after) - of(before)) * self.share
    }
}
