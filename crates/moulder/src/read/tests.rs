//! Whole documents: what is read and what is refused, hostile ones included.

#![expect(
    clippy::float_cmp,
    reason = "units are ratios of whole numbers, so these are exact"
)]

use std::collections::BTreeSet;
use std::fmt::Write;

use moulder_core::bed::shape::Shape;
use proptest::prelude::*;

use super::*;
use crate::bed::{Amount, Firmness, Placement};
use crate::fault::notice::Severity;
use crate::fault::{Fault, Place};
use crate::support::library;

/// A whole bed.
const ORCHARD: &str = r#"# Long box by the orchard wall
format  = 1
name    = "Orchard box"
filled  = 2026-03-14
climate = "Cambridge UK"

[bed]
shape  = "box"
width  = "1.2 m"
length = "8 ft"
rim    = "2 ft 6 in"

[measures]
trug = "30 L"

[[layer]]
name = "logs"
put  = [{ material = "birch log", amount = "25 cm", arrived = "half-rotten" }]

[[layer]]
put = [
  { material = "woody prunings",  amount = "3 barrow", as = "trodden", across = "3 cm", moisture = "dry" },
  { material = "Grass Clippings", amount = "40 kg", moisture = "85 %" },
]
then = ["trodden"]

[[layer]]
put = [{ material = "loamy topsoil", amount = "20 trugs", moisture = "wet", arrived = "sound" }]
"#;

fn toml(text: &str) -> Result<Bed, Faults> {
    read_toml(text, &library())
}

fn json(text: &str) -> Result<Bed, Faults> {
    read_json(text, &library())
}

/// The bed file with one piece changed, which must be there.
fn changed(piece: &str, other: &str) -> String {
    assert!(ORCHARD.contains(piece), "{piece}");
    ORCHARD.replacen(piece, other, 1)
}

fn faults(text: &str) -> Vec<Fault> {
    toml(text).expect_err(text).as_slice().to_vec()
}

fn codes(text: &str) -> Vec<FaultCode> {
    faults(text).iter().map(|fault| fault.code).collect()
}

/// The only fault of a text, with line and column.
fn one(text: &str) -> (Fault, usize, usize) {
    let found = faults(text);
    assert_eq!(found.len(), 1, "{found:#?}");
    match found[0].place {
        Place::Line { line, column } => (found[0].clone(), line, column),
        Place::Pointer { .. } => panic!("TOML has lines"),
    }
}

#[test]
fn a_bed_is_read() {
    let bed = toml(ORCHARD).unwrap();
    assert_eq!(bed.name, "Orchard box");
    assert_eq!(bed.filled, jiff::civil::date(2026, 3, 14));
    assert_eq!(bed.climate.name, "Cambridge UK");
    assert_eq!(bed.rim_m, Some(0.762));
    assert_eq!(
        bed.shape,
        Shape::Box {
            width_m: 1.2,
            length_m: 2.4384
        }
    );
    assert_eq!(bed.layers.len(), 3);
    assert_eq!(bed.layers[1].name, "layer 2");
    assert_eq!(bed.layers[1].firmness, Firmness::Compacted);
    assert!(!bed.layers[1].watered);
    let grows: Vec<bool> = bed.layers.iter().map(|layer| layer.grows).collect();
    assert_eq!(grows, [false, false, true]);

    let logs = &bed.layers[0].put[0];
    assert_eq!(logs.amount, Amount::ThicknessM(0.25));
    assert_eq!(logs.placement, Placement::InPlace);
    assert_eq!(bed.layers[0].firmness, Firmness::Unknown);
    assert_eq!(
        (logs.rotten, logs.moisture_wet, logs.particle_size_m),
        (0.5, 0.45, 0.15)
    );
    let prunings = &bed.layers[1].put[0];
    assert_eq!(prunings.amount, Amount::VolumeM3(0.24));
    assert_eq!(prunings.placement, Placement::Compacted);
    assert_eq!(
        (prunings.particle_size_m, prunings.moisture_wet),
        (0.03, 0.15)
    );
    let grass = &bed.layers[1].put[1];
    assert_eq!(grass.amount, Amount::WetMassKg(40.0));
    assert_eq!(grass.moisture_wet, 0.85);
    let soil = &bed.layers[2].put[0];
    assert_eq!(soil.amount, Amount::VolumeM3(0.6));
    // A quarter of the dry mass is a fifth of the wet mass; wet is a quarter more.
    assert_eq!(soil.moisture_wet, 0.25 / 1.25 * 1.25);
    assert!(bed.notices.is_empty());
}

#[test]
fn every_default_is_named_with_its_source() {
    let bed = toml(ORCHARD).unwrap();
    let used: Vec<(&str, &str)> = bed
        .defaults
        .iter()
        .map(|default| (default.path.as_str(), default.value.as_str()))
        .collect();
    for expected in [
        ("/bed/trench", "0 cm"),
        ("/layer/0/then", "unknown, tipped to trodden"),
        ("/layer/0/put/0/as", "in-place"),
        ("/layer/0/put/0/across", "15 cm"),
        ("/layer/0/put/0/moisture", "fresh"),
        ("/layer/0/put/0/arrived", "50 % rotten"),
        ("/measures/barrow", "80 L"),
        ("/layer/1/put/0/moisture", "15 %"),
        ("/layer/1/put/0/arrived", "sound"),
        ("/layer/1/put/1/across", "4 mm"),
        ("/layer/2/put/0/moisture", "25 %"),
        ("/layer/2/grows", "true"),
    ] {
        assert!(used.contains(&expected), "{expected:?} in {used:#?}");
    }
    assert!(
        bed.defaults
            .iter()
            .all(|default| !default.source.is_empty())
    );
    // A mass has no state, and what is given is no default.
    for absent in [
        "/layer/1/put/1/as",
        "/layer/1/put/1/moisture",
        "/measures/trug",
    ] {
        assert!(!used.iter().any(|(path, _)| *path == absent), "{absent}");
    }
    // Recorded once each, even if used twice.
    let paths: BTreeSet<&str> = used.iter().map(|(path, _)| *path).collect();
    assert_eq!(paths.len(), used.len());
}

