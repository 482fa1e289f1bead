//! Nitrogen: mineralisation, immobilisation, crop uptake and leaching.
//!
//! Decomposers mineralise the nitrogen of what they process and immobilise nitrogen in their
//! residues, which have their own C/N ratio. A pool that loses carbon at the rate D (kg/d) and
//! retains the share e of what is processed processes G = D/(1 - e):
//!
//! ```text
//! mineralised = G N/C        demand = (e G + g D)/CN_b        own = min(mineralised, demand)
//! net mineralisation = mineralised - own - (demand - own) Nm/(Nm + K)
//! ```
//!
//! N/C is the ratio of the pool, e the share retained in the piece (for rates that count all
//! remaining carbon) and g the humified share (for rates that count the remaining piece). Demand
//! is met first from the nitrogen mineralised by the pool itself (`own`), then from the
//! surrounding mineral nitrogen Nm. With ample Nm the net mineralisation per carbon lost is the
//! published `1/CN_s - g/CN_b`, and `(1/CN_s - e/CN_b)/(1 - e)` (Manzoni & Porporato 2009, Soil
//! Biol. Biochem. 41:1355-1379); it is negative above the critical ratios `CN_b/g` and `CN_b/e`.
//!
//! Where Nm is short, less is immobilised and residues are poorer in nitrogen; decay continues.
//! Manzoni et al. 2008 (Science 321:684-686, abstract) found in 2800 observations that
//! decomposers waste carbon rather than stop, and Knorr, Frey & Curtis 2005 (Ecology
//! 86:3252-3257, abstract) that added nitrogen does not on the whole accelerate litter decay; a
//! factor on the rate would also count the shortage twice, since rates of wood were measured with
//! it.
//!
//! Gaseous losses (ammonia from green waste, denitrification) are not computed, so leaching from
//! green waste is an upper bound by that amount.

use crate::math::elementary::{decay_and_mean, pow};
use crate::math::smooth::{smooth_min, softplus};
use crate::value::{Spread, Status, Value};

/// Carbon to nitrogen ratio of decomposers and their residues.
pub static DECOMPOSER_CARBON_TO_NITROGEN: Value = Value::new(
    10.0,
    Spread::new(8.0, 14.0),
    "kg/kg",
    "soil humus and microbes, 8-12 (general literature)",
    Status::Memory,
);

/// Mineral nitrogen per volume of fill at which decomposers get half their demand.
pub static HALF_SUPPLY: Value = Value::new(
    0.013,
    Spread::new(0.005, 0.03),
    "kg/m3",
    "our own closure: 2 g/m2 in 15 cm",
    Status::Judgement,
);

/// Mineral nitrogen per volume of fill at which roots get half their demand.
pub static CROP_HALF_SUPPLY: Value = Value::new(
    0.004,
    Spread::new(0.002, 0.01),
    "kg/m3",
    "our own closure: roots strip a soil further than decomposers do",
    Status::Judgement,
);

/// Nitrogen concentration of drainage over that of the slice's water.
pub static LEACHED_SHARE: Value = Value::new(
    0.7,
    Spread::new(0.4, 1.0),
    "1",
    "our own closure: some is ammonium, and some water runs by in channels",
    Status::Judgement,
);

/// Diffusivity of dissolved nitrogen between slices.
pub static NITRATE_DIFFUSIVITY: Value = Value::new(
    0.006,
    Spread::new(0.002, 0.02),
    "m2/yr",
    "nitrate in water 1.9e-5 cm2/s, of which moist soil leaves a tenth (general literature)",
    Status::Memory,
);

/// Nitrogen concentration of rain.
pub static RAIN_NITROGEN: Value = Value::new(
    1.0,
    Spread::new(0.4, 2.0),
    "mg/L",
    "wet deposition of 3-15 kg/ha a year in Europe and North America (general literature)",
    Status::Memory,
);

/// Mineral share of the nitrogen of soil and compost at filling.
pub static MINERAL_ON_ARRIVAL: Value = Value::new(
    0.01,
    Spread::new(0.004, 0.03),
    "1",
    "one or two per cent of a soil's nitrogen is mineral at any time (general literature)",
    Status::Memory,
);

/// Base temperature of crop growth; degC (general literature: 4-7 for cool-season vegetables).
pub const GROWTH_BASE_C: f64 = 6.0;
/// Rounding of the onset of growth; degC.
const GROWTH_WIDTH_C: f64 = 1.0;

/// Share that decomposers retain of matter of their own C/N ratio (see [`kept_share`]).
pub const MOST_KEPT: f64 = 0.43;

/// Share of processed carbon that decomposers retain, for matter of a C/N ratio: `0.43
/// (CN_b/CN)^0.6`, at most 0.43 (Manzoni et al. 2008, from memory; the decrease with the ratio is
/// read in its abstract).
///
/// ```
/// use moulder_core::law::nitrogen::kept_share;
///
/// assert!((kept_share(10.0, 10.0) - 0.43).abs() < 1e-12);
/// let leaves = kept_share(54.0, 10.0);
/// assert!(0.1 < leaves && leaves < 0.2);
/// ```
#[must_use]
pub fn kept_share(carbon_to_nitrogen: f64, decomposers: f64) -> f64 {
    const EXPONENT: f64 = 0.6;
    let poor = (decomposers / carbon_to_nitrogen.max(f64::MIN_POSITIVE)).min(1.0);
    MOST_KEPT * pow(poor, EXPONENT)
}

