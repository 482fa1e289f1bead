//! Quantities derived from a state: volumes, pores, heights, loads.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! use moulder_core::bed::measure::height_m;
//!
//! let mut measures = Vec::new();
//! stack.measure(&state, 0.0, &mut measures);
//! let (height_m, total_mass_kg) = (height_m(&measures), measures[0].total_mass_kg);
//! assert!(0.05 < height_m && height_m < 0.25);
//! assert!(total_mass_kg > 230.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::parameters::{HUMUS_DENSITY_KG_M3, HUMUS_FIELD_CAPACITY};
use crate::bed::stack::{FineSlots, Piece, Slice, Stack};
use crate::bed::state::State;
use crate::law::decay::HUMUS_CARBON_SHARE;
use crate::law::envelope::{MINERAL_DENSITY_KG_M3, volume_left};
use crate::law::fines_migration::loose_share;
use crate::law::heat::{MINERAL_KJ_PER_KG_K, ORGANIC_KJ_PER_KG_K};
use crate::law::moisture::Matter;
use crate::law::packing::{filled_volume, mean_particle_size_m, packing_ratio, pore_width_m};
use crate::law::settlement::GRAVITY_KPA_M2_PER_KG;
use crate::law::shrinkage::{Skeleton, shrunk, width_lost};
use crate::law::water::FILM_M;

/// Density of organic solids without any pores; kg/m3 (cell wall, Wood Handbook ch. 4).
const ORGANIC_SOLID_KG_M3: f64 = 1500.0;
/// Particle size of humus; m (our own closure).
const HUMUS_PARTICLE_SIZE_M: f64 = 0.002;

/// Derived quantities of one slice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SliceMeasure {
    /// Envelope volume of the skeleton; m3.
    pub skeleton_m3: f64,
    /// The same with all wood swollen, to which decay and void closure refer; m3.
    pub swollen_skeleton_m3: f64,
    /// Gap volume of the skeleton; m3.
    pub gap_m3: f64,
    /// Pore width of the skeleton; m, negligible without one.
    pub pore_m: f64,
    /// Envelope volume of the fines without humus; m3.
    pub grains_m3: f64,
    /// Gap volume of those fines; m3.
    pub fine_gap_m3: f64,
    /// Mobile share of the fines.
    pub mobile_share: f64,
    /// Bulk volume of all fines, humus included; m3.
    pub fines_m3: f64,
    /// Mean particle size of all fines; m, 0 without any.
    pub fine_particle_size_m: f64,
    /// Mean particle size of the mobile fines; m, 0 without any.
    pub mobile_particle_size_m: f64,
    /// Volume of the slice; m3.
    pub volume_m3: f64,
    /// Plan area at the current bulge or slump; m2.
    pub area_m2: f64,
    /// Growth of the area by slumping, as a factor.
    pub spread: f64,
    /// Growth of width and length by slumping, as a factor.
    pub widening: f64,
    /// Thickness; m.
    pub thickness_m: f64,
    /// Dry mass; kg.
    pub dry_kg: f64,
    /// Total mass with water; kg.
    pub total_mass_kg: f64,
    /// Field capacity of non-woody material, soil and films; kg.
    pub field_kg: f64,
    /// Dry mass of wood; kg.
    pub wood_kg: f64,
    /// Basic specific gravity of the wood, by its swollen envelope.
    pub wood_gravity: f64,
    /// Pores inside non-woody pieces; m3.
    pub inner_pore_m3: f64,
    /// Pores between all particles; m3.
    pub pore_m3: f64,
    /// Volume of mineral matter; m3.
    pub mineral_m3: f64,
    /// Heat capacity of dry matter; kJ/K.
    pub dry_kj_per_k: f64,
    /// Depth of the centre below the surface; m.
    pub depth_m: f64,
    /// Vertical stress at the centre; kPa.
    pub vertical_stress_kpa: f64,
}

/// Carbon of a piece; kg.
#[inline]
#[must_use]
pub fn piece_carbon_kg(piece: &Piece, state: &State) -> f64 {
    state.rows[piece.first_pool..piece.first_pool + piece.pools.len()]
        .iter()
        .sum()
}

/// Share of a piece's initial carbon that is left.
#[inline]
#[must_use]
pub fn piece_left(piece: &Piece, state: &State) -> f64 {
    let fresh_kg = piece.fresh_carbon_kg.max(f64::MIN_POSITIVE);
    (piece_carbon_kg(piece, state) / fresh_kg).clamp(0.0, 1.0)
}

/// Envelope of a piece with its wood swollen and the share `left` of its carbon; m3.
#[inline]
#[must_use]
pub fn piece_envelope_m3(piece: &Piece, left: f64) -> f64 {
    piece.mineral_kg / MINERAL_DENSITY_KG_M3
        + piece.fresh_envelope_m3 * volume_left(left, piece.lag)
}

