//! Closure of gaps: by load, first wetting, creep and decay.
//!
//! The gap of a layer is `G = e_min E + G_x`: a minimum proportional to the envelope `E` of its
//! pieces, and an excess that closes. Each process multiplies the excess:
//!
//! ```text
//! dG_x/dt = sum_j alpha_j (G_x/E) dE_j/dt
//!           - G_x ( b (dS/dt)/(sigma_c + S) + w_c dm/dt + b_a/(t + t_p) )
//! ```
//!
//! with S the maximum effective stress so far, m the wetted share, t the time since filling.
//! Decay: `McDougall` & Pyrah 2004, Geotechnique 54:487-493, `dV_void = Lambda dV_solid` with
//! `Lambda = alpha e`. Load and creep: the `log10` laws of stress and time (Sowers 1973; UFC
//! 3-220-10, eq. 5-18), as power laws that cannot close more than the excess. Wetting: our own
//! closure.

use crate::math::elementary::{exp, mean_growth, pow};
use crate::math::smooth::smoothstep;
use crate::value::{Spread, Status, Value};

/// Time constant of effective stress under load.
pub static STRESS_DAYS: Value = Value::new(
    10.0,
    Spread::new(3.0, 30.0),
    "d",
    "our own closure; most compression comes during building, plus slow consolidation (Janze 2014)",
    Status::Judgement,
);

/// Reference time of creep.
pub static CREEP_START_DAYS: Value = Value::new(
    30.0,
    Spread::new(15.0, 60.0),
    "d",
    "Sowers 1973, primary compression of municipal waste taken to last 30 days (quoted in a thesis, which calls the figure arbitrary); spread is our judgement",
    Status::Read,
);

/// Time constant of collapse under thorough watering.
pub static WATERED_DAYS: Value = Value::new(
    2.0,
    Spread::new(1.0, 5.0),
    "d",
    "our own closure",
    Status::Judgement,
);

/// Share of its collapse that matter has behind it which arrives at field capacity.
pub static WETTED_ON_ARRIVAL: Value = Value::new(
    0.3,
    Spread::new(0.1, 0.5),
    "1",
    "our own closure: far from all, since moist tilled silt loam still sank 14-20 % under rain (abstract, 1994), and not none, since slumping falls with the water content at the start (Kao 2008, abstract)",
    Status::Judgement,
);

/// The same of litter, manure and card, which have gone limp.
pub static LIMP_ON_ARRIVAL: Value = Value::new(
    0.7,
    Spread::new(0.4, 0.95),
    "1",
    "our own judgement: leaves that come wet lie matted, as card softens; some spring is left",
    Status::Judgement,
);

/// Time constant at which fresh green matter wilts, and collapses without any rain.
pub static WILTING_DAYS: Value = Value::new(
    7.0,
    Spread::new(3.0, 14.0),
    "d",
    "our own judgement: a heap of grass has gone flat within two weeks, covered or not",
    Status::Judgement,
);

/// Water content over field capacity at which that begins, and at which it is whole.
const WETTED_FROM_TO: (f64, f64) = (0.5, 1.0);

/// Pressure under a foot.
pub static FOOT_KPA: Value = Value::new(
    30.0,
    Spread::new(20.0, 40.0),
    "kPa",
    "our own closure: a person's weight on one sole",
    Status::Judgement,
);

/// Equivalent radius of a shoe sole.
pub static FOOT_RADIUS_M: Value = Value::new(
    0.14,
    Spread::new(0.10, 0.18),
    "m",
    "our own closure",
    Status::Judgement,
);

/// Lasting share of compaction by treading.
pub static TREADING_SHARE: Value = Value::new(
    0.5,
    Spread::new(0.3, 0.8),
    "1",
    "our own closure; dry treading is partly undone by wetting",
    Status::Judgement,
);

/// Distance below the load at which the stress rate is rounded off; kPa (1 mm of water).
const STRESS_ROUNDING_KPA: f64 = 0.01;

