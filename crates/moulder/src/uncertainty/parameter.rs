//! The uncertain parameters behind a forecast of a bed, by name.
//!
//! A constant of a law is a parameter by its key. A figure of a material has a part of its own,
//! by the names of the material and the figure, and one in common with its family
//! (`sharing.rs`). What an owner gives (amounts, moisture, decay) is a parameter of each
//! ingredient. No source's wording makes or breaks a parameter.

use std::collections::BTreeMap;

use crate::bed::{Bed, Ingredient};
use crate::library::crop::Crop;
use crate::library::material::Material;
use crate::model::weather::HALF_WET_MM;
use crate::uncertainty::sharing::{Kin, Part};
use moulder_core::bed::parameters::{CONSTANTS, ConstantGroup};
use moulder_core::bed::shape::Shape;
use moulder_core::value::Value;

/// An uncertain constant of a law.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Law {
    /// Its name, by which it is one parameter.
    pub(crate) key: &'static str,
    /// The constant.
    pub(crate) value: &'static Value,
    /// Whether it matters to mounds alone; other beds do not have it.
    is_of_mounds: bool,
}

impl Law {
    /// The nitrogen demand of a crop.
    pub(crate) fn of_crop(crop: Crop) -> Self {
        let key = match crop {
            Crop::Hungry => "HUNGRY",
            Crop::Modest => "MODEST",
            Crop::None => "NONE",
        };
        Self {
            key,
            value: crop.need(),
            is_of_mounds: false,
        }
    }

    /// The parameter that it is.
    pub(crate) const fn parameter(self) -> UncertainParameter {
        UncertainParameter::Law(self.key)
    }
}

/// Uncertain constants of the laws, most influential first, and of the weather.
pub(crate) static LAWS: [Law; CONSTANTS.len() + 1] = {
    let mut all = [Law {
        key: "HALF_WET_MM",
        value: &HALF_WET_MM,
        is_of_mounds: false,
    }; CONSTANTS.len() + 1];
    let mut at = 0;
    while at < CONSTANTS.len() {
        all[at] = Law {
            key: CONSTANTS[at].key,
            value: CONSTANTS[at].value,
            is_of_mounds: matches!(CONSTANTS[at].group, ConstantGroup::Mound),
        };
        at += 1;
    }
    all
};

/// An uncertain parameter.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum UncertainParameter {
    /// A quantity given for an ingredient, by layer and place in it.
    Stated(Stated, usize, usize),
    /// How high the bed stood when filled.
    Start,
    /// A constant of a law, by its key.
    Law(&'static str),
    /// What a family of figures has in common.
    Common {
        /// What the figures are.
        of: &'static str,
        /// Key of the family.
        key: String,
    },
    /// What a figure of a material has of its own.
    Own {
        /// Name of the material.
        material: String,
        /// What the figure is.
        of: &'static str,
        /// Its number among those of that name in the material.
        nth: usize,
    },
}

/// Quantities given by the owner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Stated {
    Amount,
    ParticleSize,
    Moisture,
    Decay,
}

/// Every uncertain parameter behind a forecast of a bed, each once, those that usually move the
/// surface most first (they get the best quasi-random columns).
#[derive(Debug, Clone)]
pub struct UncertainParameters {
    places: BTreeMap<UncertainParameter, usize>,
}

impl UncertainParameters {
    /// Those of a bed, later additions included.
    #[must_use]
    pub fn new(bed: &Bed) -> Self {
        let mut all = Self {
            places: BTreeMap::new(),
        };
        let put: Vec<(usize, usize, &Ingredient)> = ingredients(bed);
        all.list(UncertainParameter::Start);
        for (layer, place, _) in &put {
            all.list(UncertainParameter::Stated(Stated::Amount, *layer, *place));
        }
        let mut materials: Vec<Material> = Vec::new();
        for (_, _, ingredient) in &put {
            if !materials.contains(&ingredient.material) {
                materials.push(ingredient.material.clone());
            }
        }
        // The most influential figures of all materials come before the rest of any.
        let figures: Vec<Vec<(&str, Vec<Part>)>> = materials
            .iter_mut()
            .map(|material| {
                let kin = Kin::of(material);
                let figures = figures_of(material).into_iter();
                figures
                    .map(|figure| (figure.of, kin.parts(&figure)))
                    .collect()
            })
            .collect();
        for place in 0..FIRST {
            let each = figures.iter().filter_map(|figures| figures.get(place));
            each.for_each(|(_, parts)| all.list_parts(parts));
        }
        if matches!(bed.shape, Shape::Mound { .. }) {
            for law in LAWS.iter().filter(|law| law.is_of_mounds) {
                all.list(law.parameter());
            }
        }
        for law in &LAWS[..FIRST_LAWS] {
            all.list(law.parameter());
        }
        for (_, parts) in figures.iter().flatten().filter(|(of, _)| *of == RATE) {
            all.list_parts(parts);
        }
        for (layer, place, _) in &put {
            for stated in [Stated::Moisture, Stated::ParticleSize, Stated::Decay] {
                all.list(UncertainParameter::Stated(stated, *layer, *place));
            }
        }
        for (_, parts) in figures.iter().flatten() {
            all.list_parts(parts);
        }
        for law in LAWS.iter().filter(|law| !law.is_of_mounds) {
            all.list(law.parameter());
        }
        for crop in [Crop::Hungry, Crop::Modest, Crop::None] {
            all.list(Law::of_crop(crop).parameter());
        }
        all
    }

