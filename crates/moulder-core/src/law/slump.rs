//! Slumping of a mound whose sides are steeper than what it is made of rests.
//!
//! The state is the horizontal run `rho` of a side. It tends to the run at which every layer lies
//! at its angle of repose; runs add, angles do not:
//!
//! ```text
//! d rho/dt = m/tau * x^3/(x^2 + w^2),   x = sum_i h_i/tan(theta_i) - rho, if above zero
//! ```
//!
//! with `h_i` the thickness of a slice above the ground, `theta_i` its angle of repose and m the
//! share of the mound wetted so far: moist soil coheres until rain has been through it.
//!
//! What slides off lies down at the foot of the side, so that a failing wedge eats the crest
//! first: the height stays until the sides meet, and falls from then on. A frustum on a rectangle
//! of volume V, with a crest of length d longer than wide, is at most `R = V/(rho (d + 4/3 rho))`
//! high, and
//!
//! ```text
//! H(V, rho) = smooth_min(H_0, R),   s = H(V, rho)/H(V, rho_0)
//! ```
//!
//! with `H_0` its height and `rho_0` its run with the sides as built. In a long mound this is
//! `min(H_0, sqrt(A tan(theta)))` for a section A. Slices lose the share `1 - s` of their
//! thickness and gain area, so that each keeps its volume. The law is our own closure; the angles
//! are read or recalled, as said below. It never stops short as a softplus would, which creeps for
//! ever, nor does it steepen a side.

use crate::math::smooth::smooth_min;
use crate::value::{Spread, Status, Value};

/// Slope at which soil and compost rest, as rise over run.
pub static REPOSE_SOIL: Value = Value::new(
    0.77,
    Spread::new(0.62, 1.4),
    "1",
    "Wikipedia, Angle of repose: earth 30-45 degrees (read in a transcription), of which the middle; moist loam coheres and stands at 0.7-1.7 (from memory), so that the spread, our judgement, is wider upwards",
    Status::Read,
);

/// Slope at which leaves, grass, straw, manure, turf and the like rest, as rise over run.
pub static REPOSE_SOFT: Value = Value::new(
    1.0,
    Spread::new(0.8, 1.4),
    "1",
    "leaves 40-50 degrees, of which the middle (from memory); they mat, so that the spread, our judgement, is wider upwards",
    Status::Memory,
);

/// Slope at which wood chips and bark rest, as rise over run.
pub static REPOSE_CHIPS: Value = Value::new(
    1.0,
    Spread::new(0.8, 1.3),
    "1",
    "Wikipedia, Angle of repose: bark (wood refuse) 45 degrees (read in a transcription); chips 40-50 (from memory); the spread is our judgement",
    Status::Read,
);

/// Slope at which logs and brush rest, as rise over run.
pub static REPOSE_STICKS: Value = Value::new(
    2.1,
    Spread::new(1.5, 4.0),
    "1",
    "60 degrees and more (from memory): they interlock, and stacks stand upright; best value and spread are our judgement",
    Status::Memory,
);

/// Time constant of slumping once wetted.
pub static SLUMP_DAYS: Value = Value::new(
    100.0,
    Spread::new(30.0, 300.0),
    "d",
    "our own closure: sides slip in the rains of the first seasons",
    Status::Judgement,
);

/// Distance below the run at rest at which the rate is rounded off; m.
const RUN_ROUNDING_M: f64 = 0.005;

/// A mound above the ground, as it would stand with its sides as built.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mound {
    /// Height with the sides as built; m.
    pub height_m: f64,
    /// Volume; m3.
    pub volume_m3: f64,
    /// Run of a side at rest, at that height; m.
    pub rest_run_m: f64,
    /// Share of its height that has undergone first wetting.
    pub wetted: f64,
    /// Run of a side as built; m.
    pub built_run_m: f64,
    /// By how much it is longer than wide; m.
    pub ridge_m: f64,
    /// Time constant of slumping; d.
    pub slump_days: f64,
}

