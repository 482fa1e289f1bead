//! The outline of a bed cut across: how wide each layer lies, and how it bulges.

use moulder::Shape;

use crate::svg::polygon::Point;

/// By what share a full bag is wider at half its height than on average, for the drawing alone
/// (our own closure: the forecast has one area for the whole bag).
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
    /// Where the bag bulges most, and half the height over which it does; none for others,
    /// and for one that is not filled up to the ground.
    pub bulge: Option<(f64, f64)>,
    /// The share of its thickness up to which it is as wide as at its foot: what filled the
    /// trench of a mound. 0 for others.
    pub upright: f64,
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
        let sloping = sloping(share, self.upright);
        let straight_m = self.foot_half_m + (self.head_half_m - self.foot_half_m) * sloping;
        straight_m * bulging(self.bottom_m + self.thickness_m() * share, self.bulge)
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

    /// Its outline, counter-clockwise.
    #[must_use]
    pub fn outline(&self) -> Vec<Point> {
        let steps = if self.bulge.is_some() { STEPS } else { 1 };
        let mut ups: Vec<f64> = (0..=steps)
            .map(|step| f64::from(step) / f64::from(steps))
            .collect();
        let shoulder = self.shoulder();
        if let Some(bend) = self.bends_at().or(shoulder) {
            ups.push(bend);
            ups.sort_by(f64::total_cmp);
        }
        self.within(&ups)
    }

    /// Its convex part, counter-clockwise: all of it, but where a bag bends out at the ground, for
    /// what lies deeper is held by the trench.
    #[must_use]
    pub(crate) fn convex_part(&self) -> Vec<Point> {
        match self.bends_at() {
            // The bag is as wide at its top as at the ground, and nowhere narrower.
            Some(_) => self.within(&[0.0, 1.0]),
            None => self.outline(),
        }
    }

    /// The share of its thickness at which the side of a mound begins to slope; none where all of
    /// it slopes or stands upright.
    #[must_use]
    pub(crate) fn shoulder(&self) -> Option<f64> {
        (self.upright > 0.0 && self.upright < 1.0).then_some(self.upright)
    }

    /// The area between its sides at shares of its thickness, from the foot up.
    fn within(&self, ups: &[f64]) -> Vec<Point> {
        let right = ups.iter().map(|up| self.place(1.0, *up));
        let left = ups.iter().rev().map(|up| self.place(-1.0, *up));
        right.chain(left).collect()
    }

    /// The share of its thickness at which a bag that stands in a trench begins to bulge.
    fn bends_at(&self) -> Option<f64> {
        let is_across = self.bottom_m < 0.0 && self.top_m > 0.0;
        (self.bulge.is_some() && is_across).then(|| -self.bottom_m / self.thickness_m())
    }
}

/// The share of the way from foot to top that a side has sloped at a share of its thickness, if
/// it is upright up to another.
#[must_use]
pub(crate) fn sloping(share: f64, upright: f64) -> f64 {
    if share <= upright {
        0.0
    } else {
        (share - upright) / (1.0 - upright)
    }
}

/// How much wider than on average a bag is at a height; 1 where it does not bulge.
fn bulging(height_m: f64, bulge: Option<(f64, f64)>) -> f64 {
    let Some((middle_m, half_m)) = bulge else {
        return 1.0;
    };
    // Below the ground it cannot: it stays as wide as there.
    let off = ((height_m - middle_m) / half_m.max(f64::MIN_POSITIVE)).max(-1.0);
    // A parabola, which on average is two thirds of its height.
    1.0 + BULGE * (1.0 - off * off - 2.0 / 3.0)
}

/// How wide a bag in a trench is on average, by [`bulging`], filled to `top_m` over the
/// ground; 1 without a trench.
#[must_use]
pub(crate) fn mean_bulging(trench_m: f64, top_m: f64) -> f64 {
    let Some((_, half_m)) = bulge_of(top_m) else {
        return 1.0;
    };
    let bulging_share = 2.0 * half_m / (2.0 * half_m + trench_m);
    1.0 - BULGE * 2.0 / 3.0 * (1.0 - bulging_share)
}

/// The sides of a bag, at heights from the ground to the rim, `average_half_m` wide on
/// average where it is filled to `top_m`; half widths. One filled less high than the ground
/// is seen from its fill on.
#[must_use]
pub(crate) fn bag_side(average_half_m: f64, top_m: f64, rim_m: f64) -> Vec<(f64, f64)> {
    let (bulge, from_m) = (bulge_of(top_m), top_m.min(0.0));
    (0..=4 * STEPS)
        .map(|step| {
            let height_m = from_m + (rim_m - from_m) * f64::from(step) / f64::from(4 * STEPS);
            // Above the fill the cloth stands as wide as at its top.
            let filled_m = height_m.min(top_m);
            (average_half_m * bulging(filled_m, bulge), height_m)
        })
        .collect()
}

/// Where a bag filled to that height over the ground bulges most, and half the height over
/// which it does; none where it is not filled so far.
#[must_use]
pub(crate) fn bulge_of(top_m: f64) -> Option<(f64, f64)> {
    (top_m > 0.0).then_some((0.5 * top_m, 0.5 * top_m))
}

/// Half the width of a bed across its shorter way, at a height over its foot when it was
/// filled; m. For a bag, before it bulges.
#[must_use]
pub(crate) fn filled_half_m(shape: &Shape, over_foot_m: f64) -> f64 {
    let (width_m, length_m) = shape.section_m(over_foot_m);
    0.5 * width_m.min(length_m)
}

