//! Heavy tails: normal deviations with one common scale, which itself is random.
//!
//! With a scale of `sqrt(nu/X)`, X chi-squared with nu degrees of freedom, deviations are
//! Student's t. Here the scale takes few values, each [`STEP`] times the one before, with the
//! chance of its bin, and is multiplied by a constant so that the 10 % and 90 % quantiles are
//! those of the standard normal: tails alone are heavier.

use moulder_core::math::elementary::pow;

/// Ratio of one scale to the one before.
const STEP: f64 = 1.25;

/// Chances of the scales of a deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ScaleMixture {
    /// The least scale, as a power of [`STEP`].
    first: i32,
    /// Chance of each scale, the least first; they sum to one.
    chances: &'static [f64],
}

/// Three degrees of freedom.
pub(crate) const HEAVY: ScaleMixture = ScaleMixture {
    first: -4,
    chances: &[
        0.032_915, 0.100_131, 0.177_359, 0.203_678, 0.175_874, 0.126_112, 0.080_181, 0.047_173,
        0.026_404, 0.014_313, 0.007_601, 0.008_259,
    ],
};

/// Normal.
#[cfg(test)]
pub(crate) const NORMAL: ScaleMixture = ScaleMixture {
    first: 0,
    chances: &[1.0],
};

impl ScaleMixture {
    /// The scales as powers of [`STEP`], each with its chance.
    pub(crate) fn nodes(self) -> impl Iterator<Item = (i32, f64)> + Clone {
        (self.first..).zip(self.chances.iter().copied())
    }

    /// The scale, as a power of [`STEP`], below which that share of the chances lies.
    pub(crate) fn at(self, share: f64) -> i32 {
        let mut left = share;
        let mut found = self.first;
        for (power, chance) in self.nodes() {
            found = power;
            left -= chance;
            if left < 0.0 {
                break;
            }
        }
        found
    }

    /// Mean of the squared scale: the variance of a deviation.
    pub(crate) fn mean_square(self) -> f64 {
        let squares = self
            .nodes()
            .map(|(power, chance)| chance * scale(2 * power));
        squares.sum()
    }
}

/// A power of [`STEP`].
pub(crate) fn scale(power: i32) -> f64 {
    pow(STEP, f64::from(power))
}

#[cfg(test)]
mod tests {
    use super::{HEAVY, NORMAL, STEP, ScaleMixture, scale};
    use crate::numeric::normal::{below, quantile};
    use moulder_core::math::elementary::exp;

    /// Share of the mixture below `z`.
    fn share_below(mixture: ScaleMixture, z: f64) -> f64 {
        let nodes = mixture.nodes();
        nodes
            .map(|(power, chance)| chance * below(z / scale(power)))
            .sum()
    }

    /// The chances are those of the chi-squared distribution in closed form, and the 10 % to 90 %
    /// width is the normal one, as far as six digits go.
    #[test]
    fn chances_are_of_students_t_with_the_width_kept() {
        /// The multiplier that keeps the width.
        const MULTIPLIER: f64 = 0.781_768;
        let sum: f64 = HEAVY.chances.iter().sum();
        assert!((sum - 1.0).abs() < 1e-12, "{sum}");
        assert!((share_below(HEAVY, quantile(0.9)) - 0.9).abs() < 1e-5);
        let above = |edge: f64| {
            let root = 3.0_f64.sqrt() * MULTIPLIER / edge;
            let density = exp(-0.5 * root * root) / (2.0 * core::f64::consts::PI).sqrt();
            2.0 * below(root) - 1.0 - 2.0 * root * density
        };
        let last = HEAVY.chances.len() - 1;
        for (place, (power, chance)) in HEAVY.nodes().enumerate() {
            let lower = scale(power) / STEP.sqrt();
            let from = if place == 0 { 1.0 } else { above(lower) };
            let to = if place == last {
                0.0
            } else {
                above(lower * STEP)
            };
            assert!((chance - (from - to)).abs() < 2e-6, "{power}: {chance}");
        }
    }

    /// The 99 % quantile of t with three degrees of freedom as printed (4.541; from memory), at the
    /// width kept: 1.638 is its 90 % quantile.
    #[test]
    fn tails_are_those_of_students_t() {
        let share = share_below(HEAVY, 4.541 * quantile(0.9) / 1.638);
        assert!((share - 0.99).abs() < 3e-4, "{share}");
    }

    #[test]
    fn scales_are_drawn_by_their_chances() {
        for mixture in [HEAVY, NORMAL] {
            let mut from = 0.0;
            for (power, chance) in mixture.nodes() {
                assert_eq!(mixture.at(from + 0.5 * chance), power);
                from += chance;
            }
            assert_eq!(mixture.at(1.0), mixture.nodes().last().unwrap().0);
        }
        assert!((NORMAL.mean_square() - 1.0).abs() < 1e-15);
        assert!((HEAVY.mean_square() - 1.572_5).abs() < 1e-3);
    }
}
