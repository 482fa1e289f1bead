//! What to check before filling: short lines on what the document leaves open.

use moulder_core::bed::shape::Shape;

use crate::bed::Ingredient;
use crate::fault::notice::{
    GLOVES_AND_MASK, LAWN_WEEDKILLER, LIFTING, Notice, OLD_SOIL, PLAIN_CARD, WHERE_IT_STANDS,
    WHICH_BOARDS, WHICH_WOOD,
};
use crate::forecast::caution::fill::{Fill, is_called, is_card, is_manure, is_turf};
use crate::library::material::Class;
use crate::quantity::amount::weight;

/// Loads that a strong and a slighter person lift at most, close to the body; kg (HSE leaflet
/// INDG143: about 25 kg for men and 16 kg for women; from memory).
const LIFTED_KG: f64 = 25.0;
const LIFTED_LESS_KG: f64 = 16.0;
/// Wet weight from which decks, balconies and roofs are mentioned unasked; kg/m2.
///
/// Our own judgement: about the 2 kN/m2 that floors of dwellings are planned for
/// (EN 1991-1-1, table 6.2; memory), and below the 60 lb/ft2 (293 kg/m2) that a deck
/// is often planned for (ASCE 7; memory).
const HEAVY_KG_PER_M2: f64 = 200.0;

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    let mut found: Vec<Notice> = unknown_place(fill).into_iter().collect();
    let boarded = matches!(fill.bed.shape, Shape::Box { .. } | Shape::Round { .. });
    let is_heavy = fill.filled.total_mass_kg >= LIFTED_KG;
    let lines = [
        (WHICH_BOARDS, boarded && fill.bed.boards.is_none()),
        (WHICH_WOOD, fill.bed.has_wood()),
        (PLAIN_CARD, fill.holds(is_card)),
        (LAWN_WEEDKILLER, fill.holds(is_lawn)),
        (OLD_SOIL, fill.holds(is_dug)),
        (GLOVES_AND_MASK, fill.holds(is_dusty)),
    ];
    let lines = lines.into_iter().filter(|(_, applies)| *applies);
    found.extend(lines.map(|(code, _)| Notice::new(code, None, Vec::new())));
    if is_heavy {
        let at_most = |kg| weight(kg, fill.bed.units);
        let values = vec![
            ("most", at_most(LIFTED_KG)),
            ("less", at_most(LIFTED_LESS_KG)),
        ];
        found.push(Notice::new(LIFTING, None, values));
    }
    found
}

/// What the document leaves open about the place: what is below, and a wall beside.
fn unknown_place(fill: &Fill<'_>) -> Option<Notice> {
    let below = fill.bed.stands_on.is_none() && fill.load_kg_per_m2() > HEAVY_KG_PER_M2;
    let beside = fill.bed.near_wall.is_none();
    let unsaid = match (below, beside) {
        (true, true) => "both",
        (true, false) => "stands-on",
        (false, true) => "near-wall",
        (false, false) => return None,
    };
    let values = vec![("unsaid", unsaid.to_owned())];
    Some(Notice::new(WHERE_IT_STANDS, None, values))
}

/// More mineral than this is dug soil and no mix; kg/kg dry (between raised-bed mix, 0.86, and
/// clay topsoil, 0.955, of the library).
const DUG: f64 = 0.9;

/// Material from a lawn.
fn is_lawn(put: &Ingredient) -> bool {
    let is_mown = || is_called(&put.material, &["grass clippings", "green waste"]);
    is_turf(put) || put.material.class == Class::Plant && is_mown()
}

/// Soil dug from a garden; a bought mix is not.
fn is_dug(put: &Ingredient) -> bool {
    let is_soil = put.material.class == Class::Soil && put.material.mineral_share.best > DUG;
    is_soil || is_turf(put)
}

/// Material that gives off dust and germs.
fn is_dusty(put: &Ingredient) -> bool {
    put.material.class == Class::Soil || is_turf(put) || is_manure(put)
}
