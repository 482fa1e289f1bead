//! The library against published figures.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod printed;

use moulder::internals::library::Library;
use moulder::internals::library::material::{Class, Material};
use moulder::internals::library::materials::Catalogue;
use moulder_core::value::Value;
use printed::{
    CARBON_SHARES, CARBON_TO_NITROGEN, DRY_CHIPS, LITTER_WATER, LOG_RATES, LOOSE_WEIGHTS,
    WOOD_CARBON, WOOD_DENSITIES, WOOD_DENSITY_OFF, carbon_of_dry, loose_as_received, loose_dry,
    start_rate, trodden_dry,
};

fn material(name: &str) -> Material {
    Library::built_in().find_material(name).unwrap().clone()
}

fn usual_rate(name: &str) -> f64 {
    let material = material(name);
    start_rate(&material, material.particle_size.best)
}

#[test]
fn the_shelf_is_full() {
    let library = Library::built_in();
    for name in [
        "oak log",
        "ash log",
        "beech log",
        "hornbeam log",
        "birch log",
        "maple log",
        "sycamore log",
        "cherry log",
        "apple log",
        "plum log",
        "poplar log",
        "willow log",
        "alder log",
        "black locust log",
        "robinia log",
        "spruce log",
        "pine log",
        "larch log",
        "douglas fir log",
        "thuja log",
        "leylandii log",
        "yew log",
        "hardwood log",
        "softwood log",
        "woody prunings",
        "twigs",
        "hedge cuttings",
        "wood chips",
        "bark",
        "sawdust",
        "deciduous leaves",
        "chopped deciduous leaves",
        "evergreen leaves",
        "needles",
        "grass clippings",
        "mixed green waste",
        "kitchen vegetable waste",
        "brown card",
        "straw",
        "hay",
        "horse manure",
        "turf",
        "turf clods",
        "leaf mould",
        "garden compost",
        "sandy topsoil",
        "loamy topsoil",
        "clay topsoil",
        "raised-bed mix",
        "coffee",
        "kelp",
        "chicken manure",
        "wood shreddings",
        "strawbale",
        "fleece",
        "charcoal",
    ] {
        assert!(library.find_material(name).is_some(), "{name}");
    }
    assert_eq!(Catalogue::built_in().faults(), Vec::<String>::new());
}

#[test]
fn wood_densities_against_the_wood_handbook() {
    for (name, printed) in WOOD_DENSITIES {
        let found = material(name).organic_density.best;
        assert!(
            (found / printed - 1.0).abs() < WOOD_DENSITY_OFF,
            "{name}: {found}"
        );
    }
}

#[test]
fn carbon_to_nitrogen_against_printed_ranges() {
    for (name, low, high, _) in CARBON_TO_NITROGEN {
        let found = material(name).carbon_to_nitrogen.best;
        assert!((*low..=*high).contains(&found), "{name}: {found}");
    }
}

#[test]
fn carbon_of_the_dry_mass_against_printed_shares() {
    for material in Library::built_in().materials() {
        if material.class == Class::Wood {
            let share = carbon_of_dry(material);
            let (low, high) = WOOD_CARBON;
            assert!((low..=high).contains(&share), "{}", material.name);
        }
    }
    for (name, low, high, _) in CARBON_SHARES {
        let share = carbon_of_dry(&material(name));
        assert!((*low..=*high).contains(&share), "{name}: {share}");
    }
}

#[test]
fn loose_weights_against_the_trade() {
    for (name, low, high, _) in LOOSE_WEIGHTS {
        let found = loose_as_received(&material(name));
        assert!((*low..=*high).contains(&found), "{name}: {found:.0}");
    }
    // Placed by machine: no longer loose.
    let chips = trodden_dry(&material("wood chips"));
    assert!((DRY_CHIPS.0..=DRY_CHIPS.1).contains(&chips), "{chips:.0}");
}

#[test]
fn logs_lie_within_judged_bounds() {
    for (name, low, high) in LOG_RATES {
        let found = start_rate(&material(name), 0.20);
        assert!((*low..=*high).contains(&found), "{name}: {found:.4}");
    }
}

