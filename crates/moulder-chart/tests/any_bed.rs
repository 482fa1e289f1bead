//! Every chart of random beds: finite numbers, all on the sheet.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod support;

use moulder::internals::bed::Bed;
use moulder::internals::forecast::Forecast;
use moulder::internals::forecast::day::days;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::months::unwatched;
use moulder_chart::Chart;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::plot::reading::Reading;
use moulder_chart::internals::subject::Subject;
use proptest::prelude::*;
use proptest::sample::select;
use support::{draw, sound};

/// A random outline, with or without a trench; some lengths in cm.
fn outline() -> impl Strategy<Value = String> {
    let shape = select(["box", "round", "bag", "mound"].as_slice());
    let wide = prop_oneof![3 => 30_u32..300, 1 => 10_u32..=5000];
    let rim = prop_oneof![3 => 20_u32..120, 1 => 5_u32..=500];
    let trench = prop_oneof![Just(0), 1_u32..=200];
    (shape, wide, rim, trench, 0_u32..=100, 10_u32..=80).prop_map(
        |(shape, wide, rim, trench, bulged, slope)| {
            let long = wide + 50;
            let sides = format!("width = \"{wide} cm\"\nlength = \"{long} cm\"");
            let own = match shape {
                "round" => format!("across = \"{wide} cm\"\nrim = \"{rim} cm\""),
                "bag" => format!("{sides}\nrim = \"{rim} cm\"\nbulged = \"{bulged} %\""),
                "mound" => format!("{sides}\nslope = \"{slope} deg\""),
                _ => format!("{sides}\nrim = \"{rim} cm\""),
            };
            format!("shape = \"{shape}\"\n{own}\ntrench = \"{trench} cm\"")
        },
    )
}

/// A layer of one or two materials.
fn layer() -> impl Strategy<Value = String> {
    let library = Library::built_in();
    let names: Vec<String> = library
        .materials()
        .map(|material| material.name.clone())
        .collect();
    let put = (select(names), 1_u32..40)
        .prop_map(|(name, cm)| format!("{{ material = \"{name}\", amount = \"{cm} cm\" }}"));
    prop::collection::vec(put, 1..3)
        .prop_map(|put| format!("[[layer]]\nput = [{}]\n", put.join(", ")))
}

/// A bed file with additions and readings.
fn bed_text() -> impl Strategy<Value = String> {
    let place = select(["Cambridge UK", "Hobart AU", "Alice Springs AU"].as_slice());
    let units = select(["metric", "us", "uk-garden"].as_slice());
    let layers = prop::collection::vec(layer(), 1..6);
    let later = "[[added]]\non = 2026-11-20\nmaterial = \"garden compost\"\namount = \"5 cm\"\n";
    let later = select(vec!["", later]);
    (outline(), place, units, layers, later).prop_map(|(outline, place, units, layers, later)| {
        format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"{place}\"\nunits = \"{units}\"\n\
             [bed]\n{outline}\n{}{later}",
            layers.concat()
        )
    })
}

/// The bed and its forecast, where there can be such a bed.
fn forecast_of(text: &str, months: u32) -> Option<(Bed, Forecast)> {
    let bed = read_toml(text, &Library::built_in()).ok()?;
    let draws = Realisations {
        ensemble_size: 2,
        ..Realisations::default()
    };
    let forecast = forecast_with_intervals(&bed, months, draws, &unwatched).ok()?;
    Some((bed, forecast))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 48,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// What cannot be (a fill above its rim, a mound without room) is sampled again.
    #[test]
    fn whatever_the_bed_its_charts_lie_on_their_sheets(
        text in bed_text(),
        months in select(vec![0_u32, 1, 7, 24, 120]),
        width in 320_u32..2000,
    ) {
        let made = forecast_of(&text, months);
        prop_assume!(made.is_some());
        all_sound(&made.unwrap(), width);
    }
}

/// Every chart of a forecast, held to what every drawing keeps.
fn all_sound((bed, forecast): &(Bed, Forecast), width: u32) {
    let (days, readings) = (days(bed).unwrap(), Reading::all_of(bed));
    let subject = Subject {
        bed,
        forecast,
        readings: &readings,
        days: &days,
        feeding: None,
    };
    for kind in Chart::OF_A_FORECAST {
        sound(&draw(*kind, &subject, &Look::new(width, kind.as_str())));
    }
}

/// Eighty times as wide as high, on a telephone: the figures of its heights would meet.
#[test]
fn a_flat_mound_on_a_telephone() {
    let text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
                shape = \"mound\"\nwidth = \"3829 cm\"\nlength = \"3879 cm\"\n\
                slope = \"10 deg\"\n[[layer]]\n\
                put = [{ material = \"beech log\", amount = \"50 cm\" }]\n";
    all_sound(&forecast_of(text, 0).unwrap(), 323);
}

/// Wider than eighty times its height: a bag of one thin layer.
#[test]
fn a_bag_of_thin_logs_seventeen_metres_wide() {
    let text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
                shape = \"bag\"\nwidth = \"1680 cm\"\nlength = \"1730 cm\"\nrim = \"20 cm\"\n\
                bulged = \"0 %\"\n[[layer]]\n\
                put = [{ material = \"beech log\", amount = \"2 cm\" }]\n";
    all_sound(&forecast_of(text, 1).unwrap(), 1188);
}

/// So thin that wood which swells may lift it above where it began.
#[test]
fn a_box_of_a_centimetre_of_logs() {
    let text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
                shape = \"box\"\nwidth = \"30 cm\"\nlength = \"80 cm\"\nrim = \"20 cm\"\n\
                [[layer]]\nput = [{ material = \"beech log\", amount = \"1 cm\" }]\n";
    all_sound(&forecast_of(text, 24).unwrap(), 1041);
}
