//! Charts of one forecast over time: demo beds, and extreme beds.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod support;

use moulder::feed::feeding;
use moulder::internals::bed::Bed;
use moulder::internals::forecast::Forecast;
use moulder::internals::library::crop::Crop;
use moulder::internals::quantity::units::Units;
use moulder::months::unwatched;
use moulder_chart::Chart;
use moulder_chart::Svg;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::subject::Subject;
use support::{BAG, LOG_BOX, bed, draw, forecast, small, sound};

/// The charts of these tests.
const KINDS: [Chart; 7] = [
    Chart::Layers,
    Chart::Causes,
    Chart::Carbon,
    Chart::Nitrogen,
    Chart::Warmth,
    Chart::Water,
    Chart::Weight,
];

/// At the widths of a telephone, a page, a screen and a wall.
const WIDTHS: [u32; 5] = [320, 360, 800, 1280, 4000];

fn drawn(kind: Chart, bed: &Bed, forecast: &Forecast, width: u32) -> Svg {
    let subject = Subject {
        bed,
        forecast,
        readings: &[],
        days: &[],
        feeding: None,
    };
    let svg = draw(kind, &subject, &Look::new(width, kind.as_str()));
    sound(&svg);
    svg
}

/// Every chart at every width.
fn all(bed: &Bed, forecast: &Forecast) {
    for kind in KINDS {
        for width in WIDTHS {
            drawn(kind, bed, forecast, width);
        }
    }
}

#[test]
fn the_demo_beds_are_drawn_the_same_each_time() {
    for text in [BAG, LOG_BOX] {
        let bed = bed(text);
        let forecast = forecast(&bed, 24, 8);
        all(&bed, &forecast);
        for kind in KINDS {
            let twice = [0, 1].map(|_| drawn(kind, &bed, &forecast, 800).file());
            assert_eq!(twice[0], twice[1]);
        }
    }
}

#[test]
fn small_charts_look_as_they_did() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let [few, year] = [4, 12].map(|months| forecast(&bed, months, 4));
    for kind in KINDS {
        let forecast = if kind == Chart::Nitrogen { &year } else { &few };
        insta::assert_snapshot!(kind.as_str(), drawn(kind, &bed, forecast, 360).inline());
    }
}

#[test]
fn months_from_none_to_a_hundred_years_have_room() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let long = forecast(&bed, 1200, 0);
    for months in [0, 1, 2, 6, 24, 60, 240, 1200] {
        let mut short = long.clone();
        short.months.truncate(months + 1);
        all(&bed, &short);
    }
}

#[test]
fn other_units_have_room() {
    let bed = bed(LOG_BOX);
    let mut forecast = forecast(&bed, 12, 4);
    for units in [Units::Us, Units::UkGarden] {
        forecast.units = units;
        all(&bed, &forecast);
    }
}

#[test]
fn forty_layers_have_room() {
    let layer = "[[layer]]\nname = \"a layer of prunings with a long name\"\nput = [{ \
                 material = \"woody prunings\", amount = \"10 L\" }]\n";
    let bed = bed(&small("box", "Cambridge UK", &layer.repeat(39)));
    let forecast = forecast(&bed, 12, 2);
    assert_eq!(forecast.layers.len(), 40);
    all(&bed, &forecast);
    let text = drawn(Chart::Layers, &bed, &forecast, 800).inline();
    assert!(text.contains("have no room for a name"));
}

#[test]
fn a_bed_in_which_nothing_grows_and_nothing_moves_is_drawn() {
    let bed = bed(&small("mound", "Hobart AU", ""));
    let mut still = forecast(&bed, 12, 2);
    still.crop = Crop::None;
    let first = still.months[0].clone();
    for row in &mut still.months {
        let month = row.month;
        *row = first.clone();
        row.month = month;
        row.settlement_m = 0.0;
    }
    for band in &mut still.intervals {
        band.height_m.lower = first.height_m;
        band.height_m.upper = first.height_m;
        band.settlement_m.lower = 0.0;
        band.settlement_m.upper = 0.0;
    }
    all(&bed, &still);
    let text = drawn(Chart::Nitrogen, &bed, &still, 800).inline();
    assert!(text.contains("Nothing grows here") && !text.contains("<g class=\"month\">"));
    // A bed without wood has no water in it.
    let text = drawn(Chart::Water, &bed, &still, 800).inline();
    assert!(!text.contains("in wood"));
}

