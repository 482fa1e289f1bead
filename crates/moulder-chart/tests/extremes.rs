//! Every chart of extreme beds.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod support;

use moulder::internals::bed::Bed;
use moulder::internals::forecast::Forecast;
use moulder::internals::forecast::day::days;
use moulder_chart::Chart;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::plot::reading::Reading;
use moulder_chart::internals::subject::Subject;
use support::{bed, draw, forecast, small, sound};

/// At the widths of a telephone and a screen.
const WIDTHS: [u32; 2] = [360, 1200];

/// Draws every chart, sound and the same each time; returns them at the first width.
fn all(bed: &Bed, forecast: &Forecast) -> Vec<(Chart, String)> {
    let days = days(bed).unwrap();
    let readings = Reading::all_of(bed);
    let subject = Subject {
        bed,
        forecast,
        readings: &readings,
        days: &days,
        feeding: None,
    };
    let each = Chart::OF_A_FORECAST.iter().map(|kind| {
        let texts = WIDTHS.map(|width| {
            let look = Look::new(width, kind.as_str());
            let svg = draw(*kind, &subject, &look);
            sound(&svg);
            assert!(svg.about().len() > 20, "{kind:?}");
            assert_eq!(svg.file(), draw(*kind, &subject, &look).file());
            svg.inline()
        });
        let [narrow, _] = texts;
        (*kind, narrow)
    });
    each.collect()
}

/// A round bed of that layer.
fn round(put: &str) -> Bed {
    bed(&format!(
        "format = 1\nname = \"Ring\"\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
         shape = \"round\"\nacross = \"1.2 m\"\nrim = \"60 cm\"\n[[layer]]\nput = [{put}]\n"
    ))
}

/// Every shape, large enough for its fill.
const OUTLINES: [&str; 4] = [
    "shape = \"box\"\nwidth = \"90 cm\"\nlength = \"2 m\"\nrim = \"60 cm\"",
    "shape = \"round\"\nacross = \"1.2 m\"\nrim = \"60 cm\"",
    "shape = \"bag\"\nwidth = \"90 cm\"\nlength = \"90 cm\"\nrim = \"60 cm\"",
    "shape = \"mound\"\nwidth = \"6 m\"\nlength = \"8 m\"\nslope = \"40 deg\"",
];

/// A bed of that outline over a trench.
fn bed_text(outline: &str, trench: &str, layers: &str) -> String {
    format!(
        "format = 1\nname = \"Deep\"\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
         {outline}\ntrench = \"{trench}\"\n{layers}"
    )
}

#[test]
fn one_month() {
    let bed = bed(&small("box", "Hobart AU", ""));
    all(&bed, &forecast(&bed, 1, 4));
}

/// Seasonal cycles would be too narrow: means of years are drawn.
#[test]
fn a_hundred_years() {
    let bed = bed(&small("mound", "Cambridge UK", ""));
    for (kind, text) in all(&bed, &forecast(&bed, 1200, 2)) {
        let goes_with_the_year = [Chart::Warmth, Chart::Water, Chart::Weight];
        let is_yearly = goes_with_the_year.contains(&kind);
        assert_eq!(text.contains("Means of"), is_yearly, "{kind:?}");
        if is_yearly {
            let document = roxmltree::Document::parse(&text).unwrap();
            let line = document
                .descendants()
                .filter(|node| node.attribute("class") == Some("first"))
                .filter_map(|node| node.attribute("d"))
                .map(|drawn| drawn.matches('L').count());
            assert!(line.max().unwrap() < 200, "{kind:?}");
        }
    }
    // Ten years need none.
    for (_, text) in all(&bed, &forecast(&bed, 120, 0)) {
        assert!(!text.contains("Means of"));
    }
}

#[test]
fn one_layer_in_a_round_bed() {
    let bed = round("{ material = \"garden compost\", amount = \"5 cm\" }");
    all(&bed, &forecast(&bed, 12, 4));
}

#[test]
fn forty_layers() {
    let layer = "[[layer]]\nname = \"leaves\"\nput = [{ material = \"deciduous leaves\", amount \
                 = \"3 cm\" }]\n";
    let bed = bed(&small("box", "Cambridge UK", &layer.repeat(39)));
    assert_eq!(bed.layers().len(), 40);
    all(&bed, &forecast(&bed, 12, 2));
}

