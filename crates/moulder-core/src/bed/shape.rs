//! The outline of a bed: what area a layer has, and how high a volume stands.

/// The outline of a bed, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Upright walls on a rectangle; the area never changes.
    Box {
        /// Inside width, m.
        width_m: f64,
        /// Inside length, m.
        length_m: f64,
    },
    /// Upright walls on a circle; the area never changes.
    Round {
        /// Inside diameter, m.
        diameter_m: f64,
    },
    /// A cloth bag whose rectangle bulges towards a circle of the same girth.
    Bag {
        /// Width before bulging, m.
        width_m: f64,
        /// Length before bulging, m.
        length_m: f64,
        /// How far it had bulged when the heights were taken: 0 square, 1 round.
        bulged: f64,
    },
    /// A heap with sloping sides on a rectangle.
    Mound {
        /// Width at the foot, m.
        width_m: f64,
        /// Length at the foot, m.
        length_m: f64,
        /// Slope of the sides, degrees from level.
        slope_deg: f64,
    },
}

impl Shape {
    /// Plan area at the foot, as bulged as it is when filled; m2.
    ///
    /// A bag's square bulges towards the circle of the same girth: fully round, it
    /// has 27 % more area, so that equal volume stands 21 % lower (geometry).
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

    /// Share by which the area grows when a bag bulges by `bulge_left` of the way
    /// that is left to it; 0 for every other shape.
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

    /// Volume between two heights above the foot; m3.
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

    /// Height at which the sides of a mound meet; m. Walls never do.
    #[must_use]
    pub fn peak_m(&self) -> Option<f64> {
        self.slopes()
            .map(|(width_m, length_m, run)| 0.5 * width_m.min(length_m) / run)
    }

    /// How thick `volume_m3` lies on what reaches up to `from_m`; m. Nothing when a
    /// mound has no room for it.
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
        // A layer that ends at the very peak has room, whatever the rounding.
        if self.volume_m3(from_m, peak_m) * (1.0 + 1e-9) < volume_m3 {
            return None;
        }
        // Volume grows with height, so halving the interval always finds it.
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

    /// Width and length of the section at a height above the foot; m. Walls are the
    /// same all the way up; a round bed has its diameter for both.
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

    /// Width, length, and run per rise of a mound's sides.
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

    /// Frustum of a square pyramid, `h/3 (A + B + sqrt(A B))`: school geometry.
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

    /// A square of side b bulged by beta has b^2 (1 + 0.273 beta).
    #[test]
    fn bag_bulges_as_stated() {
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
