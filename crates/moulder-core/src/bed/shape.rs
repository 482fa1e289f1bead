//! Bed outlines: plan areas and heights of volumes.

/// Outline of a bed.
///
/// ```
/// use moulder_core::bed::shape::Shape;
///
/// let round = Shape::Round { diameter_m: 1.2 };
/// assert!((round.area_m2() - 1.131).abs() < 1e-3);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Upright walls on a rectangle; constant area.
    Box {
        /// Inside width, m.
        width_m: f64,
        /// Inside length, m.
        length_m: f64,
    },
    /// Upright walls on a circle; constant area.
    Round {
        /// Inside diameter, m.
        diameter_m: f64,
    },
    /// A fabric bag whose rectangle bulges towards the circle of equal perimeter.
    Bag {
        /// Width before bulging, m.
        width_m: f64,
        /// Length before bulging, m.
        length_m: f64,
        /// Bulge when the heights were measured: 0 square, 1 round.
        bulged: f64,
    },
    /// A mound with sloping sides on a rectangle.
    Mound {
        /// Width at the base, m.
        width_m: f64,
        /// Length at the base, m.
        length_m: f64,
        /// Slope of the sides, degrees from level.
        slope_deg: f64,
    },
}

impl Shape {
    /// Plan area at the base, at the bulge of filling; m2.
    ///
    /// A square bag that bulges to the circle of equal perimeter gains 27 % of area, so that a
    /// volume stands 21 % lower (geometry).
    ///
    /// ```
    /// use moulder_core::bed::shape::Shape;
    ///
    /// let round = Shape::Bag { width_m: 0.9, length_m: 0.9, bulged: 1.0 };
    /// let square = Shape::Bag { width_m: 0.9, length_m: 0.9, bulged: 0.0 };
    /// assert!((square.area_m2() / round.area_m2() - 0.785).abs() < 0.001);
    /// ```
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        match *self {
            Self::Box { width_m, length_m }
            | Self::Mound {
                width_m, length_m, ..
            } => width_m * length_m,
            Self::Round { diameter_m } => core::f64::consts::FRAC_PI_4 * diameter_m * diameter_m,
            Self::Bag {
                width_m,
                length_m,
                bulged,
            } => bag_area_m2(width_m, length_m, bulged),
        }
    }

    /// Relative growth of the area when a bag bulges by `bulge_left` of its remaining way to
    /// round; 0 for other shapes.
    #[must_use]
    pub fn swell(&self, bulge_left: f64) -> f64 {
        match *self {
            Self::Bag {
                width_m,
                length_m,
                bulged,
            } => {
                let end = bulged + bulge_left * (1.0 - bulged);
                bag_area_m2(width_m, length_m, end) / self.area_m2() - 1.0
            }
            _ => 0.0,
        }
    }

    /// Volume between two heights above the base; m3.
    #[must_use]
    pub fn volume_m3(&self, from_m: f64, to_m: f64) -> f64 {
        let Some((width_m, length_m, run)) = self.slopes() else {
            return self.area_m2() * (to_m - from_m);
        };
        // Integral of (w - 2rz)(l - 2rz).
        let up_to = |z: f64| {
            z * (width_m * length_m - run * (width_m + length_m) * z
                + 4.0 / 3.0 * run * run * z * z)
        };
        up_to(to_m) - up_to(from_m)
    }

    /// Height at which the sides of a mound meet; m. `None` for walls.
    #[must_use]
    pub fn peak_m(&self) -> Option<f64> {
        self.slopes()
            .map(|(width_m, length_m, run)| 0.5 * width_m.min(length_m) / run)
    }

    /// Horizontal run per rise of a mound's sides. `None` for walls.
    #[must_use]
    pub fn run_per_rise(&self) -> Option<f64> {
        self.slopes().map(|(_, _, run)| run)
    }

    /// Thickness of `volume_m3` placed on a fill that reaches `from_m`; m. `None` if it exceeds
    /// the volume of a mound.
    ///
    /// ```
    /// use moulder_core::bed::shape::Shape;
    ///
    /// let mound = Shape::Mound { width_m: 1.5, length_m: 4.0, slope_deg: 45.0 };
    /// let thickness_m = mound.thickness_m(0.0, 1.0).ok_or("no room")?;
    /// assert!((mound.volume_m3(0.0, thickness_m) - 1.0).abs() < 1e-9);
    /// assert!(mound.thickness_m(0.0, 100.0).is_none());
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn thickness_m(&self, from_m: f64, volume_m3: f64) -> Option<f64> {
        let Some(peak_m) = self.peak_m() else {
            return Some(volume_m3 / self.area_m2());
        };
        // Tolerates rounding for a layer that ends at the peak.
        if self.volume_m3(from_m, peak_m) * (1.0 + 1e-9) < volume_m3 {
            return None;
        }
        // Bisection: volume increases with height.
        let (mut low, mut high) = (from_m, peak_m);
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if self.volume_m3(from_m, middle) < volume_m3 {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(0.5 * (low + high) - from_m)
    }

    /// Width and length of the section at a height above the base; m. Constant for walls; the
    /// diameter twice for a round bed.
    ///
    /// ```
    /// use moulder_core::bed::shape::Shape;
    ///
    /// let mound = Shape::Mound { width_m: 2.0, length_m: 4.0, slope_deg: 45.0 };
    /// let (width_m, length_m) = mound.section_m(0.5);
    /// assert!((width_m - 1.0).abs() < 1e-12 && (length_m - 3.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn section_m(&self, height_m: f64) -> (f64, f64) {
        match *self {
            Self::Box { width_m, length_m }
            | Self::Bag {
                width_m, length_m, ..
            } => (width_m, length_m),
            Self::Round { diameter_m } => (diameter_m, diameter_m),
            Self::Mound {
                width_m,
                length_m,
                slope_deg,
            } => {
                let run = 2.0 * height_m / libm::tan(slope_deg.to_radians());
                ((width_m - run).max(0.01), (length_m - run).max(0.01))
            }
        }
    }

    /// Width, length, and horizontal run per rise of a mound.
    fn slopes(&self) -> Option<(f64, f64, f64)> {
        match *self {
            Self::Mound {
                width_m,
                length_m,
                slope_deg,
            } => Some((width_m, length_m, 1.0 / libm::tan(slope_deg.to_radians()))),
            _ => None,
        }
    }
}

