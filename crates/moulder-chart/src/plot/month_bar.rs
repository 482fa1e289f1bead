//! Rows of months at the foot of a chart: for each month a bar as high as a share.

use crate::plot::frame::Frame;
use crate::plot::label::AWAY;
use crate::svg::document::{TextSize, Words};
use crate::svg::font::Font;
use crate::svg::ink::Ink;

/// Height of a row; px.
const ROW: f64 = 26.0;

/// Height of a whole bar; px.
const BAR: f64 = 17.0;

/// Between the values and the first row, and the last and the axis; px.
const APART: f64 = 8.0;

/// Months of a year.
const YEAR: usize = 12;

/// A row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MonthBar {
    /// What stands beside it.
    pub name: String,
    /// How high the bar of each month is, the first month first; 0 to 1.
    pub shares: Vec<f64>,
}

impl MonthBar {
    /// Each month with the mean of its year, for months that would be too narrow.
    #[must_use]
    pub(crate) fn by_year(mut self) -> Self {
        for year in self.shares.chunks_mut(YEAR) {
            #[allow(clippy::cast_precision_loss, reason = "a year has twelve months")]
            let mean = year.iter().sum::<f64>() / year.len() as f64;
            year.fill(mean);
        }
        self
    }
}

/// Room that the rows need at the foot of the plot; px.
#[must_use]
pub(crate) fn foot_px(rows: &[MonthBar]) -> f64 {
    if rows.is_empty() {
        return 0.0;
    }
    rows.iter().map(|_| ROW).sum::<f64>() + 2.0 * APART
}

/// Room that their names need right of the last month; px.
#[must_use]
pub(crate) fn gutter(rows: &[MonthBar]) -> f64 {
    let font = Font::shipped();
    let width = |row: &MonthBar| AWAY + font.width(&row.name, TextSize::Small.px()) + 8.0;
    rows.iter().map(width).fold(0.0, f64::max)
}

/// Draws them.
pub(crate) fn draw(frame: &Frame, rows: &[MonthBar]) {
    let mut foot = frame.floor() + APART;
    for row in rows {
        foot += ROW;
        let mut around = vec![(frame.x(0.0), foot)];
        let mut month = 0.0;
        for share in &row.shares {
            let top = foot - BAR * share.clamp(0.0, 1.0);
            around.extend([(frame.x(month), top), (frame.x(month + 1.0), top)]);
            month += 1.0;
        }
        around.push((frame.x(month), foot));
        let mut svg = frame.svg();
        svg.open("months", Some(&row.name));
        svg.area(Ink::ThirdArea, &around);
        svg.line(
            Ink::Axis,
            &[(frame.x(0.0), foot), (frame.months_end(), foot)],
        );
        svg.write(
            &Words::small(&row.name, frame.months_end() + AWAY, foot - 4.0),
            false,
        );
        svg.close();
    }
}
