//! Drawings in dots, and whether hatches are told apart in them.
#![cfg(feature = "png")]

use moulder_chart::hatch::Hatch;
use moulder_chart::ink::Ink;
use moulder_chart::raster::{DOTS_LIMIT, RasterError, png};
use moulder_chart::svg::{Anchor, Svg, TextSize, Words};
use resvg::tiny_skia::Pixmap;

/// Side of a patch of hatching; px.
const SIDE: u32 = 120;

fn grey(picture: &Pixmap, x: u32, y: u32) -> f64 {
    let dot = picture.pixel(x, y).unwrap();
    // Weights of WCAG 2, on the bytes: enough to compare.
    (0.2126 * f64::from(dot.red()) + 0.7152 * f64::from(dot.green())
        + 0.0722 * f64::from(dot.blue()))
        / 255.0
}

/// The mean darkness of a patch, and how much it changes from dot to dot across, down and
/// along both slants.
fn look_of(picture: &Pixmap, left: u32) -> [f64; 5] {
    let mut sums = [0.0; 5];
    let (inner, last) = (4, SIDE - 4);
    for y in inner..last {
        for x in left + inner..left + last {
            let here = grey(picture, x, y);
            let change = |x, y| (here - grey(picture, x, y)).abs();
            let changes = [
                1.0 - here,
                change(x + 1, y),
                change(x, y + 1),
                change(x + 1, y + 1),
                change(x + 1, y - 1),
            ];
            for (sum, change) in sums.iter_mut().zip(changes) {
                *sum += change;
            }
        }
    }
    sums.map(|sum| sum / f64::from((last - inner) * (last - inner)))
}

#[test]
fn hatches_are_told_apart_in_grey() {
    let count = u32::try_from(Hatch::ALL.len()).unwrap();
    let mut svg = Svg::new("h", f64::from(SIDE * count), f64::from(SIDE), "t", "a");
    for (at, hatch) in (0..).zip(Hatch::ALL) {
        let (left, side) = (f64::from(SIDE * at), f64::from(SIDE));
        let corners = [(left, 0.0), (left + side, 0.0), (left + side, side), (left, side)];
        svg.hatched(hatch, &corners);
    }
    let picture = Pixmap::decode_png(&png(&svg, 1.0).unwrap()).unwrap();
    let looks: Vec<_> = (0..count).map(|at| look_of(&picture, SIDE * at)).collect();
    for (at, one) in looks.iter().enumerate() {
        assert!(one[0] > 0.08, "{:?} is too faint: {one:?}", Hatch::ALL[at]);
        for (other_at, other) in looks[..at].iter().enumerate() {
            let apart = one.iter().zip(other).map(|(a, b)| (a - b).abs() / a.max(*b));
            let apart = apart.fold(0.0, f64::max);
            let pair = (Hatch::ALL[at], Hatch::ALL[other_at]);
            assert!(apart > 0.2, "{pair:?} look alike: {one:?} {other:?}");
        }
    }
}

#[test]
fn words_are_drawn_with_the_shipped_font() {
    let words = |text| {
        let mut svg = Svg::new("w", 200.0, 40.0, "t", "a");
        let words = Words {
            text,
            x: 10.0,
            y: 25.0,
            size: TextSize::Heading,
            anchor: Anchor::Start,
            quiet: false,
        };
        svg.write(&words, true);
        let end = svg.texts()[0].right;
        (Pixmap::decode_png(&png(&svg, 2.0).unwrap()).unwrap(), end)
    };
    let (picture, end) = words("HHHHH");
    assert_eq!((picture.width(), picture.height()), (400, 80));
    let is_dark = |x: &u32| (0..80).any(|y| grey(&picture, *x, y) < 0.4);
    let last = (0..400).rev().find(is_dark).unwrap();
    // The letter stops a little before its advance does: 0.1 of its size (18 px).
    let measured = f64::from(last + 1) / 2.0;
    assert!(measured < end && end - measured < 2.5, "{measured} {end}");
}

#[test]
fn the_light_scheme_is_drawn() {
    let mut svg = Svg::new("c", 20.0, 20.0, "t", "a");
    svg.circle(Ink::FirstArea, (10.0, 10.0), 8.0);
    let picture = Pixmap::decode_png(&png(&svg, 1.0).unwrap()).unwrap();
    let dot = |x, y| {
        let dot = picture.pixel(x, y).unwrap();
        (dot.red(), dot.green(), dot.blue())
    };
    assert_eq!(dot(10, 10), (0x16, 0x30, 0x5e));
    assert_eq!(dot(0, 0), (0xfd, 0xfc, 0xf8));
}

#[test]
fn a_picture_too_large_is_refused() {
    let svg = Svg::new("b", 4000.0, 100.0, "t", "a");
    for scale in [0.0, 5.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(png(&svg, scale), Err(RasterError::Size { .. })), "{scale}");
    }
    let most = f64::from(DOTS_LIMIT) / 4000.0;
    assert!(png(&svg, most).is_ok());
}
