//! Plausibility of the thickness of layers and additions, however measured.

use moulder_core::bed::shape::Shape;

use super::given::{Fields, Given};
use super::walk::Walk;
use crate::bed::{Addition, Amount, Bed, Ingredient, Layer};
use crate::fault::FaultCode;
use crate::fault::error::NoRoom;
use crate::model::compile::{height_filled_m, loose_m};
use crate::model::figures::Figures;
use crate::quantity::amount::volume;
use crate::text::limit;
use crate::tree::{Node, Value, step};

impl Walk<'_> {
    /// Refuses an implausible total thickness, as a wrong unit could make millions of slices, and
    /// layers thinner than a sheet. Only beds without other faults are checked.
    pub(super) fn pile(&mut self, file: &Fields<'_>, bed: &Bed) {
        if !self.faults.is_empty() {
            return;
        }
        if let Some(given) = file.get("layer") {
            for (index, layer) in bed.layers.iter().enumerate() {
                self.at_least(&given, Some(index), layer, &bed.shape);
            }
            match height_filled_m(bed, Figures::nominal()) {
                Ok(height_m) => self.at_most(&given, height_m, "layers"),
                Err(no_room) => self.no_room(&given, no_room, bed),
            }
        }
        if let Some(given) = file.get("added") {
            let layers: Vec<Layer> = bed.additions.iter().map(Addition::layer).collect();
            let loose_m = layers.iter().map(|layer| loose_m(&bed.shape, layer));
            self.at_most(&given, loose_m.sum(), "additions");
            // Additions are sorted by date, so the fault is placed at the list as a whole.
            for layer in &layers {
                self.at_least(&given, None, layer, &bed.shape);
            }
        }
    }

    /// Reports a layer without room on a mound, with the room that is left.
    fn no_room(&mut self, given: &Given<'_>, NoRoom { layer, .. }: NoRoom, bed: &Bed) {
        let mut below = bed.clone();
        below.layers.truncate(layer);
        let bottom_m = height_filled_m(&below, Figures::nominal()).unwrap_or_default();
        let peak_m = bed.shape.peak_m().unwrap_or_default();
        let room_m3 = bed.shape.volume_m3(bottom_m, peak_m);
        // To ten litres, and below a cubic metre to one.
        let step_m3 = if room_m3 < 1.0 { 1e-3 } else { 1e-2 };
        let left = volume((room_m3 / step_m3).floor() * step_m3, self.units);
        self.found(
            FaultCode::NoRoom,
            entry(given, Some(layer)).at,
            &step(&given.path, &layer.to_string()),
            format!(
                "the sides of the mound meet before layer {} is in",
                layer + 1
            ),
            &format!("use less (there is room for about {left}), or a wider foot"),
            Vec::new(),
        );
    }

    /// Refuses more than the greatest total thickness of layers or additions.
    pub(super) fn at_most(&mut self, given: &Given<'_>, thick_m: f64, of_what: &str) {
        if thick_m > limit::HEAP_M {
            self.fault(
                FaultCode::OutOfRange,
                given,
                format!("{thick_m:.1} m of {of_what}"),
                format!("at most {} m thick altogether", limit::HEAP_M),
            );
        }
    }

    /// Refuses a layer that is too thin; a thickness has a range of its own.
    fn at_least(&mut self, given: &Given<'_>, index: Option<usize>, layer: &Layer, shape: &Shape) {
        let is_told = |put: &Ingredient| matches!(put.amount, Amount::ThicknessM(_));
        let thick_m = loose_m(shape, layer);
        if thick_m >= limit::SHEET_M || layer.put.iter().any(is_told) {
            return;
        }
        self.found(
            FaultCode::OutOfRange,
            entry(given, index).at,
            &given.path,
            format!(
                "{}, {:.1e} mm over the whole bed",
                layer.name,
                thick_m * 1e3
            ),
            "at least 0.1 mm thick; what is less can be mixed into another layer",
            Vec::new(),
        );
    }
}

/// An entry of a list, or the list as a whole.
fn entry<'n>(given: &Given<'n>, index: Option<usize>) -> &'n Node {
    let entry = match &given.node.value {
        Value::List(nodes) => index.and_then(|index| nodes.get(index)),
        _ => None,
    };
    entry.unwrap_or(given.node)
}
