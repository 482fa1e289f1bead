//! How high all that a file puts in lies, whatever it was measured by.

use super::given::{Fields, Given};
use super::walk::Walk;
use crate::bed::Bed;
use crate::compile::{filled_m, loose_m};
use crate::draw::Draw;
use crate::fault::FaultCode;
use crate::limit;
use crate::tree::{Node, Value, step};

impl Walk<'_> {
    /// Refuses a pile that no garden holds: cut into slices, a slip in a unit would be
    /// millions of them. And what would lie thinner than any sheet: it makes no layer.
    /// Only a bed without another fault is looked at.
    pub(super) fn pile(&mut self, file: &Fields<'_>, bed: &Bed) {
        if !self.faults.is_empty() {
            return;
        }
        // A mound without room for its layers is told by the forecast.
        if let (Some(given), Ok(thick_m)) = (file.get("layer"), filled_m(bed, Draw::Middle)) {
            self.at_least(&given, &thick_m);
            self.at_most(&given, thick_m.iter().sum(), "layers");
        }
        if let Some(given) = file.get("added") {
            let added = bed.added.iter();
            let loose_m = added.map(|added| loose_m(&bed.shape, &added.layer()));
            let thick_m: Vec<f64> = loose_m.collect();
            self.at_most(&given, thick_m.iter().sum(), "additions");
            // These stand in order of date and not of the file.
            if let Some(thin_m) = thick_m.iter().find(|thin_m| **thin_m < limit::SHEET_M) {
                self.too_thin(given.node, &given.path, *thin_m);
            }
        }
    }

    /// Refuses what is thicker than all layers, or all additions, may be together.
    pub(super) fn at_most(&mut self, given: &Given<'_>, thick_m: f64, of_what: &str) {
        if thick_m > limit::HEAP_M {
            self.fault(
                FaultCode::OutOfRange,
                given,
                format!("{thick_m:.1} m of {of_what}"),
                format!("at most {} m thick altogether", limit::HEAP_M),
                Vec::new(),
            );
        }
    }

    /// Refuses each layer that is too thin to be one.
    fn at_least(&mut self, given: &Given<'_>, thick_m: &[f64]) {
        let Value::List(nodes) = &given.node.value else {
            return;
        };
        for (index, (node, thick_m)) in nodes.iter().zip(thick_m).enumerate() {
            if *thick_m < limit::SHEET_M {
                self.too_thin(node, &step(&given.path, &index.to_string()), *thick_m);
            }
        }
    }

    fn too_thin(&mut self, node: &Node, path: &str, thick_m: f64) {
        self.found(
            FaultCode::OutOfRange,
            node.at,
            path,
            format!("spread over the bed, {:.1e} mm", thick_m * 1e3),
            "at least 0.1 mm thick; mix less than that into another layer",
            Vec::new(),
        );
    }
}
