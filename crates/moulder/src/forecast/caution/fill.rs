//! The fill of a bed, as cautions read it.

use crate::bed::{Bed, Ingredient};
use crate::forecast::caution::name::has_word;
use crate::forecast::row::Month;
use crate::library::material::{Class, Form, Material};
use crate::model::compile::{Arrival, arrivals};
use crate::model::figures::Figures;

/// Larger pieces are logs, which decay from outside and leave hollows; m (our own closure:
/// firewood and above).
const LOG_M: f64 = 0.05;

/// A bed with what each layer holds on the day it is filled.
pub(super) struct Fill<'a> {
    pub(super) bed: &'a Bed,
    /// The day it is filled.
    pub(super) filled: &'a Month,
    /// Its ingredients, layer by layer from the ground up.
    pub(super) layers: Vec<Vec<Arrival<'a>>>,
}

impl<'a> Fill<'a> {
    /// None without a row, or without room for a layer: then there is no forecast.
    pub(super) fn new(bed: &'a Bed, rows: &'a [Month]) -> Option<Self> {
        Some(Self {
            bed,
            filled: rows.first()?,
            layers: arrivals(bed, Figures::nominal()).ok()?,
        })
    }

    /// All ingredients.
    pub(super) fn all(&self) -> impl Iterator<Item = &Arrival<'a>> {
        self.layers.iter().flatten()
    }

    /// Whether any ingredient satisfies `is`.
    pub(super) fn holds(&self, is: impl Fn(&Ingredient) -> bool) -> bool {
        self.all().any(|arrival| is(arrival.ingredient))
    }

    /// The lowest layer with an ingredient that satisfies `is`, and the first such ingredient.
    pub(super) fn first(&self, is: impl Fn(&Ingredient) -> bool) -> Option<(usize, &Ingredient)> {
        let mut layers = self.layers.iter().enumerate();
        layers.find_map(|(index, layer)| {
            let mut put = layer.iter().map(|arrival| arrival.ingredient);
            put.find(|ingredient| is(ingredient))
                .map(|ingredient| (index, ingredient))
        })
    }

    /// The same, or else the first such later addition: the layer (none for an addition) and
    /// the name, with the day of an addition.
    pub(super) fn first_ever(
        &self,
        is: impl Fn(&Ingredient) -> bool,
    ) -> Option<(Option<usize>, String)> {
        let put = self.first(&is);
        let put = put.map(|(layer, put)| (Some(layer), put.material.name.clone()));
        put.or_else(|| self.later(is))
    }

    /// The first later addition that satisfies `is`.
    fn later(&self, is: impl Fn(&Ingredient) -> bool) -> Option<(Option<usize>, String)> {
        let mut added = self.bed.additions.iter();
        let added = added.find(|added| is(&added.ingredient))?;
        Some((None, added.layer().name))
    }

    /// The lowest layer whose name or one of whose materials' names has one of those words, and
    /// that name; or else the first such later addition.
    pub(super) fn named(&self, words: &[&str]) -> Option<(Option<usize>, String)> {
        let put = self.named_layer(words);
        let put = put.map(|(layer, name)| (Some(layer), name));
        put.or_else(|| self.later(|put| is_called(&put.material, words)))
    }

    fn named_layer(&self, words: &[&str]) -> Option<(usize, String)> {
        let mut layers = self.bed.layers.iter().enumerate();
        layers.find_map(|(index, layer)| {
            let material = layer.put.iter().find(|put| is_called(&put.material, words));
            match material {
                Some(put) => Some((index, put.material.name.clone())),
                None => has_word(&layer.name, words).then(|| (index, layer.name.clone())),
            }
        })
    }

    /// Thickness of a layer on the day of filling; m.
    pub(super) fn thickness_m(&self, layer: usize) -> f64 {
        let layer = self.filled.layers.get(layer);
        layer.map_or(0.0, |layer| layer.thickness_m)
    }

    /// Dry mass of the ingredients that satisfy `is`; kg.
    pub(super) fn dry_kg(&self, is: impl Fn(&Ingredient) -> bool) -> f64 {
        let kept = self.all().filter(|arrival| is(arrival.ingredient));
        kept.map(|arrival| arrival.dry_kg).sum()
    }

    /// Wet weight on the ground; kg/m2.
    pub(super) fn load_kg_per_m2(&self) -> f64 {
        self.filled.total_mass_kg / self.bed.shape.area_m2()
    }
}

/// Whether one of a material's names has one of those words.
pub(super) fn is_called(material: &Material, words: &[&str]) -> bool {
    core::iter::once(&material.name)
        .chain(&material.also)
        .any(|name| has_word(name, words))
}

pub(super) fn is_wood(put: &Ingredient) -> bool {
    put.material.class == Class::Wood
}

/// Logs and thick branches.
pub(super) fn is_log(put: &Ingredient) -> bool {
    is_wood(put) && put.material.form == Form::Rods && put.particle_size_m >= LOG_M
}

/// Turf of any kind: plant matter with soil.
pub(super) fn is_turf(put: &Ingredient) -> bool {
    put.material.pools.iter().any(|pool| pool.in_soil)
}

/// Card and other sheets, but no turf.
pub(super) fn is_card(put: &Ingredient) -> bool {
    put.material.is_sheet() && !is_turf(put) || is_called(&put.material, &["card", "cardboard"])
}

/// Animal manure.
pub(super) fn is_manure(put: &Ingredient) -> bool {
    is_called(&put.material, &["manure", "muck", "dung"])
}

/// Compost and leaf mould; a mix with soil is not.
pub(super) fn is_compost(put: &Ingredient) -> bool {
    put.material.class == Class::Soil
        && has_word(
            &put.material.name,
            &["compost", "leaf mould", "leaf mold", "leafmould"],
        )
}

/// Fresh greens, which heat and mat: carbon to nitrogen below 25 (where mixtures begin that
/// compost fast, 25-30; Rynk 1992, NRAES-54; memory), and more than half water.
pub(super) fn is_green(put: &Ingredient) -> bool {
    put.material.class == Class::Plant
        && !is_turf(put)
        && put.material.carbon_to_nitrogen.best <= 25.0
        && put.moisture_wet > 0.5
        && put.rotten < 0.5
}
