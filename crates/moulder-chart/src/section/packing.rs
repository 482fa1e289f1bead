//! Packing of circles, for logs: each at a random position, then pushed apart.

use crate::section::chance::Chance;
use crate::section::profile::sloping;
use crate::svg::polygon::Point;

/// Smallest and largest log of a layer, as shares of the diameter given.
pub(crate) const SIZES: (f64, f64) = (0.74, 1.14);

/// Most circles in one layer: with more, each is drawn larger.
pub(crate) const CIRCLES_LIMIT: usize = 260;

/// How often circles that touch are pushed apart.
const ROUNDS: usize = 240;

/// How far a circle falls in a round, as a share of its radius.
const FALL: f64 = 0.05;

/// Rounds at the end in which none falls.
const REST: usize = 80;

/// Share of a layer that circles of similar size can fill without much pressing: random close
/// packing of discs, 0.82 (figure from memory).
const LOOSE_SHARE: f64 = 0.82;

/// A circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Circle {
    /// Its middle.
    pub at: Point,
    /// Its radius.
    pub radius: f64,
}

/// A layer that circles lie in: level below and above, its sides straight, and upright first
/// where it stands in the trench of a mound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    /// Height of its top over its foot.
    pub height: f64,
    /// The left and right end of its foot.
    pub foot: (f64, f64),
    /// The left and right end of its top.
    pub head: (f64, f64),
    /// The share of its height up to which it is as wide as at its foot.
    pub upright: f64,
}

impl Bounds {
    /// Its left and right end, so high over its foot.
    #[must_use]
    pub(crate) fn ends(&self, height: f64) -> (f64, f64) {
        let up = (height / self.height.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        let share = sloping(up, self.upright);
        let on_the_way = |foot: f64, head: f64| foot + (head - foot) * share;
        (
            on_the_way(self.foot.0, self.head.0),
            on_the_way(self.foot.1, self.head.1),
        )
    }

    /// Its area.
    #[must_use]
    pub(crate) fn area(&self) -> f64 {
        let (foot, head) = (self.foot.1 - self.foot.0, self.head.1 - self.head.0);
        0.5 * self.height * (foot + head + self.upright * (foot - head))
    }

    /// The circle moved to where it lies within.
    fn held(&self, circle: Circle) -> Circle {
        let Circle { at: (x, y), radius } = circle;
        let within = |place: f64, low: f64, high: f64| {
            let (low, high) = (low + radius, high - radius);
            if low < high {
                place.clamp(low, high)
            } else {
                0.5 * (low + high)
            }
        };
        let y = within(y, 0.0, self.height);
        // As wide as it is where the circle is cut off soonest.
        let (below, above) = (self.ends(y - radius), self.ends(y + radius));
        let x = within(x, below.0.max(above.0), below.1.min(above.1));
        Circle { at: (x, y), radius }
    }
}

/// Circles of about the diameter `across` that together cover `area`, pushed apart within
/// bounds until they rest on others.
///
/// None is wider than the bounds are high. The same seed gives the same circles.
#[must_use]
pub(crate) fn packed(bounds: &Bounds, across: f64, area: f64, seed: u64) -> Vec<Circle> {
    let mut chance = Chance::new(seed);
    let within = area.min(LOOSE_SHARE * bounds.area());
    #[allow(clippy::cast_precision_loss, reason = "a few hundred")]
    let least = 2.0 * (within / (CIRCLES_LIMIT as f64 * core::f64::consts::PI)).sqrt();
    let across = across.max(least).min(bounds.height / SIZES.1);
    let mut circles: Vec<Circle> = Vec::new();
    let mut covered = 0.0;
    // The last half circle is left out or put in, whichever is nearer.
    let half = core::f64::consts::FRAC_PI_8 * across * across;
    while across > 0.0 && covered + half < within && circles.len() < 2 * CIRCLES_LIMIT {
        let radius = 0.5 * across * chance.between(SIZES.0, SIZES.1);
        let y = chance.between(0.0, bounds.height);
        let (left, right) = bounds.ends(y);
        let x = chance.between(left, right);
        covered += core::f64::consts::PI * radius * radius;
        circles.push(Circle { at: (x, y), radius });
    }
    for _ in 0..ROUNDS - REST {
        for circle in &mut circles {
            circle.at.1 -= FALL * circle.radius;
        }
        circles = settled(&circles, bounds, 1);
    }
    settled(&circles, bounds, REST)
}

/// Circles moved within bounds and pushed off each other, so many rounds.
#[must_use]
pub(crate) fn settled(circles: &[Circle], bounds: &Bounds, rounds: usize) -> Vec<Circle> {
    let mut circles: Vec<Circle> = circles.iter().map(|circle| bounds.held(*circle)).collect();
    for _ in 0..rounds {
        let mut touches = false;
        for one in 1..circles.len() {
            for other in 0..one {
                let (push_x, push_y) = push(circles[one], circles[other]);
                if push_x != 0.0 || push_y != 0.0 {
                    touches = true;
                    circles[one].at.0 += push_x;
                    circles[one].at.1 += push_y;
                    circles[other].at.0 -= push_x;
                    circles[other].at.1 -= push_y;
                }
            }
        }
        for circle in &mut circles {
            *circle = bounds.held(*circle);
        }
        if !touches {
            break;
        }
    }
    circles
}

/// How far one circle must move to get half of the way clear of another, which moves the
/// other way as far.
fn push(one: Circle, other: Circle) -> Point {
    let (x, y) = (one.at.0 - other.at.0, one.at.1 - other.at.1);
    let reach = one.radius + other.radius;
    let squared = x * x + y * y;
    if squared >= reach * reach {
        return (0.0, 0.0);
    }
    let distance = squared.sqrt();
    if distance == 0.0 {
        return (0.25 * reach, 0.0);
    }
    let share = 0.5 * (reach - distance) / distance;
    (x * share, y * share)
}

#[cfg(test)]
mod tests {
    use super::{Bounds, Circle, packed};

