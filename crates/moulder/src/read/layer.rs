//! The `[[layer]]` sections.

use super::given::{Fields, Given};
use super::walk::{FORM, Walk};
use crate::bed::{Amount, Firmness, Layer, Placement};
use crate::fault::{FaultCode, notice};
use crate::library::material::Class;
use crate::read::field::LAYER;
use crate::tree::{Node, step};

/// A layer as read, before it is known which one roots grow in.
struct Read {
    layer: Layer,
    says_grows: bool,
}

impl Walk<'_> {
    /// All layers from the ground up.
    pub(super) fn layers(&mut self, given: &Given<'_>) -> Option<Vec<Layer>> {
        let nodes = self.list(given);
        let read: Vec<Option<Read>> = nodes
            .iter()
            .enumerate()
            .map(|(index, (node, path))| self.layer(index, node, path))
            .collect();
        let mut read: Vec<Read> = read.into_iter().collect::<Option<_>>()?;
        let any_grows = read.iter().any(|read| read.layer.grows);
        let top = read.len().checked_sub(1)?;
        for (index, read) in read.iter_mut().enumerate() {
            if !read.says_grows {
                read.layer.grows = index == top && !any_grows;
                let path = step(&step(&given.path, &index.to_string()), "grows");
                // Only the layer that gets the default is recorded.
                if read.layer.grows {
                    self.assume(path, true.to_string(), FORM);
                }
            }
        }
        let layers: Vec<Layer> = read.into_iter().map(|read| read.layer).collect();
        self.plausible(given, &layers);
        self.upside_down(&layers);
        Some(layers)
    }

    fn layer(&mut self, index: usize, node: &Node, path: &str) -> Option<Read> {
        let fields = self.open(&LAYER, node, path)?;
        let name = fields.get("name").map_or_else(
            || Some(format!("layer {}", index + 1)),
            |given| self.text(&given),
        );
        let says_grows = fields.has("grows");
        let grows = fields
            .get("grows")
            .map_or(Some(false), |given| self.boolean(&given));
        let then = fields
            .get("then")
            .map_or_else(Vec::new, |given| self.words(&given));
        let firmness = self.firmness(&fields, &then);
        // A thickness given with how the layer was firmed next was taken before.
        let thickness = match firmness {
            Firmness::Unknown | Firmness::Loose => Placement::InPlace,
            Firmness::Firmed | Firmness::Compacted => Placement::Loose,
        };
        let put = fields.get("put").map_or_else(Vec::new, |given| {
            self.list(&given)
                .into_iter()
                .map(|(node, path)| self.ingredient(node, &path, thickness))
                .collect()
        });
        let put: Option<Vec<_>> = put.into_iter().collect();
        Some(Read {
            layer: Layer {
                name: name?,
                grows: grows?,
                put: put?,
                firmness,
                watered: then.contains(&"watered"),
            },
            says_grows,
        })
    }

    /// How firmly a layer was filled, by what was done to it.
    fn firmness(&mut self, fields: &Fields<'_>, then: &[&str]) -> Firmness {
        let is = |word| then.contains(&word);
        let firmness = if is("trodden") {
            Firmness::Compacted
        } else if is("firmed") {
            Firmness::Firmed
        } else if then.is_empty() {
            self.assume(fields.path_of("then"), "unknown, tipped to trodden", FORM);
            Firmness::Unknown
        } else {
            Firmness::Loose
        };
        if is("tipped")
            && firmness != Firmness::Loose
            && let Some(given) = fields.get("then")
        {
            self.fault(
                FaultCode::DoesNotFit,
                &given,
                format!(
                    "\"tipped\" beside \"{}\"",
                    if is("trodden") { "trodden" } else { "firmed" }
                ),
                "tipped means that nothing was done to firm it; leave out one of the two",
            );
        }
        firmness
    }

    /// Refuses an implausible sum of thicknesses.
    fn plausible(&mut self, given: &Given<'_>, layers: &[Layer]) {
        let thick: f64 = layers
            .iter()
            .flat_map(|layer| &layer.put)
            .map(|ingredient| match ingredient.amount {
                Amount::ThicknessM(m) => m,
                _ => 0.0,
            })
            .sum();
        self.at_most(given, thick, "layers");
    }

    /// Reports soil entirely below wood with wood on top: probably a list from the top down.
    fn upside_down(&mut self, layers: &[Layer]) {
        let all = |layer: &Layer, class: Class| {
            layer
                .put
                .iter()
                .all(|ingredient| ingredient.material.class == class)
        };
        let Some((top, below)) = layers.split_last() else {
            return;
        };
        if !all(top, Class::Wood) {
            return;
        }
        let soil = below.iter().position(|layer| all(layer, Class::Soil));
        if let Some(index) = soil {
            self.note(
                notice::LAYERS_UPSIDE_DOWN,
                Some(index),
                vec![("name", layers[index].name.clone())],
            );
        }
    }
}
