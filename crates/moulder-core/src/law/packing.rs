//! How pieces of several sizes lie together: the linear packing model.
//!
//! Yu, Zou & Standish (1996), Ind. Eng. Chem. Res. 35:3730. A component alone has
//! the bulk volume `1 + e` per volume of its pieces. In a mix, finer pieces lie in
//! the gaps of coarser ones; coarser pieces displace the bulk of finer ones.

use alloc::vec::Vec;

use crate::math::elementary::pow;
use crate::math::smooth::smooth_min;

/// Size ratio above which fines cannot enter the pores of dense spheres
/// (Yu & Standish 1991).
pub const ENTRANCE_RATIO: f64 = 0.154;
/// The same entrance as a share of the pores' width `2 e d/3`, at the void ratio 2/3
/// of a random bed of spheres.
const ENTRANCE_BY_PORE: f64 = 0.347;
/// Sizes closer than this mix as one (keeps shares of gaps finite).
const LARGEST_RATIO: f64 = 0.95;

/// Share of the fines' bulk volume that disappears in the gaps of pieces `1/ratio`
/// times their size.
///
/// ```
/// assert!((moulder_core::law::packing::vanishing_share(0.05) - 0.9662).abs() < 1e-4);
/// ```
#[inline]
#[must_use]
pub fn vanishing_share(ratio: f64) -> f64 {
    shares(ratio).0
}

/// Share of the coarse pieces' gaps that such fines can use.
///
/// ```
/// assert!((moulder_core::law::packing::usable_share(0.05) - 0.9190).abs() < 1e-4);
/// ```
#[inline]
#[must_use]
pub fn usable_share(ratio: f64) -> f64 {
    shares(ratio).1
}

/// [`vanishing_share`] and [`usable_share`] for the price of one power.
#[inline]
#[must_use]
pub fn shares(ratio: f64) -> (f64, f64) {
    let rest = 1.0 - ratio;
    let squared = rest * rest;
    let cubed = squared * rest;
    // One power serves all: 3.3, 2.7 and 3.7 are 3 and 4 more or less 0.3.
    let root = pow(rest, 0.3);
    let inverse = 1.0 / root;
    (
        cubed * (root + 2.8 * ratio * inverse),
        squared * (1.0 + 0.4 * ratio * squared * inverse),
    )
}

/// Width of the pores between pieces `particle_size_m` wide at void ratio `void_ratio`:
/// `2 e d/3` for lumps, `e d` for rods (hydraulic width; our own closure).
#[inline]
#[must_use]
pub fn pore_width_m(particle_size_m: f64, void_ratio: f64, rod_share: f64) -> f64 {
    particle_size_m * void_ratio * (2.0 + rod_share) / 3.0
}

/// The size ratio that the packing functions see, for fines `relative_size` times
/// as wide as the pores they meet: on a random bed of spheres it is the ratio of diameters,
/// so that loose brush counts as coarser than its twigs are thick.
#[inline]
#[must_use]
pub fn packing_ratio(relative_size: f64) -> f64 {
    smooth_min(
        ENTRANCE_RATIO * relative_size / ENTRANCE_BY_PORE,
        LARGEST_RATIO,
    )
}

/// Share of pores that are open to fines `relative_size` times as wide as they
/// (our own closure; half open at 0.35).
#[inline]
#[must_use]
pub fn open_share(relative_size: f64) -> f64 {
    1.0 / (1.0 + closing_power(relative_size))
}

/// Closed pores over open ones, for fines `relative_size` times as wide.
#[inline]
#[must_use]
pub fn closing_power(relative_size: f64) -> f64 {
    let x = relative_size / 0.35;
    let x2 = x * x;
    let x4 = x2 * x2;
    x4 * x4
}