/// C/N ratio of material that has lost the share `rotten` of its carbon before filling: decay
/// removes carbon and leaves nitrogen, down to the ratio of the decomposers (our own closure).
///
/// ```
/// use moulder_core::law::nitrogen::arrived_ratio;
///
/// assert_eq!(arrived_ratio(54.0, 0.5, 10.0), 27.0);
/// assert_eq!(arrived_ratio(12.0, 0.5, 10.0), 10.0);
/// assert_eq!(arrived_ratio(9.0, 0.0, 10.0), 9.0);
/// ```
#[must_use]
pub fn arrived_ratio(sound: f64, rotten: f64, decomposers: f64) -> f64 {
    (sound * (1.0 - rotten)).max(decomposers.min(sound))
}

/// Thermal time of crop growth; degree days per day.
#[inline]
#[must_use]
pub fn growth_k(mean_c: f64) -> f64 {
    softplus(mean_c - GROWTH_BASE_C, GROWTH_WIDTH_C)
}

/// Share of the nitrogen demand met by a store of mineral nitrogen.
///
/// ```
/// use moulder_core::law::nitrogen::supply;
///
/// assert_eq!(supply(2.0, 2.0), 0.5);
/// assert_eq!(supply(0.0, 2.0), 0.0);
/// ```
#[inline]
#[must_use]
pub fn supply(mineral_kg: f64, half_kg: f64) -> f64 {
    let held = mineral_kg.max(0.0);
    held / (held + half_kg)
}

/// Nitrogen turnover of one ingredient (a piece, a kind of fines, the humus of a slice).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turnover {
    /// Row of its nitrogen.
    pub row: usize,
    /// Row that receives immobilised nitrogen: its own, or the humus of the slice.
    pub into: usize,
    /// Share of its nitrogen that is mineralised; 1/d.
    pub mineralised_per_day: f64,
    /// Nitrogen demand of immobilisation; kg/d.
    pub demand_kg_per_day: f64,
}

/// Immobilisation out of the decomposers' own mineralisation, up to their demand.
#[inline]
#[must_use]
pub fn immobilised_at_once(mineralised: f64, demand: f64) -> f64 {
    if mineralised > 0.0 && demand > 0.0 {
        smooth_min(mineralised, demand)
    } else {
        0.0
    }
}

/// Terms of the mineral nitrogen balance of a slice, apart from decay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NitrogenStore {
    /// Mineral nitrogen at which decomposers get half their demand; kg.
    pub half_kg: f64,
    /// Mineral nitrogen at which roots get half their demand; kg.
    pub crop_half_kg: f64,
    /// Crop demand; kg/d.
    pub crop_kg_per_day: f64,
    /// Input with rain and fertiliser; kg/d.
    pub came_kg_per_day: f64,
    /// Share leached per kilogram of drainage.
    pub leached_per_kg: f64,
    /// Exchange with the slice above per difference of concentration; m3/d.
    pub up_m3_per_day: f64,
    /// Volume; m3.
    pub volume_m3: f64,
}

