//! Mixtures: printed worked examples, and rules that hold for any bed.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use moulder::internals::bed::Bed;
use moulder::internals::library::Library;
use moulder::internals::model::mixture::{
    Mixture, Mixtures, Part, amount_for_carbon_to_nitrogen, amount_for_moisture,
    mixed_carbon_to_nitrogen, mixed_moisture, nitrogen_lacking_kg,
};
use moulder::internals::read::read_toml;

/// Ten kilograms of grass (Richard and Trautmann, Cornell composting pages; moisture read,
/// carbon and nitrogen from memory).
const GRASS: Part = Part {
    total_mass_kg: 10.0,
    moisture_wet: 0.77,
    carbon: 0.45,
    nitrogen: 0.024,
};

/// The leaves of the same example.
const fn leaves(total_mass_kg: f64) -> Part {
    Part {
        total_mass_kg,
        moisture_wet: 0.35,
        carbon: 0.50,
        nitrogen: 0.0075,
    }
}

fn assert_within(found: f64, printed: f64, off: f64) {
    assert!((found - printed).abs() <= off, "{found} is not {printed}");
}

/// Richard and Trautmann: 6.8 kg of leaves bring ten kilograms of grass to 60 % water (read).
#[test]
fn leaves_for_moisture() {
    let amount = amount_for_moisture(&GRASS, &leaves(1.0), 0.60).unwrap();
    assert_within(amount, 6.8, 1e-12);
    let mixed = [GRASS, leaves(amount)];
    assert_within(mixed_moisture(&mixed).unwrap(), 0.60, 1e-12);
    // The two goals conflict: the mixture has more carbon than the goal of 30.
    assert_within(mixed_carbon_to_nitrogen(&mixed).unwrap(), 36.7, 0.05);
}

/// The same pages: 3.5 kg of leaves bring it to 30 (memory; 3.474 computed unrounded).
#[test]
fn leaves_for_carbon_to_nitrogen() {
    let amount = amount_for_carbon_to_nitrogen(&GRASS, &leaves(1.0), 30.0).unwrap();
    assert_within(amount, 3.474, 0.0005);
    let exact = [GRASS, leaves(amount)];
    assert_within(mixed_carbon_to_nitrogen(&exact).unwrap(), 30.0, 1e-9);
    let rounded = [GRASS, leaves(3.5)];
    assert_within(mixed_carbon_to_nitrogen(&rounded).unwrap(), 30.06, 0.005);
    assert_within(mixed_moisture(&rounded).unwrap(), 0.661, 0.0005);
}

/// A worksheet with carbon and nitrogen as shares of the wet mass (docslib 12269573, read):
/// hay, kitchen waste and coffee give 34.7.
#[test]
fn shares_of_the_mass_as_it_is() {
    let part = |total_mass_kg, carbon, nitrogen| Part {
        total_mass_kg,
        moisture_wet: 0.0,
        carbon,
        nitrogen,
    };
    let put = [
        part(50.0, 0.40, 0.01),
        part(10.0, 0.10, 0.01),
        part(2.0, 0.25, 0.01),
    ];
    assert_within(mixed_carbon_to_nitrogen(&put).unwrap(), 34.7, 0.05);
}

/// Averaging ratios by mass, as one page does (7.5 A + 130 (1 - A), read), is wrong: a mixture
/// at 30 by that rule contains far more nitrogen than that.
#[test]
fn ratios_are_not_averaged() {
    let share = (130.0 - 30.0) / (130.0 - 7.5);
    let part = |total_mass_kg, ratio| Part {
        total_mass_kg,
        moisture_wet: 0.0,
        carbon: 0.45,
        nitrogen: 0.45 / ratio,
    };
    let put = [part(share, 7.5), part(1.0 - share, 130.0)];
    let mixed = mixed_carbon_to_nitrogen(&put).unwrap();
    assert_within(share, 0.816, 0.0005);
    assert!(mixed < 10.0, "{mixed}");
}

/// Extension.org 351921 (read): a cubic yard of sawdust, 400 lb with 60 % carbon and a C:N
/// ratio of 400, lacks 7.4 lb of nitrogen for a ratio of 30, which is 16 lb of urea at 46 %.
#[test]
fn sawdust_lacks_nitrogen() {
    let sawdust = Part {
        total_mass_kg: 400.0,
        moisture_wet: 0.0,
        carbon: 0.60,
        nitrogen: 0.60 / 400.0,
    };
    let lacking = nitrogen_lacking_kg(&[sawdust], 30.0);
    assert_within(lacking, 7.4, 1e-9);
    assert_within(lacking / 0.46, 16.0, 0.5);
    assert_within(nitrogen_lacking_kg(&[GRASS], 30.0), 0.0, 0.0);
}

#[test]
fn a_goal_out_of_reach_has_no_amount() {
    assert_eq!(amount_for_moisture(&GRASS, &leaves(1.0), 0.80), None);
    assert_eq!(amount_for_moisture(&GRASS, &leaves(1.0), 0.35), None);
    assert_eq!(
        amount_for_carbon_to_nitrogen(&GRASS, &leaves(1.0), 80.0),
        None
    );
    assert_eq!(mixed_moisture(&[]), None);
    assert_eq!(mixed_carbon_to_nitrogen(&[]), None);
}