/// The bag with woody stuff in its soil and under it, which binds nitrogen.
fn lean() -> Bed {
    let mut text = BAG.to_owned();
    for (from, to) in [
        ("deciduous leaves", "sawdust"),
        ("turf clods", "bark mulch"),
        (
            "\"loamy topsoil\", amount = \"10 cm\" }",
            "\"loamy topsoil\", amount = \"5 cm\" }, { material = \"wood chips\", amount = \"5 cm\" }",
        ),
    ] {
        assert!(text.contains(from));
        text = text.replace(from, to);
    }
    bed(&text)
}

/// Each month has its word, and a shade where that is not "enough".
#[test]
fn nitrogen_is_twelve_months_with_a_word_and_a_shade_each() {
    let bed = bed(BAG);
    let mut forecast = forecast(&bed, 12, 0);
    for row in &mut forecast.months {
        row.nitrogen.is_short = (4..=6).contains(&row.month);
    }
    let mut feeding = feeding(&lean(), bed.filled(), 0, 1, &unwatched).unwrap();
    for (month, row) in feeding.months.iter_mut().zip(&forecast.months[1..]) {
        month.is_short = row.nitrogen.is_short;
    }
    feeding.doses.truncate(1);
    feeding.feed_share = Some(0.13);
    feeding.doses[0].on = feeding.months[4].begins;
    feeding.doses[0].nitrogen_g = 3.9;
    feeding.doses[0].standard_error_g = 0.0;
    for (feeding, short, fed) in [(None, 3, 0), (Some(&feeding), 2, 1)] {
        for width in WIDTHS {
            let subject = Subject {
                bed: &bed,
                forecast: &forecast,
                readings: &[],
                days: &[],
                feeding,
            };
            let svg = draw(Chart::Nitrogen, &subject, &Look::new(width, "nitrogen"));
            sound(&svg);
            let text = svg.inline();
            assert_eq!(text.matches("<g class=\"month\">").count(), 12);
            for (drawn, count) in [
                (">enough<", 12 - short - fed),
                (">short<", short),
                ("-second-band)", short),
                (">feed<", fed),
                (">30 g<", fed),
                ("<rect class=\"band\"", fed),
            ] {
                assert_eq!(text.matches(drawn).count(), count, "{drawn}");
            }
        }
    }
}

#[test]
fn a_bed_of_nothing_is_drawn() {
    let bed = bed(&small("mound", "Cambridge UK", ""));
    let mut empty = forecast(&bed, 3, 0);
    for row in &mut empty.months {
        row.height_m = 0.0;
        row.water_l = 0.0;
        row.total_mass_kg = 0.0;
        for layer in &mut row.layers {
            layer.thickness_m = 0.0;
            layer.carbon_kg = 0.0;
        }
    }
    all(&bed, &empty);
}

#[test]
fn what_swells_counts_against_the_sink() {
    let bed = bed(LOG_BOX);
    let mut forecast = forecast(&bed, 6, 0);
    for row in &mut forecast.months {
        row.parts.mechanical_m = -0.04;
        row.settlement_m = row.parts.sum_m();
    }
    for width in WIDTHS {
        drawn(Chart::Causes, &bed, &forecast, width);
    }
    let text = drawn(Chart::Causes, &bed, &forecast, 800).inline();
    assert!(text.contains("What swells"));
}

