//! Wood: species to leave out, species that do little, and how it lies.

use crate::bed::{Amount, Bed, Ingredient};
use crate::fault::notice::{
    GROWTH_STOPPING_WOOD, HOLLOW_SPOTS, HONEY_FUNGUS, LAYERS_UPSIDE_DOWN, LIVE_WOOD, Notice,
    POISONOUS_PLANT, ROT_PROOF_WOOD, STICKS_OUT, THIN_SOIL, THIN_SOIL_LATER, THINNER_THAN_LOGS,
    TOO_MUCH_CONIFER,
};
use crate::forecast::caution::fill::{Fill, is_called, is_log, is_turf, is_wood};
use crate::forecast::row::Month;
use crate::library::material::{Class, Form};
use crate::quantity::height::reading;
use crate::text::month::MONTHS;

const SPROUTS: &[&str] = &["willow", "poplar", "aspen", "cottonwood"];
/// Wetter wood is not yet air-dry, and may live; share of the wet mass (air-dry wood has 12-15
/// %: common practice, no source).
const AIR_DRY: f64 = 0.2;
/// More decayed wood is dead; share of its carbon gone (our own closure).
const DEAD: f64 = 0.1;
const STOPS_GROWTH: &[&str] = &[
    "walnut",
    "butternut",
    "juglans",
    "tree of heaven",
    "ailanthus",
    "black cherry",
    "eucalyptus",
];
const POISONOUS: &[&str] = &[
    "yew",
    "taxus",
    "laurel",
    "laburnum",
    "oleander",
    "rhododendron",
    "aconite",
    "monkshood",
];
const FUNGUS: &[&str] = &[
    "honey fungus",
    "armillaria",
    "stump",
    "tree root",
    "root ball",
];
const LASTING: &[&str] = &[
    "oak",
    "chestnut",
    "robinia",
    "locust",
    "osage orange",
    "cedar",
    "cypress",
    "thuja",
    "juniper",
    "redwood",
    "yew",
];
const CONIFER: &[&str] = &[
    "spruce", "pine", "larch", "fir", "hemlock", "cedar", "cypress", "thuja", "juniper", "redwood",
    "yew", "softwood", "conifer",
];
/// Above this share of the wood a species matters (owners' rule of thumb: half).
const MOST: f64 = 0.5;
/// Least soil over wood that gardeners ask for: six inches; m.
const LEAST_SOIL_M: f64 = 0.15;

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    let rot_proof = kind(fill, LASTING, ROT_PROOF_WOOD);
    // Cedar is both; one caution is enough.
    let conifer = if rot_proof.is_some() {
        None
    } else {
        kind(fill, CONIFER, TOO_MUCH_CONIFER)
    };
    [
        live(fill),
        named(fill, STOPS_GROWTH, GROWTH_STOPPING_WOOD),
        named(fill, POISONOUS, POISONOUS_PLANT),
        named(fill, FUNGUS, HONEY_FUNGUS),
        thin_soil(fill),
        sticks_out(fill),
        hollow(fill),
        thinner(fill),
        rot_proof,
        conifer,
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn live(fill: &Fill<'_>) -> Option<Notice> {
    let is_live = |put: &Ingredient| {
        is_wood(put)
            && put.rotten < DEAD
            && put.moisture_wet > AIR_DRY
            && is_called(&put.material, SPROUTS)
    };
    let (layer, name) = fill.first_ever(is_live)?;
    Some(Notice::new(LIVE_WOOD, layer, vec![("what", name)]))
}

fn named(fill: &Fill<'_>, words: &[&str], code: &'static str) -> Option<Notice> {
    let (layer, name) = fill.named(words)?;
    Some(Notice::new(code, layer, vec![("what", name)]))
}

/// A kind of wood above that share of all wood.
fn kind(fill: &Fill<'_>, words: &[&str], code: &'static str) -> Option<Notice> {
    let is_kind = |put: &Ingredient| is_wood(put) && is_called(&put.material, words);
    let wood_kg = fill.dry_kg(is_wood);
    let share = fill.dry_kg(is_kind) / wood_kg.max(f64::MIN_POSITIVE);
    (share > MOST).then(|| {
        let values = vec![("share", format!("{:.0}", share * 100.0))];
        Notice::new(code, None, values)
    })
}

/// The highest layer with wood in it.
fn highest_wood(bed: &Bed) -> Option<usize> {
    let mut layers = bed.layers.iter();
    layers.rposition(|layer| layer.put.iter().any(is_wood))
}

fn is_soil(put: &Ingredient) -> bool {
    put.material.class == Class::Soil || is_turf(put)
}

/// Thickness of soil and turf over the wood, additions of the document included; m.
fn soil_over_wood_m(bed: &Bed, wood: usize, row: &Month) -> f64 {
    let put = bed.layers.iter().map(|layer| layer.put.as_slice());
    let added = bed.additions.iter().map(|added| &added.ingredient);
    let all = put.chain(added.map(core::slice::from_ref)).zip(&row.layers);
    let soil = all
        .skip(wood + 1)
        .filter(|(put, _)| put.iter().any(is_soil));
    soil.map(|(_, layer)| layer.thickness_m).sum()
}

/// Soil that is deep enough over wood on the day of filling, and not in every month since it was
/// last measured or added to.
pub(crate) fn thin_soil_later(bed: &Bed, rows: &[Month]) -> Option<Notice> {
    let wood = highest_wood(bed)?;
    let depth_m = |row: &Month| soil_over_wood_m(bed, wood, row);
    let first_m = depth_m(rows.first()?);
    let measured = bed.readings.last().map(|last| last.on);
    let seen = measured.max(bed.additions.last().map(|last| last.on));
    let ahead = rows.iter().filter(|row| Some(row.date) > seen);
    let told = |m| reading(m, bed.units);
    // What is told as enough is enough.
    let is_thin =
        |row: &&Month| depth_m(row) < LEAST_SOIL_M && told(depth_m(row)) != told(LEAST_SOIL_M);
    let thin = ahead.clone().find(is_thin)?;
    let least_m = ahead.map(depth_m).fold(f64::INFINITY, f64::min);
    let month = usize::try_from(thin.date.month())
        .unwrap_or(1)
        .saturating_sub(1);
    let month = MONTHS.get(month).copied().unwrap_or_default();
    (first_m >= LEAST_SOIL_M).then(|| {
        let values = vec![
            ("at-first", told(first_m)),
            ("when", format!("{month} {}", thin.date.year())),
            ("thickness", told(least_m)),
            ("last", rows.last().map_or(0, |row| row.month).to_string()),
            ("least", told(LEAST_SOIL_M)),
            ("more", told(LEAST_SOIL_M - least_m)),
        ];
        Notice::new(THIN_SOIL_LATER, None, values)
    })
}

fn thin_soil(fill: &Fill<'_>) -> Option<Notice> {
    let wood = highest_wood(fill.bed)?;
    let soil_m = soil_over_wood_m(fill.bed, wood, fill.filled);
    // Without any soil over it, wood sticks out, or the order of the layers is unusual. What is
    // told as that much is enough.
    let [thickness, least] = [soil_m, LEAST_SOIL_M].map(|m| reading(m, fill.bed.units));
    (soil_m > 0.0 && soil_m < LEAST_SOIL_M && thickness != least).then(|| {
        let values = vec![("thickness", thickness), ("least", least)];
        Notice::new(THIN_SOIL, None, values)
    })
}

/// Branches or logs in the top layer; chips and bark are a mulch there.
fn sticks_out(fill: &Fill<'_>) -> Option<Notice> {
    let (top, below) = fill.bed.layers.split_last()?;
    let rod = |put: &Ingredient| is_wood(put) && put.material.form == Form::Rods;
    let mut notices = fill.bed.notices.iter();
    let is_noted = notices.any(|notice| notice.code == LAYERS_UPSIDE_DOWN);
    (top.put.iter().any(rod) && !is_noted).then(|| {
        let values = vec![("least", reading(LEAST_SOIL_M, fill.bed.units))];
        Notice::new(STICKS_OUT, Some(below.len()), values)
    })
}

/// Logs with nothing finer among them.
fn hollow(fill: &Fill<'_>) -> Option<Notice> {
    let mut layers = fill.bed.layers.iter();
    let layer = layers.position(|layer| layer.put.iter().all(is_log))?;
    Some(Notice::new(HOLLOW_SPOTS, Some(layer), Vec::new()))
}

/// A layer told as thinner than its logs, whose size is told too: the size of the library is an
/// average, and what lies in a thin layer is thinner. What reads as that thick is enough.
fn thinner(fill: &Fill<'_>) -> Option<Notice> {
    let bed = fill.bed;
    let is_told = |index: usize, place: usize| {
        let path = format!("/layer/{index}/put/{place}/across");
        bed.defaults.iter().all(|default| default.path != path)
    };
    let mut layers = bed.layers.iter().enumerate();
    let (index, thick_m, across_m) = layers.find_map(|(index, layer)| {
        let told_m = |put: &Ingredient| match put.amount {
            Amount::ThicknessM(thick_m) => Some(thick_m),
            _ => None,
        };
        // Trodden or pressed it may lie thinner than told, and with what is told otherwise thicker.
        let sum_m: f64 = layer.put.iter().filter_map(told_m).sum();
        let thick_m = sum_m.max(fill.thickness_m(index));
        let logs = layer.put.iter().enumerate();
        let logs = logs
            .filter(|(place, put)| is_log(put) && told_m(put).is_some() && is_told(index, *place));
        let across_m = logs.map(|(_, put)| put.particle_size_m).fold(0.0, f64::max);
        (thick_m < across_m).then_some((index, thick_m, across_m))
    })?;
    let [thickness, across] = [thick_m, across_m].map(|m| reading(m, bed.units));
    (thickness != across).then(|| {
        let values = vec![("thickness", thickness), ("across", across)];
        Notice::new(THINNER_THAN_LOGS, Some(index), values)
    })
}
