//! Masses and volumes of each ingredient on the day of filling.

use moulder_core::law::nitrogen::{DECOMPOSER_CARBON_TO_NITROGEN, arrived_ratio};

use crate::bed::{Bed, Ingredient};
use crate::fault::error::NoRoom;
use crate::model::compile::filling::Filling;
use crate::model::compile::place;
use crate::model::compile::recipe::Recipe;
use crate::model::figures::Figures;

/// One ingredient by mass, on arrival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrival<'a> {
    /// The ingredient.
    pub ingredient: &'a Ingredient,
    /// Dry mass; kg.
    pub dry_kg: f64,
    /// Dry mass of its skeleton, without the soil in a mat of turf; kg. Zero for soil and
    /// compost.
    pub pieces_dry_kg: f64,
    /// Water; kg.
    pub water_kg: f64,
    /// Loose volume by itself; m3.
    pub loose_m3: f64,
    /// Carbon, without what had decayed before; kg.
    pub carbon_kg: f64,
}

impl Arrival<'_> {
    /// Mass, water included; kg.
    #[must_use]
    pub fn total_mass_kg(&self) -> f64 {
        self.dry_kg + self.water_kg
    }

    /// Mass of the skeleton, with its share of the water; kg.
    #[must_use]
    pub fn pieces_wet_kg(&self) -> f64 {
        self.pieces_dry_kg / (1.0 - self.ingredient.moisture_wet)
    }

    /// Nitrogen, given the carbon to nitrogen ratio of the sound material; kg. See
    /// [`arrived_ratio`].
    #[must_use]
    pub fn nitrogen_kg(&self, sound_carbon_to_nitrogen: f64) -> f64 {
        let rotten = self.ingredient.rotten;
        let decomposers = DECOMPOSER_CARBON_TO_NITROGEN.best;
        self.carbon_kg / arrived_ratio(sound_carbon_to_nitrogen, rotten, decomposers)
    }
}

/// All ingredients, layer by layer from the ground up.
///
/// # Errors
///
/// A mound whose sides meet before all of its layers are in.
pub fn arrivals<'a>(bed: &'a Bed, figures: &'a Figures) -> Result<Vec<Vec<Arrival<'a>>>, NoRoom> {
    let placed = place(bed, figures)?;
    let layers = bed.layers.iter().zip(&placed);
    Ok(layers
        .map(|(layer, at)| {
            let put = layer.put.iter();
            let filling = Filling::of(layer, at.load_kpa, figures);
            put.map(|ingredient| {
                let recipe = Recipe::of(ingredient, &bed.shape, at.bottom_m, filling, figures);
                arrival(&recipe)
            })
            .collect()
        })
        .collect())
}

fn arrival<'a>(recipe: &Recipe<'a>) -> Arrival<'a> {
    let pieces_organic_kg = recipe.fresh_organic_kg * (1.0 - recipe.ingredient.rotten);
    Arrival {
        ingredient: recipe.ingredient,
        dry_kg: recipe.dry_kg(),
        pieces_dry_kg: pieces_organic_kg + recipe.skeleton_mineral_kg,
        water_kg: recipe.water_on_arrival_kg(),
        loose_m3: recipe.alone_m3(),
        carbon_kg: (pieces_organic_kg + recipe.fine_organic_kg) * recipe.carbon_share(),
    }
}
