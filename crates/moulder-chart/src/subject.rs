//! What charts of one bed are drawn from.

use moulder::feed::Feeding;
use moulder::months::Day;
use moulder::{Bed, Forecast};
use moulder_words::notice::joined;

use crate::plot::pace::Pace;
use crate::plot::reading::Reading;

/// What charts of one bed are drawn from.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The bed.
    pub bed: &'a Bed,
    /// Its forecast.
    pub forecast: &'a Forecast,
    /// Tape measure readings, in any order.
    pub readings: &'a [Reading],
    /// Heights on days within the months ([`moulder::months::days`]), or none.
    pub days: &'a [Day],
    /// What to feed it; none where nobody asked, or where it takes none.
    pub feeding: Option<&'a Feeding>,
}

impl Subject<'_> {
    /// How its settlement is spread over the days of its months.
    #[must_use]
    pub fn pace(&self) -> Pace {
        Pace::of(self.bed, self.forecast, self.days)
    }

    /// What a layer is called, from 0 at the ground up: its own name, else its materials'.
    #[must_use]
    pub fn layer_name(&self, layer: usize) -> String {
        let name = self.forecast.layers.get(layer).map_or("", String::as_str);
        match self.bed.layers().get(layer) {
            Some(laid) if name == format!("layer {}", layer + 1) => {
                let materials: Vec<&str> = laid
                    .put
                    .iter()
                    .map(|put| put.material.name.as_str())
                    .collect();
                joined(&materials, "and")
            }
            _ => name.to_owned(),
        }
    }
}