/// Bulk volume of coarse pieces (`envelope` with gaps `gap`) that hold fines of
/// bulk volume `fines`, at packing ratio `ratio`: the larger of the coarse-led and
/// the fine-led volume, rounded over 1 % of the gap that fines can use.
///
/// ```
/// use moulder_core::law::packing::filled_volume;
/// // No fines: the coarse bed as it lies. No coarse: the fines as they lie.
/// assert!((filled_volume(0.6, 0.4, 0.0, 0.05) - 1.0).abs() < 1e-4);
/// assert!((filled_volume(0.0, 0.0, 0.3, 0.05) - 0.3).abs() < 1e-4);
/// ```
#[inline]
#[must_use]
pub fn filled_volume(envelope: f64, gap: f64, fines: f64, ratio: f64) -> f64 {
    let (vanishing, usable) = shares(ratio);
    let coarse_led = envelope + gap + (1.0 - vanishing) * fines;
    let fine_led = envelope + gap * (1.0 - usable) + fines;
    let width = 0.01 * (gap * usable + fines * vanishing);
    crate::math::smooth::smooth_max(coarse_led, fine_led, width)
}

/// One component of a mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Volume of the pieces themselves; m3.
    pub envelope_m3: f64,
    /// Void ratio when it lies alone.
    pub void_ratio: f64,
    /// Size of its pieces across their shorter way; m.
    pub particle_size_m: f64,
    /// 1 for rods, 0 for lumps.
    pub rod_share: f64,
}

impl Component {
    /// The size that must fit for a piece to lie in another's gap: a rod has to
    /// fit with its length, taken as ten times its thickness (our own closure).
    fn entering_m(&self) -> f64 {
        self.particle_size_m * (1.0 + 9.0 * self.rod_share)
    }
}

/// Bulk volume of a mix; m3.
///
/// The linear packing model over all components, each in turn taken as the one
/// that leads; the largest counts. So that nothing has a kink, the largest is taken
/// as the mean weighted by the 48th powers: exact for a tie and where one leads by
/// far, at most 1 % low between.
///
/// ```
/// use moulder_core::law::packing::{mixed_volume_m3, Component};
///
/// let alone = Component { envelope_m3: 0.2, void_ratio: 1.5, particle_size_m: 0.02, rod_share: 0.0 };
/// assert!((mixed_volume_m3(&[alone]) - 0.5).abs() < 1e-12);
/// // Twice the same lies as one.
/// assert!((mixed_volume_m3(&[alone, alone]) - 1.0).abs() < 1e-3);
/// ```
#[must_use]
pub fn mixed_volume_m3(components: &[Component]) -> f64 {
    const POWER: f64 = 48.0;
    let total: f64 = components.iter().map(|c| c.envelope_m3).sum();
    if total <= 0.0 {
        return 0.0;
    }
    let led = |leader: &Component| -> f64 {
        let own = 1.0 + leader.void_ratio;
        let others: f64 = components
            .iter()
            .filter(|other| !core::ptr::eq(*other, leader))
            .map(|other| {
                let share = other.envelope_m3 / total;
                let bulk = 1.0 + other.void_ratio;
                let coarser = other.entering_m() > leader.entering_m();
                let (coarse, fine) = if coarser {
                    (other, leader)
                } else {
                    (leader, other)
                };
                let pore =
                    pore_width_m(coarse.particle_size_m, coarse.void_ratio, coarse.rod_share);
                let ratio = nesting_ratio(
                    fine.entering_m() / coarse.entering_m(),
                    packing_ratio(fine.entering_m() / pore),
                );
                if coarser {
                    (bulk - other.void_ratio * usable_share(ratio) - own) * share
                } else {
                    (bulk * (1.0 - vanishing_share(ratio)) - own) * share
                }
            })
            .sum();
        own + others
    };
    let volumes: Vec<f64> = components.iter().map(led).collect();
    let largest = volumes.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
    let (mut sum, mut weights) = (0.0, 0.0);
    for volume in volumes {
        let weight = pow((volume / largest).max(0.0), POWER);
        sum += weight * volume;
        weights += weight;
    }
    total * sum / weights
}