impl Mound {
    /// Height at a run of its sides; m.
    ///
    /// ```
    /// use moulder_core::law::slump::Mound;
    ///
    /// // A long bank 1 m high on a foot 3 m wide, its sides at 45 degrees: a section of 2 m2.
    /// let bank = Mound {
    ///     height_m: 1.0,
    ///     volume_m3: 2000.0,
    ///     rest_run_m: 1.0,
    ///     wetted: 1.0,
    ///     built_run_m: 1.0,
    ///     ridge_m: 997.0,
    ///     slump_days: 100.0,
    /// };
    /// // Its crest of 1 m is there to be eaten; with sides of 4 m it is a ridge.
    /// assert!((bank.height_at_m(1.0) - 1.0).abs() < 1e-3);
    /// assert!((bank.height_at_m(4.0) - 2.0 / 4.0).abs() < 5e-3);
    /// ```
    #[inline]
    #[must_use]
    pub fn height_at_m(&self, run_m: f64) -> f64 {
        let pointed_m = self.volume_m3 / (run_m * (self.ridge_m + 4.0 / 3.0 * run_m));
        smooth_min(self.height_m, pointed_m)
    }

    /// Height at a run of its sides over that with the sides as built.
    #[inline]
    #[must_use]
    pub fn left(&self, run_m: f64) -> f64 {
        self.height_at_m(run_m) / self.height_at_m(self.built_run_m)
    }

    /// Growth of the run; m/d.
    #[inline]
    #[must_use]
    pub fn run_m_per_day(&self, run_m: f64) -> f64 {
        let x = (self.rest_run_m * self.left(run_m) - run_m).max(0.0);
        let ramp_m = x * x * x / (x * x + RUN_ROUNDING_M * RUN_ROUNDING_M);
        self.wetted * ramp_m / self.slump_days
    }

    /// Run after `days`, all else constant; m. The classic fourth-order Runge-Kutta method in
    /// parts short against any likely time constant.
    #[must_use]
    pub fn run_after_m(&self, run_m: f64, days: f64) -> f64 {
        const PARTS: u32 = 4;
        let step = days / f64::from(PARTS);
        let mut run_m = run_m;
        for _ in 0..PARTS {
            let k1 = self.run_m_per_day(run_m);
            let k2 = self.run_m_per_day(run_m + 0.5 * step * k1);
            let k3 = self.run_m_per_day(run_m + 0.5 * step * k2);
            let k4 = self.run_m_per_day(run_m + step * k3);
            run_m += step / 6.0 * (k1 + 2.0 * (k2 + k3) + k4);
        }
        run_m
    }
}

#[cfg(test)]
mod tests {
    use super::Mound;
    use crate::bed::shape::Shape;
    use crate::math::elementary::{exp, sqrt};

    /// A mound of one material with that slope of repose.
    fn mound(width_m: f64, length_m: f64, slope_deg: f64, height_m: f64, repose: f64) -> Mound {
        let shape = Shape::Mound {
            width_m,
            length_m,
            slope_deg,
            upright_m: 0.0,
        };
        Mound {
            height_m,
            volume_m3: shape.volume_m3(0.0, height_m),
            rest_run_m: height_m / repose,
            wetted: 1.0,
            built_run_m: height_m / libm::tan(slope_deg.to_radians()),
            ridge_m: (length_m - width_m).abs(),
            slump_days: 100.0,
        }
    }

    fn at_rest_m(mound: &Mound) -> f64 {
        (0..2000).fold(mound.built_run_m, |run_m, _| mound.run_after_m(run_m, 20.0))
    }

    /// A side comes to rest at its slope of repose, and a frustum of the height and run that
    /// result holds the volume: its crest from the volume, none where it is a ridge.
    #[test]
    fn a_steep_mound_comes_to_rest_with_its_volume_kept() {
        for (width_m, length_m, slope_deg, height_m) in [
            (2.0, 4.0, 65.0, 1.5),
            (1.83, 4.0, 65.0, 1.83),
            (0.91, 6.1, 60.0, 0.61),
            (3.0, 3.0, 60.0, 1.5),
            (4.0, 5.0, 50.0, 1.0),
        ] {
            let mound = mound(width_m, length_m, slope_deg, height_m, 0.78);
            let run_m = at_rest_m(&mound);
            let high_m = height_m * mound.left(run_m);
            assert!((high_m / run_m - 0.78).abs() < 0.01, "{}", high_m / run_m);
            // The frustum of that run and height holds at least the volume once its crest is
            // gone, by as much as the crest is rounded.
            let (r, d) = (run_m, mound.ridge_m);
            let ridge_m3 = high_m * r * (d + 4.0 / 3.0 * r);
            let crest_m = {
                let mean_m2 = mound.volume_m3 / high_m - r * r / 3.0;
                0.5 * (sqrt(d * d + 4.0 * mean_m2) - d) - r
            };
            let volume_m3 = high_m * ((crest_m + r) * (crest_m + d + r) + r * r / 3.0);
            assert!((volume_m3 / mound.volume_m3 - 1.0).abs() < 1e-12);
            assert!(ridge_m3 <= mound.volume_m3 * 1.1, "{ridge_m3}");
            assert!(crest_m > -0.05 * r, "{crest_m}");
        }
    }

