//! What a layer is drawn as: logs, sticks, and the hatch of what lies between them.

use moulder::Bed;
use moulder::Material;
use moulder::filled::{Ingredient, Layer};
use moulder::materials::{Class, Form};

use crate::svg::hatch::Hatch;

/// From here on a piece of wood is a log, with rings; m (our own judgement: a wrist).
pub const LOG_M: f64 = 0.05;

/// Least mineral share of what is drawn as soil; other fines are drawn as compost.
const SOIL_MINERAL: f64 = 0.7;

/// Wood of one diameter in a layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wood {
    /// Diameter; m.
    pub across_m: f64,
    /// Its share of the wood of the layer, as it was put in.
    pub share: f64,
}

/// What a layer is drawn as.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Stratum {
    /// Its logs.
    pub logs: Option<Wood>,
    /// Its prunings and twigs.
    pub sticks: Option<Wood>,
    /// What lies between them, by what there is most of; none where it is only air.
    pub between: Option<Hatch>,
    /// Whether soil or compost was put in: then migrated fines are not drawn.
    pub has_fines: bool,
}

impl Stratum {
    /// What a layer is drawn as. Its ingredients are weighed by `loose_m3`, the volume of
    /// each by itself.
    #[must_use]
    pub fn of(layer: &Layer, loose_m3: impl Fn(usize) -> f64) -> Self {
        let mut stratum = Self::default();
        let m3 = |is: fn(&Ingredient) -> bool, weigh: fn(&Ingredient) -> f64| -> f64 {
            let put = layer.put.iter().enumerate().filter(|(_, put)| is(put));
            put.map(|(at, put)| solid_share(put) * loose_m3(at) * weigh(put))
                .sum()
        };
        let wood = |is: fn(&Ingredient) -> bool| {
            let own_m3 = m3(is, |_| 1.0);
            (own_m3 > 0.0).then(|| Wood {
                across_m: m3(is, |put| put.particle_size_m) / own_m3,
                share: own_m3 / m3(is_wood, |_| 1.0),
            })
        };
        stratum.logs = wood(is_log);
        stratum.sticks = wood(is_stick);
        let others = layer.put.iter().enumerate();
        let others = others.filter(|(_, put)| !is_log(put) && !is_stick(put));
        let most = others.max_by(|one, other| loose_m3(one.0).total_cmp(&loose_m3(other.0)));
        stratum.between = most.map(|(_, put)| hatch(&put.material));
        stratum.has_fines = layer.put.iter().any(|put| put.material.is_grains());
        stratum
    }
}

/// The layers of a forecast as they were put in: those of the day of filling, then the
/// additions, so many in all.
#[must_use]
pub fn layers(bed: &Bed, count: usize) -> Vec<Layer> {
    let later = bed.additions().iter().map(moulder::filled::Addition::layer);
    bed.layers()
        .iter()
        .cloned()
        .chain(later)
        .take(count)
        .collect()
}

/// The hatch of a material in bulk.
#[must_use]
pub fn hatch(material: &Material) -> Hatch {
    match (material.class, material.form) {
        (Class::Wood, Form::Lumps) => Hatch::Chips,
        (Class::Wood, Form::Rods) if material.particle_size.best >= LOG_M => Hatch::Wood,
        (Class::Wood, Form::Rods) => Hatch::Brush,
        (Class::Soil, _) if material.mineral_share.best < SOIL_MINERAL => Hatch::Compost,
        (Class::Soil, _) => Hatch::Soil,
        (Class::Plant, _) if material.pools.iter().any(|pool| pool.in_soil) => Hatch::Turf,
        (Class::Plant, _) if material.is_sheet() => Hatch::Card,
        (Class::Plant, _) => Hatch::Soft,
    }
}

fn is_wood(put: &Ingredient) -> bool {
    put.material.class == Class::Wood
}

fn is_log(put: &Ingredient) -> bool {
    is_wood(put) && put.material.form == Form::Rods && put.particle_size_m >= LOG_M
}

fn is_stick(put: &Ingredient) -> bool {
    is_wood(put) && put.material.form == Form::Rods && put.particle_size_m < LOG_M
}

/// The pieces themselves, as a share of their loose volume.
fn solid_share(put: &Ingredient) -> f64 {
    1.0 / (1.0 + put.material.void_ratio.best)
}