/// Half the width of a mound where its area has grown by a factor as it slumped, `ridge_m`
/// longer than wide; m. It spreads by as much to all sides, and is never narrower than when
/// filled.
#[must_use]
pub(crate) fn spread_half_m(half_m: f64, ridge_m: f64, spread: f64) -> f64 {
    let area_m2 = 2.0 * half_m * (2.0 * half_m + ridge_m) * spread.max(1.0);
    let wide_m = 0.5 * ((ridge_m * ridge_m + 4.0 * area_m2).sqrt() - ridge_m);
    (0.5 * wide_m).max(half_m)
}

#[cfg(test)]
mod tests {
    use super::{Lie, bag_side, bulge_of, mean_bulging, spread_half_m};
    use crate::svg::polygon::{Line, area, edges};

    #[test]
    fn bulging_changes_no_area() {
        let layer = |bottom_m, top_m| Lie {
            bottom_m,
            top_m,
            foot_half_m: 0.5,
            head_half_m: 0.5,
            bulge: bulge_of(0.9),
            upright: 0.0,
        };
        let layers = [layer(0.0, 0.3), layer(0.3, 0.5), layer(0.5, 0.9)];
        let sum: f64 = layers.iter().map(|lie| area(&lie.outline())).sum();
        assert!((sum - 0.9).abs() < 2e-3, "{sum}");
    }

    /// With a trench, too, filled to whatever height.
    #[test]
    fn a_bag_bulges_above_the_ground_alone() {
        for (trench_m, thick_m) in [(0.4, 0.6), (0.4, 0.41), (0.4, 0.3), (0.01, 0.8), (0.9, 0.9)] {
            let over_m = thick_m - trench_m;
            let half_m = 0.5 / mean_bulging(trench_m, over_m);
            let layer = |bottom_m, top_m| Lie {
                bottom_m,
                top_m,
                foot_half_m: half_m,
                head_half_m: half_m,
                bulge: bulge_of(over_m),
                upright: 0.0,
            };
            let middle_m = 0.3 * thick_m - trench_m;
            let layers = [layer(-trench_m, middle_m), layer(middle_m, over_m)];
            let sum: f64 = layers.iter().map(|lie| area(&lie.outline())).sum();
            assert!(
                (sum / thick_m - 1.0).abs() < 3e-3,
                "{trench_m} {thick_m} {sum}"
            );
            let at_ground_m = layers[0].half_m(0.0);
            for lie in layers {
                for (half_m, height_m) in lie.outline() {
                    let wider = half_m.abs() / at_ground_m;
                    let most = if height_m <= 1e-9 { 1.0 } else { 1.06 };
                    assert!((1.0 - 1e-9..most + 1e-9).contains(&wider), "{wider}");
                }
                let within = lie.convex_part();
                for (half_m, height_m) in &within {
                    let up = (height_m - lie.bottom_m) / lie.thickness_m();
                    assert!(half_m.abs() <= lie.half_m(up) + 1e-9);
                }
                for (from, to) in edges(&within) {
                    let line = Line::through(from, to);
                    assert!(within.iter().all(|point| line.beyond(*point) < 1e-9));
                }
                assert!(area(&within) > 0.95 * area(&lie.outline()));
            }
        }
    }

    #[test]
    fn the_sides_of_a_bag_begin_at_the_ground_or_at_its_fill() {
        for (top_m, from_m) in [(0.4, 0.0), (1e-300, 0.0), (0.0, 0.0), (-0.2, -0.2)] {
            let side = bag_side(0.5, top_m, 0.6);
            assert!((side[0].1 - from_m).abs() < 1e-12);
            assert!((side[side.len() - 1].1 - 0.6).abs() < 1e-12);
            assert!(side.iter().all(|(half_m, _)| (half_m - 0.5).abs() < 0.03));
        }
    }

    /// The rectangle has the area that it has spread to, as long as it was longer than wide.
    #[test]
    fn a_slumped_mound_spreads_to_its_area() {
        for (half_m, ridge_m, spread) in [(0.5, 2.0, 1.3), (1.0, 0.0, 1.21), (0.0, 3.0, 1.4)] {
            let wide_m = 2.0 * spread_half_m(half_m, ridge_m, spread);
            let area_m2 = 2.0 * half_m * (2.0 * half_m + ridge_m);
            assert!((wide_m * (wide_m + ridge_m) - spread * area_m2).abs() < 1e-12);
        }
        assert!((spread_half_m(0.5, 2.0, 0.97) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_sloping_layer_is_a_trapezoid() {
        let lie = Lie {
            bottom_m: -0.2,
            top_m: 0.2,
            foot_half_m: 1.0,
            head_half_m: 0.6,
            bulge: None,
            upright: 0.0,
        };
        assert!((area(&lie.outline()) - 0.64).abs() < 1e-12);
        assert_eq!(lie.place(0.5, 0.5), (0.4, 0.0));
    }

    /// A rectangle in the trench with a trapezoid on it, which bends at the ground.
    #[test]
    fn a_layer_across_the_ground_is_upright_in_the_trench() {
        let lie = Lie {
            bottom_m: -0.1,
            top_m: 0.3,
            foot_half_m: 1.0,
            head_half_m: 0.6,
            bulge: None,
            upright: 0.25,
        };
        assert!((area(&lie.outline()) - (0.2 + 0.48)).abs() < 1e-12);
        assert_eq!(lie.place(1.0, 0.25), (1.0, 0.0));
        assert_eq!(lie.outline().len(), 6);
        assert_eq!(lie.convex_part(), lie.outline());
        let below = Lie {
            upright: 1.0,
            head_half_m: 1.0,
            top_m: 0.0,
            ..lie
        };
        assert_eq!(below.outline().len(), 4);
        assert!((below.half_m(1.0) - 1.0).abs() < 1e-12);
    }
}
