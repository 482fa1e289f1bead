//! Rate modifiers for temperature, moisture and oxygen, per ingredient.
//!
//! `xi = f_T f_dry min(f_wet, f_O)`: oxygen and excess water limit jointly, by a smooth minimum.
//! The oxygen profile follows from the oxygen demand at unlimited supply.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, &mut measures);
//! use moulder_core::rate::rate_modifiers::RateModifiers;
//!
//! let mut rate_modifiers = RateModifiers::default();
//! stack.rate_modifiers(&state, &measures, stack.weather.day(0.0), &mut rate_modifiers);
//! // Modifier of each decay rate.
//! assert!(rate_modifiers.factors.iter().all(|factor| *factor > 0.0));
//! assert!(rate_modifiers.slices[0].oxygen_percent <= 21.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::{Piece, Slice, Stack};
use crate::bed::state::State;
use crate::law::air::{
    OXYGEN_KG_PER_M3, OXYGEN_PER_CARBON, Pores, channel_diffusivity_m2_per_day,
    diffusivity_m2_per_day, oxygen_factor, profile,
};
use crate::law::decay::{Fate, Pool};
use crate::law::heat::HEAT_KJ_PER_KG_CARBON;
use crate::law::moisture::{
    Matter, SOFT_FLOOR, WOOD_FLOOR, aired_factor, plant_dry_factor, soil_dry_factor, soil_wet_side,
    wood_dry_factor, wood_wet_side,
};
use crate::law::temperature::DayCourse;
use crate::math::elementary::exp;
use crate::math::smooth::{smooth_min, softplus};
use crate::math::tridiagonal::Tridiagonal;
use crate::weather::Day;

/// Water-filled pore share of humus at field capacity (our own closure: the optimum of Linn &
/// Doran 1984).
const HUMUS_FILLED: f64 = 0.6;
/// Air-filled share of a saturated slice (our own closure).
const TRAPPED_AIR: f64 = 0.003;

/// Moisture, air and carbon release of a slice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SliceRateModifiers {
    /// Water in non-woody material and soil, over field capacity.
    pub wetness: f64,
    /// Moisture of the wood; kg per kg dry, 0 without wood.
    pub wood_moisture: f64,
    /// Air-filled porosity.
    pub air_share: f64,
    /// Oxygen in the pores; volume per cent.
    pub oxygen_percent: f64,
    /// Released carbon; kg/d.
    pub released_kg_per_day: f64,
}

impl SliceRateModifiers {
    /// Heat of decay; kJ/d.
    #[must_use]
    pub fn heat_kj_per_day(&self) -> f64 {
        HEAT_KJ_PER_KG_CARBON * self.released_kg_per_day
    }
}

/// Modifiers of one ingredient apart from oxygen.
#[derive(Debug, Clone, Copy, Default)]
struct Limits {
    /// Product of the temperature factor and the dry-side factor.
    rate: f64,
    /// Wet-side factor.
    wet: f64,
    /// Anaerobic floor.
    floor: f64,
}

impl Limits {
    /// Rate modifier at an oxygen factor.
    fn factor(&self, oxygen: f64) -> f64 {
        // Most kinds of fines are absent from most slices.
        if self.rate == 0.0 {
            return 0.0;
        }
        self.rate * aired_factor(self.wet, oxygen, self.floor)
    }
}

/// Rate modifiers of a bed, with workspace.
#[derive(Debug, Clone, Default)]
pub struct RateModifiers {
    /// Per slice, bottom first.
    pub slices: Vec<SliceRateModifiers>,
    /// Modifier of each rate: for each slice its pieces, its fines, its humus.
    pub factors: Vec<f64>,
    limits: Vec<Limits>,
    /// Carbon that each ingredient releases at a modifier of 1; kg/d.
    releases: Vec<f64>,
    pores: Vec<Pores>,
    percent: Vec<f64>,
    system: Tridiagonal,
}

