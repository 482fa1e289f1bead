//! Towns and climates of any place: the packed sets, names, and what cannot be.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};

use moulder_places::{NoClimate, Places, Spot};

#[allow(dead_code, reason = "the example makes the light set too")]
#[path = "../../../examples/pack_climates/raw.rs"]
mod raw;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/pack_climates")
}

/// The sample's tables, packed again, are the sample that is kept; read back, they are as they
/// were, as far as the steps of a set go.
#[test]
fn the_program_packs_the_sample_as_it_is_kept() {
    let sample = folder().join("sample");
    let raw = raw::Raw::read(&sample, &folder().join("regions.csv")).unwrap();
    let tables = raw.tables(&sample).unwrap();
    let packed = tables.clone().packed();
    assert_eq!(packed, fs::read(sample.join("sample.bin")).unwrap());
    let places = Places::unpack(&packed).unwrap();
    assert_eq!(places.stations().len(), tables.stations.len());
    assert_eq!(places.towns().len(), tables.towns.len());
    let mut compared = 0;
    for station in &tables.stations {
        let found = places
            .stations()
            .iter()
            .find(|found| found.name == station.name && found.spot.km_to(station.spot) < 1.0);
        let found = found.unwrap();
        assert!((found.height_m - station.height_m).abs() <= 0.5);
        assert_eq!(
            found.high_and_low_c.is_some(),
            station.high_and_low_c.is_some()
        );
        if let (Some(found), Some(station)) = (found.high_and_low_c, station.high_and_low_c) {
            for month in 0..12 {
                assert!(
                    (found.0[month] - station.0[month]).abs() < 1e-9,
                    "as published"
                );
                assert!(
                    (found.1[month] - station.1[month]).abs() < 1e-9,
                    "as published"
                );
            }
            compared += 1;
        }
        if let (Some(found), Some(station)) = (found.rain_mm, station.rain_mm) {
            for month in 0..12 {
                let roots = libm::sqrt(found[month]) - libm::sqrt(station[month]);
                assert!(roots.abs() <= 0.0251, "{roots}");
            }
        }
    }
    assert!(compared > 20, "{compared}");
    for town in &tables.towns {
        let mut found = places
            .towns()
            .iter()
            .filter(|found| found.name == town.name);
        assert!(found.any(|found| found.spot.km_to(town.spot) < 1.0));
    }
}

#[test]
fn the_sets_are_no_larger_than_promised() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    for (set, most, least_towns, places) in [
        ("full.bin", 1_000_000, 25_000, Places::full()),
        ("light.bin", 250_000, 5_000, Places::light()),
    ] {
        let size = fs::metadata(data.join(set)).unwrap().len();
        assert!(size <= most, "{set}: {size} bytes");
        assert_eq!(places.towns().len(), least_towns, "{set}");
    }
}

/// Of every town of both sets there is a climate, and what it is listed as means it alone, or
/// another of its name in its region.
#[test]
fn every_town_has_a_climate_and_a_name_of_its_own() {
    for (places, step) in [(Places::full(), 40), (Places::light(), 20)] {
        for town in places.towns().iter().step_by(step) {
            let label = places.label(town);
            let named = places.named(&label);
            assert!(named.contains(&town), "{label}");
            assert!(
                named.iter().all(|other| other.region == town.region),
                "{label}"
            );
            let found = places.climate(town.spot, Some(town.height_m));
            let found = found.unwrap_or_else(|error| panic!("{label}: {error}"));
            for month in 0..12 {
                assert!(found.low_c[month] <= found.high_c[month], "{label}");
                assert!((-55.0..50.0).contains(&found.low_c[month]), "{label}");
                assert!((0.0..2600.0).contains(&found.rain_mm[month]), "{label}");
            }
            assert!((0.2..4.0).contains(&found.spread.warmth_k), "{label}");
            assert!((0.2..3.0).contains(&found.spread.half_range_k), "{label}");
            assert!((0.05..1.5).contains(&found.spread.ln_rain), "{label}");
        }
    }
}

#[test]
fn towns_are_found_as_people_write_them() {
    let places = Places::full();
    for (asked, label) in [
        ("Lyon", "Lyon, France"),
        ("lyon fr", "Lyon, France"),
        ("LYON, FRANCE", "Lyon, France"),
        ("France, Lyon", "Lyon, France"),
        ("Lyon, Auvergne-Rhône-Alpes", "Lyon, France"),
        ("zurich", "Zürich, Switzerland"),
        ("Koeln", "Köln, Germany"),
        ("cologne", "Köln, Germany"),
        ("München", "Munich, Germany"),
        ("Sao Paulo", "São Paulo, Brazil"),
        ("St. Louis, Missouri", "St. Louis, United States"),
        ("saint etienne", "Saint-Étienne, France"),
        ("Boston MA", "Boston, United States"),
        ("Boston, Massachusetts, USA", "Boston, United States"),
        ("boston uk", "Boston, United Kingdom"),
        ("New York", "New York City, United States"),
        ("Portland Oregon", "Portland, Oregon, United States"),
        ("Portland, OR, US", "Portland, Oregon, United States"),
        ("Newcastle NSW", "Newcastle, Australia"),
        ("London, Ontario", "London, Canada"),
        ("Cambridge England", "Cambridge, United Kingdom"),
    ] {
        let found = places.named(asked);
        let labels: Vec<String> = found.iter().map(|town| places.label(town)).collect();
        assert_eq!(labels, [label], "{asked}");
    }
    for asked in [
        "",
        ",",
        "Little Nowhere",
        "Lyon, Germany",
        "France",
        "\u{0}",
    ] {
        assert!(places.named(asked).is_empty(), "{asked}");
    }
    let springfields = places.named("Springfield");
    assert!(springfields.len() >= 4);
    assert!(springfields.is_sorted_by(|one, other| one.size >= other.size));
}

#[test]
fn where_no_bed_can_stand_there_is_no_climate() {
    let places = Places::full();
    for (latitude_deg, longitude_deg, expected) in [
        (30.0, -40.0, NoClimate::AtSea),
        (56.0, 3.0, NoClimate::AtSea),
        (-30.0, -110.0, NoClimate::AtSea),
        (76.0, -40.0, NoClimate::AtSea),
        (-80.0, 0.0, NoClimate::OffTheMap),
        (95.0, 0.0, NoClimate::OffTheMap),
        (f64::NAN, 0.0, NoClimate::OffTheMap),
        (0.0, f64::INFINITY, NoClimate::OffTheMap),
    ] {
        let spot = Spot {
            latitude_deg,
            longitude_deg,
        };
        assert_eq!(places.climate(spot, None), Err(expected), "{spot:?}");
    }
    let mont_blanc = Spot {
        latitude_deg: 45.833,
        longitude_deg: 6.865,
    };
    let found = places.climate(mont_blanc, Some(4800.0));
    assert_eq!(found, Err(NoClimate::OnIce));
}

/// Higher is colder, and a height that is not given widens what is said.
#[test]
fn height_matters() {
    let spot = Spot {
        latitude_deg: 46.2,
        longitude_deg: 8.6,
    };
    let places = Places::full();
    let of = |height_m| places.climate(spot, height_m).unwrap();
    let (low, high, none) = (of(Some(500.0)), of(Some(1500.0)), of(None));
    let cooler_k = low.high_c[6] - high.high_c[6];
    assert!((3.0..10.0).contains(&cooler_k), "{cooler_k}");
    let given = of(Some(none.height_m));
    assert!(none.spread.warmth_k > given.spread.warmth_k);
    assert!(none.heights_around_m.0 < 400.0 && none.heights_around_m.1 > 1500.0);
}
