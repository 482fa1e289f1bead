//! Dependence of decay on temperature.
//!
//! The factor is `F(T) H(T) I(T)`: rise with temperature, heat limit, frost limit. `F` is 1 at 10
//! degC: a Q10 law for wood, Lloyd & Taylor for non-woody material and soil. Three further
//! published laws serve as alternatives for testing.

use crate::math::elementary::{exp, ln, pow};
use crate::value::{Spread, Status, Value};

/// Reference temperature; degC.
pub const REFERENCE_C: f64 = 10.0;

/// Q10 of wood.
pub static Q10_WOOD: Value = Value::new(
    2.53,
    Spread::new(1.6, 2.6),
    "1",
    "Mackensen, Bauhus & Webber 2003, Aust. J. Bot. 51:27-37, abstract, 184 rates; high end Harmon et al. 2020, abstract, about 2.6; low end from our own regression of a compilation, 1.56 (1.05-2.31)",
    Status::Read,
);

/// `E0` of Lloyd & Taylor 1994, eq. 11; K.
const LLOYD_TAYLOR_E0_K: f64 = 308.56;
/// `T0` of Lloyd & Taylor 1994, 227.13 K; degC.
const LLOYD_TAYLOR_T0_C: f64 = 227.13 - 273.15;

/// Rise with temperature of wood: `q10^((T - 10)/10)`.
///
/// ```
/// // Mackensen, Bauhus & Webber 2003: 2.53 per 10 degC.
/// use moulder_core::law::temperature::q10_rise;
/// assert!((q10_rise(2.53, 20.0) - 2.53).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn q10_rise(q10: f64, temperature_c: f64) -> f64 {
    pow(q10, (temperature_c - REFERENCE_C) / 10.0)
}

/// Rise with temperature of non-woody material and soil: Lloyd & Taylor 1994, Functional Ecology
/// 8:315-323, eq. 11; 0 at and below -46 degC.
///
/// ```
/// use moulder_core::law::temperature::lloyd_taylor_rise;
/// assert!((lloyd_taylor_rise(10.0) - 1.0).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn lloyd_taylor_rise(temperature_c: f64) -> f64 {
    let above_t0 = (temperature_c - LLOYD_TAYLOR_T0_C).max(0.01);
    exp(LLOYD_TAYLOR_E0_K * (1.0 / (REFERENCE_C - LLOYD_TAYLOR_T0_C) - 1.0 / above_t0))
}

/// Arrhenius law with an activation energy in kJ/mol; an alternative.
#[must_use]
pub fn arrhenius_rise(activation_kj_per_mol: f64, temperature_c: f64) -> f64 {
    const GAS_KJ_PER_MOL_K: f64 = 8.314e-3;
    let reference_k = REFERENCE_C + 273.15;
    exp(activation_kj_per_mol / GAS_KJ_PER_MOL_K
        * (1.0 / reference_k - 1.0 / (temperature_c + 273.15)))
}

/// Cardinal temperature law of Rosso, Lobry & Flandrois 1993, J. Theor. Biol. 162:447-463: 1 at
/// the optimum, 0 outside `least_c..most_c`; an alternative with its own limits.
#[must_use]
pub fn cardinal(least_c: f64, best_c: f64, most_c: f64, temperature_c: f64) -> f64 {
    if temperature_c <= least_c || temperature_c >= most_c {
        return 0.0;
    }
    let t = temperature_c;
    let above = t - least_c;
    (t - most_c) * above * above
        / ((best_c - least_c)
            * ((best_c - least_c) * (t - best_c)
                - (best_c - most_c) * (best_c + least_c - 2.0 * t)))
}

/// Kirschbaum 1995, Soil Biol. Biochem. 27:753-760 (coefficients from memory):
/// 1 at 36.9 degC; an alternative.
#[must_use]
pub fn kirschbaum(temperature_c: f64) -> f64 {
    exp(-3.764 + 0.204 * temperature_c * (1.0 - 0.5 * temperature_c / KIRSCHBAUM_BEST_C))
}

/// Optimum of [`kirschbaum`]; degC.
const KIRSCHBAUM_BEST_C: f64 = 36.9;

/// Heat limit of decay: midpoint and width of a logistic decrease; degC.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatLimit {
    /// Temperature at half the rate; degC.
    pub middle_c: f64,
    /// Width of the decrease; degC.
    pub width_c: f64,
}

/// Heat limit of wood: fungi peak near 30 degC, 3 % left at 40 (Wood Handbook ch. 14: slow above
/// 35, all but ceased at 38; the smooth form is our own closure).
pub const WOOD_HEAT: HeatLimit = HeatLimit {
    middle_c: 33.0,
    width_c: 2.0,
};

/// Heat limit of non-woody material: peak near 56 degC (Suler & Finstein 1977, most CO2 at 56-60
/// degC, abstract; the smooth form is our own closure).
pub const SOFT_HEAT: HeatLimit = HeatLimit {
    middle_c: 63.0,
    width_c: 3.0,
};

