//! Non-woody material: greens, manure, hay, card, kitchen waste.

use crate::bed::Ingredient;
use crate::fault::notice::{
    DRY_FILL, GLOSSY_CARD, HEATS_UP, KITCHEN_WASTE, NO_NITROGEN, Notice, SHEDS_WATER,
    TOO_MUCH_GREEN, WEEDKILLER_CARRY_OVER,
};
use crate::forecast::caution::fill::{
    Fill, is_called, is_card, is_green, is_log, is_manure, is_turf, is_wood,
};
use crate::library::crop::Crop;
use crate::library::material::Class;
use crate::model::compile::Arrival;
use crate::model::figures::Figures;

/// Carbon to nitrogen above which decay immobilises nitrogen: microbes of 10 that keep a
/// quarter of the carbon (Manzoni and Porporato 2009, Soil Biol. Biochem. 41:1355; the equation
/// from memory, the share at the low end for wood).
const HUNGRY: f64 = 40.0;
/// Greens and manure above this share of the dry mass of non-woody material and small wood feed
/// it (our own closure).
const FEEDS: f64 = 0.05;
/// Depth of most vegetable roots; m (common practice, no source).
const ROOTS_M: f64 = 0.3;
/// Greens above this share of a layer's wet mass mat (our own closure).
const MATS: f64 = 0.5;
/// Greens above this share of a layer's wet mass heat it (our own closure).
const HEATS: f64 = 0.25;
/// Thinner layers of greens neither mat nor heat; m (our own closure).
const THICK_M: f64 = 0.1;
/// Drier material counts as dry; share of the wet mass (our own closure).
const DRY: f64 = 0.2;

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    [
        carry_over(fill),
        kitchen(fill),
        glossy(fill),
        too_much_green(fill),
        heats_up(fill),
        no_nitrogen(fill),
        dry(fill),
        sheds(fill),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The lowest layer with such an ingredient, or the day of its addition, by name.
fn held(fill: &Fill<'_>, code: &'static str, is: impl Fn(&Ingredient) -> bool) -> Option<Notice> {
    let (layer, name) = fill.first_ever(is)?;
    Some(Notice::new(code, layer, vec![("what", name)]))
}

fn carry_over(fill: &Fill<'_>) -> Option<Notice> {
    held(fill, WEEDKILLER_CARRY_OVER, |put| {
        is_manure(put) || is_called(&put.material, &["hay", "straw"]) && !is_needles(put)
    })
}

/// Pine straw is no straw.
fn is_needles(put: &Ingredient) -> bool {
    is_called(&put.material, &["needle", "pine straw"])
}

fn kitchen(fill: &Fill<'_>) -> Option<Notice> {
    held(fill, KITCHEN_WASTE, |put| {
        is_called(&put.material, &["kitchen", "food", "peelings"])
    })
}

fn glossy(fill: &Fill<'_>) -> Option<Notice> {
    let words = ["glossy", "coated", "waxed", "laminated", "printed card"];
    let (layer, name) = fill.named(&words)?;
    Some(Notice::new(GLOSSY_CARD, layer, vec![("what", name)]))
}

/// Share of a layer's wet mass that satisfies `is`.
fn wet_share(layer: &[Arrival<'_>], is: impl Fn(&Ingredient) -> bool) -> f64 {
    let all_kg: f64 = layer.iter().map(Arrival::total_mass_kg).sum();
    let some = layer.iter().filter(|arrival| is(arrival.ingredient));
    let some_kg: f64 = some.map(Arrival::total_mass_kg).sum();
    some_kg / all_kg.max(f64::MIN_POSITIVE)
}

/// A layer thick enough, with more than that share of greens.
fn green_layer(fill: &Fill<'_>, share: f64) -> Option<usize> {
    let mut layers = fill.layers.iter().enumerate();
    let found = layers.find(|(index, layer)| {
        fill.thickness_m(*index) >= THICK_M && wet_share(layer, is_green) > share
    });
    found.map(|(index, _)| index)
}

fn too_much_green(fill: &Fill<'_>) -> Option<Notice> {
    let layer = green_layer(fill, MATS)?;
    Some(Notice::new(TOO_MUCH_GREEN, Some(layer), Vec::new()))
}

/// Fresh manure, or many greens; greens that mat have a caution of their own.
fn heats_up(fill: &Fill<'_>) -> Option<Notice> {
    let manure = fill.first(|put| is_manure(put) && put.rotten < 0.5);
    let layer = match (manure, green_layer(fill, MATS)) {
        (Some((layer, _)), _) => layer,
        (None, Some(_)) => return None,
        (None, None) => green_layer(fill, HEATS)?,
    };
    Some(Notice::new(HEATS_UP, Some(layer), Vec::new()))
}

/// Soil over the highest layer with such material; m.
fn soil_over_m(fill: &Fill<'_>, is_small: impl Fn(&Ingredient) -> bool) -> f64 {
    let layers = fill.bed.layers.iter().enumerate().rev();
    let bare = layers.take_while(|(_, layer)| !layer.put.iter().any(&is_small));
    bare.map(|(index, _)| fill.thickness_m(index)).sum()
}

/// Non-woody material without turf, and wood too small to be a log.
fn is_small(put: &Ingredient) -> bool {
    let is_soft = put.material.class == Class::Plant && !is_turf(put);
    is_soft || is_wood(put) && !is_log(put)
}

/// Non-woody material and small wood within the root zone. Logs decay from outside and
/// immobilise little in a year.
fn no_nitrogen(fill: &Fill<'_>) -> Option<Notice> {
    let is_fed = |put: &Ingredient| is_green(put) || is_manure(put);
    let is_deep = soil_over_m(fill, is_small) >= ROOTS_M - 1e-3;
    // No crop is short where none grows, and an owner who feeds knows.
    if fill.bed.crop == Crop::None || !fill.bed.fed.is_empty() {
        return None;
    }
    if is_deep || fill.dry_kg(is_fed) >= FEEDS * fill.dry_kg(is_small) {
        return None;
    }
    let (mut carbon_kg, mut nitrogen_kg) = (0.0, 0.0);
    for arrival in fill.all().filter(|arrival| is_small(arrival.ingredient)) {
        let ratio = Figures::nominal().of(&arrival.ingredient.material.carbon_to_nitrogen);
        carbon_kg += arrival.carbon_kg;
        nitrogen_kg += arrival.nitrogen_kg(ratio);
    }
    (carbon_kg > HUNGRY * nitrogen_kg).then(|| {
        let ratio = carbon_kg / nitrogen_kg;
        let values = vec![
            ("ratio", format!("{ratio:.0}")),
            ("most", format!("{HUNGRY:.0}")),
        ];
        Notice::new(NO_NITROGEN, None, values)
    })
}

/// Whether a layer is neither wetted at filling nor irrigated.
fn stays_dry(fill: &Fill<'_>, layer: usize) -> bool {
    let watering = fill.bed.irrigation.as_ref();
    let is_watered = watering.is_some_and(|watering| watering.litres_per_week > 0.0);
    !is_watered
        && fill
            .bed
            .layers
            .get(layer)
            .is_some_and(|layer| !layer.watered)
}

/// Dry wood or leaves in a layer that stays dry. Dry card has a caution of its own.
fn dry(fill: &Fill<'_>) -> Option<Notice> {
    let is_dry = |put: &Ingredient| {
        put.moisture_wet < DRY && put.material.class != Class::Soil && !is_card(put)
    };
    let mut layers = fill.layers.iter().enumerate();
    let (index, put) = layers.find_map(|(index, layer)| {
        let mut put = layer.iter().map(|arrival| arrival.ingredient);
        let dry = put.find(|put| is_dry(put) && stays_dry(fill, index))?;
        Some((index, dry))
    })?;
    let values = vec![("what", put.material.name.clone())];
    Some(Notice::new(DRY_FILL, Some(index), values))
}

/// A layer of card alone that stays dry.
fn sheds(fill: &Fill<'_>) -> Option<Notice> {
    let mut layers = fill.bed.layers.iter().enumerate();
    let (index, _) =
        layers.find(|(index, layer)| layer.put.iter().all(is_card) && stays_dry(fill, *index))?;
    Some(Notice::new(SHEDS_WATER, Some(index), Vec::new()))
}
