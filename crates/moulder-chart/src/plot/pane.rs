//! Where metres lie on a picture.

use crate::svg::polygon::Point;

/// A picture's place: the middle of the bed on the line of the ground, and how large it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pane {
    middle: f64,
    ground: f64,
    scale: f64,
}

impl Pane {
    /// The middle of the bed `middle` from the left, the ground `ground` from the top, px,
    /// and so many px to a metre.
    #[must_use]
    pub(crate) const fn new(middle: f64, ground: f64, scale: f64) -> Self {
        Self {
            middle,
            ground,
            scale,
        }
    }

    /// px to a metre, the same either way.
    #[must_use]
    pub(crate) const fn scale(&self) -> f64 {
        self.scale
    }

    /// From the left, of a place so far right of the middle; px.
    #[must_use]
    pub(crate) const fn x(&self, right_m: f64) -> f64 {
        self.middle + self.scale * right_m
    }

    /// From the top, of a height over the ground; px.
    #[must_use]
    pub(crate) const fn y(&self, height_m: f64) -> f64 {
        self.ground - self.scale * height_m
    }

    /// Places of the bed on the picture.
    #[must_use]
    pub(crate) fn all(&self, places: &[Point]) -> Vec<Point> {
        places
            .iter()
            .map(|(x, y)| (self.x(*x), self.y(*y)))
            .collect()
    }
}