/// Carbon of a kind of fines in a slice; kg.
#[inline]
#[must_use]
pub fn fine_carbon_kg(slots: &FineSlots, pools: usize, state: &State) -> f64 {
    let carbon: f64 = state.rows[slots.first_pool..slots.first_pool + pools]
        .iter()
        .sum();
    carbon.max(0.0)
}

/// Mobile share of one kind of fines in a slice: only fines filled in here, not held by cohesion
/// or by a turf mat. Migrated fines do not move again.
#[inline]
#[must_use]
pub fn mobility(slice: &Slice, place: usize, state: &State) -> f64 {
    let slots = &slice.slots.fines[place];
    if !slots.at_home {
        return 0.0;
    }
    let loose = loose_share(state.rows[slots.mineral], slice.cohesive_kg[place]);
    let free = slots
        .held_by
        .map_or(1.0, |piece| 1.0 - piece_left(&slice.pieces[piece], state));
    loose * free
}

impl Stack {
    /// Derived quantities of every slice `days` after filling, bottom first.
    pub fn measure(&self, state: &State, days: f64, out: &mut Vec<SliceMeasure>) {
        out.clear();
        let swelling = self.swelling(days);
        for slice in &self.slices {
            let mut measure = self.measure_slice(slice, state);
            measure.area_m2 = slice.area_m2 * swelling;
            measure.thickness_m = measure.volume_m3 / measure.area_m2;
            (measure.spread, measure.widening) = (1.0, 1.0);
            out.push(measure);
        }
        self.spread(state, out);
        let (mut depth_m, mut above_kg) = (0.0, 0.0);
        for measure in out.iter_mut().rev() {
            measure.depth_m = depth_m + 0.5 * measure.thickness_m;
            depth_m += measure.thickness_m;
            measure.vertical_stress_kpa =
                GRAVITY_KPA_M2_PER_KG * (above_kg + 0.5 * measure.total_mass_kg) / measure.area_m2;
            above_kg += measure.total_mass_kg;
        }
    }

    fn measure_slice(&self, slice: &Slice, state: &State) -> SliceMeasure {
        let slots = &slice.slots;
        let mut swollen_skeleton_m3 = 0.0;
        let mut skeleton_by_particle_size = 0.0;
        let mut rods_m3 = 0.0;
        let mut water = WaterSums::default();
        for piece in &slice.pieces {
            let left = piece_left(piece, state);
            let envelope = piece_envelope_m3(piece, left);
            swollen_skeleton_m3 += envelope;
            skeleton_by_particle_size += envelope / piece.particle_size_m;
            rods_m3 += envelope * piece.rod_share;
            let organic_kg = left * piece.fresh_carbon_kg * piece.organic_per_carbon;
            let mineral_kg = piece.mineral_kg;
            water.add_dry(mineral_kg, organic_kg);
            water.film_m2 += 4.0 * envelope / piece.particle_size_m;
            if piece.matter == Matter::Wood {
                water.wood_kg += mineral_kg + organic_kg;
                water.wood_m3 += envelope;
            } else {
                water.field_kg += (mineral_kg + organic_kg) * piece.field_capacity;
                water.inner_m3 += envelope
                    - mineral_kg / MINERAL_DENSITY_KG_M3
                    - organic_kg / ORGANIC_SOLID_KG_M3;
            }
        }
        let FineSums {
            grains_m3,
            least_gap_m3: least_fine_gap_m3,
            by_particle_size: fines_by_particle_size,
            mobile_m3,
            mobile_by_particle_size,
        } = self.fine_sums(slice, state, &mut water);
        let humus_kg = state.rows[slots.humus] / HUMUS_CARBON_SHARE;
        let humus_m3 = humus_kg / HUMUS_DENSITY_KG_M3;
        water.add_dry(0.0, humus_kg);
        water.field_kg += humus_kg * HUMUS_FIELD_CAPACITY + water.film_m2 * FILM_M * 1000.0;

        let swollen = Skeleton {
            envelope_m3: swollen_skeleton_m3,
            gap_m3: slice.gap.min_void_ratio * swollen_skeleton_m3 + state.rows[slots.gap],
        };
        let skeleton = if water.wood_kg > 0.0 {
            let moisture = state.rows[slots.wood_water] / water.wood_kg;
            let lost = width_lost(moisture, self.parameters.wood_shrinkage);
            shrunk(swollen, water.wood_m3, lost)
        } else {
            swollen
        };
        let (skeleton_m3, gap_m3) = (skeleton.envelope_m3, skeleton.gap_m3);
        let fine_gap_m3 = least_fine_gap_m3 + state.rows[slots.fine_gap];
        let fines_m3 =
            grains_m3 + fine_gap_m3 + humus_m3 * (1.0 + self.parameters.humus_void_ratio);
        let skeleton_floor = skeleton_m3.max(f64::MIN_POSITIVE);
        let pore_m = pore_width_m(
            mean_particle_size_m(swollen_skeleton_m3, skeleton_by_particle_size),
            gap_m3 / skeleton_floor,
            rods_m3 / swollen_skeleton_m3.max(f64::MIN_POSITIVE),
        )
        .max(1e-9);
        let fine_particle_size_m = mean_particle_size_m(
            grains_m3 + humus_m3,
            fines_by_particle_size + humus_m3 / HUMUS_PARTICLE_SIZE_M,
        );
        let ratio = packing_ratio(fine_particle_size_m / pore_m);
        let volume_m3 = filled_volume(skeleton_m3, gap_m3, fines_m3, ratio);
        let held_kg = state.rows[slots.water] + state.rows[slots.wood_water];
        SliceMeasure {
            skeleton_m3,
            swollen_skeleton_m3,
            gap_m3,
            pore_m,
            grains_m3,
            fine_gap_m3,
            mobile_share: mobile_m3 / grains_m3.max(f64::MIN_POSITIVE),
            fines_m3,
            fine_particle_size_m,
            mobile_particle_size_m: mean_particle_size_m(mobile_m3, mobile_by_particle_size),
            volume_m3,
            dry_kg: water.mineral_kg + water.organic_kg,
            total_mass_kg: water.mineral_kg + water.organic_kg + held_kg,
            field_kg: water.field_kg,
            wood_kg: water.wood_kg,
            wood_gravity: water.wood_kg / (1000.0 * water.wood_m3.max(f64::MIN_POSITIVE)),
            inner_pore_m3: water.inner_m3.max(0.0),
            pore_m3: (volume_m3 - skeleton_m3 - grains_m3 - humus_m3).max(1e-3 * volume_m3),
            mineral_m3: water.mineral_kg / MINERAL_DENSITY_KG_M3,
            dry_kj_per_k: water.mineral_kg * MINERAL_KJ_PER_KG_K
                + water.organic_kg * ORGANIC_KJ_PER_KG_K,
            ..SliceMeasure::default()
        }
    }