/// The packing ratio of two components by their pores, drawn to 1 as they become of
/// one size: pieces do not nest in their own kind (its void ratio counts that already).
fn nesting_ratio(by_size: f64, by_pores: f64) -> f64 {
    let squared = by_size * by_size;
    by_pores + (1.0 - by_pores) * squared * squared
}

/// Sauter mean size of pieces: total volume over the sum of volume by size; m.
#[inline]
#[must_use]
pub fn mean_particle_size_m(envelope: f64, envelope_by_particle_size: f64) -> f64 {
    envelope / envelope_by_particle_size.max(f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Densest packing of two very unequal sizes, both of porosity `porosity` alone
    /// (Furnas 1931): solid share, and the coarse share at which it is reached.
    fn furnas_limit(porosity: f64) -> (f64, f64) {
        (1.0 - porosity * porosity, 1.0 / (1.0 + porosity))
    }

    /// f and g of Yu, Zou & Standish 1996 at six ratios (coefficients read in two
    /// independent public codes; points recomputed).
    #[test]
    fn yu_zou_standish_points() {
        for (ratio, f, g) in [
            (0.01, 0.9946, 0.9840),
            (0.05, 0.9662, 0.9190),
            (0.10, 0.9170, 0.8371),
            (0.154, 0.8504, 0.7489),
            (0.20, 0.785_42, 0.6750),
            (0.50, 0.3170, 0.2654),
        ] {
            assert!((vanishing_share(ratio) - f).abs() < 1e-4, "f({ratio})");
            assert!((usable_share(ratio) - g).abs() < 1e-4, "g({ratio})");
        }
    }

    /// Furnas 1931: equal porosity 0.36, very unequal sizes, 0.8704 at a coarse share
    /// of 0.735. Self-consistency: the limit is derived, and the smooth maximum must
    /// stay near it.
    #[test]
    fn furnas_densest() {
        let porosity = 0.36;
        let void_ratio = porosity / (1.0 - porosity);
        let solid_share = |coarse: f64| {
            let mix = [
                Component {
                    envelope_m3: coarse,
                    void_ratio,
                    particle_size_m: 1.0,
                    rod_share: 0.0,
                },
                Component {
                    envelope_m3: 1.0 - coarse,
                    void_ratio,
                    particle_size_m: 1e-7,
                    rod_share: 0.0,
                },
            ];
            1.0 / mixed_volume_m3(&mix)
        };
        let (densest, at) = (1..1000)
            .map(|i| f64::from(i) / 1000.0)
            .map(|x| (solid_share(x), x))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap();
        let (want, want_at) = furnas_limit(porosity);
        assert!((want - 0.8704).abs() < 1e-4 && (want_at - 0.735).abs() < 1e-3);
        assert!((densest / want - 1.0).abs() < 0.015, "{densest}");
        assert!((at - want_at).abs() < 0.02, "{at}");
    }

    /// Where coarse-led and fine-led volume cross, the bed has dropped by gap times
    /// usable share: 0.147 m for 0.40 m of logs of solid share 0.60 at ratio 0.05.
    /// Self-consistency of the derived formula.
    #[test]
    fn full_logs_drop_by_147_mm() {
        let (envelope, gap, ratio) = (0.40 * 0.60, 0.40 * 0.40, 0.05);
        let full = gap * usable_share(ratio) / vanishing_share(ratio);
        let drop = 0.40 + full - filled_volume(envelope, gap, full, ratio);
        assert!((drop - 0.147).abs() < 0.002, "{drop}");
    }

    #[test]
    fn dense_spheres_meet_the_entrance_ratio() {
        // The largest sphere that passes three touching ones: 2/sqrt(3) - 1 of their size.
        assert!((2.0 / 3.0_f64.sqrt() - 1.0 - ENTRANCE_RATIO).abs() < 0.001);
        let pore = pore_width_m(1.0, 2.0 / 3.0, 0.0);
        assert!((packing_ratio(0.1 / pore) - 0.1).abs() < 1e-3);
    }
}
