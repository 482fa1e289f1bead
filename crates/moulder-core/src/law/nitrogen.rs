//! Nitrogen: what rot frees, what decomposers take back, what crops get and rain takes.
//!
//! Decomposers free the nitrogen of what they break down and bind nitrogen in what they
//! leave behind, which has the ratio of their own bodies. A pool that loses carbon at the
//! rate D (kg/d) and keeps the share e of what is broken down breaks down G = D/(1 - e):
//!
//! ```text
//! mineralised = G N/C        demand = (e G + g D)/CN_b        own = min(mineralised, demand)
//! net mineralisation = mineralised - own - (demand - own) Nm/(Nm + K)
//! ```
//!
//! N/C is the pool's own ratio, e what stays in the piece (for rates that count all
//! carbon left) and g what becomes humus (for rates that count the piece left). Decomposers
//! take from what they free themselves first, and what they still want from the mineral
//! nitrogen Nm around them. With nitrogen enough the net figure per carbon lost is the published `1/CN_s - g/CN_b`, and
//! `(1/CN_s - e/CN_b)/(1 - e)` (Manzoni & Porporato 2009, Soil Biol. Biochem. 41:1355-1379);
//! nothing is set free above the critical ratios `CN_b/g` and `CN_b/e`.
//!
//! Where mineral nitrogen Nm runs short, less is bound, and what is left behind is poorer in
//! nitrogen; rot itself goes on. That decomposers waste carbon rather than stop is what
//! Manzoni et al. 2008 (Science 321:684-686, abstract) found in 2800 observations, and
//! that nitrogen given to litter does not speed its rot on the whole is the finding of
//! Knorr, Frey & Curtis 2005 (Ecology 86:3252-3257, abstract); a factor on the rate would
//! moreover count the shortage twice, since rates of wood were measured with it.
//!
//! What escapes as gas (ammonia off hot greens, nitrogen and nitrous oxide where air is
//! short) is not computed: what a green bed leaches is an upper bound by that much.

use crate::math::elementary::{decay_and_mean, pow};
use crate::math::smooth::{smooth_min, softplus};
use crate::value::{Spread, Status, Value};

/// Carbon to nitrogen of decomposers and of what they leave behind.
pub static DECOMPOSER_CARBON_TO_NITROGEN: Value = Value::new(
    10.0,
    Spread::new(8.0, 14.0),
    "kg/kg",
    "soil humus and microbes, 8-12 (general literature)",
    Status::Memory,
);

/// Mineral nitrogen in a volume of fill at which decomposers get half of what they want.
pub static HALF_SUPPLY: Value = Value::new(
    0.013,
    Spread::new(0.005, 0.03),
    "kg/m3",
    "our own closure: 2 g/m2 in 15 cm",
    Status::Judgement,
);

/// Mineral nitrogen in a volume of fill at which roots get half of what they want.
pub static CROP_HALF_SUPPLY: Value = Value::new(
    0.004,
    Spread::new(0.002, 0.01),
    "kg/m3",
    "our own closure: roots strip a soil further than decomposers do",
    Status::Judgement,
);

/// Nitrogen in draining water over that of the water in the slice.
pub static LEACHED_SHARE: Value = Value::new(
    0.7,
    Spread::new(0.4, 1.0),
    "1",
    "our own closure: some is ammonium, and some water runs by in channels",
    Status::Judgement,
);

/// How fast dissolved nitrogen spreads between slices.
pub static NITRATE_DIFFUSIVITY: Value = Value::new(
    0.006,
    Spread::new(0.002, 0.02),
    "m2/yr",
    "nitrate in water 1.9e-5 cm2/s, of which moist soil leaves a tenth (general literature)",
    Status::Memory,
);

/// Nitrogen that comes with rain.
pub static RAIN_NITROGEN: Value = Value::new(
    1.0,
    Spread::new(0.4, 2.0),
    "mg/L",
    "wet deposition of 3-15 kg/ha a year in Europe and North America (general literature)",
    Status::Memory,
);

/// Share of the nitrogen of soil and compost that is mineral on arrival.
pub static MINERAL_ON_ARRIVAL: Value = Value::new(
    0.01,
    Spread::new(0.004, 0.03),
    "1",
    "one or two per cent of a soil's nitrogen is mineral at any time (general literature)",
    Status::Memory,
);

/// Temperature from which a crop grows; degC (general literature: 4-7 for vegetables of
/// cool seasons).
pub const GROWTH_BASE_C: f64 = 6.0;
/// Smoothing of the onset of growth; degC.
const GROWTH_WIDTH_C: f64 = 1.0;