impl HeatLimit {
    /// Factor of the heat limit.
    #[inline]
    #[must_use]
    pub fn factor(self, temperature_c: f64) -> f64 {
        1.0 / (1.0 + exp((temperature_c - self.middle_c) / self.width_c))
    }
}

/// Frost factor: logistic about -1 degC, width 0.7 (water in fine pores freezes slightly below 0;
/// our own closure).
#[inline]
#[must_use]
pub fn frost_factor(temperature_c: f64) -> f64 {
    1.0 / (1.0 + exp(-(temperature_c + 1.0) / 0.7))
}

/// Temperature factor of wood: `F H I`.
#[inline]
#[must_use]
pub fn wood_factor(q10: f64, temperature_c: f64) -> f64 {
    q10_rise(q10, temperature_c) * WOOD_HEAT.factor(temperature_c) * frost_factor(temperature_c)
}

/// Temperature factor of non-woody material, soil and humus: `F H I`.
#[inline]
#[must_use]
pub fn soft_factor(temperature_c: f64) -> f64 {
    lloyd_taylor_rise(temperature_c) * SOFT_HEAT.factor(temperature_c) * frost_factor(temperature_c)
}

/// Daily course of temperature with amplitude `half_swing_c` about `mean_c`, over which the laws
/// are averaged at Chebyshev nodes, in a form that vectorises.
///
/// Eight nodes are within 0.2 % for amplitudes up to 6 degC across the onset of frost, where the
/// laws are steepest, and within 1e-4 above 5 degC (tested). At the small amplitudes deep in a
/// bed, four or two nodes are within 1e-6 (tested).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayCourse {
    /// Mean; degC.
    pub mean_c: f64,
    /// Half the daily range; degC.
    pub half_swing_c: f64,
}

impl DayCourse {
    /// Amplitudes below which two and four nodes suffice; degC.
    const TWO_NODES_C: f64 = 0.1;
    const FOUR_NODES_C: f64 = 0.6;

    /// Daily mean of the temperature factor of non-woody material.
    ///
    /// ```
    /// use moulder_core::law::temperature::{DayCourse, soft_factor};
    ///
    /// let still = DayCourse { mean_c: 10.0, half_swing_c: 0.0 };
    /// assert!((still.soft_mean() - soft_factor(10.0)).abs() < 1e-15);
    /// ```
    #[must_use]
    pub fn soft_mean(self) -> f64 {
        self.mean_of(soft_factor)
    }

    /// Daily mean of the temperature factor of wood.
    #[must_use]
    pub fn wood_mean(self, q10: f64) -> f64 {
        let ln_q10 = ln(q10);
        self.mean_of(|node_c| {
            let rise = exp((node_c - REFERENCE_C) / 10.0 * ln_q10);
            rise * WOOD_HEAT.factor(node_c) * frost_factor(node_c)
        })
    }

    #[inline]
    fn mean_of(self, law: impl Fn(f64) -> f64) -> f64 {
        // cos((2k + 1) pi/(2n)).
        if self.half_swing_c < Self::TWO_NODES_C {
            self.mean_at([core::f64::consts::FRAC_1_SQRT_2], law)
        } else if self.half_swing_c < Self::FOUR_NODES_C {
            self.mean_at([0.923_879_532_511_286_7, 0.382_683_432_365_089_84], law)
        } else {
            let nodes = [
                0.980_785_280_403_230_4,
                0.831_469_612_302_545_2,
                0.555_570_233_019_602_3,
                0.195_090_322_016_128_33,
            ];
            self.mean_at(nodes, law)
        }
    }

    /// Mean over `N` nodes above and `N` below the daily mean.
    #[inline]
    fn mean_at<const N: usize>(self, nodes: [f64; N], law: impl Fn(f64) -> f64) -> f64 {
        let mut factors = [[0.0; 2]; N];
        for (pair, node) in factors.iter_mut().zip(nodes) {
            for (factor, side) in pair.iter_mut().zip([1.0, -1.0]) {
                *factor = law(self.mean_c + side * node * self.half_swing_c);
            }
        }
        let mut sum = 0.0;
        for [above, below] in factors {
            sum += above + below;
        }
        // Division by a power of two is exact.
        sum * (0.5 / f64::from(u8::try_from(N).unwrap_or(1)))
    }
}