    const LAYER: Bounds = Bounds {
        height: 0.4,
        foot: (-0.6, 0.6),
        head: (-0.4, 0.6),
        upright: 0.0,
    };

    fn area(circles: &[Circle]) -> f64 {
        let squares = circles.iter().map(|circle| circle.radius * circle.radius);
        core::f64::consts::PI * squares.sum::<f64>()
    }

    #[test]
    fn circles_cover_what_they_should_and_lie_clear() {
        for seed in 0..20 {
            let want = 0.55 * LAYER.area();
            let circles = packed(&LAYER, 0.08, want, seed);
            let (largest, half) = (0.0457, 0.004);
            assert!((area(&circles) - want).abs() < half, "{}", area(&circles));
            for (at, one) in circles.iter().enumerate() {
                assert!(one.radius <= largest);
                assert!(one.at.1 >= one.radius - 1e-9 && one.at.1 <= 0.4 - one.radius + 1e-9);
                for other in &circles[..at] {
                    let (x, y) = (one.at.0 - other.at.0, one.at.1 - other.at.1);
                    let apart = (x * x + y * y).sqrt();
                    // What is left of their overlap is tiny beside their width.
                    assert!(apart > 0.93 * (one.radius + other.radius), "{seed} {apart}");
                }
            }
            assert_eq!(circles, packed(&LAYER, 0.08, want, seed));
        }
    }

    #[test]
    fn a_thick_log_in_a_thin_layer_is_held_to_it() {
        let thin = Bounds {
            height: 0.05,
            ..LAYER
        };
        let circles = packed(&thin, 0.2, 0.02, 1);
        assert!(!circles.is_empty());
        assert!(circles.iter().all(|circle| circle.radius <= 0.0251));
        let none = Bounds {
            height: 0.0,
            ..LAYER
        };
        assert!(packed(&none, 0.2, 0.02, 1).is_empty());
    }
}
