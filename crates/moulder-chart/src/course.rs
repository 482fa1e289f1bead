//! The course of a figure: middle line and range.

use moulder::bands::{Band, MonthBands};
use moulder::forecast::{Forecast, MonthRow};

use crate::frame::Frame;
use crate::ink::Ink;
use crate::label::Label;

/// A course, as (month, value).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Course {
    /// The likeliest.
    pub middle: Vec<(f64, f64)>,
    /// One in ten lies below this; empty without a range.
    pub low: Vec<(f64, f64)>,
    /// One in ten lies above this.
    pub high: Vec<(f64, f64)>,
}

impl Course {
    /// Of a figure that is told at the turn of each month.
    #[must_use]
    pub fn at_turns(
        forecast: &Forecast,
        figure: &dyn Fn(&MonthRow) -> f64,
        band: &dyn Fn(&MonthBands) -> Band,
    ) -> Self {
        let bands = &forecast.bands;
        Self {
            middle: turns(forecast.months.iter().map(|row| (row.month, figure(row)))),
            low: turns(bands.iter().map(|bands| (bands.month, band(bands).low))),
            high: turns(bands.iter().map(|bands| (bands.month, band(bands).high))),
        }
    }

    /// Of a figure that is told of each whole month: level from its beginning to its end.
    #[must_use]
    pub fn over_months(
        forecast: &Forecast,
        figure: &dyn Fn(&MonthRow) -> f64,
        band: &dyn Fn(&MonthBands) -> Band,
    ) -> Self {
        let turns = Self::at_turns(forecast, figure, band);
        Self {
            middle: level(&turns.middle),
            low: level(&turns.low),
            high: level(&turns.high),
        }
    }

    /// The least and the largest of its values and nothing.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        let all = [&self.middle, &self.low, &self.high];
        all.into_iter()
            .flatten()
            .fold((0.0, 0.0), |(low, high): (f64, f64), (_, value)| {
                (low.min(*value), high.max(*value))
            })
    }

    /// Draws its range.
    pub fn draw_range(&self, frame: &Frame) {
        if self.low.is_empty() {
            return;
        }
        let label = "Where it lies four times in five";
        frame.svg().open("range", Some(label));
        frame.between(Ink::Band, &self.low, &self.high);
        frame.line(Ink::BandEdge, &self.low);
        frame.line(Ink::BandEdge, &self.high);
        frame.svg().close();
    }

    /// Draws its middle line.
    pub fn draw_middle(&self, frame: &Frame) {
        if self.middle.is_empty() {
            return;
        }
        frame.svg().open("likeliest", Some("The likeliest course"));
        frame.line(Ink::First, &self.middle);
        frame.svg().close();
    }

    /// Labels of its ends; of a range that reads like its middle, that alone.
    #[must_use]
    pub fn labels(&self, said: &dyn Fn(f64) -> String) -> Vec<Label> {
        let Some((_, middle)) = self.middle.last() else {
            return Vec::new();
        };
        let mut labels = vec![Label {
            value: *middle,
            text: format!("likely {}", said(*middle)),
            quiet: false,
        }];
        for (name, line) in [("high", &self.high), ("low", &self.low)] {
            if let Some((_, value)) = line.last()
                && said(*value) != said(*middle)
            {
                labels.push(Label {
                    value: *value,
                    text: format!("{name} {}", said(*value)),
                    quiet: true,
                });
            }
        }
        labels
    }
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

/// What to say of the range below a heading.
#[must_use]
pub const fn range_in_words(forecast: &Forecast) -> &'static str {
    if forecast.bands.is_empty() {
        "the line is the likeliest, and no range was asked for."
    } else {
        "the line is the likeliest, and four times in five it lies in the shaded band."
    }
}

#[cfg(test)]
mod tests {
    use super::level;

    #[test]
    fn a_month_is_level_and_day_zero_has_none() {
        let steps = level(&[(0.0, 9.0), (1.0, 2.0), (2.0, 3.0)]);
        assert_eq!(steps, [(0.0, 2.0), (1.0, 2.0), (1.0, 3.0), (2.0, 3.0)]);
    }
}