#[test]
fn the_other_shapes_are_read() {
    let shape = |bed: &str| {
        let start = ORCHARD.find("shape").unwrap();
        let end = ORCHARD.find("[measures]").unwrap();
        let text = format!("{}{bed}\n{}", &ORCHARD[..start], &ORCHARD[end..]);
        toml(&text).map(|bed| (bed.shape, bed.rim_m, bed.trench_m))
    };
    assert_eq!(
        shape("shape = \"round\"\nacross = \"1 m\"\nrim = \"50 cm\"\ntrench = \"1 ft\"").unwrap(),
        (Shape::Round { diameter_m: 1.0 }, Some(0.5), 0.3048)
    );
    assert_eq!(
        shape(
            "shape = \"bag\"\nwidth = \"1 m\"\nlength = \"1 m\"\nrim = \"1 m\"\nbulged = \"50 %\""
        )
        .unwrap()
        .0,
        Shape::Bag {
            width_m: 1.0,
            length_m: 1.0,
            bulged: 0.5
        }
    );
    let mound = "shape = \"mound\"\nwidth = \"2 m\"\nlength = \"5 m\"";
    for (trench, upright_m) in [("", 0.0), ("\ntrench = \"20 cm\"", 0.2)] {
        let (mound, rim, trench_m) = shape(&format!("{mound}{trench}")).unwrap();
        assert_eq!(rim, None);
        assert_eq!(trench_m.to_bits(), f64::to_bits(upright_m));
        assert_eq!(
            mound,
            Shape::Mound {
                width_m: 2.0,
                length_m: 5.0,
                slope_deg: 40.0,
                upright_m,
            }
        );
    }
}

#[test]
fn json_reads_the_same() {
    let value: serde_json::Value = {
        let mut table: toml::Table = ORCHARD.parse().unwrap();
        table.insert("filled".into(), toml::Value::String("2026-03-14".into()));
        serde_json::to_value(table).unwrap()
    };
    assert_eq!(json(&value.to_string()), toml(ORCHARD));
    let marked = format!("\u{feff}{ORCHARD}").replace('\n', "\r\n");
    assert_eq!(toml(&marked), toml(ORCHARD));
}

#[test]
fn five_faults_of_five_kinds_in_file_order() {
    let text = ORCHARD
        .replace("climate = \"Cambridge UK\"", "climate = \"Cambridg UK\"")
        .replace(
            "width  = \"1.2 m\"",
            "widht  = \"1.2 m\"\nwidth = \"1,2 m\"",
        )
        .replace("amount = \"25 cm\"", "amount = \"25\"")
        .replace("Grass Clippings", "grass cliping");
    let found = faults(&text);
    let reported: Vec<(FaultCode, &Place)> = found
        .iter()
        .map(|fault| (fault.code, &fault.place))
        .collect();
    let at = |line, column| Place::Line { line, column };
    assert_eq!(
        reported,
        [
            (FaultCode::UnknownClimate, &at(5, 11)),
            (FaultCode::UnknownField, &at(9, 1)),
            (FaultCode::DecimalComma, &at(10, 9)),
            (FaultCode::MissingUnit, &at(19, 44)),
            (FaultCode::UnknownMaterial, &at(24, 16)),
        ]
    );
    assert_eq!(
        found[4].to_string(),
        "line 24, column 16: \"grass cliping\" is not a material on the shelf. Did you mean \"grass clippings\"?"
    );
    assert_eq!(found[1].help, ["width"]);
}

#[test]
fn syntax_and_content_are_reported_together() {
    let text = changed("name    = \"Orchard box\"", "name = Orchard box")
        .replace("trug = \"30 L\"", "garden trug = \"30 L\"")
        .replace("birch log", "brich log");
    let found = codes(&text);
    assert_eq!(
        found,
        [
            FaultCode::BadSyntax,
            FaultCode::BadSyntax,
            FaultCode::UnknownMaterial,
            // The measure is unknown because its line could not be read; reported all the same.
            FaultCode::UnknownUnit,
        ]
    );
}

#[test]
fn unreadable_fields_are_not_missing() {
    let text = changed("[bed]", "[bed");
    assert!(codes(&text).contains(&FaultCode::BadSyntax));
    assert!(!codes(&text).contains(&FaultCode::MissingField));
}

/// Each mistake is one fault, with a suggestion.
#[test]
fn common_mistakes() {
    let table = [
        ("\"1.2 m\"", "1,2", FaultCode::DecimalComma, "1.2"),
        ("\"1.2 m\"", "1.2 m", FaultCode::BadSyntax, "\"1.2 m\""),
        ("\"1.2 m\"", "“1.2 m”", FaultCode::BadSyntax, "\"1.2 m\""),
        ("\"1.2 m\"", "1.2", FaultCode::MissingUnit, "1.2 m"),
        ("\"1.2 m\"", "90", FaultCode::MissingUnit, "90 cm"),
        ("width  =", "widht  =", FaultCode::UnknownField, "width"),
        (
            "put  = [{ material = \"birch",
            "putt = [{ material = \"birch",
            FaultCode::UnknownField,
            "put",
        ),
        (
            "[[layer]]\nname",
            "[layer]\nname",
            FaultCode::WrongKind,
            "[[layer]]",
        ),
        (
            "\"1.2 m\"",
            "\"4' 2\\\"\"",
            FaultCode::AmbiguousUnit,
            "4 ft 2 in",
        ),
        (
            "[[layer]]\nname",
            "[[layer]\nname",
            FaultCode::BadSyntax,
            "",
        ),
        (
            "\"half-rotten\" }]",
            "\"half-rotten\" }",
            FaultCode::BadSyntax,
            "",
        ),
        (
            "\"half-rotten\" }]",
            "\"half-rotten\" ]",
            FaultCode::BadSyntax,
            "",
        ),
        (
            "\"birch log\", ",
            "\"birch log\" ",
            FaultCode::BadSyntax,
            "",
        ),
        ("\"birch log\", ", "\"birch log, ", FaultCode::BadSyntax, ""),
        ("2026-03-14", "14.3.2026", FaultCode::NotADate, ""),
        ("2026-03-14", "2026/03/14", FaultCode::NotADate, ""),
        ("# Long box", "// Long box", FaultCode::BadSyntax, ""),
        (
            "\"3 barrow\"",
            "\"3 wheelbarrows\"",
            FaultCode::UnknownUnit,
            "3 barrow",
        ),
        (
            "shape  = \"box\"",
            "shape  = \"Box\"",
            FaultCode::UnknownWord,
            "box",
        ),
    ];
    for (right, slip, code, help) in table {
        let (fault, ..) = one(&changed(right, slip));
        assert_eq!(fault.code, code, "{slip}: {fault}");
        assert_eq!(
            fault.help.first().map_or("", String::as_str),
            help,
            "{slip}"
        );
    }
}