/// Acceleration of gravity over 1000: kPa per kg/m2.
pub const GRAVITY_KPA_M2_PER_KG: f64 = 9.806_65e-3;

/// Exponent b of the power law whose initial slope equals that of `strain = C log10(1 +
/// S/sigma_c)`: `C (1 + e0)/(ln 10 (e0 - e_min))`.
#[must_use]
pub fn closing_exponent(compression: f64, void_ratio: f64, min_void_ratio: f64) -> f64 {
    compression * (1.0 + void_ratio) / (core::f64::consts::LN_10 * (void_ratio - min_void_ratio))
}

/// Largest share of the excess gap that collapses: a guard for figures that nobody checked, which
/// no realisation of the library reaches (tested in `moulder`).
pub const MOST_COLLAPSE: f64 = 0.99;

/// Strain at which all of the excess gap has closed, which bounds collapse.
#[must_use]
pub fn closing_strain(void_ratio: f64, min_void_ratio: f64) -> f64 {
    (void_ratio - min_void_ratio) / (1.0 + void_ratio)
}

/// Exponent `w_c` at which wetting closes `share` of the excess gap.
///
/// ```
/// use moulder_core::law::settlement::{closing_strain, collapse_exponent, left_after_wetting};
/// // A strain of 0.30 where 0.78 closes all.
/// let share = 0.30 / closing_strain(8.0, 1.0);
/// let left = left_after_wetting(collapse_exponent(share), 0.0, 1.0);
/// assert!((left - (1.0 - share)).abs() < 1e-12);
/// ```
#[must_use]
pub fn collapse_exponent(share: f64) -> f64 {
    -crate::math::elementary::ln(1.0 - share.min(MOST_COLLAPSE))
}

/// Share of the excess gap left when the effective stress rises from `from_kpa` to `to_kpa`.
///
/// ```
/// use moulder_core::law::settlement::left_after_load;
/// // Exponent 1: double the shifted stress, half the excess.
/// assert!((left_after_load(1.0, 2.0, 0.0, 2.0) - 0.5).abs() < 1e-15);
/// ```
#[inline]
#[must_use]
pub fn left_after_load(exponent: f64, reference_kpa: f64, from_kpa: f64, to_kpa: f64) -> f64 {
    pow(
        (reference_kpa + to_kpa) / (reference_kpa + from_kpa),
        -exponent,
    )
}

/// Share of the excess gap left when the wetted share rises from `from` to `to`.
#[inline]
#[must_use]
pub fn left_after_wetting(collapse: f64, from: f64, to: f64) -> f64 {
    exp(-collapse * (to - from))
}

/// Share of first wetting that lies behind matter with a water content `over_capacity` times its
/// field capacity; `at_capacity` of it at 1.
///
/// ```
/// use moulder_core::law::settlement::wetted_on_arrival;
/// assert_eq!(wetted_on_arrival(0.4, 0.3), 0.0);
/// assert_eq!(wetted_on_arrival(1.2, 0.3), 0.3);
/// ```
#[must_use]
pub fn wetted_on_arrival(over_capacity: f64, at_capacity: f64) -> f64 {
    let (from, to) = WETTED_FROM_TO;
    at_capacity * smoothstep(from, to, over_capacity)
}

/// Share of the excess gap left by creep from `from_days` to `to_days` after filling.
#[inline]
#[must_use]
pub fn left_after_creep(exponent: f64, start_days: f64, from_days: f64, to_days: f64) -> f64 {
    pow((to_days + start_days) / (from_days + start_days), -exponent)
}

