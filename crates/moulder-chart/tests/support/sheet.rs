//! Whether all that is drawn lies on the sheet.

use moulder_chart::internals::svg::document::{Room, Svg};
use roxmltree::{Document, Node};

/// Lengths are written in hundredths of a pixel.
const ROUNDING: f64 = 0.01;

/// Holds every number of a drawing to being one, and every place to lie on its sheet. Tiles
/// of hatches repeat across the areas they fill and have places of their own; nothing is
/// clipped, so that nothing may hide beyond the edge either.
pub(crate) fn is_within(svg: &Svg, document: &Document<'_>) {
    let room = svg.room();
    let root = document.root_element();
    let view: Vec<f64> = numbers(root.attribute("viewBox").unwrap());
    for (said, is) in view.iter().zip([0.0, 0.0, room.right, room.bottom]) {
        assert!((said - is).abs() <= ROUNDING, "{view:?} {room:?}");
    }
    let drawn = root.descendants().filter(|node| {
        let in_tile = |node: Node<'_, '_>| node.has_tag_name("defs");
        node.is_element() && !node.ancestors().any(in_tile)
    });
    for node in drawn {
        assert!(!node.has_attribute("transform") && !node.has_attribute("clip-path"));
        for (x, y) in places(&node) {
            let x_is_on = (-ROUNDING..=room.right + ROUNDING).contains(&x);
            let y_is_on = (-ROUNDING..=room.bottom + ROUNDING).contains(&y);
            assert!(x_is_on && y_is_on, "{x} {y} of {room:?}: {}", told(&node));
        }
    }
}

/// The places that an element reaches to.
fn places(node: &Node<'_, '_>) -> Vec<(f64, f64)> {
    let of = |name| number(node.attribute(name).unwrap_or("0"));
    match node.tag_name().name() {
        "path" => path(node.attribute("d").unwrap()),
        "text" => vec![(of("x"), of("y"))],
        "rect" => corners(Room {
            left: of("x"),
            top: of("y"),
            right: of("x") + length(node, "width"),
            bottom: of("y") + length(node, "height"),
        }),
        "circle" => corners(Room {
            left: of("cx") - length(node, "r"),
            top: of("cy") - length(node, "r"),
            right: of("cx") + length(node, "r"),
            bottom: of("cy") + length(node, "r"),
        }),
        "svg" | "g" | "title" | "desc" | "style" | "defs" => Vec::new(),
        other => panic!("nothing is known of <{other}>"),
    }
}

fn corners(room: Room) -> Vec<(f64, f64)> {
    vec![(room.left, room.top), (room.right, room.bottom)]
}

/// A length that must be given, and not negative.
fn length(node: &Node<'_, '_>, name: &str) -> f64 {
    let length = number(node.attribute(name).unwrap());
    assert!(length >= 0.0, "{name} of {}", told(node));
    length
}

/// The places of a path of lines: M, L and Z, and h for the round end of a dot; a line through
/// no points is empty.
fn path(data: &str) -> Vec<(f64, f64)> {
    assert!(data.is_empty() || data.starts_with('M'), "{data}");
    let mut places = Vec::new();
    for step in data.split(['M', 'L', 'Z']) {
        match numbers(step)[..] {
            [x, y] => places.push((x, y)),
            [x, y, more] => places.extend([(x, y), (x + more, y)]),
            [] => {}
            _ => panic!("{step} in {data}"),
        }
    }
    places
}

fn numbers(text: &str) -> Vec<f64> {
    let parts = text.split([' ', 'h']).filter(|part| !part.is_empty());
    parts.map(number).collect()
}

fn number(text: &str) -> f64 {
    let number: f64 = text.parse().unwrap_or(f64::NAN);
    assert!(number.is_finite(), "no number: {text}");
    number
}

fn told(node: &Node<'_, '_>) -> String {
    let text = node.document().input_text()[node.range()].to_owned();
    text.chars().take(300).collect()
}