fn bag_area_m2(width_m: f64, length_m: f64, bulged: f64) -> f64 {
    let flat = width_m * length_m;
    let round = (width_m + length_m) * (width_m + length_m) / core::f64::consts::PI;
    flat + bulged * (round - flat)
}

#[cfg(test)]
mod tests {
    use super::Shape;

    /// Frustum of a square pyramid: `h/3 (A + B + sqrt(A B))`.
    #[test]
    fn mound_is_a_frustum() {
        let mound = Shape::Mound {
            width_m: 2.0,
            length_m: 2.0,
            slope_deg: 45.0,
        };
        let want = 0.5 / 3.0 * (4.0 + 1.0 + 2.0);
        assert!((mound.volume_m3(0.0, 0.5) - want).abs() < 1e-12);
    }

    /// The area of a square of side b with bulge beta is b^2 (1 + 0.273 beta).
    #[test]
    fn bag_area_by_bulge() {
        let bag = |bulged| Shape::Bag {
            width_m: 0.9,
            length_m: 0.9,
            bulged,
        };
        assert!((bag(0.4).area_m2() / 0.81 - (1.0 + 0.273 * 0.4)).abs() < 2e-4);
        assert!((bag(0.0).swell(1.0) - 0.273).abs() < 1e-3);
        assert!(bag(1.0).swell(1.0).abs() < 1e-12);
    }
}