/// Share of the excess gap left by decay when the envelope goes from `before` to `after`;
/// `weighted_change` is the sum over ingredients of `alpha` times their change.
///
/// For one alpha this is exactly `(after/before)^alpha`; for several, their mean by the
/// logarithmic mean of the envelope.
///
/// ```
/// use moulder_core::law::settlement::left_after_rot;
/// // Half the pieces decayed at alpha 1: half the gap, the same void ratio.
/// assert!((left_after_rot(1.0, 0.5, 1.0 * -0.5) - 0.5).abs() < 1e-14);
/// ```
#[inline]
#[must_use]
pub fn left_after_rot(before: f64, after: f64, weighted_change: f64) -> f64 {
    let base = before.max(f64::MIN_POSITIVE);
    exp(weighted_change / base * mean_growth((after - before) / base))
}

/// Rate of effective stress; kPa/d: `x/days` for a load `x` above it and 0 below, joined smoothly
/// as `x^3/(x^2 + w^2)`, which never exceeds the load.
///
/// It never decreases: compression is irreversible.
#[inline]
#[must_use]
pub fn stress_rate(vertical_stress_kpa: f64, effective_kpa: f64, stress_days: f64) -> f64 {
    let x = (vertical_stress_kpa - effective_kpa).max(0.0);
    x * x * x / (x * x + STRESS_ROUNDING_KPA * STRESS_ROUNDING_KPA) / stress_days
}

/// Effective stress after `days` at constant load; kPa. One step of the classic fourth-order
/// Runge-Kutta method for [`stress_rate`].
#[inline]
#[must_use]
pub fn stress_after(
    vertical_stress_kpa: f64,
    effective_kpa: f64,
    stress_days: f64,
    days: f64,
) -> f64 {
    let k1 = stress_rate(vertical_stress_kpa, effective_kpa, stress_days);
    let k2 = stress_rate(
        vertical_stress_kpa,
        effective_kpa + 0.5 * days * k1,
        stress_days,
    );
    let k3 = stress_rate(
        vertical_stress_kpa,
        effective_kpa + 0.5 * days * k2,
        stress_days,
    );
    let k4 = stress_rate(vertical_stress_kpa, effective_kpa + days * k3, stress_days);
    effective_kpa + days / 6.0 * (k1 + 2.0 * (k2 + k3) + k4)
}

/// Depth of the compaction stress of treading: mid-depth of a lift of 15 cm; m.
pub const TREADING_DEPTH_M: f64 = 0.075;

