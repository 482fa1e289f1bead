//! The uncertain parameters behind a forecast of a bed, by name.
//!
//! Figures with the same meaning, value, spread, unit and source are one parameter: two
//! materials with a figure from one source are wrong together. What an owner gives (amounts,
//! moisture, decay) is a parameter of each ingredient.

use std::collections::BTreeMap;

use crate::bed::{Bed, Ingredient};
use crate::library::crop::Crop;
use crate::library::material::{Material, Pool};
use crate::model::weather::HALF_WET_MM;
use moulder_core::bed::parameters::{CONSTANTS, Constant, ConstantGroup};
use moulder_core::bed::shape::Shape;
use moulder_core::value::Value;

/// Uncertain constants of the laws, most influential first, and of the weather.
pub(crate) static LAWS: [&Value; CONSTANTS.len() + 1] = {
    let mut all = [&HALF_WET_MM; CONSTANTS.len() + 1];
    let mut at = 0;
    while at < CONSTANTS.len() {
        all[at] = CONSTANTS[at].value;
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
    /// The part of the decay rate that all woods have in common.
    AllWood,
    /// A figure with its source.
    Figure(Figure),
}

/// Quantities given by the owner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Stated {
    Amount,
    ParticleSize,
    Moisture,
    Decay,
}

/// A figure by its content.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Figure {
    of: &'static str,
    bits: [u64; 3],
    unit: String,
    source: String,
}

impl Figure {
    fn new(of: &'static str, value: &Value) -> Self {
        let spread = value.spread;
        Self {
            of,
            bits: [value.best, spread.low, spread.high].map(f64::to_bits),
            unit: value.unit.to_string(),
            source: value.source.to_string(),
        }
    }

    /// A constant of a law.
    pub(crate) fn from_law(value: &Value) -> UncertainParameter {
        UncertainParameter::Figure(Self::new("law", value))
    }

    /// A figure of a material, by its name there.
    pub(crate) fn from_material(name: &'static str, value: &Value) -> UncertainParameter {
        UncertainParameter::Figure(Self::new(name, value))
    }

    /// Decay rates of a pool: all measured rates of it are wrong together.
    pub(crate) fn from_pool(pool: &Pool) -> Option<UncertainParameter> {
        let first = pool.rates.first()?;
        Some(UncertainParameter::Figure(Self::new("rates", &first.rate)))
    }
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
        let figures: Vec<Vec<UncertainParameter>> = materials
            .iter_mut()
            .map(|material| {
                let figures = figures_of(material).into_iter();
                figures
                    .map(|(name, value)| Figure::from_material(name, value))
                    .collect()
            })
            .collect();
        for place in 0..FIRST {
            let each = figures.iter().filter_map(|figures| figures.get(place));
            each.for_each(|parameter| all.list(parameter.clone()));
        }
        if matches!(bed.shape, Shape::Mound { .. }) {
            for law in CONSTANTS.iter().filter(|law| is_of_mounds(law)) {
                all.list(Figure::from_law(law.value));
            }
        }
        for law in &LAWS[..FIRST_LAWS] {
            all.list(Figure::from_law(law));
        }
        all.list(UncertainParameter::AllWood);
        for pool in materials.iter().flat_map(|material| &material.pools) {
            if let Some(parameter) = Figure::from_pool(pool) {
                all.list(parameter);
            }
        }
        for (layer, place, _) in &put {
            for stated in [Stated::Moisture, Stated::ParticleSize, Stated::Decay] {
                all.list(UncertainParameter::Stated(stated, *layer, *place));
            }
        }
        for parameter in figures.into_iter().flatten() {
            all.list(parameter);
        }
        let of_all = CONSTANTS.iter().filter(|law| !is_of_mounds(law));
        for law in of_all.map(|law| law.value).chain([&HALF_WET_MM]) {
            all.list(Figure::from_law(law));
        }
        for crop in [Crop::Hungry, Crop::Modest, Crop::None] {
            all.list(Figure::from_law(crop.need()));
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

    fn list(&mut self, parameter: UncertainParameter) {
        let next = self.places.len();
        self.places.entry(parameter).or_insert(next);
    }
}

/// Whether a constant matters to mounds alone; other beds do not have it.
fn is_of_mounds(law: &Constant) -> bool {
    law.group == ConstantGroup::Mound
}

/// Figures of each material that come first.
const FIRST: usize = 4;
/// Constants of the laws that come before the rates.
const FIRST_LAWS: usize = 5;

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

/// Every figure of a material but its rates, by name, most influential first.
pub(crate) fn figures_of(material: &mut Material) -> Vec<(&'static str, &mut Value)> {
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
        collapse_tipped,
        collapse_trodden,
        void_closure,
        lag,
        size_exponent,
        sheet,
        loose,
        pools,
    } = material;
    let mut figures = vec![
        ("void ratio", void_ratio),
        ("collapse, tipped", collapse_tipped),
        ("compression", compression),
        ("reference stress", reference_stress),
        ("least void ratio", min_void_ratio),
        ("collapse, trodden", collapse_trodden),
        ("void closure", void_closure),
        ("moisture", moisture),
        ("organic density", organic_density),
        ("lag", lag),
        ("across", across),
        ("size exponent", size_exponent),
        ("mineral share", mineral_share),
        ("carbon share", carbon_share),
        ("carbon to nitrogen", carbon_to_nitrogen),
    ];
    figures.extend(loose.iter_mut().map(|value| ("loose share", value)));
    figures.extend(field_capacity.iter_mut().map(|value| ("water held", value)));
    if let Some(sheet) = sheet {
        figures.push(("cover of a sheet", &mut sheet.cover));
        figures.push(("thickness of a sheet", &mut sheet.thickness));
    }
    for pool in pools {
        figures.push(("share of a pool", &mut pool.share));
        figures.push(("humified share", &mut pool.humification_coefficient));
    }
    figures
}