    /// In a long bank the height at rest is `min(H0, sqrt(A tan(theta)))`, 8 % below where both
    /// are equal.
    #[test]
    fn a_long_bank_has_the_height_of_its_section() {
        for (width_m, slope_deg, height_m) in
            [(3.0, 60.0, 1.83), (1.83, 65.0, 1.83), (0.91, 60.0, 0.61)]
        {
            let mound = mound(width_m, 2000.0, slope_deg, height_m, 0.84);
            let section_m2 = height_m * (width_m - mound.built_run_m);
            let ridge_m = sqrt(section_m2 * 0.84);
            let high_m = height_m * mound.left(at_rest_m(&mound));
            let want = height_m.min(ridge_m);
            assert!((high_m / want - 1.0).abs() < 0.085, "{high_m} {want}");
        }
    }

    /// The wedge eats the crest first: doubling the width at the same slope leaves the height.
    #[test]
    fn a_wide_mound_keeps_its_height() {
        let mound = mound(6.0, 8.0, 65.0, 1.0, 0.78);
        assert!(at_rest_m(&mound) > 1.25);
        assert!(mound.left(at_rest_m(&mound)) > 0.999);
    }

    #[test]
    fn nothing_moves_below_its_repose() {
        let flat = mound(6.0, 8.0, 30.0, 1.0, 0.78);
        let dry = Mound {
            wetted: 0.0,
            ..mound(2.0, 4.0, 65.0, 1.5, 0.78)
        };
        for still in [flat, dry] {
            let run_m = still.run_after_m(still.built_run_m, 3650.0);
            assert_eq!(run_m.to_bits(), still.built_run_m.to_bits());
        }
    }

    /// Far from rest, and while the crest lasts, the run approaches rest as `exp(-t/tau)`.
    #[test]
    fn the_run_approaches_rest_exponentially() {
        let mound = mound(8.0, 9.0, 60.0, 1.0, 0.6);
        let rest_m = mound.rest_run_m;
        let start_m = rest_m - mound.built_run_m;
        for days in [10.0, 50.0, 100.0] {
            let left_m = rest_m - mound.run_after_m(mound.built_run_m, days);
            let want_m = start_m * exp(-days / 100.0);
            assert!((left_m / want_m - 1.0).abs() < 2e-3, "{left_m} {want_m}");
        }
    }

    #[test]
    fn a_lower_repose_never_raises_the_height() {
        for slope_deg in [35.0, 50.0, 65.0, 80.0] {
            let mut before = 0.0;
            for tenth in 4..40 {
                let repose = f64::from(tenth) / 10.0;
                let mound = mound(2.0, 3.0, slope_deg, 0.6, repose);
                for days in [30.0, 400.0] {
                    let left = mound.left(mound.run_after_m(mound.built_run_m, days));
                    assert!(left <= 1.0 && left > 0.3);
                    if days > 100.0 {
                        assert!(left >= before - 1e-12, "{slope_deg} {repose}");
                        before = left;
                    }
                }
            }
        }
    }

    #[test]
    fn a_mound_that_has_vanished_has_a_height_left() {
        let gone = Mound {
            height_m: 0.0,
            volume_m3: 0.0,
            rest_run_m: 0.0,
            ..mound(2.0, 3.0, 60.0, 0.5, 0.78)
        };
        assert!((gone.left(gone.built_run_m) - 1.0).abs() < 1e-12);
        assert!(gone.run_after_m(0.4, 10.0).is_finite());
    }
}