/// Residual stress of treading at `depth_m` in a lift: `r q (a/(a + z))^2`; kPa.
#[must_use]
pub fn treading_kpa(share: f64, foot_kpa: f64, foot_radius_m: f64, depth_m: f64) -> f64 {
    let spread = foot_radius_m / (foot_radius_m + depth_m);
    share * foot_kpa * spread * spread
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Settlement by our law in the limit of the textbook log law: a very low minimum void ratio.
    fn log_law(
        compression_index: f64,
        void_ratio: f64,
        thickness: f64,
        reference: f64,
        from: f64,
        to: f64,
    ) -> f64 {
        let least = -1e7;
        let strain_index = compression_index / (1.0 + void_ratio);
        let exponent = closing_exponent(strain_index, void_ratio, least);
        let excess = (void_ratio - least) / (1.0 + void_ratio);
        thickness * excess * (1.0 - left_after_load(exponent, reference, from, to))
    }

    /// University of Cebu, settlement notes (read): normally consolidated clay 9 m
    /// thick, 29.04 cm with the rounded compression index.
    #[test]
    fn primary_settlement_of_a_textbook_clay() {
        let got = log_law(0.32, 1.55, 900.0, 0.0, 136.20, 246.20);
        assert!((got - 29.04).abs() < 0.005, "{got}");
    }

    /// Das, Principles of Geotechnical Engineering, secondary consolidation example
    /// (from memory): 2.15 in primary, 0.59 in secondary, 2.74 in together.
    #[test]
    fn primary_and_secondary_settlement_of_das() {
        let thickness_in = 8.5 * 12.0;
        let primary = log_law(0.28, 0.8, thickness_in, 0.0, 2650.0, 2650.0 + 970.0);
        let void_ratio_after = 0.8 - 0.038;
        let least = -1e7;
        // The book rounds C_alpha/(1 + e_p) to 0.011; creep runs from 1.5 to 5 years.
        let exponent = 0.011 * (1.0 + void_ratio_after)
            / (core::f64::consts::LN_10 * (void_ratio_after - least));
        let excess = (void_ratio_after - least) / (1.0 + void_ratio_after);
        let secondary = thickness_in * excess * (1.0 - left_after_creep(exponent, 0.0, 1.5, 5.0));
        assert!((primary - 2.15).abs() < 0.02, "{primary}");
        assert!(
            (primary + secondary - 2.74).abs() < 0.02,
            "{}",
            primary + secondary
        );
    }

    /// Height left by decay alone, e0 = 3, half the solids decayed: self-consistency of the
    /// closed form `[(1-D) + e0 (1-D)^alpha]/(1+e0)`.
    #[test]
    fn decay_table() {
        for (alpha, want) in [(0.0, 0.8750), (0.5, 0.6553), (1.0, 0.5000), (1.25, 0.4403)] {
            let left = left_after_rot(1.0, 0.5, alpha * (0.5 - 1.0));
            let height = (0.5 + 3.0 * left) / 4.0;
            assert!((height - want).abs() < 5e-5, "{alpha}: {height}");
        }
    }

    /// Spruce chips, 162 kg/m3 and 9.9e-5 per Pa (Mueller, Karaj & Meissner 2012, abstract): a
    /// loose column of 1 m settles to 0.9253 m under its own weight by the exponential law.
    /// Self-consistency: the height is derived. Our law with C = 0.20 and `sigma_c` of equal
    /// initial slope stiffens with load: 0.9517 m, within 1 cm of the log law, not of the
    /// exponential one.
    #[test]
    fn spruce_chip_column() {
        let (density, per_kpa) = (162.0, 0.099);
        let weight_kpa = density * 9.81e-3;
        let exponential = (1.0 - exp(-per_kpa * weight_kpa)) / (per_kpa * weight_kpa);
        assert!((exponential - 0.9253).abs() < 5e-5);

        let compression = 0.20;
        let reference = compression / (core::f64::consts::LN_10 * per_kpa);
        let (void_ratio, least) = (1.6, 0.6);
        let exponent = closing_exponent(compression, void_ratio, least);
        let slices = 1000;
        let ours: f64 = (0..slices)
            .map(|i| {
                let load = weight_kpa * (f64::from(i) + 0.5) / f64::from(slices);
                let excess = (void_ratio - least) * left_after_load(exponent, reference, 0.0, load);
                (1.0 + least + excess) / (1.0 + void_ratio) / f64::from(slices)
            })
            .sum();
        let a = weight_kpa / reference;
        let log_law = compression / core::f64::consts::LN_10
            * ((1.0 + a) * crate::math::elementary::ln(1.0 + a) - a)
            / a;
        assert!(
            (1.0 - ours) < log_law && (1.0 - ours) > 0.9 * log_law,
            "{ours}"
        );
    }

    #[test]
    fn collapse_exponent_gives_its_strain() {
        let (void_ratio, least, strain) = (8.0, 1.0, 0.30);
        let share = strain / closing_strain(void_ratio, least);
        let left = left_after_wetting(collapse_exponent(share), 0.0, 1.0);
        let height = (1.0 + least + (void_ratio - least) * left) / (1.0 + void_ratio);
        assert!((1.0 - height - strain).abs() < 1e-12);
    }

    #[test]
    fn stress_approaches_the_load_and_never_decreases() {
        let mut effective = 0.0;
        for _ in 0..100 {
            let next = stress_after(3.0, effective, 10.0, 1.0);
            assert!(next > effective);
            effective = next;
        }
        assert!(
            (effective - 3.0).abs() < 0.1 && effective <= 3.0,
            "{effective}"
        );
        assert!((stress_after(0.0, 3.0, 10.0, 7.0) - 3.0).abs() < 1e-15);
    }
}