/// A box of one square metre with these layers.
fn bed(layers: &[&str]) -> Bed {
    let layers: Vec<String> = layers
        .iter()
        .map(|put| format!("[[layer]]\nput = [{put}]\n"))
        .collect();
    let layers = layers.concat();
    let text = format!(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"box\"\n\
         width = \"1 m\"\nlength = \"1 m\"\nrim = \"90 cm\"\n{layers}"
    );
    read_toml(&text, &Library::built_in()).unwrap()
}

fn only(layers: &[&str]) -> Mixture {
    Mixtures::of(&bed(layers)).unwrap().fill
}

const LEAVES: &str = r#"{ material = "deciduous leaves", amount = "20 kg" }"#;
const CLIPPINGS: &str = r#"{ material = "grass clippings", amount = "20 kg" }"#;

#[test]
fn a_material_alone_has_its_own_figures() {
    let library = Library::built_in();
    let wet = 0.6;
    for name in ["deciduous leaves", "oak log", "turf", "loamy topsoil"] {
        let value = &library.find_material(name).unwrap().carbon_to_nitrogen;
        let put = format!(r#"{{ material = "{name}", amount = "20 kg", moisture = "60 %" }}"#);
        let mixture = only(&[&put]);
        let ratio = mixture.carbon_to_nitrogen;
        for (found, shelved) in [
            (ratio.best, value.best),
            (ratio.low, value.spread.low),
            (ratio.high, value.spread.high),
        ] {
            assert!((found / shelved - 1.0).abs() < 1e-12, "{name}: {found}");
        }
        assert_within(mixture.moisture_wet, wet, 1e-12);
    }
}

/// A mixture lies between its materials; its interval is narrower than all low at once to all
/// high, and wider than from any one of them alone.
#[test]
fn a_mixture_lies_between_and_so_does_its_range() {
    let (leaves, grass) = (only(&[LEAVES]), only(&[CLIPPINGS]));
    let mixed = only(&[&format!("{LEAVES}, {CLIPPINGS}")]);
    let [dry, green, both] = [leaves, grass, mixed].map(|m| m.carbon_to_nitrogen);
    assert!(green.best < both.best && both.best < dry.best);
    assert!(both.low < both.best && both.best < both.high);
    assert!(both.low > green.low && both.high < dry.high);
    let library = Library::built_in();
    let part = |name: &str, mixture: &Mixture, end: fn(&moulder_core::value::Value) -> f64| {
        let material = library.find_material(name).unwrap();
        let carbon = (1.0 - material.mineral_share.best) * material.carbon_share.best;
        Part {
            total_mass_kg: 20.0,
            moisture_wet: mixture.moisture_wet,
            carbon,
            nitrogen: carbon / end(&material.carbon_to_nitrogen),
        }
    };
    let all = |end| {
        let put = [
            part("deciduous leaves", &leaves, end),
            part("grass clippings", &grass, end),
        ];
        mixed_carbon_to_nitrogen(&put).unwrap()
    };
    assert!((both.best / all(|value| value.best) - 1.0).abs() < 1e-12);
    assert!(both.low > all(|value| value.spread.low));
    assert!(both.high < all(|value| value.spread.high));
}

/// One material in two layers is as uncertain as in one; the layers as one mixture are the
/// fill.
#[test]
fn cutting_a_layer_changes_nothing() {
    let half = r#"{ material = "deciduous leaves", amount = "10 kg" }"#;
    let (whole, cut) = (only(&[LEAVES]), only(&[half, half]));
    for (one, two) in [
        (whole.moisture_wet, cut.moisture_wet),
        (whole.carbon_to_nitrogen.best, cut.carbon_to_nitrogen.best),
        (whole.carbon_to_nitrogen.low, cut.carbon_to_nitrogen.low),
        (whole.carbon_to_nitrogen.high, cut.carbon_to_nitrogen.high),
    ] {
        assert!((one / two - 1.0).abs() < 1e-12, "{one} {two}");
    }
    let layered = only(&[LEAVES, CLIPPINGS]).carbon_to_nitrogen;
    let mixed = only(&[&format!("{LEAVES}, {CLIPPINGS}")]).carbon_to_nitrogen;
    assert!((layered.best / mixed.best - 1.0).abs() < 1e-12);
}

/// Earlier decay has lost carbon and kept nitrogen.
#[test]
fn what_had_rotted_is_gone() {
    let put =
        |arrived| format!(r#"{{ material = "oak log", amount = "25 cm", arrived = "{arrived}" }}"#);
    let ratio = |arrived| only(&[&put(arrived)]).carbon_to_nitrogen.best;
    assert!((ratio("half-rotten") / ratio("sound") - 0.5).abs() < 1e-12);
    assert!((ratio("30 % rotten") / ratio("sound") - 0.7).abs() < 1e-12);
}