#[test]
fn smaller_pieces_of_broadleaved_wood_rot_faster() {
    for name in [
        "beech log",
        "oak log",
        "maple log",
        "hardwood log",
        "woody prunings",
    ] {
        let material = material(name);
        let rates =
            [0.40, 0.20, 0.10, 0.05].map(|particle_size_m| start_rate(&material, particle_size_m));
        assert!(rates.is_sorted_by(|a, b| a < b), "{name}: {rates:?}");
    }
    let kinds = [
        "hardwood log",
        "woody prunings",
        "twigs",
        "wood chips",
        "sawdust",
    ];
    let rates = kinds.map(usual_rate);
    assert!(
        rates[0] < rates[1] && rates[1] < rates[4] && rates[0] < rates[2] && rates[0] < rates[3],
        "{rates:?}"
    );
}

#[test]
fn soft_matter_goes_before_wood() {
    let kinds = [
        "yew log",
        "oak log",
        "beech log",
        "woody prunings",
        "deciduous leaves",
        "grass clippings",
        "kitchen vegetable waste",
    ];
    let rates = kinds.map(usual_rate);
    assert!(rates.is_sorted_by(|a, b| a < b), "{rates:?}");
    for (slow, fast) in [
        ("robinia log", "oak log"),
        ("larch log", "spruce log"),
        ("oak log", "hornbeam log"),
        ("softwood chips", "wood chips"),
        ("needles", "deciduous leaves"),
        ("evergreen leaves", "deciduous leaves"),
        ("deciduous leaves", "chopped deciduous leaves"),
        ("leaf mould", "deciduous leaves"),
        ("loamy topsoil", "garden compost"),
        ("garden compost", "leaf mould"),
        ("clay topsoil", "loamy topsoil"),
        ("biochar", "garden compost"),
        ("wood chips", "shredded prunings"),
        ("horse manure", "poultry manure"),
        ("wool", "straw"),
    ] {
        assert!(usual_rate(slow) < usual_rate(fast), "{slow}, {fast}");
    }
}

/// The mix is what its halves of loam and compost give, within its own intervals.
#[test]
fn raised_bed_mix_is_half_loam_half_compost() {
    let (loam, compost, mix) = (
        material("loamy topsoil"),
        material("garden compost"),
        material("raised-bed mix"),
    );
    let halves = [&loam, &compost].map(|m| 0.5 * loose_dry(m));
    let dry = halves[0] + halves[1];
    let mineral =
        (halves[0] * loam.mineral_share.best + halves[1] * compost.mineral_share.best) / dry;
    assert!((loose_dry(&mix) / dry - 1.0).abs() < 0.02);
    assert!((mix.mineral_share.best - mineral).abs() < 0.01, "{mineral}");
}

/// A figure needs its interval, unit, source and status.
#[test]
fn a_figure_says_where_it_comes_from() {
    let parts = [
        "best = 0.5",
        "spread = [0.4, 0.6]",
        "unit = \"1\"",
        "source = \"weighed at home\"",
        "status = \"read\"",
    ];
    assert!(toml::from_str::<Value>(&parts.join("\n")).is_ok());
    for i in 0..parts.len() {
        let mut less = parts.to_vec();
        less.remove(i);
        assert!(
            toml::from_str::<Value>(&less.join("\n")).is_err(),
            "{}",
            parts[i]
        );
    }
    for wrong in ["spread = 0.4", "spread = [0.4]"] {
        let mut changed = parts.to_vec();
        changed[1] = wrong;
        assert!(
            toml::from_str::<Value>(&changed.join("\n")).is_err(),
            "{wrong}"
        );
    }
}

#[test]
fn litter_holds_what_was_measured() {
    for (name, low, high, _) in LITTER_WATER {
        let field_capacity = material(name).field_capacity.unwrap().best;
        assert!(
            (*low..=*high).contains(&field_capacity),
            "{name}: {field_capacity}"
        );
    }
}