#[test]
fn every_layer_in_single_brackets_is_one_fault() {
    let (fault, ..) = one(&ORCHARD.replace("[[layer]]", "[layer]"));
    assert_eq!(fault.code, FaultCode::WrongKind);
    assert!(
        fault
            .to_string()
            .contains("double brackets over every entry"),
        "{fault}"
    );
}

#[test]
fn suggestions_come_in_the_units_of_the_file() {
    let us = changed("[bed]", "units = \"us\"\n[bed]");
    let without = us.replace("\"25 cm\"", "\"10\"").replace("\"1.2 m\"", "48");
    let found = faults(&without);
    assert_eq!(found[0].help, ["48 in", "48 ft", "48 cm", "48 m"]);
    assert_eq!(found[1].help, ["10 in", "10 cu ft", "10 lb"]);
}

#[test]
fn dates_in_words_and_a_bare_yes_are_recognised() {
    for day in ["14 March 2026", "12 Sept 2026", "4th of May 2026"] {
        let (fault, ..) = one(&changed("2026-03-14", day));
        assert_eq!(fault.code, FaultCode::NotADate, "{day}");
    }
    let (fault, ..) = one(&changed("then = [\"trodden\"]", "grows = yes"));
    assert_eq!(fault.help, ["true"]);
}

/// What was done to a layer says how firm it is, and when a thickness was taken.
#[test]
fn then_says_how_firm_a_layer_is() {
    for (then, firmness, watered, placement) in [
        ("", Firmness::Unknown, false, Placement::InPlace),
        ("then = []", Firmness::Unknown, false, Placement::InPlace),
        (
            "then = [\"tipped\"]",
            Firmness::Loose,
            false,
            Placement::InPlace,
        ),
        (
            "then = [\"watered\"]",
            Firmness::Loose,
            true,
            Placement::InPlace,
        ),
        (
            "then = [\"firmed\"]",
            Firmness::Firmed,
            false,
            Placement::Loose,
        ),
        (
            "then = [\"trodden\", \"watered\"]",
            Firmness::Compacted,
            true,
            Placement::Loose,
        ),
    ] {
        let text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"round\"\nacross = \"1.2 m\"\nrim = \"50 cm\"\n[[layer]]\n\
             put = [{{ material = \"loamy topsoil\", amount = \"30 cm\" }}]\n{then}\n"
        );
        let layer = toml(&text).unwrap().layers[0].clone();
        let found = (layer.firmness, layer.watered, layer.put[0].placement);
        assert_eq!(found, (firmness, watered, placement), "{then}");
    }
    let (fault, ..) = one(&changed("[\"trodden\"]", "[\"tipped\", \"trodden\"]"));
    assert_eq!(fault.code, FaultCode::DoesNotFit);
}

/// Words that gardeners use for what is done to a layer are answered with the word of the field,
/// not with one that is spelt alike and means the opposite.
#[test]
fn synonyms_of_what_is_done_are_understood() {
    let slips = ["troden", "tiped", "fermed", "waterd", "stampd"];
    for (said, meant) in [
        ("stamped", "trodden"),
        ("tamped", "trodden"),
        ("Compacted", "trodden"),
        ("walked on", "trodden"),
        ("stamped down", "trodden"),
        ("pressed", "firmed"),
        ("loose", "tipped"),
        ("soaked", "watered"),
        ("troden", "trodden"),
        ("stampd", "trodden"),
        ("tiped", "tipped"),
        ("fermed", "firmed"),
        ("waterd", "watered"),
    ] {
        let (fault, ..) = one(&changed("[\"trodden\"]", &format!("[\"{said}\"]")));
        assert_eq!(fault.code, FaultCode::UnknownWord);
        assert_eq!(fault.help[0], meant, "{said}: {:?}", fault.help);
        let is_slip = slips.contains(&said);
        assert!(is_slip || fault.help.len() == 1, "{said}: {:?}", fault.help);
    }
}

/// What finds no room in a mound is told with the room there is, in the owner's units.
#[test]
fn the_room_of_a_mound_is_told() {
    let mound = |layers: &str| {
        format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"mound\"\n\
             width = \"2 m\"\nlength = \"2 m\"\nslope = \"45 deg\"\n{layers}"
        )
    };
    let put = |amount: &str| {
        format!("[[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"{amount}\" }}]\n")
    };
    // A pyramid of 4/3 m3.
    let said = |text: &str| crate::fault::sentence::sentence(&faults(text)[0]);
    let told = said(&mound(&put("2000 L")));
    assert!(told.contains("there is room for about 1330 L"), "{told}");
    let told = said(&mound(&(put("50 cm") + &put("80 cm"))));
    assert!(
        told.contains("layer 2 is in; use less (there is room for about 166 L)"),
        "{told}"
    );
    // Over a trench there is as much more as was dug out.
    let dug = mound(&put("6000 L")).replace("slope", "trench = \"50 cm\"\nslope");
    let told = said(&dug);
    assert!(told.contains("room for about 3330 L"), "{told}");
}

