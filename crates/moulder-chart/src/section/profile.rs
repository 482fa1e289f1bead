//! The outline of a bed cut across: how wide each layer lies, and how it bulges.

use moulder_core::bed::shape::Shape;

use crate::svg::polygon::Point;

/// By what share a full bag is wider at half its height than on average, for the look of
/// it (our own closure: the forecast has one area for the whole bag).
const BULGE: f64 = 0.05;

/// Steps in which a bulging side is drawn.
const STEPS: u32 = 6;

/// A layer cut across, on a day; m, heights over the ground beside the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie {
    /// Its foot.
    pub bottom_m: f64,
    /// Its top.
    pub top_m: f64,
    /// Half its width at the foot.
    pub foot_half_m: f64,
    /// Half its width at the top.
    pub head_half_m: f64,
    /// Where the bag bulges most, and half the height over which it does; none for others.
    pub bulge: Option<(f64, f64)>,
}

impl Lie {
    /// Its thickness; m.
    #[must_use]
    pub fn thickness_m(&self) -> f64 {
        self.top_m - self.bottom_m
    }

    /// Half its width at a share of its thickness; m.
    #[must_use]
    pub fn half_m(&self, share: f64) -> f64 {
        let straight_m = self.foot_half_m + (self.head_half_m - self.foot_half_m) * share;
        self.bulge.map_or(straight_m, |(middle_m, half_m)| {
            straight_m * bulging(self.bottom_m + self.thickness_m() * share, middle_m, half_m)
        })
    }

    /// A place within it: a share of its half width right of the middle, and a share of its
    /// thickness over its foot.
    #[must_use]
    pub fn place(&self, across: f64, up: f64) -> Point {
        (
            across * self.half_m(up),
            self.bottom_m + self.thickness_m() * up,
        )
    }

    /// Its outline, against the clock.
    #[must_use]
    pub fn outline(&self) -> Vec<Point> {
        let steps = if self.bulge.is_some() { STEPS } else { 1 };
        let ups = (0..=steps).map(|step| f64::from(step) / f64::from(steps));
        let right = ups.clone().map(|up| self.place(1.0, up));
        let left = ups.rev().map(|up| self.place(-1.0, up));
        right.chain(left).collect()
    }
}

/// How much wider than on average a bag is at a height.
fn bulging(height_m: f64, middle_m: f64, half_m: f64) -> f64 {
    let off = (height_m - middle_m) / half_m.max(f64::MIN_POSITIVE);
    // A parabola, which on average is two thirds of its height.
    1.0 + BULGE * (1.0 - off * off - 2.0 / 3.0)
}

/// The sides of a bag, at heights from the ground to the rim, `average_half_m` wide on
/// average where it is filled to `top_m`; half widths.
#[must_use]
pub(crate) fn bag_side(average_half_m: f64, top_m: f64, rim_m: f64) -> Vec<(f64, f64)> {
    let (middle_m, half_m) = bulge_of(top_m);
    (0..=4 * STEPS)
        .map(|step| {
            let height_m = rim_m * f64::from(step) / f64::from(4 * STEPS);
            // Above the fill the cloth stands as wide as at its top.
            let filled_m = height_m.min(top_m);
            (
                average_half_m * bulging(filled_m, middle_m, half_m),
                height_m,
            )
        })
        .collect()
}

/// Where a bag filled to that height bulges most, and half the height over which it does.
#[must_use]
pub(crate) const fn bulge_of(top_m: f64) -> (f64, f64) {
    (0.5 * top_m, 0.5 * top_m)
}

/// Half the width of a bed across its shorter way, at a height over its foot when it was
/// filled; m. For a bag, before it bulges.
#[must_use]
pub(crate) fn filled_half_m(shape: &Shape, over_foot_m: f64) -> f64 {
    let (width_m, length_m) = shape.section_m(over_foot_m);
    0.5 * width_m.min(length_m)
}

#[cfg(test)]
mod tests {
    use super::{Lie, bulge_of};
    use crate::svg::polygon::area;

    #[test]
    fn bulging_changes_no_area() {
        let layer = |bottom_m, top_m| Lie {
            bottom_m,
            top_m,
            foot_half_m: 0.5,
            head_half_m: 0.5,
            bulge: Some(bulge_of(0.9)),
        };
        let layers = [layer(0.0, 0.3), layer(0.3, 0.5), layer(0.5, 0.9)];
        let sum: f64 = layers.iter().map(|lie| area(&lie.outline())).sum();
        assert!((sum - 0.9).abs() < 2e-3, "{sum}");
    }

    #[test]
    fn a_sloping_layer_is_a_trapezoid() {
        let lie = Lie {
            bottom_m: -0.2,
            top_m: 0.2,
            foot_half_m: 1.0,
            head_half_m: 0.6,
            bulge: None,
        };
        assert!((area(&lie.outline()) - 0.64).abs() < 1e-12);
        assert_eq!(lie.place(0.5, 0.5), (0.4, 0.0));
    }
}
