//! Laws that every bed must obey, whatever is in it.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use moulder::bed::Bed;
use moulder::catalogue::Catalogue;
use moulder::compile::{Compiled, compile};
use moulder::draw::Draw;
use moulder::forecast::{Forecast, days_to_month, forecast, weather_for};
use moulder::read::read_toml;
use moulder::station::Stations;
use moulder::watcher::Unwatched;
use moulder_core::value::{Spread, Value};
use moulder_solve::march::March;
use moulder_solve::schedule::Schedule;
use proptest::prelude::*;
use proptest::sample::select;
use support::{assert_close, read};

/// The names of all materials on the shelf.
fn materials() -> Vec<String> {
    let shelf = Catalogue::built_in();
    shelf.iter().map(|material| material.name.clone()).collect()
}

/// One layer of a random bed, as it stands in a file.
fn layer() -> impl Strategy<Value = String> {
    let ingredient = (
        select(materials()),
        2_u32..30,
        select(["tipped", "trodden", "watered"].as_slice()),
        select(["sound", "half-rotten", "20 % rotten"].as_slice()),
    )
        .prop_map(|(material, cm, measured, arrived)| {
            format!(
                "{{ material = \"{material}\", amount = \"{cm} cm\", as = \"{measured}\", arrived = \"{arrived}\" }}"
            )
        });
    let done = select(["", "\"trodden\"", "\"watered\"", "\"trodden\", \"watered\""].as_slice());
    (prop::collection::vec(ingredient, 1..4), done)
        .prop_map(|(put, done)| format!("[[layer]]\nput = [{}]\nthen = [{done}]\n", put.join(", ")))
}

fn bed_text(shape: &str, climate: &str, layers: &[String]) -> String {
    format!(
        "format = 1\nfilled = 2026-03-14\n{climate}\n[bed]\n{shape}\n{}",
        layers.concat()
    )
}

const CAMBRIDGE: &str = "climate = \"Cambridge UK\"";
const BOX: &str = "shape = \"box\"\nwidth = \"1 m\"\nlength = \"2 m\"\nrim = \"80 cm\"";

/// A climate that is the same all the year; degC.
fn steady(mean_c: f64) -> String {
    let months = |value: f64| format!("[{}]", vec![value.to_string(); 12].join(", "));
    format!(
        "[climate]\nname = \"steady\"\nlatitude = 50.0\nhigh = {}\nlow = {}\nrain = {}\n",
        months(mean_c),
        months(mean_c),
        months(50.0)
    )
}

/// A bed in a steady climate: its table must come after the plain fields.
fn steady_bed(mean_c: f64, layers: &[String]) -> Bed {
    let text = format!(
        "format = 1\nfilled = 2026-03-14\n{}[bed]\n{BOX}\n{}",
        steady(mean_c),
        layers.concat()
    );
    read(&text)
}

fn shape() -> impl Strategy<Value = &'static str> {
    select(
        [
            BOX,
            "shape = \"round\"\nacross = \"1.5 m\"\nrim = \"60 cm\"",
            "shape = \"bag\"\nwidth = \"90 cm\"\nlength = \"90 cm\"\nrim = \"90 cm\"\nbulged = \"30 %\"",
            "shape = \"mound\"\nwidth = \"9 m\"\nlength = \"12 m\"\nslope = \"35 deg\"",
        ]
        .as_slice(),
    )
}

fn run(bed: &Bed, months: u32) -> Forecast {
    forecast(bed, months, &mut Unwatched).unwrap()
}