/// Texts for every code, with the path and a part of the sentence.
#[test]
#[expect(clippy::too_many_lines, reason = "one table, a row for every fault")]
fn every_fault_is_raised() {
    let many = |count: usize, piece: &str| piece.repeat(count);
    let table: Vec<(FaultCode, String, &str)> = vec![
        (
            FaultCode::BadSyntax,
            changed("= 2026", "2026"),
            "this cannot be read",
        ),
        (
            FaultCode::TooDeep,
            format!("{ORCHARD}\na.b.c.d.e.f.g.h.i = 1"),
            "too deep",
        ),
        (
            FaultCode::TooBig,
            many(limit::FILE_BYTES + 1, " "),
            "257 kB",
        ),
        (
            FaultCode::RepeatedKey,
            changed("[bed]", "name = \"again\"\n[bed]"),
            "given twice",
        ),
        (
            FaultCode::UnknownField,
            changed("rim ", "rin = \"1 m\"\nrim "),
            "Did you mean \"rim\"?",
        ),
        (
            FaultCode::OtherShape,
            changed("rim ", "slope = \"30 deg\"\nrim "),
            "only for a mound",
        ),
        (
            FaultCode::MissingField,
            changed("rim    = \"2 ft 6 in\"", ""),
            "the bed needs \"rim\"",
        ),
        (
            FaultCode::UnknownFormat,
            changed("format  = 1", "format = 2"),
            "form 2, and this version reads form 1",
        ),
        (
            FaultCode::WrongKind,
            changed("\"Orchard box\"", "7"),
            "\"name\" must be a text, not the number 7",
        ),
        (
            FaultCode::UnknownWord,
            changed("\"box\"", "\"bocks\""),
            "\"box\", \"round\", \"bag\" or \"mound\"",
        ),
        (
            FaultCode::BadText,
            changed("\"Orchard box\"", "\"  \""),
            "something to read",
        ),
        (
            FaultCode::BadText,
            changed("\"Orchard box\"", "\"a\\u0000b\""),
            "without the sign U+0000, which is not seen",
        ),
        (
            FaultCode::TooLong,
            changed("Orchard box", &many(201, "x")),
            "201 characters",
        ),
        (
            FaultCode::BadQuantity,
            changed("\"25 cm\"", "\"plenty\""),
            "cannot be read",
        ),
        (
            FaultCode::MissingUnit,
            changed("\"25 cm\"", "25"),
            "Write \"25 cm\", \"25 L\" or \"25 kg\".",
        ),
        (
            FaultCode::UnknownUnit,
            changed("20 trugs", "20 truggs"),
            "Did you mean \"20 trug\"?",
        ),
        (
            FaultCode::AmbiguousUnit,
            changed("\"25 cm\"", "\"5 gal\""),
            "\"5 US gal\" or \"5 UK gal\"",
        ),
        (
            FaultCode::AmbiguousUnit,
            changed("\"25 cm\"", "\"2 yards\""),
            "\"2 cu yd\" or \"6 ft\"",
        ),
        (
            FaultCode::WrongMeasure,
            changed("\"2 ft 6 in\"", "\"2 L\""),
            "\"rim\" must be a length",
        ),
        (
            FaultCode::DecimalComma,
            changed("\"1.2 m\"", "\"1,2 m\""),
            "Write \"1.2 m\".",
        ),
        (
            FaultCode::ThousandsSeparator,
            changed("\"40 kg\"", "\"1,040 kg\""),
            "Write \"1040 kg\"",
        ),
        (
            FaultCode::OutOfRange,
            changed("\"2 ft 6 in\"", "\"6 m\""),
            "from 5 cm to 5 m",
        ),
        (
            FaultCode::OutOfRange,
            changed("\"25 cm\"", "\"0 cm\""),
            "thickness from 1 mm",
        ),
        (
            FaultCode::OutOfRange,
            changed("\"25 cm\"", "\"-25 cm\""),
            "zero or more",
        ),
        (
            FaultCode::OutOfRange,
            changed("2026-03-14", "1826-03-14"),
            "from 1900 to 2200",
        ),
        (
            FaultCode::UnknownMaterial,
            changed("birch log", "concrete"),
            "not a material on the shelf",
        ),
        (
            FaultCode::UnknownClimate,
            changed("Cambridge UK", "Brobdingnag"),
            "moulder climates --near",
        ),
        (
            FaultCode::WrongLength,
            changed(
                "\"Cambridge UK\"",
                "{ latitude = 50, high = [1, 2], low = [0,0,0,0,0,0,0,0,0,0,0,0], rain = [0,0,0,0,0,0,0,0,0,0,0,0] }",
            ),
            "holds 2 values; it must hold 12",
        ),
        (
            FaultCode::TooFew,
            changed(
                "put = [{ material = \"loamy topsoil\", amount = \"20 trugs\", moisture = \"wet\", arrived = \"sound\" }]",
                "put = []",
            ),
            "\"put\" is empty",
        ),
        (
            FaultCode::NotADate,
            changed("2026-03-14", "2026-02-30"),
            "not a day of the calendar",
        ),
        (
            FaultCode::NotADate,
            changed("2026-03-14", "\"14/3/2026\""),
            "Write the year first",
        ),
        (
            FaultCode::NotADate,
            changed("2026-03-14", "2026-03-14T10:00:00"),
            "not a day",
        ),
        (
            FaultCode::BeforeFilling,
            format!("{ORCHARD}[[reading]]\non = 2026-03-13\nheight = \"70 cm\"\n"),
            "2026-03-13 is before the bed was filled, on 2026-03-14",
        ),
        (
            FaultCode::DoesNotFit,
            changed("amount = \"40 kg\"", "amount = \"40 kg\", as = \"tipped\""),
            "leave \"as\" out",
        ),
        (
            FaultCode::NoRoom,
            changed("\"box\"", "\"mound\"").replace("rim    = \"2 ft 6 in\"\n", ""),
            "the sides of the mound meet before layer 2 is in",
        ),
    ];
    let mut raised = BTreeSet::new();
    for (code, text, words) in table {
        let (fault, ..) = one(&text);
        assert_eq!(fault.code, code, "{fault:#?}");
        assert!(fault.to_string().contains(words), "{fault}");
        raised.insert(code);
    }
    let mut layers = ORCHARD.to_owned();
    for _ in 0..38 {
        layers.push_str("[[layer]]\nput = [{ material = \"turf\", amount = \"1 cm\" }]\n");
    }
    let (fault, line, _) = one(&layers);
    assert_eq!(fault.code, FaultCode::TooMany);
    assert!(
        fault
            .to_string()
            .contains("41 of \"layer\", and at most 40 can be read"),
        "{fault}"
    );
    assert_eq!(layers.lines().nth(line - 1), Some("[[layer]]"));
    raised.insert(fault.code);
    // Of places; without them no name is one.
    for (code, place) in [
        (FaultCode::AmbiguousPlace, "\"Paris\""),
        (FaultCode::NoClimateThere, "{ at = [45.0, -30.0] }"),
    ] {
        if cfg!(feature = "places") {
            let (fault, ..) = one(&changed("\"Cambridge UK\"", place));
            assert_eq!(fault.code, code, "{fault:#?}");
        }
        raised.insert(code);
    }
    // Faults of files that are no text, and of the command line.
    raised.extend([
        FaultCode::NotText,
        FaultCode::Unreadable,
        FaultCode::Unwritable,
        FaultCode::MissingOption,
        FaultCode::BadOption,
        FaultCode::Unfinished,
        FaultCode::Stopped,
    ]);
    assert_eq!(raised, FaultCode::ALL.iter().copied().collect());
}

