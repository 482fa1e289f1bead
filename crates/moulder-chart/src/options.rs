//! What can be chosen about a chart.

use moulder::feed::Feeding;
use moulder::months::Day;

use crate::error::ChartError;
use crate::kind::Chart;
use crate::plot::look::Look;

/// What can be chosen about a chart.
///
/// ```
/// use moulder_chart::ChartOptions;
///
/// let options = ChartOptions::default().width_px(400).id("bed-7").months(&[0, 12]);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct ChartOptions {
    pub(crate) width_px: u32,
    pub(crate) id: Option<String>,
    pub(crate) months: Vec<u32>,
    pub(crate) days: Vec<Vec<Day>>,
    pub(crate) feeding: Option<Feeding>,
}

impl Default for ChartOptions {
    fn default() -> Self {
        Self {
            width_px: Look::USUAL,
            id: None,
            months: Vec::new(),
            days: Vec::new(),
            feeding: None,
        }
    }
}

impl ChartOptions {
    /// Width, 320 to 4000; 800 by default; px.
    #[must_use]
    pub const fn width_px(mut self, width_px: u32) -> Self {
        self.width_px = width_px;
        self
    }

    /// What the ids in the drawing begin with, which must differ between the charts of one
    /// page; the chart's own word by default. Letters, digits and hyphens are kept.
    #[must_use]
    pub fn id(mut self, id: &str) -> Self {
        id.clone_into(self.id.get_or_insert_default());
        self
    }

    /// Months since filling that [`Chart::Section`] draws, at most 12; by default filling, half
    /// a year, a year and the last.
    #[must_use]
    pub fn months(mut self, months: &[u32]) -> Self {
        self.months = months.to_vec();
        self
    }

    /// Heights on days within the months ([`moulder::months::days`]): a fresh bed settles fast
    /// in its first days. Without them a month is a straight line.
    #[must_use]
    pub fn days(self, days: Vec<Day>) -> Self {
        self.days_of_beds(vec![days])
    }

    /// The same for each bed of a comparison.
    #[must_use]
    pub fn days_of_beds(mut self, days: Vec<Vec<Day>>) -> Self {
        self.days = days;
        self
    }

    /// What to feed the bed ([`moulder::feed::feeding`]), for [`Chart::Nitrogen`]; without it the
    /// chart tells which months are short.
    #[must_use]
    pub fn feeding(mut self, feeding: Feeding) -> Self {
        self.feeding = Some(feeding);
        self
    }

    /// Those of a bed of a comparison.
    pub(crate) fn days_of(&self, bed: usize) -> &[Day] {
        self.days.get(bed).map_or(&[], Vec::as_slice)
    }

    pub(crate) fn look(&self, chart: Chart) -> Result<Look, ChartError> {
        if !(Look::NARROWEST..=Look::WIDEST).contains(&self.width_px) {
            return Err(ChartError::Width {
                width_px: self.width_px,
            });
        }
        let id = self.id.as_deref().unwrap_or(chart.as_str());
        Ok(Look::new(self.width_px, id))
    }
}
