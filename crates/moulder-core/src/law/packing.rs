//! Packing of particles of several sizes: the linear packing model.
//!
//! Yu, Zou & Standish (1996), Ind. Eng. Chem. Res. 35:3730. One component alone has the bulk
//! volume `1 + e` per particle volume. In a mixture, finer particles occupy the gaps of coarser
//! ones; coarser particles displace the bulk of finer ones.

use alloc::vec::Vec;

use crate::math::elementary::pow;
use crate::math::smooth::smooth_min;

/// Size ratio above which fines cannot enter the pores of dense spheres
/// (Yu & Standish 1991).
pub const ENTRANCE_RATIO: f64 = 0.154;
/// The same as a share of the pore width `2 e d/3`, at the void ratio 2/3 of randomly packed
/// spheres.
const ENTRANCE_BY_PORE: f64 = 0.347;
/// Upper limit of size ratios (keeps gap shares finite).
const MAX_RATIO: f64 = 0.95;

/// Share f of the fines' bulk volume that vanishes in the gaps of coarser particles, at the size
/// ratio fine/coarse.
///
/// ```
/// assert!((moulder_core::law::packing::vanishing_share(0.05) - 0.9662).abs() < 1e-4);
/// ```
#[inline]
#[must_use]
pub fn vanishing_share(ratio: f64) -> f64 {
    shares(ratio).0
}

/// Share g of the coarse gaps that these fines can use.
///
/// ```
/// assert!((moulder_core::law::packing::usable_share(0.05) - 0.9190).abs() < 1e-4);
/// ```
#[inline]
#[must_use]
pub fn usable_share(ratio: f64) -> f64 {
    shares(ratio).1
}

/// [`vanishing_share`] and [`usable_share`] for the cost of one power.
#[inline]
#[must_use]
pub fn shares(ratio: f64) -> (f64, f64) {
    let rest = 1.0 - ratio;
    let squared = rest * rest;
    let cubed = squared * rest;
    // One power serves all: the exponents 3.3, 2.7 and 3.7 differ from integers by 0.3.
    let root = pow(rest, 0.3);
    let inverse = 1.0 / root;
    (
        cubed * (root + 2.8 * ratio * inverse),
        squared * (1.0 + 0.4 * ratio * squared * inverse),
    )
}

/// Pore width between particles of `particle_size_m` at `void_ratio`: `2 e d/3` for grains, `e d`
/// for rods (hydraulic width; our own closure).
#[inline]
#[must_use]
pub fn pore_width_m(particle_size_m: f64, void_ratio: f64, rod_share: f64) -> f64 {
    particle_size_m * void_ratio * (2.0 + rod_share) / 3.0
}

/// Size ratio for the packing functions, for fines `relative_size` times as wide as the pores:
/// the diameter ratio for randomly packed spheres, so that loose brush counts as coarser than the
/// diameter of its twigs.
#[inline]
#[must_use]
pub fn packing_ratio(relative_size: f64) -> f64 {
    smooth_min(ENTRANCE_RATIO * relative_size / ENTRANCE_BY_PORE, MAX_RATIO)
}

/// Share of pores open to fines `relative_size` times as wide (our own closure; half open at
/// 0.35).
#[inline]
#[must_use]
pub fn open_share(relative_size: f64) -> f64 {
    1.0 / (1.0 + closing_power(relative_size))
}

/// Ratio of closed to open pores for fines `relative_size` times as wide.
#[inline]
#[must_use]
pub fn closing_power(relative_size: f64) -> f64 {
    let x = relative_size / 0.35;
    let x2 = x * x;
    let x4 = x2 * x2;
    x4 * x4
}

/// Bulk volume of coarse particles (`envelope` with gaps `gap`) that contain fines of bulk volume
/// `fines`, at packing ratio `ratio`: the larger of the coarse-controlled and the fine-controlled
/// volume, rounded over 1 % of the usable gap.
///
/// ```
/// use moulder_core::law::packing::filled_volume;
/// // Limits: coarse alone, fines alone.
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

/// One component of a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Particle volume; m3.
    pub envelope_m3: f64,
    /// Void ratio of the component alone.
    pub void_ratio: f64,
    /// Particle size (shorter dimension); m.
    pub particle_size_m: f64,
    /// 1 for rods, 0 for grains.
    pub rod_share: f64,
}

impl Component {
    /// Size that must fit into a gap: for rods the length, taken as ten times the diameter (our
    /// own closure).
    fn entering_m(&self) -> f64 {
        self.particle_size_m * (1.0 + 9.0 * self.rod_share)
    }
}

/// Bulk volume of a mixture; m3.
///
/// The linear packing model: the largest of the volumes controlled by each component. For
/// smoothness, the largest is the mean weighted by the 48th powers: exact for a tie and for one
/// clearly dominant component, at most 1 % low between.
///
/// ```
/// use moulder_core::law::packing::{mixed_volume_m3, Component};
///
/// let alone = Component { envelope_m3: 0.2, void_ratio: 1.5, particle_size_m: 0.02, rod_share: 0.0 };
/// assert!((mixed_volume_m3(&[alone]) - 0.5).abs() < 1e-12);
/// // Two equal components pack as one.
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

/// Packing ratio of two components by their pores, raised to 1 for equal sizes: particles do not
/// nest among their own size, whose void ratio already includes it.
fn nesting_ratio(by_size: f64, by_pores: f64) -> f64 {
    let squared = by_size * by_size;
    by_pores + (1.0 - by_pores) * squared * squared
}

/// Sauter mean size: total volume over the sum of volume by size; m.
#[inline]
#[must_use]
pub fn mean_particle_size_m(envelope: f64, envelope_by_particle_size: f64) -> f64 {
    envelope / envelope_by_particle_size.max(f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Densest packing of two very unequal sizes of equal porosity (Furnas 1931): solid share,
    /// and the coarse share at which it occurs.
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

    /// Furnas 1931: porosity 0.36 and very unequal sizes give 0.8704 at a coarse share of 0.735.
    /// Self-consistency: the limit is derived, and the smooth maximum must stay near it.
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

    /// Where coarse- and fine-controlled volumes cross, the bed has settled by gap times usable
    /// share: 0.147 m for 0.40 m of logs of solid share 0.60 at ratio 0.05. Self-consistency of
    /// the derived formula.
    #[test]
    fn filled_logs_settle_by_147_mm() {
        let (envelope, gap, ratio) = (0.40 * 0.60, 0.40 * 0.40, 0.05);
        let full = gap * usable_share(ratio) / vanishing_share(ratio);
        let drop = 0.40 + full - filled_volume(envelope, gap, full, ratio);
        assert!((drop - 0.147).abs() < 0.002, "{drop}");
    }

    #[test]
    fn entrance_ratio_of_dense_spheres() {
        // The largest sphere that passes three touching ones: 2/sqrt(3) - 1 of their size.
        assert!((2.0 / 3.0_f64.sqrt() - 1.0 - ENTRANCE_RATIO).abs() < 0.001);
        let pore = pore_width_m(1.0, 2.0 / 3.0, 0.0);
        assert!((packing_ratio(0.1 / pore) - 0.1).abs() < 1e-3);
    }
}