#[test]
fn limits_are_kept() {
    let put = "{ material = \"turf\", amount = \"1 cm\" }, ";
    let layer = |count: usize| format!("{ORCHARD}[[layer]]\nput = [{}]\n", put.repeat(count));
    assert!(toml(&layer(limit::MATERIALS_A_LAYER)).is_ok());
    assert_eq!(
        codes(&layer(limit::MATERIALS_A_LAYER + 1)),
        [FaultCode::TooMany]
    );

    let readings = |count: usize| {
        let one = "[[reading]]\non = 2026-06-14\nheight = \"70 cm\"\n";
        format!("{ORCHARD}{}", one.repeat(count))
    };
    assert!(toml(&readings(limit::READINGS)).is_ok());
    assert_eq!(codes(&readings(limit::READINGS + 1)), [FaultCode::TooMany]);

    let additions = |count: usize| {
        let one = "[[added]]\non = 2026-06-14\nmaterial = \"turf\"\namount = \"70 L\"\n";
        format!("{ORCHARD}{}", one.repeat(count))
    };
    assert!(toml(&additions(limit::ADDED)).is_ok());
    assert_eq!(codes(&additions(limit::ADDED + 1)), [FaultCode::TooMany]);

    let measures = |count: usize| {
        let mut own = String::from("[measures]\n");
        for number in 1..count {
            writeln!(own, "m-{number} = \"1 L\"").unwrap();
        }
        changed("[measures]\n", &own)
    };
    assert!(toml(&measures(limit::MEASURES)).is_ok());
    assert_eq!(codes(&measures(limit::MEASURES + 1))[0], FaultCode::TooMany);
}

#[test]
fn many_faults_are_counted() {
    let mut text = ORCHARD.to_owned();
    for number in 0..1000 {
        writeln!(text, "[nonsense-{number}]").unwrap();
    }
    let found = toml(&text).unwrap_err();
    assert_eq!(found.as_slice().len(), limit::FAULTS_LISTED);
    assert_eq!(found.unlisted(), 1000 - limit::FAULTS_LISTED);
    assert!(found.to_string().ends_with("and 800 more"));
}

#[test]
fn own_months_are_read_and_checked() {
    let own = |latitude: &str, high: &str, low: &str| {
        let months = format!(
            "[climate]\nlatitude = {latitude}\nhigh = [{high}]\nlow = [{low}]\nrain = [{}]\n[bed]",
            ["50"; 12].join(", ")
        );
        changed("climate = \"Cambridge UK\"\n", "").replacen("[bed]", &months, 1)
    };
    let (high, low) = (["15.5"; 12].join(", "), ["5"; 12].join(", "));
    let bed = toml(&own("-33.9", &high, &low)).unwrap();
    assert_eq!(bed.climate.name, "own climate");
    assert_eq!(bed.climate.latitude_deg, -33.9);
    assert_eq!(bed.climate.high_c, [15.5; 12]);

    let cold = low.replacen('5', "16", 1);
    let (fault, ..) = one(&own("0", &high, &cold));
    assert_eq!(fault.code, FaultCode::DoesNotFit);
    assert!(fault.to_string().contains("January is 16"), "{fault}");
    assert_eq!(codes(&own("91", &high, &low)), [FaultCode::OutOfRange]);
    assert_eq!(codes(&own("nan", &high, &low)), [FaultCode::OutOfRange]);
    assert_eq!(codes(&own("\"52 N\"", &high, &low)), [FaultCode::WrongKind]);
    let hot = high.replacen("15.5", "61", 2);
    assert_eq!(codes(&own("0", &hot, &low)), [FaultCode::OutOfRange; 2]);
}