/// The points of the first path in the group of that title.
fn points(text: &str, group: &str) -> Vec<(f64, f64)> {
    let document = roxmltree::Document::parse(text).unwrap();
    let titled = |node: &roxmltree::Node<'_, '_>| {
        node.has_tag_name("g")
            && node
                .children()
                .any(|child| child.has_tag_name("title") && child.text() == Some(group))
    };
    let group = document.descendants().find(titled).unwrap();
    let path = group
        .children()
        .find(|node| node.has_tag_name("path"))
        .unwrap();
    let drawn = path.attribute("d").unwrap().replace(['M', 'Z'], "");
    let places = drawn.split('L').map(|place| {
        let (x, y) = place.split_once(' ').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    });
    places.collect()
}

/// The slabs end where the line of the whole does: parts add up.
#[test]
fn parts_add_up_to_the_whole() {
    let bed = bed(BAG);
    let forecast = forecast(&bed, 12, 0);
    for row in &forecast.months {
        assert!((row.parts.sum_m() - row.settlement_m).abs() < 1e-9);
        let put_kg = row.carbon_kg + row.carbon_released_kg;
        assert!((put_kg * row.carbon_left / row.carbon_kg - 1.0).abs() < 1e-6);
    }
    let text = drawn(Chart::Causes, &bed, &forecast, 800).inline();
    let line = points(&text, "The whole sink");
    let last = forecast.months.last().unwrap();
    let cause = format!("wood rot {:.0} cm", last.parts.wood_decay_m * 100.0);
    let slab = points(&text, &cause);
    // A slab goes out along one edge and back along the other, from its last month.
    let months = forecast.months.len();
    let mut edge = slab[months..].to_vec();
    edge.reverse();
    for (one, other) in line.iter().zip(&edge) {
        assert!((one.1 - other.1).abs() < 0.02, "{one:?} {other:?}");
    }
}

/// The top of the layers is the surface, also on a day within a month.
#[test]
fn the_top_layer_ends_at_the_surface() {
    let more = "[[added]]\non = 2026-11-20\nmaterial = \"garden compost\"\namount = \
                \"8 cm\"\n";
    let bed = bed(&small("box", "Cambridge UK", more));
    let forecast = forecast(&bed, 12, 0);
    all(&bed, &forecast);
    let surface = points(
        &drawn(Chart::Layers, &bed, &forecast, 800).inline(),
        "The surface",
    );
    // Two points on the day, above each other, and one for each month end.
    assert_eq!(surface.len(), forecast.months.len() + 2);
    let subject = Subject {
        bed: &bed,
        forecast: &forecast,
        readings: &[],
        days: &[],
        feeding: None,
    };
    let height = draw(Chart::Height, &subject, &Look::new(800, "height")).inline();
    let height = points(&height, "The expected height");
    // Both charts begin and end at one height, on one scale of their own each.
    let share = |line: &[(f64, f64)]| {
        let ends = (line.first().unwrap().1, line.last().unwrap().1);
        (ends.0 - ends.1) / (line[9].1 - ends.1)
    };
    assert!((share(&surface) / share(&height) - 1.0).abs() < 0.05);
}

#[test]
fn names_do_no_harm() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let mut forecast = forecast(&bed, 3, 0);
    let names = [
        "</title><script>alert(1)</script>".to_owned(),
        "\u{202e}\u{2066}\u{0}\u{1b}[31m\u{fffe} box\n\n\tof mine".to_owned(),
        "\u{5d2}\u{5d9}\u{5e0}\u{5d4} \u{2069}\u{62d}\u{62f}\u{64a}".to_owned(),
        "\u{1f954}\u{1f469}\u{200d}\u{1f33e}".repeat(100),
        "w".repeat(10_000),
        String::new(),
    ];
    for name in names {
        forecast.name.clone_from(&name);
        forecast.layers[0].clone_from(&name);
        all(&bed, &forecast);
        for kind in KINDS {
            let text = drawn(kind, &bed, &forecast, 800).file();
            assert!(text.len() < 40_000, "{}", text.len());
            for lost in ['\u{202e}', '\u{2066}', '\u{0}', '\u{1b}', '\u{fffe}'] {
                assert!(!text.contains(lost));
            }
        }
    }
}