    /// Those of several beds: of the first in its own order, then those of later ones alone.
    /// Beds share parameters by meaning, and given quantities by place.
    #[must_use]
    pub fn from_beds(beds: &[Bed]) -> Self {
        let mut all = Self {
            places: BTreeMap::new(),
        };
        for bed in beds {
            for parameter in Self::new(bed).in_order() {
                all.list(parameter.clone());
            }
        }
        all
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.places.len()
    }

    /// Index of a parameter.
    pub(crate) fn place(&self, parameter: &UncertainParameter) -> Option<usize> {
        self.places.get(parameter).copied()
    }

    /// All of them in their order.
    pub(crate) fn in_order(&self) -> Vec<&UncertainParameter> {
        let mut all: Vec<(usize, &UncertainParameter)> = self
            .places
            .iter()
            .map(|(parameter, place)| (*place, parameter))
            .collect();
        all.sort_by_key(|(place, _)| *place);
        all.into_iter().map(|(_, parameter)| parameter).collect()
    }

    fn list_parts(&mut self, parts: &[Part]) {
        for part in parts {
            self.list(part.parameter.clone());
        }
    }

    fn list(&mut self, parameter: UncertainParameter) {
        let next = self.places.len();
        self.places.entry(parameter).or_insert(next);
    }
}

/// Figures of each material that come first.
const FIRST: usize = 5;
/// Constants of the laws that come before the rates.
const FIRST_LAWS: usize = 4;

/// All ingredients with their layer and their place in it; each later addition is a layer of
/// its own.
#[must_use]
pub fn ingredients(bed: &Bed) -> Vec<(usize, usize, &Ingredient)> {
    let filled = bed.layers.iter().map(|layer| layer.put.as_slice());
    let added = bed.additions.iter();
    let added = added.map(|added| core::slice::from_ref(&added.ingredient));
    filled
        .chain(added)
        .enumerate()
        .flat_map(|(layer, put)| {
            let put = put.iter().enumerate();
            put.map(move |(place, ingredient)| (layer, place, ingredient))
        })
        .collect()
}

/// Name of the decay rates of a pool: all measured rates of it are wrong together.
pub(crate) const RATE: &str = "rate";
/// Name of the collapse strain, loose.
pub(crate) const COLLAPSE_TIPPED: &str = "collapse, tipped";
/// Name of the collapse strain, compacted.
pub(crate) const COLLAPSE_TRODDEN: &str = "collapse, trodden";
/// Name of the shares of the pools.
pub(crate) const POOL_SHARE: &str = "share of a pool";

/// A figure of a material.
pub(crate) struct Figure<'a> {
    /// What it is.
    pub(crate) of: &'static str,
    /// Its number among those of that name in the material; the pool's for a rate.
    pub(crate) nth: usize,
    /// The figure.
    pub(crate) value: &'a mut Value,
}

/// Every figure of a material, most influential first.
pub(crate) fn figures_of(material: &mut Material) -> Vec<Figure<'_>> {
    let Material {
        name: _,
        also: _,
        about: _,
        class: _,
        form: _,
        mineral_share,
        carbon_share,
        carbon_to_nitrogen,
        moisture,
        field_capacity,
        organic_density,
        particle_size: across,
        void_ratio,
        min_void_ratio,
        compression,
        reference_stress,
        creep,
        collapse_tipped,
        collapse_trodden,
        void_closure,
        lag,
        size_exponent,
        wilts: _,
        sheet,
        loose,
        pools,
    } = material;
    let mut figures = Vec::new();
    let mut put = |of, nth, value| figures.push(Figure { of, nth, value });
    put("void ratio", 0, void_ratio);
    put(COLLAPSE_TIPPED, 0, collapse_tipped);
    put("compression", 0, compression);
    put("reference stress", 0, reference_stress);
    put("creep", 0, creep);
    put("least void ratio", 0, min_void_ratio);
    put(COLLAPSE_TRODDEN, 0, collapse_trodden);
    put("void closure", 0, void_closure);
    put("moisture", 0, moisture);
    put("organic density", 0, organic_density);
    put("lag", 0, lag);
    put("across", 0, across);
    put("size exponent", 0, size_exponent);
    put("mineral share", 0, mineral_share);
    put("carbon share", 0, carbon_share);
    put("carbon to nitrogen", 0, carbon_to_nitrogen);
    if let Some(value) = loose {
        put("loose share", 0, value);
    }
    if let Some(value) = field_capacity {
        put("water held", 0, value);
    }
    if let Some(sheet) = sheet {
        put("cover of a sheet", 0, &mut sheet.cover);
        put("thickness of a sheet", 0, &mut sheet.thickness);
    }
    let mut sites = 0;
    for (nth, pool) in pools.iter_mut().enumerate() {
        put(POOL_SHARE, nth, &mut pool.share);
        put("humified share", nth, &mut pool.humification_coefficient);
        if let Some(ratio) = &mut pool.colonised {
            put("colonised", nth, ratio);
        }
        for rate in &mut pool.rates {
            put(RATE, nth, &mut rate.rate);
            if let Some(site) = &mut rate.site {
                put("half-range of a site", sites, &mut site.half_range_c);
                put("moisture of a site", sites, &mut site.moisture_factor);
                sites += 1;
            }
        }
    }
    figures
}