#[test]
fn each_fault_of_a_month_has_the_place_of_its_month() {
    let months = |low: &str| {
        let text = format!(
            r#"{{"format": 1, "filled": "2026-03-14",
                "climate": {{"latitude": 50, "high": {:?}, "low": [{low}], "rain": {:?}}},
                "bed": {{"shape": "round", "across": "1.2 m", "rim": "50 cm"}},
                "layer": [{{"put": [{{"material": "loamy topsoil", "amount": "45 cm"}}]}}]}}"#,
            [15; 12], [50; 12]
        );
        let faults = json(&text).unwrap_err();
        let pointers = faults.iter().map(|fault| match &fault.place {
            Place::Pointer { pointer } => pointer.clone(),
            Place::Line { .. } => panic!("no text with lines"),
        });
        pointers.collect::<Vec<_>>()
    };
    let all: Vec<_> = (0..12)
        .map(|month| format!("/climate/low/{month}"))
        .collect();
    assert_eq!(months(&["-100"; 12].join(", ")), all);
    assert_eq!(months(&["null"; 12].join(", ")), all);
    assert_eq!(months(&["16"; 12].join(", ")), all);
    let one = "5, 5, 5, -100, 5, 5, 5, 5, 5, 5, 5, 5";
    assert_eq!(months(one), ["/climate/low/3"]);
}

#[test]
fn states_on_arrival() {
    let arrived = |given: &str| {
        toml(&changed("\"half-rotten\"", given)).map(|bed| bed.layers[0].put[0].rotten)
    };
    assert_eq!(arrived("\"30 % rotten\"").unwrap(), 0.3);
    assert_eq!(arrived("\"30% rotten\"").unwrap(), 0.3);
    assert_eq!(arrived("\"sound\"").unwrap(), 0.0);
    for given in [
        "\"30 %\"",
        "\"95 % rotten\"",
        "\"-3 % rotten\"",
        "30",
        "\"rotten\"",
        "true",
    ] {
        assert!(arrived(given).is_err(), "{given}");
    }
    let moisture = |given: &str| {
        toml(&changed("\"85 %\"", given)).map(|bed| bed.layers[1].put[1].moisture_wet)
    };
    assert_eq!(moisture("\"fresh\"").unwrap(), 0.8);
    assert_eq!(moisture("\"dry\"").unwrap(), 0.12);
    // A quarter more than 80 % would be all water.
    assert_eq!(moisture("\"wet\"").unwrap(), 0.9);
    for given in ["\"96 %\"", "0.5", "\"damp\"", "\"50 cm\""] {
        assert!(moisture(given).is_err(), "{given}");
    }
}

#[test]
fn readings_and_additions_are_checked_and_noticed() {
    let later = "[[reading]]\non = 2026-06-14\nbelow-rim = \"17 cm\"\ngive-or-take = \"1 cm\"\n\
                 [[added]]\non = 2026-09-20\nmaterial = \"turf\"\namount = \"60 L\"\n";
    let bed = toml(&format!("{ORCHARD}{later}")).unwrap();
    let reported: Vec<&str> = bed.notices.iter().map(|notice| &*notice.code).collect();
    assert!(reported.is_empty(), "{reported:?}");
    assert_eq!(bed.additions.len(), 1);
    // The rim is 2 ft 6 in above the ground.
    let reading = &bed.readings[0];
    assert!((reading.height_m - (0.762 - 0.17)).abs() < 1e-12);
    assert_eq!(reading.on, jiff::civil::date(2026, 6, 14));
    assert_eq!((reading.give_or_take_m, &reading.note), (Some(0.01), &None));
    assert!(
        bed.notices
            .iter()
            .all(|notice| notice.severity == Severity::Note)
    );

    let both = later.replace("below-rim", "height = \"70 cm\"\nbelow-rim");
    assert_eq!(codes(&format!("{ORCHARD}{both}")), [FaultCode::DoesNotFit]);
    let neither = later.replace("below-rim = \"17 cm\"\n", "");
    assert_eq!(
        codes(&format!("{ORCHARD}{neither}")),
        [FaultCode::MissingField]
    );
    let wrong = later.replace("60 L", "60 deg").replace("1 cm", "1 m");
    assert_eq!(
        codes(&format!("{ORCHARD}{wrong}")),
        [FaultCode::OutOfRange, FaultCode::WrongMeasure]
    );
}

/// Forecasts print a minus for what stands above the rim, and a reading may have one as well.
#[test]
fn a_reading_may_lie_above_the_rim() {
    let read = |below: &str| {
        let reading = format!("[[reading]]\non = 2026-06-14\nbelow-rim = \"{below}\"\n");
        toml(&format!("{ORCHARD}{reading}"))
    };
    for below in ["-5 cm", "- 5 cm", "\u{2212}50 mm"] {
        let height_m = read(below).unwrap().readings[0].height_m;
        assert!((height_m - (0.762 + 0.05)).abs() < 1e-12, "{below}");
    }
    for (below, code, said) in [
        ("-5", FaultCode::MissingUnit, "Write \"-5 cm\""),
        ("-8 m", FaultCode::OutOfRange, "\"-8 m\" is out of range"),
        ("-", FaultCode::BadQuantity, "cannot be read as a length"),
    ] {
        let faults = read(below).unwrap_err();
        let fault = &faults.as_slice()[0];
        assert_eq!(fault.code, code, "{below}");
        assert!(fault.to_string().contains(said), "{fault}");
    }
    // Above the ground there is no minus.
    let height = "[[reading]]\non = 2026-06-14\nheight = \"-5 cm\"\n";
    assert_eq!(
        codes(&format!("{ORCHARD}{height}")),
        [FaultCode::OutOfRange]
    );
}

#[test]
fn a_mound_has_no_rim() {
    let mound = changed("\"box\"", "\"mound\"");
    assert_eq!(codes(&mound), [FaultCode::OtherShape]);
    let reading = "[[reading]]\non = 2026-06-14\nbelow-rim = \"17 cm\"\n";
    let without = mound.replace("rim    = \"2 ft 6 in\"\n", "");
    // As narrow as the box, its sides would meet.
    assert_eq!(codes(&without), [FaultCode::NoRoom]);
    let without = without.replace("\"1.2 m\"", "\"3 m\"");
    assert!(toml(&without).is_ok());
    assert_eq!(
        codes(&format!("{without}{reading}")),
        [FaultCode::DoesNotFit]
    );
}

