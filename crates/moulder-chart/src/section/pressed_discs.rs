//! Discs that press each other flat where they meet.

use crate::section::packing::Circle;
use crate::svg::polygon::{Line, Point, area, cut, disc, edges};

/// How far discs may grow or shrink to cover what they should.
const SIZES: (f64, f64) = (0.02, 8.0);

/// Halvings of that range.
const HALVINGS: usize = 36;

/// The circles as discs within a convex area (counter-clockwise corners, y up), each cut where
/// it meets a neighbour, all grown or shrunk alike until together they cover `wanted`.
///
/// No two overlap: a place where two circles meet goes to the one from whose rim it lies
/// deeper in (the cells of the power diagram; Aurenhammer 1987, SIAM J. Comput. 16:78-96),
/// so that the discs share out what the circles cover together. Where there is less room
/// than that they fill it.
#[must_use]
pub(crate) fn pressed(circles: &[Circle], within: &[Point], wanted: f64) -> Vec<Vec<Point>> {
    if circles.is_empty() || wanted <= 0.0 {
        return vec![Vec::new(); circles.len()];
    }
    let covered = |size: f64| -> f64 {
        let discs = discs(circles, within, size);
        discs.iter().map(|disc| area(disc)).sum()
    };
    let (mut low, mut high) = SIZES;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if covered(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    discs(circles, within, 0.5 * (low + high))
}

/// The discs at that size of the circles.
fn discs(circles: &[Circle], within: &[Point], size: f64) -> Vec<Vec<Point>> {
    let of = |(index, circle): (usize, &Circle)| {
        let radius = circle.radius * size;
        let mut kept = disc(circle.at, radius);
        for (from, to) in edges(within) {
            kept = cut_where_met(kept, circle.at, radius, Line::through(from, to));
        }
        for (other, neighbour) in circles.iter().enumerate() {
            if other != index {
                let line = between(circle, neighbour, size);
                kept = cut_where_met(kept, circle.at, radius, line);
            }
        }
        kept
    };
    circles.iter().enumerate().map(of).collect()
}

/// Cuts only where the line meets the disc's circle: most lines are far away.
fn cut_where_met(kept: Vec<Point>, at: Point, radius: f64, line: Line) -> Vec<Point> {
    let length = (line.across * line.across + line.up * line.up).sqrt();
    // The corners of a disc lie slightly outside its circle.
    if line.beyond(at) < -1.02 * radius * length {
        kept
    } else {
        cut(&kept, line)
    }
}

/// The line on which the circles have equal power: beyond it lies the other's.
fn between(one: &Circle, other: &Circle, size: f64) -> Line {
    let power = |circle: &Circle| {
        let ((x, y), radius) = (circle.at, circle.radius * size);
        x * x + y * y - radius * radius
    };
    Line {
        across: 2.0 * (other.at.0 - one.at.0),
        up: 2.0 * (other.at.1 - one.at.1),
        at: power(other) - power(one),
    }
}

#[cfg(test)]
mod tests {
    use super::pressed;
    use crate::section::packing::{Bounds, packed};
    use crate::svg::polygon::{Line, area, edges};

    #[test]
    fn discs_cover_what_is_wanted_and_never_overlap() {
        let bounds = Bounds {
            height: 0.3,
            foot: (-0.6, 0.6),
            head: (-0.6, 0.6),
            upright: 0.0,
        };
        let within = [(-0.6, 0.0), (0.6, 0.0), (0.6, 0.3), (-0.6, 0.3)];
        for share in [0.001, 0.2, 0.5, 0.8, 0.95, 0.999] {
            let circles = packed(&bounds, 0.12, 0.6 * bounds.area(), 3);
            let wanted = share * bounds.area();
            let discs = pressed(&circles, &within, wanted);
            let covered: f64 = discs.iter().map(|disc| area(disc)).sum();
            assert!((covered / wanted - 1.0).abs() < 1e-6, "{share}: {covered}");
            for (at, one) in discs.iter().enumerate() {
                for other in &discs[..at] {
                    assert!(are_apart(one, other), "{share}");
                }
            }
        }
    }

    /// Whether an edge of one of two convex areas has the whole of the other beyond it, but
    /// for rounding.
    fn are_apart(one: &[(f64, f64)], other: &[(f64, f64)]) -> bool {
        let parts = |edge_of: &[(f64, f64)], points: &[(f64, f64)]| {
            edges(edge_of).any(|(from, to)| {
                let line = Line::through(from, to);
                points.iter().all(|point| line.beyond(*point) > -1e-9)
            })
        };
        one.is_empty() || other.is_empty() || parts(one, other) || parts(other, one)
    }
}
