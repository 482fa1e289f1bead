//! PNG of drawings, and whether hatches can be distinguished in them.
#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]
#![cfg(feature = "png")]

use moulder_chart::Svg;
use moulder_chart::internals::svg::DOTS_LIMIT;
use moulder_chart::internals::svg::document::{Anchor, TextSize, Words};
use moulder_chart::internals::svg::hatch::Hatch;
use moulder_chart::internals::svg::ink::Ink;
use moulder_chart::{ChartError, png};
use resvg::tiny_skia::Pixmap;

/// Side of a patch of hatching; px.
const SIDE: u32 = 120;

fn grey(picture: &Pixmap, x: u32, y: u32) -> f64 {
    let dot = picture.pixel(x, y).unwrap();
    // Weights of WCAG 2, on the bytes: enough to compare.
    (0.2126 * f64::from(dot.red())
        + 0.7152 * f64::from(dot.green())
        + 0.0722 * f64::from(dot.blue()))
        / 255.0
}

/// Dots of a patch that are compared, either way.
const COMPARED: usize = 72;

/// Furthest that one patch is shifted over another: more than a tile.
const SHIFT: usize = 46;

/// How dark each dot of a patch is, row by row.
fn darkness(picture: &Pixmap, left: u32) -> Vec<Vec<f64>> {
    let row = |y| {
        (left..left + SIDE)
            .map(|x| 1.0 - grey(picture, x, y))
            .collect()
    };
    (0..SIDE).map(row).collect()
}

/// The share of the darkness of two patches that does not lie on the other's, with one
/// shifted to where they are most alike: 0 for the same hatch.
fn apart(one: &[Vec<f64>], other: &[Vec<f64>]) -> f64 {
    let mut least = f64::INFINITY;
    // The outline, 2 px, is left out.
    let first = 2;
    for down in 0..SHIFT {
        for across in 0..SHIFT {
            let (mut differs, mut all) = (0.0, 0.0);
            for y in (first..first + COMPARED).step_by(2) {
                for x in first..first + COMPARED {
                    let (a, b) = (one[y][x], other[y + down][x + across]);
                    differs += (a - b).abs();
                    all += a.max(b);
                }
            }
            least = f64::min(least, differs / all);
        }
    }
    least
}

#[test]
fn hatches_are_told_apart_in_grey() {
    let count = u32::try_from(Hatch::ALL.len()).unwrap();
    let mut svg = Svg::new("h", f64::from(SIDE * count), f64::from(SIDE), "t", "a");
    for (at, hatch) in (0..).zip(Hatch::ALL) {
        let (left, side) = (f64::from(SIDE * at), f64::from(SIDE));
        let corners = [
            (left, 0.0),
            (left + side, 0.0),
            (left + side, side),
            (left, side),
        ];
        svg.hatched(hatch, &corners);
    }
    let picture = Pixmap::decode_png(&png(&svg, 1.0).unwrap()).unwrap();
    let patches: Vec<_> = (0..count).map(|at| darkness(&picture, SIDE * at)).collect();
    for (at, one) in patches.iter().enumerate() {
        let all: f64 = one.iter().flatten().sum();
        let mean = all / f64::from(SIDE * SIDE);
        assert!(mean > 0.08, "{:?} is too faint: {mean}", Hatch::ALL[at]);
        assert!(apart(one, one) < 1e-9);
        for (other_at, other) in patches[..at].iter().enumerate() {
            let apart = apart(one, other);
            let pair = (Hatch::ALL[at], Hatch::ALL[other_at]);
            println!("{pair:?}: {apart:.2} apart");
            assert!(apart > 0.4, "{pair:?} look alike: {apart}");
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

/// All that a chart is drawn with: hatches, lines with dashes, areas, dots, words.
fn all_sorts() -> Svg {
    let mut svg = Svg::new("s", 360.0, 200.0, "t", "a");
    for (at, hatch) in (0..).zip(Hatch::ALL) {
        let left = f64::from(40 * at);
        svg.hatched(
            hatch,
            &[(left, 0.0), (left + 37.3, 5.0), (left + 31.0, 60.7)],
        );
    }
    for (at, ink) in (0..).zip(Ink::ALL) {
        let y = 64.0 + 3.1 * f64::from(at);
        svg.line(*ink, &[(3.3, y), (120.0, y + 7.7), (200.0, y)]);
        svg.circle(*ink, (250.0, y), 3.7);
    }
    svg.dots(Ink::Crumb, &[(300.0, 100.0), (303.3, 101.1)]);
    let words = Words {
        text: "Quarry Field, 14 Mar 2026",
        x: 200.5,
        y: 190.2,
        size: TextSize::Body,
        anchor: Anchor::Start,
        quiet: true,
    };
    svg.write(&words, true);
    svg
}

/// On another processor of the architecture this must come out alike; see `png`.
#[test]
#[cfg(target_arch = "x86_64")]
fn a_picture_has_the_same_bytes_on_every_processor() {
    // FNV-1a (Fowler, Noll, Vo), 64 bits.
    let digest = |bytes: &[u8]| {
        bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| {
            (sum ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
        })
    };
    let file = png(&all_sorts(), 2.0).unwrap();
    assert_eq!(file, png(&all_sorts(), 2.0).unwrap());
    let dots = Pixmap::decode_png(&file).unwrap();
    let digests = format!(
        "dots {:016x}, file {:016x}",
        digest(dots.data()),
        digest(&file)
    );
    insta::assert_snapshot!("picture", digests);
}

#[test]
fn a_picture_too_large_is_refused() {
    let svg = Svg::new("b", 4000.0, 100.0, "t", "a");
    for scale in [0.0, 5.0, f64::NAN, f64::INFINITY] {
        assert!(
            matches!(png(&svg, scale), Err(ChartError::PictureSize { .. })),
            "{scale}"
        );
    }
    let most = f64::from(DOTS_LIMIT) / 4000.0;
    assert!(png(&svg, most).is_ok());
}