fn compiled(bed: &Bed) -> Compiled {
    let days = days_to_month(bed.filled, 48);
    compile(bed, weather_for(bed, days), Draw::Middle).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: Some(Box::new(proptest::test_runner::FileFailurePersistence::Direct("tests/laws.regressions"))), ..ProptestConfig::default() })]

    /// Carbon and mineral matter are kept to 1e-9, nothing is negative or no number,
    /// and the split adds up to the sink, month by month for four years.
    #[test]
    fn what_is_put_in_is_accounted_for(
        shape in shape(),
        layers in prop::collection::vec(layer(), 1..5),
    ) {
        let bed = read(&bed_text(shape, CAMBRIDGE, &layers));
        let Compiled { stack, state } = compiled(&bed);
        let (carbon, mineral) = (stack.carbon_kg(&state, 0), stack.mineral_kg(&state, 0));
        let water = stack.water_kg(&state, 0);
        let mut march = March::start(&stack, state, Schedule::default());
        let start = march.snapshot(0);
        prop_assert!(start.height_m > 0.0);
        for month in 1..=48 {
            march.advance_to(days_to_month(bed.filled, month));
            let rows = &march.state().rows;
            let warm: Vec<usize> = stack.slices.iter().map(|s| s.slots.temperature).collect();
            for (i, row) in rows.iter().enumerate() {
                let may_be_negative = warm.contains(&i);
                prop_assert!(may_be_negative || row[0] >= 0.0, "row {i}: {}", row[0]);
                prop_assert!(row[0].is_finite(), "row {i}: {}", row[0]);
            }
            let moved = rows[moulder_core::stack::WATERED][0] + water.abs();
            let kept = stack.water_kg(march.state(), 0);
            prop_assert!((kept - water).abs() < 1e-9 * moved, "water {kept} {water}");
            let now = march.snapshot(0);
            prop_assert!((stack.carbon_kg(march.state(), 0) / carbon - 1.0).abs() < 1e-9);
            prop_assert!((stack.mineral_kg(march.state(), 0) / mineral - 1.0).abs() < 1e-9);
            prop_assert!(now.layers.iter().all(|layer| layer.thickness_m >= 0.0));
            let sunk_m = start.height_m - now.height_m;
            prop_assert!((now.split.sum_m(0) - sunk_m).abs() < 1e-9);
        }
    }

    /// At fixed moisture and air, more warmth below the optimum never means less decay.
    #[test]
    fn warmth_never_slows_decay(
        layers in prop::collection::vec(layer(), 1..4),
        cool_c in 0.0..24.0_f64,
        warmer in 0.1..4.0_f64,
    ) {
        let cool = run(&steady_bed(cool_c, &layers), 12);
        let warm = run(&steady_bed(cool_c + warmer, &layers), 12);
        for (cool, warm) in cool.months.iter().zip(&warm.months) {
            prop_assert!(warm.carbon_kg <= cool.carbon_kg * (1.0 + 1e-12));
        }
    }

    /// Twice the area holds twice the mass at the same heights.
    #[test]
    fn area_doubles_mass_and_not_height(layers in prop::collection::vec(layer(), 1..4)) {
        let double = BOX.replace("\"1 m\"", "\"2 m\"");
        let one = run(&read(&bed_text(BOX, CAMBRIDGE, &layers)), 12);
        let two = run(&read(&bed_text(&double, CAMBRIDGE, &layers)), 12);
        for (one, two) in one.months.iter().zip(&two.months) {
            prop_assert!((two.height_m - one.height_m).abs() < 1e-9);
            prop_assert!((two.wet_kg / one.wet_kg - 2.0).abs() < 1e-9);
            prop_assert!((two.carbon_released_kg - 2.0 * one.carbon_released_kg).abs() < 1e-9 * two.carbon_kg.max(1.0));
        }
    }
}

/// A layer of `cm` of a material, tipped.
fn plain(material: &str, cm: u32) -> String {
    format!("[[layer]]\nput = [{{ material = \"{material}\", amount = \"{cm} cm\" }}]\n")
}