/// Moisture and air-filled porosity of a slice.
fn wetness(slice: &Slice, state: &State, measure: &SliceMeasure) -> SliceRateModifiers {
    let water_m3 = state.rows[slice.slots.water] / 1000.0;
    let width = 0.02 * measure.pore_m3;
    let free_m3 = softplus(water_m3 - measure.inner_pore_m3, width);
    let air_m3 = softplus(measure.pore_m3 - free_m3, width);
    SliceRateModifiers {
        wetness: state.rows[slice.slots.water] / measure.field_kg.max(1e-9),
        wood_moisture: state.rows[slice.slots.wood_water] / measure.wood_kg.max(f64::MIN_POSITIVE),
        air_share: air_m3 / measure.volume_m3 + TRAPPED_AIR,
        ..SliceRateModifiers::default()
    }
}

impl Stack {
    /// Number of rate modifiers of a slice.
    #[must_use]
    pub fn factors_of(&self, slice: &Slice) -> usize {
        slice.pieces.len() + slice.slots.fines.len() + 1
    }

    /// Rate modifiers of all slices for a day's weather.
    ///
    /// Volumes and field capacities come from `measures`, water and temperature from `state`.
    pub fn rate_modifiers(
        &self,
        state: &State,
        measures: &[SliceMeasure],
        day: &Day,
        out: &mut RateModifiers,
    ) {
        out.slices.clear();
        out.limits.clear();
        out.pores.clear();
        for (slice, measure) in self.slices.iter().zip(measures) {
            let rate_modifiers = wetness(slice, state, measure);
            self.ingredient_limits(slice, state, measure, &rate_modifiers, day, &mut out.limits);
            out.slices.push(rate_modifiers);
        }
        self.releases(state, &mut out.releases);
        self.limit_by_oxygen(measures, out);
    }

    /// Temperature, dry-side and wet-side factors of every ingredient of a slice.
    fn ingredient_limits(
        &self,
        slice: &Slice,
        state: &State,
        measure: &SliceMeasure,
        rate_modifiers: &SliceRateModifiers,
        day: &Day,
        out: &mut Vec<Limits>,
    ) {
        let mean_c = state.rows[slice.slots.temperature];
        let swing_c = day.half_swing_c * exp(-measure.depth_m / self.parameters.daily_damping_m);
        let course = DayCourse {
            mean_c,
            half_swing_c: swing_c,
        };
        let nonwoody = course.soft_mean();
        let is_wood = |piece: &Piece| piece.matter == Matter::Wood;
        let wood = if slice.pieces.iter().any(is_wood) {
            course.wood_mean(self.parameters.q10_wood)
                * wood_dry_factor(rate_modifiers.wood_moisture)
        } else {
            0.0
        };
        for piece in &slice.pieces {
            out.push(match piece.matter {
                Matter::Wood => Limits {
                    rate: wood,
                    wet: wood_wet_side(measure.wood_gravity, rate_modifiers.wood_moisture),
                    floor: WOOD_FLOOR,
                },
                Matter::Plant | Matter::Soil => {
                    let dry_basis = rate_modifiers.wetness * piece.field_capacity;
                    Limits {
                        rate: nonwoody * plant_dry_factor(dry_basis / (1.0 + dry_basis)),
                        wet: 1e6,
                        floor: SOFT_FLOOR,
                    }
                }
            });
        }
        let dry = soil_dry_factor(rate_modifiers.wetness);
        let soil = |filled: f64| {
            let filled = smooth_min(filled.max(1e-6), 1.0);
            Limits {
                rate: nonwoody * dry,
                wet: soil_wet_side(filled),
                floor: SOFT_FLOOR,
            }
        };
        let pore_per_grain = measure.fine_gap_m3 / measure.grains_m3.max(f64::MIN_POSITIVE);
        for (fine, slots) in self.fines_in(slice) {
            let mineral_kg = state.rows[slots.mineral];
            let organic_kg = crate::bed::measure::fine_carbon_kg(slots, fine.pools.len(), state)
                * fine.organic_per_carbon;
            if mineral_kg == 0.0 && organic_kg == 0.0 {
                // This kind is absent here.
                out.push(Limits::default());
                continue;
            }
            let grains_m3 = mineral_kg / crate::law::envelope::MINERAL_DENSITY_KG_M3
                + organic_kg / fine.organic_density_kg_m3;
            let water_m3 =
                (mineral_kg + organic_kg) * fine.field_capacity * rate_modifiers.wetness / 1000.0;
            let pores_m3 = (grains_m3 * pore_per_grain).max(1e-12);
            out.push(soil(water_m3 / pores_m3));
        }
        out.push(soil(HUMUS_FILLED * rate_modifiers.wetness));
    }

