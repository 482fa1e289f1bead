//! Polygons: area, centroid, cut by a line.

/// A place in the plane.
pub type Point = (f64, f64);

/// Corners by which a disc is drawn.
const DISC_CORNERS: u32 = 28;

/// The area within points; 0 for fewer than three.
///
/// ```
/// use moulder_chart::internals::svg::polygon::area;
///
/// assert_eq!(area(&[(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)]), 2.0);
/// ```
#[must_use]
pub fn area(points: &[Point]) -> f64 {
    0.5 * edges(points).map(turn).sum::<f64>().abs()
}

/// The centroid of the area within points; the first point where there is no area.
#[must_use]
pub fn middle(points: &[Point]) -> Point {
    let twice: f64 = edges(points).map(turn).sum();
    if twice == 0.0 {
        return points.first().copied().unwrap_or_default();
    }
    let (mut x, mut y) = (0.0, 0.0);
    for edge in edges(points) {
        let ((from_x, from_y), (to_x, to_y)) = edge;
        x += (from_x + to_x) * turn(edge);
        y += (from_y + to_y) * turn(edge);
    }
    (x / (3.0 * twice), y / (3.0 * twice))
}

/// A line: all places with `across * x + up * y = at`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// What x counts.
    pub across: f64,
    /// What y counts.
    pub up: f64,
    /// Where it lies.
    pub at: f64,
}

impl Line {
    /// How far a place lies beyond the line, times the length of (across, up).
    #[must_use]
    pub fn beyond(&self, (x, y): Point) -> f64 {
        self.across * x + self.up * y - self.at
    }

    /// The line through an edge of an area with counter-clockwise corners (y up): what lies beyond
    /// it lies outside.
    #[must_use]
    pub fn through(from: Point, to: Point) -> Self {
        let (across, up) = (to.1 - from.1, from.0 - to.0);
        Self {
            across,
            up,
            at: across * from.0 + up * from.1,
        }
    }
}

/// What of a convex area does not lie beyond a line (Sutherland & Hodgman 1974).
#[must_use]
pub fn cut(points: &[Point], line: Line) -> Vec<Point> {
    let mut kept = Vec::with_capacity(points.len() + 1);
    for (from, to) in edges(points) {
        let (one, other) = (line.beyond(from), line.beyond(to));
        if one <= 0.0 {
            kept.push(from);
        }
        if (one < 0.0 && other > 0.0) || (one > 0.0 && other < 0.0) {
            let share = one / (one - other);
            kept.push((
                from.0 + (to.0 - from.0) * share,
                from.1 + (to.1 - from.1) * share,
            ));
        }
    }
    kept
}

/// A disc as a counter-clockwise polygon (y up) of the same area.
#[must_use]
pub fn disc((x, y): Point, radius: f64) -> Vec<Point> {
    let corners = f64::from(DISC_CORNERS);
    let turn = 2.0 * core::f64::consts::PI / corners;
    // The corners lie a little outside, so that the area is that of the disc.
    let reach = radius * (turn / libm::sin(turn)).sqrt();
    (0..DISC_CORNERS)
        .map(|corner| {
            let angle = turn * f64::from(corner);
            (x + reach * libm::cos(angle), y + reach * libm::sin(angle))
        })
        .collect()
}

/// The edges around an area.
pub fn edges(points: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let next = points.iter().cycle().skip(1);
    points.iter().copied().zip(next.copied())
}

fn turn((from, to): (Point, Point)) -> f64 {
    from.0 * to.1 - to.0 * from.1
}

#[cfg(test)]
mod tests {
    use super::{Line, area, cut, disc, edges, middle};

    #[test]
    fn a_disc_has_its_area_and_middle() {
        let disc = disc((3.0, -2.0), 0.5);
        assert!((area(&disc) - 0.25 * core::f64::consts::PI).abs() < 1e-12);
        let (x, y) = middle(&disc);
        assert!((x - 3.0).abs() < 1e-12 && (y + 2.0).abs() < 1e-12);
        assert!(edges(&disc).all(|(from, to)| Line::through(from, to).beyond((3.0, -2.0)) < 0.0));
    }

    #[test]
    fn a_line_cuts_an_area_in_two() {
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let line = Line {
            across: 1.0,
            up: 1.0,
            at: 0.5,
        };
        let corner = cut(&square, line);
        assert!((area(&corner) - 0.125).abs() < 1e-12);
        let other = Line {
            across: -1.0,
            up: -1.0,
            at: -0.5,
        };
        assert!((area(&cut(&square, other)) - 0.875).abs() < 1e-12);
        assert!(cut(&square, Line { at: -1.0, ..line }).is_empty());
        assert_eq!(cut(&square, Line { at: 9.0, ..line }), square);
    }
}
