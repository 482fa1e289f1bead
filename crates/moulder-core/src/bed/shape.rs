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
    /// A mound on a rectangle: upright in a trench, with sloping sides above the ground.
    Mound {
        /// Width at the base, m.
        width_m: f64,
        /// Length at the base, m.
        length_m: f64,
        /// Slope of the sides, degrees from level.
        slope_deg: f64,
        /// Depth of the trench, which it fills upright; m, 0 without one.
        upright_m: f64,
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
        let Some(Slopes {
            width_m,
            length_m,
            run,
            upright_m,
        }) = self.slopes()
        else {
            return self.area_m2() * (to_m - from_m);
        };
        // Integral of (w - 2rz)(l - 2rz) above the ground, of w l below it.
        let up_to = |height_m: f64| {
            let z = (height_m - upright_m).max(0.0);
            z * (width_m * length_m - run * (width_m + length_m) * z
                + 4.0 / 3.0 * run * run * z * z)
                + width_m * length_m * height_m.min(upright_m)
        };
        up_to(to_m) - up_to(from_m)
    }

    /// Height above the base at which the sides of a mound meet; m. `None` for walls.
    ///
    /// ```
    /// use moulder_core::bed::shape::Shape;
    ///
    /// let mound = |upright_m| Shape::Mound {
    ///     width_m: 2.0,
    ///     length_m: 4.0,
    ///     slope_deg: 45.0,
    ///     upright_m,
    /// };
    /// assert!(mound(0.0).peak_m().is_some_and(|peak_m| (peak_m - 1.0).abs() < 1e-12));
    /// assert!(mound(0.3).peak_m().is_some_and(|peak_m| (peak_m - 1.3).abs() < 1e-12));
    /// ```
    #[must_use]
    pub fn peak_m(&self) -> Option<f64> {
        self.slopes()
            .map(|sides| 0.5 * sides.width_m.min(sides.length_m) / sides.run + sides.upright_m)
    }

    /// Height above the base up to which its sides are upright; m. The depth of the trench of a
    /// mound; `None` for walls.
    #[must_use]
    pub fn upright_m(&self) -> Option<f64> {
        self.slopes().map(|sides| sides.upright_m)
    }

    /// Horizontal run per rise of a mound's sides. `None` for walls.
    #[must_use]
    pub fn run_per_rise(&self) -> Option<f64> {
        self.slopes().map(|sides| sides.run)
    }

    /// Thickness of `volume_m3` placed on a fill that reaches `from_m`; m. `None` if it exceeds
    /// the volume of a mound.
    ///
    /// ```
    /// use moulder_core::bed::shape::Shape;
    ///
    /// let mound = Shape::Mound {
    ///     width_m: 1.5,
    ///     length_m: 4.0,
    ///     slope_deg: 45.0,
    ///     upright_m: 0.0,
    /// };
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
    /// let mound = Shape::Mound {
    ///     width_m: 2.0,
    ///     length_m: 4.0,
    ///     slope_deg: 45.0,
    ///     upright_m: 0.2,
    /// };
    /// let (width_m, length_m) = mound.section_m(0.7);
    /// assert!((width_m - 1.0).abs() < 1e-12 && (length_m - 3.0).abs() < 1e-12);
    /// let (width_m, length_m) = mound.section_m(0.2);
    /// assert!((width_m - 2.0).abs() < 1e-12 && (length_m - 4.0).abs() < 1e-12);
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
                upright_m,
            } => {
                let sloping_m = (height_m - upright_m).max(0.0);
                let run = 2.0 * sloping_m / libm::tan(slope_deg.to_radians());
                ((width_m - run).max(0.01), (length_m - run).max(0.01))
            }
        }
    }

    /// The sides of a mound.
    fn slopes(&self) -> Option<Slopes> {
        match *self {
            Self::Mound {
                width_m,
                length_m,
                slope_deg,
                upright_m,
            } => Some(Slopes {
                width_m,
                length_m,
                run: 1.0 / libm::tan(slope_deg.to_radians()),
                upright_m,
            }),
            _ => None,
        }
    }
}

