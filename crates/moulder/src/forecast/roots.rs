//! The root zone.

use crate::bed::Layer;

/// Indices of the layers with roots: the highest growing layer and later additions that grow,
/// else the top one.
///
/// The first `filled` layers are those of the day of filling. A later addition that does not
/// grow, such as a mulch of chips, is left out.
pub(crate) fn growing_layers(layers: &[Layer], filled: usize) -> Vec<usize> {
    let own = &layers[..filled.min(layers.len())];
    let top = own.len().saturating_sub(1);
    let last = own.iter().rposition(|layer| layer.grows).unwrap_or(top);
    let first = own[..last]
        .iter()
        .rposition(|layer| !layer.grows)
        .map_or(0, |below| below + 1);
    let later = (own.len()..layers.len()).filter(|index| layers[*index].grows);
    (first..=last).chain(later).collect()
}