#[test]
fn layers_from_the_top_down_are_noticed() {
    let layer = |material: &str| {
        format!("[[layer]]\nput = [{{ material = \"{material}\", amount = \"10 cm\" }}]\n")
    };
    let bed = |order: [&str; 3]| {
        let head = &ORCHARD[..ORCHARD.find("[[layer]]").unwrap()];
        let layers: String = order.iter().map(|name| layer(name)).collect();
        toml(&format!("{head}{layers}")).unwrap().notices
    };
    let notices = bed(["loamy topsoil", "turf", "birch log"]);
    assert_eq!(notices.len(), 1);
    assert_eq!(notices[0].code, "layers-upside-down");
    assert_eq!(notices[0].severity, Severity::Warning);
    assert_eq!(notices[0].layer, Some(0));
    assert!(bed(["birch log", "turf", "loamy topsoil"]).is_empty());
    assert!(bed(["birch log", "turf", "woody prunings"]).is_empty());
}

#[test]
fn roots_live_where_the_file_says() {
    let bed = toml(&changed("name = \"logs\"", "name = \"logs\"\ngrows = true")).unwrap();
    let grows: Vec<bool> = bed.layers.iter().map(|layer| layer.grows).collect();
    assert_eq!(grows, [true, false, false]);
}

#[test]
fn a_later_form_is_refused_for_its_form_alone() {
    let text = changed("format  = 1", "format = 2\nwind = \"strong\"");
    assert_eq!(codes(&text), [FaultCode::UnknownFormat]);
}

#[test]
fn a_faulty_measure_is_one_fault() {
    assert_eq!(
        codes(&changed("\"30 L\"", "\"30\"")),
        [FaultCode::MissingUnit]
    );
    assert_eq!(
        codes(&changed("\"30 L\"", "\"1 barrow\"")),
        [FaultCode::DoesNotFit]
    );
    assert_eq!(
        codes(&changed("trug =", "Trug = \"1 L\"\ntrug =")),
        [FaultCode::RepeatedKey]
    );
}

#[test]
fn too_thick_a_bed_is_refused() {
    let mut text = ORCHARD.to_owned();
    for _ in 0..4 {
        text.push_str("[[layer]]\nput = [{ material = \"turf\", amount = \"2.6 m\" }]\n");
    }
    let (fault, ..) = one(&text);
    assert_eq!(fault.code, FaultCode::OutOfRange);
    assert_eq!(fault.path, "/layer");
}

#[test]
fn json_faults_have_pointers_in_document_order() {
    let text = r#"{ "format": 1, "name": null, "filled": "2026-03-14", "climate": "Cambridge UK",
        "bed": { "shape": "box", "width": "1 m", "width": "2 m", "length": 3, "rim": "1 m" },
        "layer": [ { "put": [ { "material": "turf", "amount": "1 m", "a/b": 1 } ] } ] }"#;
    let found = json(text).unwrap_err();
    let reported: Vec<(FaultCode, String)> = found
        .iter()
        .map(|fault| match &fault.place {
            Place::Pointer { pointer } => (fault.code, pointer.clone()),
            Place::Line { .. } => panic!("JSON has pointers"),
        })
        .collect();
    let expected = [
        (FaultCode::WrongKind, "/name"),
        (FaultCode::RepeatedKey, "/bed/width"),
        (FaultCode::MissingUnit, "/bed/length"),
        (FaultCode::UnknownField, "/layer/0/put/0/a~1b"),
    ]
    .map(|(code, pointer)| (code, pointer.to_owned()));
    assert_eq!(reported, expected);
    assert!(
        found
            .to_string()
            .contains("at /bed/length: \"3\" has no unit")
    );
}

#[test]
fn an_empty_document_names_what_it_needs() {
    let empty = toml(" \n").unwrap_err();
    assert_eq!(empty.as_slice().len(), 1, "an empty file is one fault");
    for found in [toml("# nothing").unwrap_err(), json("{}").unwrap_err()] {
        let missing: Vec<&str> = found.iter().map(|fault| fault.expected.as_str()).collect();
        assert_eq!(missing, ["format", "filled", "climate", "bed", "layer"]);
    }
    assert_eq!(
        json("[]").unwrap_err().as_slice()[0].code,
        FaultCode::WrongKind
    );
    assert_eq!(
        json("7 8").unwrap_err().as_slice()[0].code,
        FaultCode::BadSyntax
    );
}

#[test]
fn hostile_texts_are_refused() {
    let full = limit::FILE_BYTES;
    for text in [
        "[".repeat(full),
        "{".repeat(full),
        "\"".repeat(full),
        "a.".repeat(full / 2),
        format!("x={}1", "{a.a.a.a.a=".repeat(full / 12)),
        format!("a=[{}", "1,".repeat(full / 2 - 3)),
        format!("{{\"a\":{}", "[{\"b\":".repeat(full / 7)),
        format!("layer = [{}]", "{},".repeat(full / 3 - 5)),
        format!("{{\"layer\": [{}{{}}]}}", "{},".repeat(full / 3 - 9)),
        "name = \"\0\"".to_owned(),
        format!("format = {}", "9".repeat(1000)),
        "\r\r\r".to_owned(),
        "key\n".repeat(full / 4),
        format!("a=[{}", "x,".repeat(full / 2 - 3)),
        format!("a={}", "x,".repeat(full / 2 - 3)),
        "a = 'x\n".repeat(full / 7),
        ORCHARD.replace("25 cm", &"9".repeat(400)),
    ] {
        assert!(toml(&text).is_err(), "{text:.40}");
        assert!(json(&text).is_err(), "{text:.40}");
    }
}

