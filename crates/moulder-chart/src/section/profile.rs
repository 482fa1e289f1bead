//! The outline of a bed cut across: how wide each layer lies, and how it bulges.

use moulder::Shape;

use crate::svg::polygon::Point;

/// By what share a bag is at most wider at half its height than at its foot, for the drawing
/// alone: its girth made round gives 20 % (our own closure).
const MOST: f64 = 0.2;

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
    /// How the bag it lies in bulges; none for others.
    pub belly: Option<Belly>,
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
        straight_m * bulging(self.bottom_m + self.thickness_m() * share, self.belly)
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
        let steps = if self.belly.is_some() { STEPS } else { 1 };
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
        (self.belly.is_some() && is_across).then(|| -self.bottom_m / self.thickness_m())
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

/// The belly of a bag: a parabola from the ground to its fill, in which all that it has grown
/// wider is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belly {
    /// Its fill, over the ground; m.
    top_m: f64,
    /// By what share it is wider at half its height than at its foot.
    by: f64,
}

impl Belly {
    /// Of a bag that is on average wider than when square by that factor. None where it is not,
    /// and for one that is not filled up to the ground.
    #[must_use]
    pub(crate) fn of(trench_m: f64, top_m: f64, wider: f64) -> Option<Self> {
        let by = 1.5 * (wider - 1.0) * (top_m + trench_m) / top_m.max(f64::MIN_POSITIVE);
        (top_m > 0.0 && by > 1e-9).then(|| Self {
            top_m,
            by: by.min(MOST),
        })
    }

    /// How much wider the bag is on average than at its foot.
    #[must_use]
    pub(crate) fn mean(self, trench_m: f64) -> f64 {
        // A parabola is on average two thirds of its height.
        1.0 + self.by * 2.0 / 3.0 * self.top_m / (self.top_m + trench_m)
    }
}

/// How much wider than at its foot a bag is at a height; 1 where it does not bulge.
fn bulging(height_m: f64, belly: Option<Belly>) -> f64 {
    let Some(Belly { top_m, by }) = belly else {
        return 1.0;
    };
    // Below the ground it cannot: it stays as wide as there.
    let off = (2.0 * height_m / top_m - 1.0).max(-1.0);
    1.0 + by * (1.0 - off * off)
}

/// The sides of a bag, at heights from the ground to the rim, `foot_half_m` wide at its foot and
/// filled to `top_m`; half widths. One filled less high than the ground is seen from its fill on.
#[must_use]
pub(crate) fn bag_side(
    foot_half_m: f64,
    top_m: f64,
    rim_m: f64,
    belly: Option<Belly>,
) -> Vec<(f64, f64)> {
    let from_m = top_m.min(0.0);
    (0..=4 * STEPS)
        .map(|step| {
            let height_m = from_m + (rim_m - from_m) * f64::from(step) / f64::from(4 * STEPS);
            // Above the fill the cloth stands as wide as at its top.
            let filled_m = height_m.min(top_m);
            (foot_half_m * bulging(filled_m, belly), height_m)
        })
        .collect()
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
    use super::{Belly, Lie, MOST, bag_side, spread_half_m};
    use crate::svg::polygon::{Line, area, edges};

    #[test]
    fn bulging_changes_no_area() {
        let belly = Belly::of(0.0, 0.9, 1.05);
        let foot_half_m = 0.5 / belly.unwrap().mean(0.0);
        let layer = |bottom_m, top_m| Lie {
            bottom_m,
            top_m,
            foot_half_m,
            head_half_m: foot_half_m,
            belly,
            upright: 0.0,
        };
        let layers = [layer(0.0, 0.3), layer(0.3, 0.5), layer(0.5, 0.9)];
        let sum: f64 = layers.iter().map(|lie| area(&lie.outline())).sum();
        assert!((sum - 0.9).abs() < 2e-3, "{sum}");
    }

    /// With a trench, too, filled to whatever height above the ground. Chords fall short of a
    /// parabola by the square of their share of it.
    #[test]
    fn a_bag_bulges_above_the_ground_alone() {
        for (trench_m, thick_m) in [(0.4, 0.6), (0.4, 0.41), (0.01, 0.8), (0.5, 1.0)] {
            let over_m = thick_m - trench_m;
            let belly = Belly::of(trench_m, over_m, 1.05).unwrap();
            let (half_m, belly) = (0.5 / belly.mean(trench_m), Some(belly));
            let layer = |bottom_m, top_m| Lie {
                bottom_m,
                top_m,
                foot_half_m: half_m,
                head_half_m: half_m,
                belly,
                upright: 0.0,
            };
            let middle_m = 0.3 * thick_m - trench_m;
            let layers = [layer(-trench_m, middle_m), layer(middle_m, over_m)];
            let sum: f64 = layers.iter().map(|lie| area(&lie.outline())).sum();
            assert!(
                (sum / thick_m - 1.0).abs() < 6e-3,
                "{trench_m} {thick_m} {sum}"
            );
            let at_ground_m = layers[0].half_m(0.0);
            for lie in layers {
                for (half_m, height_m) in lie.outline() {
                    let wider = half_m.abs() / at_ground_m;
                    let most = if height_m <= 1e-9 { 1.0 } else { 1.0 + MOST };
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
                assert!(area(&within) > 0.9 * area(&lie.outline()));
            }
        }
    }

    #[test]
    fn a_bag_that_has_not_grown_wider_is_straight() {
        for (wider, top_m) in [(1.0, 0.9), (0.98, 0.9), (1.1, -0.1), (1.1, 0.0)] {
            let belly = Belly::of(0.0, top_m, wider);
            assert_eq!(belly, None);
            let side = bag_side(0.45, top_m, 0.9, belly);
            assert!(
                side.iter()
                    .all(|(half_m, _)| (*half_m - 0.45).abs() < 1e-12)
            );
        }
    }

    #[test]
    fn the_sides_of_a_bag_begin_at_the_ground_or_at_its_fill() {
        for (top_m, from_m) in [(0.4, 0.0), (1e-300, 0.0), (0.0, 0.0), (-0.2, -0.2)] {
            let side = bag_side(0.5, top_m, 0.6, Belly::of(0.2, top_m, 1.01));
            assert!((side[0].1 - from_m).abs() < 1e-12);
            assert!((side[side.len() - 1].1 - 0.6).abs() < 1e-12);
            assert!(side.iter().all(|(half_m, _)| (0.5..=0.6).contains(half_m)));
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
            belly: None,
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
            belly: None,
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