#[test]
fn a_bed_that_does_not_sink_under_a_band_of_no_width() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let mut still = forecast(&bed, 24, 2);
    let first = still.months[0].clone();
    for row in &mut still.months {
        let (month, date) = (row.month, row.date);
        *row = first.clone();
        row.month = month;
        row.date = date;
    }
    let at_first = still.intervals[0].clone();
    for band in &mut still.intervals {
        let month = band.month;
        *band = at_first.clone();
        band.month = month;
        for height in [
            &mut band.height_m,
            &mut band.settlement_m,
            &mut band.carbon_kg,
        ] {
            height.lower = height.median;
            height.upper = height.median;
        }
    }
    all(&bed, &still);
}

/// Every shape, in a trench that its fill is level with, stands out of, and lies deep in.
#[test]
fn every_shape_in_a_trench() {
    let layers = "[[layer]]\nput = [{ material = \"birch log\", amount = \"30 cm\" }]\n\
                  [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"10 cm\" }]\n";
    for outline in OUTLINES {
        for trench in ["1 cm", "25 cm", "40 cm", "80 cm"] {
            let bed = bed(&bed_text(outline, trench, layers));
            assert!(bed.trench_m() > 0.0);
            all(&bed, &forecast(&bed, 24, 2));
        }
    }
}

#[test]
fn a_name_of_ten_thousand_signs() {
    let more = "[[reading]]\non = 2026-09-14\nbelow-rim = \"33 cm\"\n";
    let bed = bed(&small("box", "Cambridge UK", more));
    let mut forecast = forecast(&bed, 12, 2);
    let names = [
        "W".repeat(10_000),
        "<script>alert(1)</script>'\"&".repeat(400),
        "\u{5d2}\u{5d9}\u{202e}\u{2066}".repeat(2_500),
        "\u{1f954}\u{1f469}\u{200d}\u{1f33e} ".repeat(2_500),
    ];
    for name in names {
        forecast.name.clone_from(&name);
        forecast.layers[0].clone_from(&name);
        forecast.climate = name;
        for (kind, text) in all(&bed, &forecast) {
            assert!(!text.contains("<script") && !text.contains('\u{202e}'));
            // Names are cut, not carried along.
            assert!(text.len() < 200_000, "{kind:?} {}", text.len());
        }
    }
}

/// The first month follows the heights on its days, not a straight line.
#[test]
fn a_first_month_is_drawn_day_by_day() {
    let bed = round("{ material = \"mixed green waste\", amount = \"50 cm\" }");
    let forecast = forecast(&bed, 6, 2);
    let days = days(&bed).unwrap();
    for kind in [Chart::Height, Chart::Layers, Chart::Causes] {
        let points = |days: &[moulder::internals::forecast::day::Day]| {
            let subject = Subject {
                bed: &bed,
                forecast: &forecast,
                readings: &[],
                days,
                feeding: None,
            };
            let text = draw(kind, &subject, &Look::new(800, "days")).inline();
            let document = roxmltree::Document::parse(&text).unwrap();
            let line = document
                .descendants()
                .filter(|node| node.attribute("class") == Some("first"))
                .filter_map(|node| node.attribute("d"))
                .max_by_key(|drawn| drawn.len());
            line.unwrap().matches('L').count()
        };
        assert_eq!(points(&[]), 6, "{kind:?}");
        assert_eq!(points(&days), 6 + 9, "{kind:?}");
    }
}

/// The interval of the carbon left may reach above what was put in.
#[test]
fn the_bar_beside_the_carbon_stays_in_the_plot() {
    let bed = bed(&small("box", "Cambridge UK", ""));
    let mut forecast = forecast(&bed, 3, 2);
    for band in &mut forecast.intervals {
        band.carbon_kg.upper = 2.0 * forecast.months[0].carbon_kg;
    }
    let (_, text) = all(&bed, &forecast)
        .into_iter()
        .find(|(kind, _)| *kind == Chart::Carbon)
        .unwrap();
    let document = roxmltree::Document::parse(&text).unwrap();
    let tops = |class: &str, within: &str| -> f64 {
        let paths = document.descendants().filter(|node| {
            let group = node.parent().and_then(|parent| parent.attribute("class"));
            node.attribute("class") == Some(class) && group == Some(within)
        });
        let ys = paths.flat_map(|path| {
            let places = path.attribute("d").unwrap().split(['M', 'L']);
            let places = places.filter_map(|place| place.split_once(' '));
            places
                .map(|(_, y)| y.parse::<f64>().unwrap())
                .collect::<Vec<_>>()
        });
        ys.fold(f64::INFINITY, f64::min)
    };
    let (bar, plot) = (tops("first", "range"), tops("grid", "values"));
    assert!(bar >= plot, "{bar} {plot}");
}
