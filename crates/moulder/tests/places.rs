//! Beds anywhere: by the name of a town, or by degrees.
#![cfg(feature = "places")]
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use moulder::{Amount, Bed, Fault, Layer, Library, Shape, date};

fn bed(climate: &str) -> Result<Bed, Vec<Fault>> {
    let text = format!(
        "format = 1\nfilled = 2026-03-14\nclimate = {climate}\n\
         [bed]\nshape = \"round\"\nacross = \"1.2 m\"\nrim = \"50 cm\"\n\
         [[layer]]\nput = [{{ material = \"woody prunings\", amount = \"20 cm\" }}]\n\
         [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"20 cm\" }}]\n"
    );
    Bed::from_toml(&text, &Library::built_in()).map_err(|error| error.faults().to_vec())
}

/// The words of the faults of a climate.
fn codes(climate: &str) -> Vec<String> {
    let faults = bed(climate).err().unwrap_or_default();
    let codes = faults.iter().map(|fault| fault.code.as_str().to_owned());
    codes.collect()
}

/// By its name alone, on every continent with gardens.
#[test]
fn a_gardener_in_any_town_gets_a_forecast() {
    for (town, country) in [
        ("Lyon", "France"),
        ("Hannover", "Germany"),
        ("Kraków", "Poland"),
        ("goteborg", "Sweden"),
        ("Lisbon", "Portugal"),
        ("Torino", "Italy"),
        ("Thessaloníki", "Greece"),
        ("Kharkiv", "Ukraine"),
        ("Novosibirsk", "Russia"),
        ("Reykjavik", "Iceland"),
        ("Chattanooga", "United States"),
        ("Boise", "United States"),
        ("Honolulu", "United States"),
        ("Winnipeg", "Canada"),
        ("Oaxaca", "Mexico"),
        ("Quito", "Ecuador"),
        ("Curitiba", "Brazil"),
        ("Ushuaia", "Argentina"),
        ("Nairobi", "Kenya"),
        ("Kumasi", "Ghana"),
        ("Marrakesh", "Morocco"),
        ("Bloemfontein", "South Africa"),
        ("Antananarivo", "Madagascar"),
        ("Isfahan", "Iran"),
        ("Bengaluru", "India"),
        ("Chengdu", "China"),
        ("Sapporo", "Japan"),
        ("Chiang Mai", "Thailand"),
        ("Toowoomba", "Australia"),
        ("Dunedin", "New Zealand"),
    ] {
        let bed = bed(&format!("\"{town}\"")).or_else(|_| bed(&format!("\"{town}, {country}\"")));
        let bed = bed.unwrap_or_else(|faults| panic!("{town}: {faults:?}"));
        assert!(
            bed.climate().name.ends_with(country),
            "{}",
            bed.climate().name
        );
        assert!(bed.climate().estimate.is_some(), "{town}");
        let forecast = bed.forecast().months(3).ensemble_size(4).run().unwrap();
        let last = forecast.intervals.last().unwrap();
        assert!(
            last.below_rim_m
                .is_some_and(|depth| depth.lower < depth.upper),
            "{town}"
        );
    }
}

#[test]
fn a_place_by_its_degrees_is_the_town_that_lies_there() {
    let town = bed("\"Lyon, France\"").unwrap();
    let spot = bed("{ at = [45.75, 4.85], height = \"170 m\", name = \"Home\" }").unwrap();
    assert_eq!(spot.climate().name, "Home");
    for month in 0..12 {
        let off = town.climate().high_c[month] - spot.climate().high_c[month];
        assert!(off.abs() < 0.5, "{month}: {off}");
    }
    let none = bed("{ at = [45.75, 4.85] }").unwrap();
    let default = none
        .defaults()
        .iter()
        .find(|one| one.path == "/climate/height");
    assert_eq!(default.map(|one| one.value.as_str()), Some("175 m"));
    let built = Bed::builder(Shape::Round { diameter_m: 1.2 }, date(2026, 3, 14))
        .rim_m(0.5)
        .climate_at([45.75, 4.85], Some(170.0))
        .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.4)))
        .build()
        .unwrap();
    let bits = |bed: &Bed| bed.climate().high_c.map(f64::to_bits);
    assert_eq!(bits(&built), bits(&spot));
    // A bed moved there stands in the same climate, and as far off.
    let moved = Bed::example().with_climate(spot.climate()).unwrap();
    assert_eq!(moved.climate(), spot.climate());
}

#[test]
fn names_on_the_list_mean_what_they_meant() {
    for (name, listed) in [
        ("Seattle US", "Seattle US"),
        ("cambridge, uk", "Cambridge UK"),
    ] {
        let bed = bed(&format!("\"{name}\"")).unwrap();
        let library = Library::built_in();
        assert_eq!(bed.climate(), library.climate(listed).unwrap());
        assert_eq!(bed.climate().estimate, None);
    }
}

#[test]
fn what_cannot_be_is_told() {
    for (climate, expected) in [
        ("\"Springfield\"", &["ambiguous-place"][..]),
        ("\"Lyonn, France\"", &["unknown-climate"]),
        ("\"Lyon, Germany\"", &["unknown-climate"]),
        ("\"\"", &["bad-text"]),
        ("{ at = [30.0, -40.0] }", &["no-climate-there"]),
        ("{ at = [76.0, -40.0] }", &["no-climate-there"]),
        ("{ at = [-80, 0] }", &["no-climate-there"]),
        (
            "{ at = [45.833, 6.865], height = \"4800 m\" }",
            &["does-not-fit"],
        ),
        ("{ at = [91, 0] }", &["out-of-range"]),
        ("{ at = [nan, 0] }", &["out-of-range"]),
        ("{ at = [45.7] }", &["wrong-length"]),
        ("{ at = \"45.7, 4.8\" }", &["wrong-kind"]),
        ("{ at = [45.7, \"4.8\"] }", &["wrong-kind"]),
        (
            "{ at = [45.75, 4.85], height = \"170\" }",
            &["missing-unit"],
        ),
        (
            "{ at = [45.75, 4.85], height = \"9000 m\" }",
            &["out-of-range"],
        ),
        (
            "{ at = [45.75, 4.85], height = \"3000 m\" }",
            &["does-not-fit"],
        ),
        (
            "{ at = [45.75, 4.85], hight = \"170 m\" }",
            &["unknown-field"],
        ),
        ("{ height = \"170 m\" }", &["missing-field"]),
        ("45.7", &["wrong-kind"]),
    ] {
        assert_eq!(codes(climate), expected, "{climate}");
    }
    let faults = bed("\"Lyonn, France\"").unwrap_err();
    assert!(
        faults[0].help.contains(&"Lyon, France".to_owned()),
        "{:?}",
        faults[0].help
    );
    let faults = bed("\"Boston\"").unwrap_err();
    let written = &faults[0].help;
    assert_eq!(written[0], "Boston, United States");
    // What is told to be written does.
    for name in written {
        assert!(bed(&format!("\"{name}\"")).is_ok(), "{name}");
    }
}