/// Uptake by decomposers and crop in `dt` from mineral nitrogen with a steady inflow; kg. Limited
/// by supply and by each demand.
///
/// Each takes `demand/(n + half)` of the store per day. The coefficients at the start lead to the
/// midpoint, those of the midpoint to the end: second order, where an implicit Euler step
/// underestimates the first crop uptake by a tenth.
#[must_use]
pub fn uptake_kg(
    start_kg: f64,
    inflow_kg_per_day: f64,
    demand_kg_per_day: f64,
    store: &NitrogenStore,
    dt: f64,
) -> [f64; 2] {
    // Residual demand may be negative by rounding.
    let demand = [demand_kg_per_day.max(0.0), store.crop_kg_per_day];
    let rates = |held_kg: f64| {
        [
            demand[0] / (held_kg + store.half_kg),
            demand[1] / (held_kg + store.crop_half_kg),
        ]
    };
    let after = |[one, other]: [f64; 2], dt: f64| {
        let (left, mean) = decay_and_mean((one + other) * dt);
        start_kg * left + inflow_kg_per_day * dt * mean
    };
    let middle = rates(after(rates(start_kg), 0.5 * dt));
    let all_kg = (start_kg + inflow_kg_per_day * dt - after(middle, dt)).max(0.0);
    let sum = (middle[0] + middle[1]).max(f64::MIN_POSITIVE);
    core::array::from_fn(|i| (all_kg * (middle[i] / sum)).min(demand[i] * dt))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Net mineralisation per carbon lost at ample mineral nitrogen.
    fn net(carbon_to_nitrogen: f64, kept: f64, humification_coefficient: f64) -> f64 {
        let (lost, decomposers) = (1.0, 10.0);
        let gross = lost / (1.0 - kept);
        let mineralised = gross / carbon_to_nitrogen;
        let demand = (kept * gross + humification_coefficient * lost) / decomposers;
        let own = immobilised_at_once(mineralised, demand);
        mineralised - own - (demand - own) * supply(1e9, 1.0)
    }

    /// The published forms: `1/CN_s - g/CN_b`, and `1/CN_s - e/CN_b` per carbon processed
    /// (Manzoni & Porporato 2009); the second is an upper bound of the first for e = g.
    #[test]
    fn net_mineralisation_matches_the_published_form() {
        for ratio in [8.0, 20.0, 40.0, 80.0, 400.0] {
            for share in [0.1, 0.25, 0.4] {
                let humification_coefficient = net(ratio, 0.0, share);
                assert!((humification_coefficient - (1.0 / ratio - share / 10.0)).abs() < 1e-8);
                let kept = net(ratio, share, 0.0);
                let published = (1.0 / ratio - share / 10.0) / (1.0 - share);
                assert!((kept - published).abs() < 1e-8);
            }
        }
    }

    /// Net mineralisation changes sign at `CN_b/g`.
    #[test]
    fn critical_ratio() {
        let critical = 10.0 / 0.25;
        assert!(net(critical, 0.0, 0.25).abs() < 1e-8);
        assert!(net(0.9 * critical, 0.0, 0.25) > 0.0);
        assert!(net(1.1 * critical, 0.0, 0.25) < 0.0);
    }

    const STORE: NitrogenStore = NitrogenStore {
        half_kg: 0.01,
        crop_half_kg: 0.004,
        crop_kg_per_day: 1e-3,
        came_kg_per_day: 0.0,
        leached_per_kg: 0.02,
        up_m3_per_day: 0.0,
        volume_m3: 1.0,
    };

    /// Uptake is limited by supply and demand and continuous between the two limits.
    #[test]
    fn uptake_is_bounded_and_continuous() {
        for inflow in [0.0, 1e-3, 1.0] {
            let mut before = uptake_kg(0.0, inflow, 0.02, &STORE, 0.5);
            for i in 0..2000 {
                let start = f64::from(i) * 1e-5;
                let taken = uptake_kg(start, inflow, 0.02, &STORE, 0.5);
                let [immobilised, crop] = taken;
                assert!((0.0..=0.5 * 0.02).contains(&immobilised));
                assert!((0.0..=0.5 * STORE.crop_kg_per_day).contains(&crop));
                assert!(immobilised + crop <= start + 0.5 * inflow);
                for (now, before) in taken.iter().zip(&before) {
                    assert!(*now >= *before - 1e-15 && now - before < 1.1e-5);
                }
                before = taken;
            }
        }
    }

    /// Demand that rounding has made negative gives no uptake.
    #[test]
    fn negative_demand_gives_no_uptake() {
        let idle = NitrogenStore {
            crop_kg_per_day: 0.0,
            ..STORE
        };
        let [immobilised, crop] = uptake_kg(1e-3, 0.0, -1e-22, &idle, 0.5);
        assert!(
            immobilised.abs() + crop.abs() < 1e-300,
            "{immobilised} {crop}"
        );
    }

    /// Halving the step quarters the error, at small and large initial stores.
    #[test]
    fn uptake_is_of_second_order() {
        for start in [1e-4, 5e-3, 5e-2] {
            let run = |steps: u32| {
                let dt = 1.0 / f64::from(steps);
                let (mut held, mut sum) = (start, 0.0);
                for _ in 0..steps {
                    let [immobilised, crop] = uptake_kg(held, 4e-3, 0.02, &STORE, dt);
                    held += 4e-3 * dt - immobilised - crop;
                    sum += crop;
                }
                sum
            };
            let exact = run(4096);
            let ratio = (run(4) - exact) / (run(8) - exact);
            assert!((3.0..5.5).contains(&ratio), "{start}: {ratio}");
        }
    }

    /// Deciduous leaf litter first gains nitrogen and then releases it; litter below its critical
    /// ratio releases from the start (Manzoni et al. 2008, abstract: the initial state decides).
    /// Closed form of a pool that retains e at ample nitrogen: `N = C/CN_b + (N_0 - C_0/CN_b)
    /// (C/C_0)^(1/(1-e))`.
    #[test]
    fn litter_follows_the_closed_form() {
        for ratio in [15.0, 54.0, 120.0] {
            let kept = kept_share(ratio, 10.0);
            let (mut carbon, mut nitrogen) = (1.0, 1.0 / ratio);
            let steps = 40_000;
            for step in 1..=steps {
                let lost = carbon * 5e-5;
                let gross = lost / (1.0 - kept);
                let mineralised = gross * nitrogen / carbon;
                let demand = kept * gross / 10.0;
                nitrogen += demand - mineralised;
                carbon -= lost;
                if step % 8000 == 0 {
                    let closed =
                        carbon / 10.0 + (1.0 / ratio - 0.1) * pow(carbon, 1.0 / (1.0 - kept));
                    assert!((nitrogen / closed - 1.0).abs() < 1e-3, "{ratio}: {carbon}");
                }
            }
        }
    }
}