    /// Sums over a slice's fines; adds their water terms to `water`.
    fn fine_sums(&self, slice: &Slice, state: &State, water: &mut WaterSums) -> FineSums {
        let mut sums = FineSums::default();
        for (place, (fine, fine_slots)) in self.fines_in(slice).enumerate() {
            // Integrators may evaluate slightly negative masses.
            let mineral_kg = state.rows[fine_slots.mineral].max(0.0);
            let organic_kg =
                fine_carbon_kg(fine_slots, fine.pools.len(), state) * fine.organic_per_carbon;
            if mineral_kg == 0.0 && organic_kg == 0.0 {
                continue;
            }
            let grains =
                mineral_kg / MINERAL_DENSITY_KG_M3 + organic_kg / fine.organic_density_kg_m3;
            let mobile = grains * mobility(slice, place, state);
            sums.grains_m3 += grains;
            sums.least_gap_m3 += grains * fine.gap.min_void_ratio;
            sums.by_particle_size += grains / fine.particle_size_m;
            sums.mobile_m3 += mobile;
            sums.mobile_by_particle_size += mobile / fine.particle_size_m;
            water.add_dry(mineral_kg, organic_kg);
            water.field_kg += (mineral_kg + organic_kg) * fine.field_capacity;
            water.inner_m3 += organic_kg
                * (1.0 / fine.organic_density_kg_m3 - 1.0 / ORGANIC_SOLID_KG_M3).max(0.0);
        }
        sums
    }
}

/// Sums over the kinds of fines of a slice.
#[derive(Default)]
struct FineSums {
    grains_m3: f64,
    least_gap_m3: f64,
    by_particle_size: f64,
    mobile_m3: f64,
    mobile_by_particle_size: f64,
}

/// Sums over a slice's ingredients for water and heat.
#[derive(Default)]
struct WaterSums {
    mineral_kg: f64,
    organic_kg: f64,
    wood_kg: f64,
    wood_m3: f64,
    field_kg: f64,
    film_m2: f64,
    inner_m3: f64,
}

impl WaterSums {
    fn add_dry(&mut self, mineral_kg: f64, organic_kg: f64) {
        self.mineral_kg += mineral_kg;
        self.organic_kg += organic_kg;
    }
}

/// Height of the bed; m.
#[must_use]
pub fn height_m(slices: &[SliceMeasure]) -> f64 {
    slices.iter().map(|slice| slice.thickness_m).sum()
}