    /// Oxygen profile and, from it, the rate modifiers.
    fn limit_by_oxygen(&self, measures: &[SliceMeasure], out: &mut RateModifiers) {
        out.factors.clear();
        let limits = out.limits.iter();
        out.factors
            .extend(limits.map(|limits| limits.factor(f64::MAX)));
        self.sum_released(out);
        let resistance = |(measure, rate_modifiers): (&SliceMeasure, &SliceRateModifiers)| {
            let pore_share = (measure.pore_m3 / measure.volume_m3).max(rate_modifiers.air_share);
            // Soil has channels; mats of leaves do not.
            let soil_share = measure.fines_m3 / measure.volume_m3;
            let channels = channel_diffusivity_m2_per_day(self.parameters.channel_share);
            let diffusivity = diffusivity_m2_per_day(rate_modifiers.air_share, pore_share)
                + channels * soil_share.min(1.0);
            (0.5 * measure.thickness_m / diffusivity, diffusivity)
        };
        let mut above = 0.0;
        for (i, (slice, measure)) in self.slices.iter().zip(measures).enumerate().rev() {
            let (own, diffusivity) = resistance((measure, &out.slices[i]));
            let side_m2 = slice.sides.area_m2(measure) * slice.sides.open;
            let path_m = slice.sides.quarter_width_m * measure.widening;
            out.pores.push(Pores {
                up_m3_per_day: measure.area_m2 / (own + above),
                side_m3_per_day: side_m2 * diffusivity / path_m,
                demand_m3_per_day: out.slices[i].released_kg_per_day * OXYGEN_PER_CARBON
                    / OXYGEN_KG_PER_M3,
            });
            above = own;
        }
        out.pores.reverse();
        profile(&out.pores, &mut out.system, &mut out.percent);
        let mut at = 0;
        for (i, slice) in self.slices.iter().enumerate() {
            out.slices[i].oxygen_percent = out.percent[i];
            let oxygen = oxygen_factor(out.percent[i]);
            for _ in 0..self.factors_of(slice) {
                out.factors[at] = out.limits[at].factor(oxygen);
                at += 1;
            }
        }
        self.sum_released(out);
    }

    /// Carbon that each ingredient releases at a modifier of 1; kg/d.
    fn releases(&self, state: &State, out: &mut Vec<f64>) {
        let of = |pools: &[Pool], first: usize| -> f64 {
            let mut sum = 0.0;
            for (pool, row) in pools.iter().zip(&state.rows[first..]) {
                if pool.fate != Fate::Colonised {
                    sum += (1.0 - pool.humification_coefficient) * pool.rate_per_day * row;
                }
            }
            sum
        };
        out.clear();
        for slice in &self.slices {
            let pieces = slice.pieces.iter();
            out.extend(pieces.map(|piece| of(&piece.pools, piece.first_pool)));
            let fines = self.fines_in(slice);
            out.extend(fines.map(|(fine, slots)| of(&fine.pools, slots.first_pool)));
            let humus_kg = state.rows[slice.slots.humus];
            out.push(self.parameters.humus_rate_per_day * humus_kg);
        }
    }

    /// Released carbon at the current modifiers.
    fn sum_released(&self, out: &mut RateModifiers) {
        let mut rates = out.releases.iter().zip(&out.factors);
        for (slice, rate_modifiers) in self.slices.iter().zip(&mut out.slices) {
            let own = rates.by_ref().take(self.factors_of(slice));
            rate_modifiers.released_kg_per_day = own.map(|(kg, factor)| kg * factor).sum();
        }
    }
}
