//! Prunings in a layer: sticks that lie every way, thinner as they decay.

use crate::section::chance::Chance;
use crate::section::packing::Bounds;
use crate::svg::polygon::Point;

/// Length of a stick, in its thicknesses, and the shortest and longest there are; m.
const LENGTH: f64 = 10.0;
const LENGTHS_M: (f64, f64) = (0.08, 0.35);

/// Thinnest and thickest stick, as shares of the diameter given.
const SIZES: (f64, f64) = (0.45, 1.25);

/// Steps that spread positions evenly: powers of 1 over the root 1.3247 of x^3 = x + 1.
const EVENLY: (f64, f64) = (0.754_877_666, 0.569_840_291);

/// Most sticks in a layer: with more, each is drawn thicker.
const STICKS_LIMIT: usize = 320;

/// How steep a stick may lie: rise over length.
const STEEPEST: f64 = 0.75;

/// A stick by its two ends; m from the middle of the layer and over its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stick {
    /// One end.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// How thick it is; m.
    pub thick_m: f64,
}

/// Sticks of about the diameter `across` that together cover `area` of a layer, m and m2. The
/// same seed gives the same sticks.
#[must_use]
pub(crate) fn strewn(bounds: &Bounds, across_m: f64, area_m2: f64, seed: u64) -> Vec<Stick> {
    let mut chance = Chance::new(seed);
    let mut sticks = Vec::new();
    let mut covered_m2 = 0.0;
    let first = 100.0 * chance.share();
    let usual_m = (LENGTH * across_m).clamp(LENGTHS_M.0, LENGTHS_M.1);
    while covered_m2 < area_m2 && sticks.len() < STICKS_LIMIT && bounds.height > 0.0 {
        #[allow(clippy::cast_precision_loss, reason = "a few hundred")]
        let count = sticks.len() as f64 + first;
        let thick_m = across_m * chance.between(SIZES.0, SIZES.1);
        let length_m = usual_m * chance.between(0.5, 1.3);
        let highest = (0.9 * bounds.height / length_m).min(STEEPEST);
        let rise = highest * chance.between(-1.0, 1.0);
        let (run_m, rise_m) = (length_m * (1.0 - rise * rise).sqrt(), length_m * rise);
        let half_m = 0.5 * rise_m.abs();
        let y = half_m + (bounds.height - 2.0 * half_m) * (EVENLY.1 * count).fract();
        let (left, right) = bounds.ends(y);
        let x = left + (right - left) * (EVENLY.0 * count).fract();
        // What would stick out through the side is broken off.
        let end = |way: f64| {
            let (x, y) = (x + 0.5 * way * run_m, y + 0.5 * way * rise_m);
            let (left, right) = bounds.ends(y);
            (x.clamp(left, right), y)
        };
        let (from, to) = (end(-1.0), end(1.0));
        covered_m2 += thick_m * distance(from, to);
        sticks.push(Stick { from, to, thick_m });
    }
    sticks
}

/// A stick of that thickness as an area.
#[must_use]
pub(crate) fn area_of(from: Point, to: Point, thick: f64) -> Vec<Point> {
    let length = distance(from, to);
    if length == 0.0 {
        return Vec::new();
    }
    let (x, y) = (
        0.5 * thick * (from.1 - to.1) / length,
        0.5 * thick * (to.0 - from.0) / length,
    );
    vec![
        (from.0 + x, from.1 + y),
        (from.0 - x, from.1 - y),
        (to.0 - x, to.1 - y),
        (to.0 + x, to.1 + y),
    ]
}

/// How far two places are apart.
#[must_use]
pub(crate) fn distance(from: Point, to: Point) -> f64 {
    let (x, y) = (to.0 - from.0, to.1 - from.1);
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::{area_of, distance, strewn};
    use crate::section::packing::Bounds;
    use crate::svg::polygon::area;

    #[test]
    fn sticks_lie_within_and_cover_what_they_should() {
        let bounds = Bounds {
            height: 0.2,
            foot: (-0.5, 0.5),
            head: (-0.4, 0.5),
            upright: 0.0,
        };
        let sticks = strewn(&bounds, 0.02, 0.05, 4);
        let covered: f64 = sticks
            .iter()
            .map(|stick| area(&area_of(stick.from, stick.to, stick.thick_m)))
            .sum();
        // The last stick exceeds the area.
        assert!((0.05..0.05 + 0.025 * 0.35).contains(&covered), "{covered}");
        for stick in &sticks {
            for (x, y) in [stick.from, stick.to] {
                assert!((0.0..=0.2).contains(&y) && (-0.5..=0.5).contains(&x));
            }
            assert!(distance(stick.from, stick.to) <= 0.35 * 1.3 + 1e-9);
        }
        assert_eq!(sticks, strewn(&bounds, 0.02, 0.05, 4));
        let flat = Bounds {
            height: 0.0,
            ..bounds
        };
        assert!(strewn(&flat, 0.02, 0.05, 4).is_empty());
    }
}
