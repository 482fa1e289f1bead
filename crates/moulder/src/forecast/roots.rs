//! Where the roots are.

use crate::bed::Layer;

/// The layers in which roots live, among those there are: the highest that grows with what
/// was laid on it since, else the top one.
///
/// The first `filled` layers are those of the day of filling. What does not grow and was
/// laid over soil, as a mulch of chips, is passed over.
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