/// Cutting a layer in two changes carbon by nothing where all depths have one
/// temperature, and height by under 0.3 mm; with real seasons the middle depth of the
/// slices moves, and carbon with it by less than one part in two thousand.
#[test]
fn a_layer_may_be_cut_in_two() {
    let whole = [
        plain("birch log", 24),
        plain("woody prunings", 20),
        plain("turf", 10),
        plain("loamy topsoil", 12),
    ];
    let steady_whole = run(&steady_bed(12.0, &whole), 36);
    let seasons_whole = run(&read(&bed_text(BOX, CAMBRIDGE, &whole)), 36);
    for cut in 0..whole.len() {
        let mut pieces = whole.to_vec();
        let (material, cm) = [
            ("birch log", 24),
            ("woody prunings", 20),
            ("turf", 10),
            ("loamy topsoil", 12),
        ][cut];
        let lower = cm / 3;
        pieces.splice(
            cut..=cut,
            [plain(material, lower), plain(material, cm - lower)],
        );
        let steady_cut = run(&steady_bed(12.0, &pieces), 36);
        let seasons_cut = run(&read(&bed_text(BOX, CAMBRIDGE, &pieces)), 36);
        let worst = |a: &Forecast, b: &Forecast| {
            let months = a.months.iter().zip(&b.months);
            months
                .map(|(a, b)| (a.height_m - b.height_m).abs())
                .fold(0.0, f64::max)
        };
        println!(
            "{material} cut: {:.3} mm steady, {:.3} mm with seasons",
            worst(&steady_whole, &steady_cut) * 1e3,
            worst(&seasons_whole, &seasons_cut) * 1e3
        );
        for (whole, cut) in steady_whole.months.iter().zip(&steady_cut.months) {
            assert_close(cut.carbon_kg, whole.carbon_kg, 1e-9, 0.0);
            assert_close(cut.height_m, whole.height_m, 0.0, 3e-4);
        }
        for (whole, cut) in seasons_whole.months.iter().zip(&seasons_cut.months) {
            assert_close(cut.carbon_kg, whole.carbon_kg, 5e-4, 0.0);
            assert_close(cut.height_m, whole.height_m, 0.0, 3e-4);
        }
    }
}

/// Topsoil without carbon settles, and then stays: nothing of it rots away.
#[test]
fn topsoil_without_carbon_never_rots_away() {
    let shelf = Catalogue::built_in();
    let mut sand = shelf.find("loamy topsoil").unwrap().clone();
    sand.name = "bare sand".to_owned();
    sand.also.clear();
    sand.mineral_share = Value {
        best: 1.0,
        spread: Spread::new(1.0, 1.0),
        ..sand.mineral_share
    };
    let shelf = Catalogue::new(vec![sand]);
    let text = bed_text(BOX, CAMBRIDGE, &[plain("bare sand", 40)]);
    let bed = read_toml(&text, &shelf, &Stations::built_in()).unwrap();
    let months = run(&bed, 600).months;
    let (start, end) = (&months[0], &months[600]);
    assert!(end.split.soft_rot_m.abs() < 1e-12 && end.split.wood_rot_m.abs() < 1e-12);
    assert!(end.carbon_released_kg.abs() < 1e-12);
    assert_close(end.wet_kg, start.wet_kg, 1e-12, 0.0);
    // Bulking of dug soil bounds what it can settle: 9-29 % (UFC 3-220-20, sec.
    // 3-4.3.2, read in a transcription), and creep over fifty years adds a little.
    let settled = end.sunk_m / start.height_m;
    assert!((0.09..0.33).contains(&settled), "{settled}");
}

/// A bed without fines does not sift; a bed of soil alone has no frame to sift into.
#[test]
fn nothing_sifts_where_nothing_can() {
    for layers in [
        vec![plain("birch log", 30), plain("deciduous leaves", 20)],
        vec![plain("loamy topsoil", 40)],
    ] {
        let end = run(&read(&bed_text(BOX, CAMBRIDGE, &layers)), 24);
        assert!(end.months[24].split.sifting_m.abs() < 1e-6);
    }
}
