//! A figure over time: nominal run and interval.

use moulder::Interval;
use moulder::months::MonthIntervals;
use moulder::{Forecast, Month};

use crate::plot::frame::Frame;
use crate::plot::label::Label;
use crate::plot::look::Look;
use crate::svg::ink::Ink;

/// Months of a year.
const YEAR: usize = 12;

/// A line of (month, value).
type Line = Vec<(f64, f64)>;

/// A course, as (month, value).
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Course {
    /// The nominal run.
    pub middle: Vec<(f64, f64)>,
    /// The 10 % quantile; empty without an ensemble.
    pub low: Vec<(f64, f64)>,
    /// The 90 % quantile.
    pub high: Vec<(f64, f64)>,
}

impl Course {
    /// Of a figure at the end of each month; where months would be too narrow, means of years.
    #[must_use]
    pub(crate) fn at_turns(
        forecast: &Forecast,
        look: &Look,
        figure: &dyn Fn(&Month) -> f64,
        band: &dyn Fn(&MonthIntervals) -> Interval,
    ) -> Self {
        let turns = Self::turns(forecast, figure, band);
        if is_yearly(forecast, look) {
            turns.each(|line| {
                let means = years(line).into_iter();
                means
                    .map(|(from, to, mean)| (0.5 * (from + to), mean))
                    .collect()
            })
        } else {
            turns
        }
    }

    fn turns(
        forecast: &Forecast,
        figure: &dyn Fn(&Month) -> f64,
        band: &dyn Fn(&MonthIntervals) -> Interval,
    ) -> Self {
        let bands = &forecast.intervals;
        Self {
            middle: turns(forecast.months.iter().map(|row| (row.month, figure(row)))),
            low: turns(bands.iter().map(|bands| (bands.month, band(bands).lower))),
            high: turns(bands.iter().map(|bands| (bands.month, band(bands).upper))),
        }
    }

    /// Of a figure of each whole month: level from its beginning to its end; where months would
    /// be too narrow, means of years.
    #[must_use]
    pub(crate) fn over_months(
        forecast: &Forecast,
        look: &Look,
        figure: &dyn Fn(&Month) -> f64,
        band: &dyn Fn(&MonthIntervals) -> Interval,
    ) -> Self {
        let turns = Self::turns(forecast, figure, band);
        if is_yearly(forecast, look) {
            turns.each(|line| {
                let means = years(line).into_iter();
                means
                    .flat_map(|(from, to, mean)| [(from, mean), (to, mean)])
                    .collect()
            })
        } else {
            turns.each(level)
        }
    }

    /// With each of its lines changed.
    fn each(&self, changed: impl Fn(&[(f64, f64)]) -> Line) -> Self {
        Self {
            middle: changed(&self.middle),
            low: changed(&self.low),
            high: changed(&self.high),
        }
    }

    /// The least and the largest of its values and 0.
    #[must_use]
    pub(crate) fn ends(&self) -> (f64, f64) {
        let all = [&self.middle, &self.low, &self.high];
        ends(all.into_iter().flatten().map(|(_, value)| *value))
    }

    /// Draws its interval.
    pub(crate) fn draw_range(&self, frame: &Frame) {
        self.draw_range_as(frame, "Where 8 in 10 such beds lie");
    }

    /// Draws its interval under that name.
    pub(crate) fn draw_range_as(&self, frame: &Frame, name: &str) {
        if self.low.is_empty() {
            return;
        }
        frame.svg().open("range", Some(name));
        frame.between(Ink::Interval, &self.low, &self.high);
        frame.line(Ink::BandEdge, &self.low);
        frame.line(Ink::BandEdge, &self.high);
        frame.svg().close();
    }

    /// Draws its nominal run.
    pub(crate) fn draw_middle(&self, frame: &Frame) {
        if self.middle.is_empty() {
            return;
        }
        frame.named_line("expected", "The expected course", Ink::First, &self.middle);
    }

    /// Labels of its ends; the nominal run alone where the interval reads the same.
    #[must_use]
    pub(crate) fn labels(&self, said: &dyn Fn(f64) -> String) -> Vec<Label> {
        let Some((_, middle)) = self.middle.last() else {
            return Vec::new();
        };
        let mut labels = vec![Label::new(*middle, format!("about {}", said(*middle)))];
        for (name, line) in [("high", &self.high), ("low", &self.low)] {
            if let Some((_, value)) = line.last()
                && said(*value) != said(*middle)
            {
                labels.push(Label::quiet(*value, format!("{name} {}", said(*value))));
            }
        }
        labels
    }
}

/// The least and the largest of the values and 0.
#[must_use]
pub(crate) fn ends(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let values = values.into_iter();
    values.fold((0.0, 0.0), |(low, high): (f64, f64), value| {
        (low.min(value), high.max(value))
    })
}

fn turns(values: impl Iterator<Item = (u32, f64)>) -> Vec<(f64, f64)> {
    values
        .map(|(month, value)| (f64::from(month), value))
        .collect()
}

/// Each month's value from its beginning to its end; day zero has no month.
fn level(turns: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let months = turns.iter().filter(|(month, _)| *month > 0.0);
    months
        .flat_map(|(month, value)| [(month - 1.0, *value), (*month, *value)])
        .collect()
}

/// Means of years: from, to, mean. Day zero has no year; the last may have fewer months.
fn years(turns: &[(f64, f64)]) -> Vec<(f64, f64, f64)> {
    let months: Vec<(f64, f64)> = level(turns);
    // Two points a month.
    let years = months.chunks(2 * YEAR).filter_map(|year| {
        let (from, to) = (year.first()?.0, year.last()?.0);
        #[allow(clippy::cast_precision_loss, reason = "a year has twelve months")]
        let count = year.len() as f64;
        let sum: f64 = year.iter().map(|(_, value)| value).sum();
        Some((from, to, sum / count))
    });
    years.collect()
}

/// Whether the months of a forecast would be too narrow, so that means of years are drawn.
#[must_use]
pub(crate) fn is_yearly(forecast: &Forecast, look: &Look) -> bool {
    let last = forecast.months.last();
    last.is_some_and(|row| look.is_crowded(row.month))
}

/// The sentence about the interval below a heading.
#[must_use]
pub(crate) fn range_in_words(forecast: &Forecast, look: &Look) -> String {
    let mut said = if forecast.intervals.is_empty() {
        "the line is one run with the best figures, no range.".to_owned()
    } else {
        "the line is what to expect, and 8 in 10 such beds lie in the shaded band.".to_owned()
    };
    if is_yearly(forecast, look) {
        said.push_str(" Means of twelve months each.");
    }
    said
}

#[cfg(test)]
mod tests {
    use super::{level, years};

    #[test]
    fn a_month_is_level_and_day_zero_has_none() {
        let steps = level(&[(0.0, 9.0), (1.0, 2.0), (2.0, 3.0)]);
        assert_eq!(steps, [(0.0, 2.0), (1.0, 2.0), (1.0, 3.0), (2.0, 3.0)]);
    }

    #[test]
    fn a_year_is_its_mean() {
        let turns: Vec<(f64, f64)> = (0..=18).map(|month| (f64::from(month), 1.0)).collect();
        assert_eq!(years(&turns), [(0.0, 12.0, 1.0), (12.0, 18.0, 1.0)]);
        let turns = [(0.0, 9.0), (1.0, 2.0), (2.0, 4.0)];
        assert_eq!(years(&turns), [(0.0, 2.0, 3.0)]);
    }
}