/// Annual mean of `law` at amplitude `half_range_c` about `mean_c`, by Chebyshev nodes: the part
/// of a field site's rate due to temperature.
///
/// ```
/// use moulder_core::law::temperature::{year_mean, soft_factor};
///
/// // Convexity: seasonality raises the mean.
/// assert!(year_mean(10.0, 8.0, soft_factor) > soft_factor(10.0));
/// ```
#[must_use]
pub fn year_mean(mean_c: f64, half_range_c: f64, law: impl Fn(f64) -> f64) -> f64 {
    const NODES: u32 = 24;
    let mut sum = 0.0;
    for k in 0..NODES {
        let angle = core::f64::consts::PI * (f64::from(k) + 0.5) / f64::from(NODES);
        sum += law(mean_c + half_range_c * libm::cos(angle));
    }
    sum / f64::from(NODES)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn local_q10(law: impl Fn(f64) -> f64, at_c: f64) -> f64 {
        let h = 1e-4;
        exp(10.0 * (ln(law(at_c + h)) - ln(law(at_c - h))) / (2.0 * h))
    }

    /// Kirschbaum 1995, abstract: Q10 almost 8 at 0 degC, about 4.5 at 10, 2.5 at 20.
    #[test]
    fn kirschbaum_local_q10() {
        let at_0 = local_q10(kirschbaum, 0.0);
        assert!((7.5..8.0).contains(&at_0), "{at_0}");
        assert!((local_q10(kirschbaum, 10.0) - 4.5).abs() < 0.1);
        assert!((local_q10(kirschbaum, 20.0) - 2.5).abs() < 0.1);
    }

    /// Lloyd & Taylor 1994, eq. 11 (form read in a library's documentation, constants from
    /// memory; points computed by an independent script).
    #[test]
    fn lloyd_taylor_points() {
        for (temperature_c, want) in [
            (-10.0, 0.0470),
            (0.0, 0.3021),
            (5.0, 0.5829),
            (15.0, 1.5704),
            (20.0, 2.3032),
            (25.0, 3.2006),
            (30.0, 4.2593),
            (35.0, 5.4717),
        ] {
            let got = lloyd_taylor_rise(temperature_c);
            assert!((got - want).abs() < 1e-3, "{temperature_c}: {got}");
        }
        assert!(lloyd_taylor_rise(-80.0) < 1e-300);
    }

    /// Rosso et al. 1993, points from the documentation of a library with the equation (0.037 at
    /// the optimum, 4/20/37 degC, at 10 degC: 0.02443).
    #[test]
    fn cardinal_points() {
        assert!((0.037 * cardinal(4.0, 20.0, 37.0, 10.0) - 0.02443).abs() < 5e-6);
        assert!((cardinal(2.0, 28.0, 40.0, 28.0) - 1.0).abs() < 1e-12);
        assert!(cardinal(2.0, 28.0, 40.0, 41.0).abs() < 1e-15);
    }

    /// Arrhenius: 47.835 kJ/mol gives Q10 2 between 10 and 20 degC (arithmetic).
    #[test]
    fn arrhenius_point() {
        assert!((arrhenius_rise(47.835, 20.0) - 2.0).abs() < 1e-3);
    }

    /// Wood Handbook ch. 14: decay is slow below 10 and above 35 degC, and all but ceases at 2
    /// and at 38 degC.
    #[test]
    fn wood_limits() {
        let best = (0..400)
            .map(|i| f64::from(i) * 0.1)
            .fold(0.0_f64, |best, t| best.max(wood_factor(2.53, t)));
        assert!(wood_factor(2.53, 28.0) > 0.85 * best);
        assert!(wood_factor(2.53, 40.0) < 0.15 * best);
        assert!(wood_factor(2.53, 2.0) < 0.15 * best);
        assert!((wood_factor(2.53, 10.0) - 1.0).abs() < 1e-4);
        assert!((soft_factor(10.0) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn day_mean_matches_a_fine_grid() {
        for (mean_c, half_swing_c, bound) in
            [(0.0, 6.0, 2e-3), (12.0, 7.0, 1e-4), (28.0, 9.0, 1e-4)]
        {
            let fine: f64 = (0..2000)
                .map(|k| {
                    let angle = core::f64::consts::PI * (f64::from(k) + 0.5) / 2000.0;
                    soft_factor(mean_c + half_swing_c * libm::cos(angle)) / 2000.0
                })
                .sum();
            let course = DayCourse {
                mean_c,
                half_swing_c,
            };
            let got = course.soft_mean();
            assert!((got / fine - 1.0).abs() < bound, "{mean_c}: {got} {fine}");
        }
    }

    /// At each switch of node count the results agree to 1e-6; the laws are most curved at the
    /// onset of frost.
    #[test]
    fn few_nodes_suffice_at_small_amplitudes() {
        for half_swing_c in [DayCourse::TWO_NODES_C, DayCourse::FOUR_NODES_C] {
            for tenths in -100..400 {
                let course = DayCourse {
                    mean_c: 0.1 * f64::from(tenths),
                    half_swing_c,
                };
                let fewer = DayCourse {
                    half_swing_c: half_swing_c * (1.0 - 1e-12),
                    ..course
                };
                for (more, few) in [
                    (course.soft_mean(), fewer.soft_mean()),
                    (course.wood_mean(2.5), fewer.wood_mean(2.5)),
                ] {
                    let off = (more - few).abs();
                    assert!(off < 1e-6, "{half_swing_c} about {tenths}/10: {more} {few}");
                }
            }
        }
    }
}