/// Share of what decomposers break down that they keep, for matter of a carbon to nitrogen
/// ratio: `0.43 (CN_b/CN)^0.6`, at most 0.43 (Manzoni et al. 2008, from memory; that the
/// share falls with the ratio is read in its abstract).
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
    const LARGEST: f64 = 0.43;
    const EXPONENT: f64 = 0.6;
    let poor = (decomposers / carbon_to_nitrogen.max(f64::MIN_POSITIVE)).min(1.0);
    LARGEST * pow(poor, EXPONENT)
}

/// Carbon to nitrogen of what arrives with the share `rotten` of its carbon gone: rot takes
/// carbon and leaves nitrogen, down to the ratio of the decomposers (our own closure).
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

/// How hard a crop grows in a day's air; degree days a day.
#[inline]
#[must_use]
pub fn growth_k(mean_c: f64) -> f64 {
    softplus(mean_c - GROWTH_BASE_C, GROWTH_WIDTH_C)
}

/// Share of the demand nitrogen that a store of mineral nitrogen gives.
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

/// How the nitrogen of one holder (a piece, a kind of fines, the humus of a slice) turns
/// over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turnover {
    /// The row its nitrogen stands in.
    pub row: usize,
    /// The row into which what stays of it is bound: its own, or the humus of the slice.
    pub into: usize,
    /// Share of its nitrogen that is freed; 1/d.
    pub mineralised_per_day: f64,
    /// Nitrogen that what stays of it would bind; kg/d.
    pub demand_kg_per_day: f64,
}

/// What of the nitrogen they free decomposers bind again at once, out of what they want.
#[inline]
#[must_use]
pub fn immobilised_at_once(mineralised: f64, demand: f64) -> f64 {
    if mineralised > 0.0 && demand > 0.0 {
        smooth_min(mineralised, demand)
    } else {
        0.0
    }
}

/// The mineral nitrogen of a slice: what bears on it, apart from rot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NitrogenStore {
    /// Mineral nitrogen at which decomposers get half of what they want; kg.
    pub half_kg: f64,
    /// Mineral nitrogen at which roots get half of what they want; kg.
    pub crop_half_kg: f64,
    /// What the crop's roots here would take; kg/d.
    pub crop_kg_per_day: f64,
    /// What rain and feeding bring; kg/d.
    pub came_kg_per_day: f64,
    /// Share that is leached by each kilogram of draining water.
    pub leached_per_kg: f64,
    /// How fast it spreads to the slice above per difference of density; m3/d.
    pub up_m3_per_day: f64,
    /// Volume; m3.
    pub volume_m3: f64,
}

/// What decomposers and crop take in `dt` of mineral nitrogen to which `inflow_kg_per_day` are
/// added steadily; kg. Never more than is there, nor than each wants.
///
/// Each takes a share of what there is that falls as there is more, `demand/(n + half)`. The
/// share at the start leads to the middle, the share of the middle to the end: of second
/// order, where an implicit step gave a crop a tenth too little of its first nitrogen.
#[must_use]
pub fn uptake_kg(
    start_kg: f64,
    inflow_kg_per_day: f64,
    demand_kg_per_day: f64,
    store: &NitrogenStore,
    dt: f64,
) -> [f64; 2] {
    // What is demand around may be a rounding below nothing.
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

    /// Net mineralisation per carbon lost, where mineral nitrogen is plenty.
    fn net(carbon_to_nitrogen: f64, kept: f64, humification_coefficient: f64) -> f64 {
        let (lost, decomposers) = (1.0, 10.0);
        let gross = lost / (1.0 - kept);
        let mineralised = gross / carbon_to_nitrogen;
        let demand = (kept * gross + humification_coefficient * lost) / decomposers;
        let own = immobilised_at_once(mineralised, demand);
        mineralised - own - (demand - own) * supply(1e9, 1.0)
    }

    /// The published forms: `1/CN_s - g/CN_b`, and `1/CN_s - e/CN_b` per carbon broken down
    /// (Manzoni & Porporato 2009); the second is the upper bound of the first for e = g.
    #[test]
    fn net_mineralisation_is_the_published_one() {
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

    /// Nothing is set free above `CN_b/g`, and something below it.
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

    /// What is not there is not taken, nor more than is demand, and what is short and plenty
    /// meet without a jump.
    #[test]
    fn what_is_not_there_is_not_bound() {
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

    /// A want that a rounding has put below nothing takes nothing and gives nothing.
    #[test]
    fn a_want_below_nothing_is_none() {
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

    /// Half the step is a quarter of the error, from a start with little and with plenty.
    #[test]
    fn taking_is_of_second_order() {
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

    /// Litter of deciduous leaves gains nitrogen before it gives any back; litter richer than
    /// its critical ratio loses it from the first (Manzoni et al. 2008, abstract: the first
    /// state of the litter decides). Closed form of a pool that keeps e with nitrogen
    /// plenty: `N = C/CN_b + (N_0 - C_0/CN_b) (C/C_0)^(1/(1-e))`.
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
