//! Beds to draw, and what holds of every drawing.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]
#![allow(dead_code, reason = "not every test uses all of it")]

mod sheet;

use moulder::internals::bed::Bed;
use moulder::internals::forecast::Forecast;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::months::unwatched;
use moulder_chart::internals::kind::of_forecast;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::subject::Subject;
use moulder_chart::{Chart, Svg};

/// The demo bag.
pub(crate) const BAG: &str = include_str!("../../../../examples/beds/bulk-bag.toml");

/// The demo box.
pub(crate) const LOG_BOX: &str = include_str!("../../../../examples/beds/log-box.toml");

/// A bed of one layer: `shape` ("box" with a rim, or "mound"), and more lines of its file.
pub(crate) fn small(shape: &str, climate: &str, more: &str) -> String {
    let edge = match shape {
        "box" => "rim = \"60 cm\"",
        _ => "slope = \"30 deg\"",
    };
    format!(
        r#"
format = 1
name = "Small {shape}, Brickyard Lane"
filled = 2026-03-14
climate = "{climate}"
[bed]
shape = "{shape}"
width = "2 m"
length = "2 m"
{edge}
[[layer]]
grows = true
put = [{{ material = "loamy topsoil", amount = "600 L" }}]
{more}
"#
    )
}

/// A bed from its document.
pub(crate) fn bed(text: &str) -> Bed {
    read_toml(text, &Library::built_in()).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Its forecast.
pub(crate) fn forecast(bed: &Bed, months: u32, draws: u32) -> Forecast {
    let draws = Realisations {
        ensemble_size: draws,
        ..Realisations::default()
    };
    forecast_with_intervals(bed, months, draws, &unwatched).unwrap()
}

/// A chart of a forecast.
pub(crate) fn draw(chart: Chart, subject: &Subject<'_>, look: &Look) -> Svg {
    of_forecast(chart, subject, look).unwrap()
}

/// Holds a drawing to what every drawing keeps: well-formed, named, self-contained, all of it
/// on its sheet, its words clear of each other.
pub(crate) fn sound(svg: &Svg) {
    for text in [svg.file(), svg.inline()] {
        let document = roxmltree::Document::parse(&text).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let labels = root.attribute("aria-labelledby").unwrap();
        for id in labels.split(' ') {
            let named = |node: &roxmltree::Node<'_, '_>| node.attribute("id") == Some(id);
            let label = document.descendants().find(named).unwrap();
            assert!(!label.text().unwrap_or_default().is_empty(), "{id}");
        }
        for node in document.descendants().filter(roxmltree::Node::is_element) {
            let tag = node.tag_name().name();
            assert!(!["script", "image", "a", "foreignObject"].contains(&tag));
            for attribute in node.attributes() {
                assert!(!attribute.name().starts_with("on"), "{attribute:?}");
                assert!(!attribute.value().contains("NaN"), "{attribute:?}");
                assert!(!attribute.value().contains("inf"), "{attribute:?}");
            }
        }
        sheet::is_within(svg, &document);
        let drawn = document
            .descendants()
            .filter(|node| node.has_tag_name("text"));
        let drawn = drawn
            .filter(|node| node.tag_name().namespace() == Some("http://www.w3.org/2000/svg"))
            .count();
        assert_eq!(drawn, svg.texts().len());
    }
    for (at, room) in svg.texts().iter().enumerate() {
        assert!(svg.room().holds(room), "outside: {room:?}");
        for other in &svg.texts()[..at] {
            assert!(
                !room.meets(other),
                "{room:?} on {other:?}\n{}",
                svg.inline()
            );
        }
    }
}