#[test]
fn any_script_may_name_a_bed() {
    for name in ["ערוגה ארוכה", "سرير طويل", "長い花壇", "Größe Ñ"] {
        let bed = toml(&changed("Orchard box", name)).unwrap();
        assert_eq!(bed.name, name);
    }
    // A mark that reverses text could make a message say what it does not.
    let (fault, ..) = one(&changed("Orchard box", "bed \u{202e}gnol"));
    assert_eq!(fault.code, FaultCode::BadText);
    assert!(!fault.to_string().contains('\u{202e}'));
}

/// Names of beds, layers, places and notes have no hidden characters.
#[test]
fn no_text_has_hidden_characters() {
    let note = "[[reading]]\non = 2026-06-14\nheight = \"70 cm\"\nnote = \"looked\"\n";
    let bed = format!("{ORCHARD}{note}");
    assert!(toml(&bed).is_ok());
    let climate = "{ name = \"here\", latitude = 52, high = [HIGH], low = [LOW], rain = [LOW] }";
    let months = |degrees: &str| [degrees; 12].join(", ");
    let climate = climate
        .replace("HIGH", &months("15"))
        .replace("LOW", &months("5"));
    let own = bed.replace("\"Cambridge UK\"", &climate);
    assert!(toml(&own).is_ok());
    for (c, reported) in [
        ('\u{61c}', "U+061C"),
        ('\u{200b}', "U+200B"),
        ('\u{e0041}', "U+E0041"),
    ] {
        for text in [
            bed.replace("Orchard box", &format!("Orchard{c}box")),
            bed.replace("\"logs\"", &format!("\"lo{c}gs\"")),
            bed.replace("looked", &format!("look{c}ed")),
            own.replace("\"here\"", &format!("\"he{c}re\"")),
        ] {
            let (fault, ..) = one(&text);
            assert_eq!(fault.code, FaultCode::BadText);
            assert!(fault.to_string().contains(reported), "{fault}");
            assert!(!fault.to_string().contains(c), "{fault}");
        }
    }
}

proptest! {
    #[test]
    fn no_text_makes_a_reader_panic(text in any::<String>()) {
        prop_assert!(toml(&text).is_err());
        prop_assert!(json(&text).is_err());
    }

    #[test]
    fn no_broken_file_makes_a_reader_panic(
        cut in 0..ORCHARD.len(),
        length in 0usize..40,
        put in "[\\[\\]{}=\",.#\n a-z0-9'\\\\-]{0,12}",
    ) {
        let end = (cut + length).min(ORCHARD.len());
        let text = format!("{}{put}{}", &ORCHARD[..cut], &ORCHARD[end..]);
        if let Err(found) = toml(&text) {
            let places: Vec<(usize, usize)> = found
                .iter()
                .map(|fault| match fault.place {
                    Place::Line { line, column } => (line, column),
                    Place::Pointer { .. } => (0, 0),
                })
                .collect();
            prop_assert!(places.is_sorted());
            let last = text.lines().count() + 1;
            prop_assert!(places.iter().all(|&(line, column)| (1..=last).contains(&line) && column > 0));
        }
    }

    #[test]
    fn no_broken_json_makes_a_reader_panic(cut in 0usize..400, put in "[\\[\\]{}:\",a-z0-9 ]{0,12}") {
        let whole = r#"{"format":1,"filled":"2026-03-14","climate":"Cambridge UK","bed":{"shape":"round","across":"1 m","rim":"1 m"},"layer":[{"put":[{"material":"turf","amount":"50 cm"}]}]}"#;
        let cut = cut.min(whole.len());
        let _ = json(&format!("{}{put}{}", &whole[..cut], &whole[cut..]));
    }
}

/// Amounts by volume or mass have the limits of thicknesses.
#[test]
fn implausible_thicknesses_are_refused_by_any_measure() {
    let found = |piece: &str, other: &str| -> Vec<(FaultCode, String, usize)> {
        let faults = toml(&changed(piece, other)).expect_err(other);
        let faults = faults.iter().map(|fault| match fault.place {
            Place::Line { line, .. } => (fault.code, fault.path.clone(), line),
            Place::Pointer { .. } => unreachable!("a text has lines"),
        });
        faults.collect()
    };
    let layer = |line| vec![(FaultCode::OutOfRange, "/layer".to_owned(), line)];
    // 3000 m3 on 3 m2, at the first layer; and a film, at its own layer.
    assert_eq!(found("20 trugs", "100000 trugs"), layer(16));
    assert_eq!(found("20 trugs", "0.2 L"), layer(27));
    for amount in ["3000 t", "1 g"] {
        let addition = format!(
            "{ORCHARD}[[added]]\non = 2026-05-01\nmaterial = \"loamy topsoil\"\namount = \"{amount}\"\n"
        );
        let faults = toml(&addition).expect_err(amount);
        let codes: Vec<_> = faults
            .iter()
            .map(|fault| (fault.code, fault.path.as_str()))
            .collect();
        assert_eq!(codes, [(FaultCode::OutOfRange, "/added")], "{amount}");
    }
}

#[test]
fn a_feeding_may_name_its_feed() {
    let fed = |feed: &str| {
        let bed = toml(&format!(
            "{ORCHARD}[[fed]]\non = 2026-05-01\nnitrogen = \"7 g\"\n{feed}\n"
        ));
        bed.map(|bed| bed.fed()[0].feed_share)
    };
    assert_eq!(fed("").unwrap(), None);
    assert_eq!(fed("feed = \"13 %\"").unwrap(), Some(0.13));
    assert_eq!(fed("feed = \"100 %\"").unwrap(), Some(1.0));
    for (feed, code) in [
        ("feed = 13", FaultCode::MissingUnit),
        ("feed = 0.13", FaultCode::MissingUnit),
        ("feed = \"0 %\"", FaultCode::OutOfRange),
        ("feed = \"101 %\"", FaultCode::OutOfRange),
    ] {
        let faults: Vec<FaultCode> = fed(feed)
            .unwrap_err()
            .iter()
            .map(|fault| fault.code)
            .collect();
        assert_eq!(faults, [code], "{feed}");
    }
}