/// The sides of a mound: width and length at its base, their horizontal run per rise, and the
/// height up to which they are upright.
struct Slopes {
    width_m: f64,
    length_m: f64,
    run: f64,
    upright_m: f64,
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
            upright_m: 0.0,
        };
        let want = 0.5 / 3.0 * (4.0 + 1.0 + 2.0);
        assert!((mound.volume_m3(0.0, 0.5) - want).abs() < 1e-12);
    }

    /// A prismatoid on an upright part: `w l t + h/6 (A + 4 M + B)`, with M the section at half
    /// its height; and with a trench a mound holds that much more than without, no more and no
    /// less.
    #[test]
    fn a_mound_fills_its_trench_upright() {
        for (width_m, length_m, slope_deg, upright_m) in [
            (1.8, 4.0, 35.0, 0.2),
            (2.0, 2.0, 45.0, 0.5),
            (3.0, 1.2, 70.0, 1.1),
            (1.8, 4.0, 35.0, 0.0),
        ] {
            let with = |upright_m| Shape::Mound {
                width_m,
                length_m,
                slope_deg,
                upright_m,
            };
            let (mound, flat) = (with(upright_m), with(0.0));
            let high_m = 0.7 * flat.peak_m().unwrap();
            let area_m2 = |z: f64| {
                let (width_m, length_m) = flat.section_m(z);
                width_m * length_m
            };
            let prismatoid_m3 =
                high_m / 6.0 * (area_m2(0.0) + 4.0 * area_m2(0.5 * high_m) + area_m2(high_m));
            let want_m3 = width_m * length_m * upright_m + prismatoid_m3;
            let volume_m3 = mound.volume_m3(0.0, upright_m + high_m);
            assert!((volume_m3 - want_m3).abs() < 1e-12, "{volume_m3} {want_m3}");
            let more_m3 = volume_m3 - flat.volume_m3(0.0, high_m);
            assert!((more_m3 - mound.area_m2() * upright_m).abs() < 1e-12);
            // The 1.44 m3 by which sides that taper from the floor are too little for 7.2 m2.
            if (slope_deg - 35.0_f64).abs() < 1e-9 && upright_m > 0.0 {
                assert!((more_m3 - 1.44).abs() < 1e-12, "{more_m3}");
            }
        }
    }

    /// At the ground a mound is as wide as its trench, nowhere wider; its volume grows with
    /// height, and a thickness is the inverse of it, within the trench, across the ground and
    /// above it.
    #[test]
    fn a_mound_in_a_trench_grows_with_its_height() {
        let mound = Shape::Mound {
            width_m: 1.8,
            length_m: 4.0,
            slope_deg: 35.0,
            upright_m: 0.25,
        };
        let peak_m = mound.peak_m().unwrap();
        let (mut volume_before_m3, mut width_before_m) = (-1.0, f64::INFINITY);
        for step in 0..=100 {
            let height_m = peak_m * f64::from(step) / 100.0;
            let volume_m3 = mound.volume_m3(0.0, height_m);
            assert!(volume_m3 > volume_before_m3, "{height_m}");
            volume_before_m3 = volume_m3;
            let (width_m, _) = mound.section_m(height_m);
            assert!(width_m <= width_before_m, "{height_m}");
            if height_m <= 0.25 {
                assert_eq!(width_m.to_bits(), 1.8_f64.to_bits(), "{height_m}");
            }
            width_before_m = width_m;
        }
        for from_m in [0.0, 0.1, 0.2499, 0.25, 0.4] {
            for thick_m in [0.05, 0.15, 0.4] {
                let volume_m3 = mound.volume_m3(from_m, from_m + thick_m);
                let back_m = mound.thickness_m(from_m, volume_m3).unwrap();
                assert!(
                    (back_m - thick_m).abs() < 1e-12,
                    "{from_m} {thick_m} {back_m}"
                );
            }
        }
        assert!(
            mound
                .thickness_m(0.0, 1.01 * mound.volume_m3(0.0, peak_m))
                .is_none()
        );
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
