//! A bed of another height.

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::{Amount, Bed};
use moulder_core::bed::shape::Shape;

use crate::observed::Case;

/// The same bed `scale` times as high; a mound is scaled in width and length too. Where only
/// the top layer is read, it alone is scaled.
pub(crate) fn scaled(bed: &Bed, scale: f64, case: &Case) -> Bed {
    let mut bed = bed.clone();
    let mut foot = 1.0;
    if let Shape::Mound {
        width_m, length_m, ..
    } = bed.edit().shape
    {
        *width_m *= scale;
        *length_m *= scale;
        foot = scale * scale;
    }
    let first = if case.is_top_layer_read {
        bed.layers().len() - 1
    } else {
        0
    };
    for ingredient in bed.edit().layers[first..]
        .iter_mut()
        .flat_map(|l| &mut l.put)
    {
        match &mut ingredient.amount {
            Amount::ThicknessM(m) => *m *= scale,
            Amount::VolumeM3(much) | Amount::WetMassKg(much) | Amount::DryMassKg(much) => {
                *much *= scale * foot;
            }
        }
    }
    bed
}
