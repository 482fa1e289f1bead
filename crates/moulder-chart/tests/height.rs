//! The chart of heights: demo beds, and extreme beds.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod support;

use moulder::internals::bed::Bed;
use moulder::internals::forecast::Forecast;
use moulder_chart::Chart;
use moulder_chart::Svg;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::plot::reading::Reading;
use moulder_chart::internals::subject::Subject;
use support::{BAG, LOG_BOX, bed, draw, forecast, small, sound};

fn drawn(bed: &Bed, forecast: &Forecast, readings: &[Reading], width: u32) -> Svg {
    let subject = Subject {
        bed,
        forecast,
        readings,
        days: &[],
        feeding: None,
    };
    let svg = draw(Chart::Height, &subject, &Look::new(width, "height"));
    sound(&svg);
    svg
}

/// At the widths of a telephone, a page and a wall.
fn at_all_widths(bed: &Bed, forecast: &Forecast, readings: &[Reading]) {
    for width in [320, 360, 800, 1280, 4000] {
        drawn(bed, forecast, readings, width);
    }
}

#[test]
fn the_demo_beds_look_as_they_did() {
    for (name, text) in [("bag", BAG), ("log-box", LOG_BOX)] {
        let bed = bed(text);
        let forecast = forecast(&bed, 12, 10);
        at_all_widths(&bed, &forecast, &[]);
        let svg = drawn(&bed, &forecast, &[], 800);
        assert_eq!(svg.file(), drawn(&bed, &forecast, &[], 800).file());
        insta::assert_snapshot!(name, svg.inline());
    }
}

#[test]
fn months_from_none_to_a_hundred_years_have_room() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let long = forecast(&bed, 1200, 0);
    for months in [0, 1, 2, 5, 12, 18, 24, 36, 60, 120, 240, 600, 1200] {
        let mut short = long.clone();
        short.months.truncate(months + 1);
        at_all_widths(&bed, &short, &[]);
    }
}

#[test]
fn a_range_of_no_width_and_none_are_drawn() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let none = forecast(&bed, 12, 0);
    let text = drawn(&bed, &none, &[], 800).inline();
    assert!(!text.contains("class=\"band") && text.contains("no range was asked for"));
    let mut narrow = forecast(&bed, 12, 4);
    for (band, row) in narrow.intervals.iter_mut().zip(&narrow.months) {
        band.height_m.lower = row.height_m;
        band.height_m.upper = row.height_m;
    }
    at_all_widths(&bed, &narrow, &[]);
    let text = drawn(&bed, &narrow, &[], 800).inline();
    assert!(text.contains(">about ") && !text.contains(">high") && !text.contains(">low"));
}

#[test]
fn a_bed_that_does_not_sink_is_drawn() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let mut still = forecast(&bed, 24, 4);
    let first = still.months[0].clone();
    for (band, row) in still.intervals.iter_mut().zip(&mut still.months) {
        row.height_m = first.height_m;
        row.settlement_m = 0.0;
        band.height_m.lower = first.height_m;
        band.height_m.upper = first.height_m;
    }
    at_all_widths(&bed, &still, &[]);
}

#[test]
fn a_bed_of_no_height_is_drawn() {
    let bed = bed(&small("mound", "Cambridge UK", ""));
    let mut flat = forecast(&bed, 3, 0);
    for row in &mut flat.months {
        row.height_m = 0.0;
    }
    at_all_widths(&bed, &flat, &[]);
}

#[test]
fn without_a_rim_there_is_no_right_axis() {
    let bed = bed(&small("mound", "Cambridge UK", ""));
    let forecast = forecast(&bed, 24, 4);
    at_all_widths(&bed, &forecast, &[]);
    let text = drawn(&bed, &forecast, &[], 800).inline();
    assert!(!text.contains("below the rim<") && !text.contains("values-right"));
}

#[test]
fn seasons_are_those_of_the_place() {
    let seasons = |climate: &str| {
        let bed = bed(&small("mound", climate, ""));
        let text = drawn(&bed, &forecast(&bed, 12, 0), &[], 1280).inline();
        let document = roxmltree::Document::parse(&text).unwrap();
        let texts = document.descendants().filter(roxmltree::Node::is_text);
        let texts = texts.filter_map(|node| node.text());
        texts
            .filter(|text| ["spring", "summer", "autumn", "winter"].contains(text))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let (north, south) = (seasons("Cambridge UK"), seasons("Hobart AU"));
    assert_eq!(north[..4], ["spring", "summer", "autumn", "winter"]);
    assert_eq!(south[..4], ["autumn", "winter", "spring", "summer"]);
}

#[test]
fn what_is_laid_on_is_a_step_with_its_height() {
    let more = "[[added]]\non = 2026-11-20\nmaterial = \"garden compost\"\namount = \
                \"8 cm\"\n";
    let bed = bed(&small("box", "Cambridge UK", more));
    let forecast = forecast(&bed, 24, 4);
    at_all_widths(&bed, &forecast, &[]);
    let text = drawn(&bed, &forecast, &[], 800).inline();
    assert!(text.contains("<title>Laid on</title>"));
    let rise_cm = (forecast.months[9].added_m - forecast.months[8].added_m) * 100.0;
    assert!(text.contains(&format!(">+{rise_cm:.0} cm<")), "{text}");
}

#[test]
fn tape_readings_have_bars_of_their_length() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let forecast = forecast(&bed, 12, 0);
    let readings = [
        Reading {
            month: 3.0,
            height_m: 0.27,
            plus_minus_m: 0.02,
        },
        Reading {
            month: 3.2,
            height_m: 0.265,
            plus_minus_m: 0.01,
        },
        Reading {
            month: 9.0,
            height_m: 0.25,
            plus_minus_m: 0.0,
        },
    ];
    at_all_widths(&bed, &forecast, &readings);
    let text = drawn(&bed, &forecast, &readings, 800).inline();
    let document = roxmltree::Document::parse(&text).unwrap();
    let count = |class| {
        let of = |node: &roxmltree::Node<'_, '_>| node.attribute("class") == Some(class);
        document.descendants().filter(of).count()
    };
    assert_eq!((count("second-area"), count("reading")), (3, 9));
}

#[test]
fn names_do_no_harm() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let mut forecast = forecast(&bed, 12, 0);
    let names = [
        "</title><script>alert(1)</script>".to_owned(),
        "\" onload=\"alert(1)' & <b> &amp; ]]>".to_owned(),
        "\u{202e}\u{2066}\u{0}\u{1b}[31m\u{fffe} box\n\n\tof mine".to_owned(),
        "\u{5d2}\u{5d9}\u{5e0}\u{5d4} \u{2069}\u{62d}\u{62f}\u{64a}\u{642}\u{629}".to_owned(),
        "\u{1f954}\u{1f469}\u{200d}\u{1f33e}".repeat(100),
        "w".repeat(10_000),
        "bed ".repeat(2_500),
        String::new(),
    ];
    for name in names {
        forecast.name.clone_from(&name);
        at_all_widths(&bed, &forecast, &[]);
        let text = drawn(&bed, &forecast, &[], 800).file();
        assert!(text.len() < 40_000, "{}", text.len());
        for lost in ['\u{202e}', '\u{2066}', '\u{0}', '\u{1b}', '\u{fffe}'] {
            assert!(!text.contains(lost));
        }
    }
}
