//! One ingredient: its dry mass and volume, from an amount of any kind.

use moulder_core::bed::shape::Shape;
use moulder_core::law::decay::{COLONISED_ON_ARRIVAL, Fate, Pool, two_stage_left};
use moulder_core::law::envelope::{MINERAL_DENSITY_KG_M3, volume_left};
use moulder_core::law::filling::firmness;
use moulder_core::law::moisture::Matter;
use moulder_core::law::nitrogen::{DECOMPOSER_CARBON_TO_NITROGEN, arrived_ratio, kept_share};
use moulder_core::law::packing::{filled_volume, packing_ratio, pore_width_m};
use moulder_core::law::settlement::{
    FOOT_KPA, FOOT_RADIUS_M, LIMP_ON_ARRIVAL, TREADING_DEPTH_M, TREADING_SHARE, WETTED_ON_ARRIVAL,
    closing_exponent, closing_strain, collapse_exponent, left_after_load, left_after_wetting,
    treading_kpa, wetted_on_arrival,
};
use moulder_core::law::shrinkage::{Skeleton, WOOD_SHRINKAGE, shrunk, width_lost};
use moulder_core::law::slump::{REPOSE_CHIPS, REPOSE_SOFT, REPOSE_SOIL, REPOSE_STICKS};
use moulder_core::law::temperature::Q10_WOOD;
use moulder_core::math::elementary::exp;

use crate::bed::{Amount, Ingredient, Placement};
use crate::library::material::{Class, Counts, Form, Material, wet_share};
use crate::model::compile::filling::Filling;
use crate::model::figures::Figures;
use crate::model::site_rate::pool_rate_per_year;

/// Crumb size of the soil in a mat; m (loamy topsoil, see the library).
const CRUMB_M: f64 = 0.003;
/// Field capacity of litter; kg per kg dry (Zagyvai-Kiss et al. 2019, abstract).
const LITTER_FIELD_CAPACITY: f64 = 2.0;

/// The stress left by treading; kPa.
pub(crate) fn trodden_kpa(figures: &Figures) -> f64 {
    treading_kpa(
        figures.of(&TREADING_SHARE),
        figures.of(&FOOT_KPA),
        figures.of(&FOOT_RADIUS_M),
        TREADING_DEPTH_M,
    )
}

/// One ingredient in numbers, on the day of filling.
///
/// The skeleton stays in place, the fines may migrate. Leaves and logs are all skeleton, soil is
/// all fines; turf is a skeleton (the mat) that holds fines (its soil).
pub(super) struct Recipe<'a> {
    pub(super) ingredient: &'a Ingredient,
    /// Organic matter of the skeleton when sound; kg dry.
    pub(super) fresh_organic_kg: f64,
    /// Mineral matter of the skeleton; kg.
    pub(super) skeleton_mineral_kg: f64,
    /// Organic matter of the fines; kg dry.
    pub(super) fine_organic_kg: f64,
    /// Mineral matter of the fines; kg.
    pub(super) fine_mineral_kg: f64,
    /// Share of the skeleton's envelope left after decay before arrival.
    envelope_left: f64,
    filling: Filling,
    figures: &'a Figures,
}

impl<'a> Recipe<'a> {
    /// The ingredient on top of what reaches up to `top_m`, in a layer filled like that.
    pub(super) fn of(
        ingredient: &'a Ingredient,
        shape: &Shape,
        top_m: f64,
        filling: Filling,
        figures: &'a Figures,
    ) -> Self {
        let material = &ingredient.material;
        let mineral = figures.of(&material.mineral_share);
        // For 1 kg of dry sound material first, then scaled.
        let fine_share = fine_carbon_share(material, figures);
        let fines_hold_mineral = fine_share > 0.0;
        let organic = 1.0 - mineral;
        let one_kg = Self {
            ingredient,
            fresh_organic_kg: organic * (1.0 - fine_share),
            skeleton_mineral_kg: if fines_hold_mineral { 0.0 } else { mineral },
            fine_organic_kg: organic * fine_share * (1.0 - ingredient.rotten),
            fine_mineral_kg: if fines_hold_mineral { mineral } else { 0.0 },
            envelope_left: volume_left(1.0 - ingredient.rotten, figures.of(&material.lag)),
            filling,
            figures,
        };
        let scale = match ingredient.amount {
            Amount::DryMassKg(kg) => kg / one_kg.dry_kg(),
            Amount::WetMassKg(kg) => kg * (1.0 - ingredient.moisture_wet) / one_kg.dry_kg(),
            Amount::VolumeM3(m3) => m3 / one_kg.bulk_m3(ingredient.placement),
            Amount::ThicknessM(m) => {
                shape.volume_m3(top_m, top_m + m) / one_kg.bulk_m3(ingredient.placement)
            }
        };
        Self {
            fresh_organic_kg: scale * one_kg.fresh_organic_kg,
            skeleton_mineral_kg: scale * one_kg.skeleton_mineral_kg,
            fine_organic_kg: scale * one_kg.fine_organic_kg,
            fine_mineral_kg: scale * one_kg.fine_mineral_kg,
            ..one_kg
        }
    }

    fn material(&self) -> &'a Material {
        &self.ingredient.material
    }

    /// A value of the material in this run, which the bed of a realisation carries itself.
    pub(super) fn number(&self, of: impl Fn(&Material) -> &moulder_core::value::Value) -> f64 {
        of(self.material()).best
    }

    /// Dry mass; kg.
    pub(super) fn dry_kg(&self) -> f64 {
        self.fresh_organic_kg * (1.0 - self.ingredient.rotten)
            + self.skeleton_mineral_kg
            + self.fine_organic_kg
            + self.fine_mineral_kg
    }

    /// Whether any of it is skeleton.
    pub(super) fn has_skeleton(&self) -> bool {
        self.fresh_organic_kg + self.skeleton_mineral_kg > 0.0
    }

    /// Whether any of it is fines.
    pub(super) fn has_fines(&self) -> bool {
        self.fine_mineral_kg + self.fine_organic_kg > 0.0
    }

    /// Whether it lies as a mat.
    pub(super) fn is_mat(&self) -> bool {
        let sheet = &self.material().sheet;
        sheet.as_ref().is_some_and(|sheet| sheet.mat)
    }

    /// Envelope of the skeleton's organic part when sound; m3.
    pub(super) fn fresh_envelope_m3(&self) -> f64 {
        self.fresh_organic_kg / self.number(|m| &m.organic_density)
    }

    /// Envelope of the skeleton, its wood swollen; m3.
    pub(super) fn envelope_m3(&self) -> f64 {
        self.fresh_envelope_m3() * self.envelope_left
            + self.skeleton_mineral_kg / MINERAL_DENSITY_KG_M3
    }

    /// Envelope of the fines' grains; m3.
    pub(super) fn grains_m3(&self) -> f64 {
        self.fine_mineral_kg / MINERAL_DENSITY_KG_M3
            + self.fine_organic_kg / self.number(|m| &m.organic_density)
    }

    /// 1 for rods, 0 for lumps.
    pub(super) fn rod_share(&self) -> f64 {
        match self.material().form {
            Form::Rods => 1.0,
            Form::Lumps => 0.0,
        }
    }

    /// Load exponent of this material alone.
    pub(super) fn load_exponent(&self) -> f64 {
        closing_exponent(
            self.number(|m| &m.compression),
            self.number(|m| &m.void_ratio),
            self.number(|m| &m.min_void_ratio),
        )
    }

    /// Share of the loose excess void left in the state it was measured in.
    fn excess_left(&self, measured: Placement) -> f64 {
        let limp = || self.left_as_measured_wet(self.limp_on_arrival());
        match measured {
            Placement::Loose => limp(),
            Placement::Compacted => limp() * self.left_under(trodden_kpa(self.figures)),
            Placement::Wetted => self.left_as_measured_wet(1.0),
            Placement::InPlace => {
                let collapse = collapse_exponent(self.collapse_share());
                let left = 1.0 - self.limp_on_arrival() - self.moist_on_arrival();
                limp()
                    * self.left_under(self.filling.stress_kpa)
                    * left_after_wetting(collapse, 0.0, left * self.filling.wetted)
            }
        }
    }

    /// Share of the loose excess void left under that stress.
    fn left_under(&self, stress_kpa: f64) -> f64 {
        let reference_kpa = self.number(|m| &m.reference_stress);
        left_after_load(self.load_exponent(), reference_kpa, 0.0, stress_kpa)
    }

    /// Excess void ratio by what was done to the layer, dry.
    pub(super) fn felt_excess(&self) -> f64 {
        let least = self.number(|m| &m.min_void_ratio);
        (self.number(|m| &m.void_ratio) - least) * self.left_under(self.filling.felt_kpa)
    }

    /// Share of the excess voids that wetting closes, by how firmly the layer was filled.
    pub(super) fn collapse_share(&self) -> f64 {
        let trodden_kpa = trodden_kpa(self.figures);
        let reference_kpa = self.number(|m| &m.reference_stress);
        let firmness = firmness(self.filling.felt_kpa, trodden_kpa, reference_kpa);
        let trodden = || {
            let least = self.number(|m| &m.min_void_ratio);
            let excess = (self.number(|m| &m.void_ratio) - least) * self.left_under(trodden_kpa);
            self.number(|m| &m.collapse_trodden) / closing_strain(least + excess, least)
        };
        if firmness <= 0.0 {
            self.loose_collapse_share()
        } else if firmness >= 1.0 {
            trodden()
        } else {
            (1.0 - firmness) * self.loose_collapse_share() + firmness * trodden()
        }
    }

    /// The same as loosely tipped.
    pub(super) fn loose_collapse_share(&self) -> f64 {
        let (tipped, least) = (
            self.number(|m| &m.void_ratio),
            self.number(|m| &m.min_void_ratio),
        );
        self.number(|m| &m.collapse_tipped) / closing_strain(tipped, least)
    }

    /// Share of the loose excess void left where the share `wetted` was measured wet.
    pub(super) fn left_as_measured_wet(&self, wetted: f64) -> f64 {
        left_after_wetting(collapse_exponent(self.loose_collapse_share()), 0.0, wetted)
    }

    /// Crumb size: of grains their own, of soil in a mat that of loam; m.
    pub(super) fn crumb_m(&self) -> f64 {
        if self.has_skeleton() {
            self.ingredient.particle_size_m.min(CRUMB_M)
        } else {
            self.ingredient.particle_size_m
        }
    }

    /// Void ratio in a state.
    fn void_ratio(&self, measured: Placement) -> f64 {
        let (tipped, least) = (
            self.number(|m| &m.void_ratio),
            self.number(|m| &m.min_void_ratio),
        );
        least + (tipped - least) * self.excess_left(measured)
    }

    /// Bulk volume of this ingredient alone in a state, its wood as dry as on arrival; m3.
    fn bulk_m3(&self, measured: Placement) -> f64 {
        let void_ratio = self.void_ratio(measured);
        let (envelope, grains) = (self.envelope_m3(), self.grains_m3());
        if !self.has_fines() {
            let swollen = Skeleton {
                envelope_m3: envelope,
                gap_m3: envelope * void_ratio,
            };
            let came = arrived(swollen, core::iter::once(self), self.figures);
            return came.envelope_m3 + came.gap_m3;
        }
        if !self.has_skeleton() {
            return grains * (1.0 + void_ratio);
        }
        let pore_m = pore_width_m(
            self.ingredient.particle_size_m,
            void_ratio,
            self.rod_share(),
        );
        filled_volume(
            envelope,
            envelope * void_ratio,
            grains * (1.0 + void_ratio),
            packing_ratio(self.crumb_m() / pore_m),
        )
    }

    /// Loose bulk volume of this ingredient alone; m3.
    pub(super) fn alone_m3(&self) -> f64 {
        self.bulk_m3(Placement::Loose)
    }

    /// Field capacity of skeleton and fines; kg per kg dry. Zero for wood, which has its own
    /// water store.
    ///
    /// A mat with soil is plant matter: it has that of litter, and the soil holds the rest.
    pub(super) fn field_capacity(&self) -> (f64, f64) {
        let Some(field_capacity) = &self.material().field_capacity else {
            return (0.0, 0.0);
        };
        let whole = self.figures.of(field_capacity);
        if !(self.has_skeleton() && self.has_fines()) {
            return (whole, whole);
        }
        let skeleton_kg =
            self.fresh_organic_kg * (1.0 - self.ingredient.rotten) + self.skeleton_mineral_kg;
        let fine_kg = self.fine_organic_kg + self.fine_mineral_kg;
        let rest =
            (whole * (skeleton_kg + fine_kg) - LITTER_FIELD_CAPACITY * skeleton_kg) / fine_kg;
        (LITTER_FIELD_CAPACITY, rest.max(0.5 * whole))
    }

    /// Water of all of it at field capacity; kg.
    pub(super) fn field_capacity_kg(&self) -> f64 {
        let (skeleton, fines) = self.field_capacity();
        let skeleton_kg =
            self.fresh_organic_kg * (1.0 - self.ingredient.rotten) + self.skeleton_mineral_kg;
        skeleton * skeleton_kg + fines * (self.fine_organic_kg + self.fine_mineral_kg)
    }

    /// Water on arrival; kg.
    pub(super) fn water_on_arrival_kg(&self) -> f64 {
        let wet = self.ingredient.moisture_wet;
        self.dry_kg() * wet / (1.0 - wet)
    }

    /// Share of first wetting that a moist soil has behind it on arrival, before any measure.
    pub(super) fn moist_on_arrival(&self) -> f64 {
        match self.matter() {
            Matter::Soil => self.wetted_by(
                self.water_on_arrival_kg(),
                self.figures.of(&WETTED_ON_ARRIVAL),
            ),
            Matter::Plant | Matter::Wood => 0.0,
        }
    }

    /// Share of first wetting that litter, manure and card have behind them on arrival, and were
    /// measured with, where they come wetter than the library has them. None for what is fresh
    /// and stiff with its own water, nor for wood, which takes up water in its pieces.
    pub(super) fn limp_on_arrival(&self) -> f64 {
        match self.matter() {
            Matter::Plant if !self.material().wilts => {
                let usual = wet_share(&self.material().moisture);
                let usual_kg = self.dry_kg() * usual / (1.0 - usual);
                let limp = self.figures.of(&LIMP_ON_ARRIVAL);
                (self.wetted_by(self.water_on_arrival_kg(), limp) - self.wetted_by(usual_kg, limp))
                    .max(0.0)
            }
            Matter::Plant | Matter::Soil | Matter::Wood => 0.0,
        }
    }

    fn wetted_by(&self, water_kg: f64, at_capacity: f64) -> f64 {
        let capacity_kg = self.field_capacity_kg();
        if capacity_kg <= 0.0 {
            return 0.0;
        }
        wetted_on_arrival(water_kg / capacity_kg, at_capacity)
    }

    /// Its kind of matter, which selects the rate modifiers.
    pub(super) fn matter(&self) -> Matter {
        match self.material().class {
            Class::Wood => Matter::Wood,
            Class::Plant => Matter::Plant,
            Class::Soil => Matter::Soil,
        }
    }

    /// Slope at which it rests, as rise over run.
    pub(super) fn repose(&self) -> f64 {
        let kind = match (self.material().class, self.material().form) {
            (Class::Soil, _) => &REPOSE_SOIL,
            (Class::Plant, _) => &REPOSE_SOFT,
            (Class::Wood, Form::Lumps) => &REPOSE_CHIPS,
            (Class::Wood, Form::Rods) => &REPOSE_STICKS,
        };
        self.figures.of(kind)
    }

    /// Carbon per organic dry mass; kg/kg.
    pub(super) fn carbon_share(&self) -> f64 {
        self.number(|m| &m.carbon_share)
    }

    /// Carbon to nitrogen ratio on arrival.
    fn carbon_to_nitrogen(&self) -> f64 {
        arrived_ratio(
            self.number(|m| &m.carbon_to_nitrogen),
            self.ingredient.rotten,
            self.figures.of(&DECOMPOSER_CARBON_TO_NITROGEN),
        )
    }

    /// Nitrogen that belongs to that carbon; kg.
    pub(super) fn nitrogen_kg(&self, carbon_kg: &[f64]) -> f64 {
        let carbon: f64 = carbon_kg.iter().sum();
        carbon / self.carbon_to_nitrogen()
    }

    /// Share of the decayed carbon that stays in a pool.
    fn kept_share(&self, counts: Counts) -> f64 {
        match counts {
            Counts::PieceLeft => 0.0,
            Counts::AllCarbonLeft => kept_share(
                self.carbon_to_nitrogen(),
                self.figures.of(&DECOMPOSER_CARBON_TO_NITROGEN),
            ),
        }
    }

    /// The carbon pools of the skeleton (`in_fines` false) or of the fines, with the carbon now
    /// in each; kg.
    pub(super) fn pools(&self, in_fines: bool) -> (Vec<Pool>, Vec<f64>) {
        let material = self.material();
        let figures = self.figures;
        let q10_wood = figures.of(&Q10_WOOD);
        let organic_kg = if in_fines {
            self.fine_organic_kg
        } else {
            self.fresh_organic_kg * (1.0 - self.ingredient.rotten)
        };
        let chosen: Vec<_> = material
            .pools
            .iter()
            .filter(|pool| (pool.in_soil || material.is_grains()) == in_fines)
            .collect();
        let rates: Vec<f64> = chosen
            .iter()
            .map(|pool| {
                pool_rate_per_year(
                    pool,
                    material,
                    self.ingredient.particle_size_m,
                    figures,
                    q10_wood,
                )
            })
            .collect();
        let fresh: Vec<FreshPool> = chosen
            .iter()
            .zip(&rates)
            .map(|(pool, per_year)| FreshPool {
                share: figures.of(&pool.share),
                per_year: *per_year,
                stages: pool.colonised.as_ref().map(|ratio| Stages {
                    ratio: figures.of(ratio),
                    colonised: figures.of(&COLONISED_ON_ARRIVAL),
                }),
            })
            .collect();
        let left = aged(&fresh, 1.0 - self.ingredient.rotten);
        let carbon_kg = organic_kg * self.carbon_share();
        let (mut pools, mut carbon) = (Vec::new(), Vec::new());
        for ((pool, fresh), left) in chosen.into_iter().zip(&fresh).zip(left) {
            let decayed = Pool {
                fate: Fate::Decayed,
                rate_per_day: fresh.per_year / moulder_core::DAYS_PER_YEAR,
                humification_coefficient: figures.of(&pool.humification_coefficient),
                kept: self.kept_share(pool.counts),
            };
            if let Some(stages) = &fresh.stages {
                pools.push(Pool {
                    fate: Fate::Colonised,
                    rate_per_day: stages.ratio * decayed.rate_per_day,
                    humification_coefficient: 0.0,
                    kept: 0.0,
                });
                carbon.push(carbon_kg * left.sound);
            }
            pools.push(decayed);
            carbon.push(carbon_kg * left.colonised);
        }
        (pools, carbon)
    }
}

/// A swollen skeleton as it lies on the day of filling, its wood as dry as on arrival.
pub(super) fn arrived<'a>(
    swollen: Skeleton,
    skeletons: impl Iterator<Item = &'a Recipe<'a>>,
    figures: &Figures,
) -> Skeleton {
    let (mut wood_m3, mut dry_kg, mut water_kg) = (0.0, 0.0, 0.0);
    for recipe in skeletons.filter(|recipe| recipe.matter() == Matter::Wood) {
        wood_m3 += recipe.envelope_m3();
        dry_kg += recipe.dry_kg();
        water_kg += recipe.water_on_arrival_kg();
    }
    if dry_kg <= 0.0 {
        return swollen;
    }
    let lost = width_lost(water_kg / dry_kg, figures.of(&WOOD_SHRINKAGE));
    shrunk(swollen, wood_m3, lost)
}

/// A pool as it is when fresh.
struct FreshPool {
    /// Share of the material's carbon.
    share: f64,
    /// Decay rate, of colonised wood where it is colonised first; 1/yr.
    per_year: f64,
    stages: Option<Stages>,
}

/// Wood that is colonised first.
struct Stages {
    /// Rate of colonising over that of decay.
    ratio: f64,
    /// Share colonised when fresh.
    colonised: f64,
}

/// Carbon left in a pool, as a share of all that is left.
struct Left {
    sound: f64,
    /// Colonised, or the whole pool where decay starts at once.
    colonised: f64,
}

impl FreshPool {
    /// What is left of it after `years` at reference conditions, as a share of all carbon.
    fn after(&self, years: f64) -> Left {
        let decay = self.per_year * years;
        let Some(stages) = &self.stages else {
            return Left {
                sound: 0.0,
                colonised: self.share * exp(-decay),
            };
        };
        let of_sound = self.share * (1.0 - stages.colonised);
        let sound = exp(-stages.ratio * decay);
        Left {
            sound: of_sound * sound,
            colonised: self.share * stages.colonised * exp(-decay)
                + of_sound * (two_stage_left(decay, stages.ratio) - sound).max(0.0),
        }
    }
}

/// Pools when only the share `left` of all carbon is left: they had equal exposure, so that the
/// labile ones have lost most, and sound wood was colonised. Their shares sum to 1.
fn aged(pools: &[FreshPool], left: f64) -> Vec<Left> {
    let all: f64 = pools.iter().map(|pool| pool.share).sum();
    let sum =
        |pools: &[Left]| -> f64 { pools.iter().map(|pool| pool.sound + pool.colonised).sum() };
    let after = |years: f64| -> Vec<Left> { pools.iter().map(|pool| pool.after(years)).collect() };
    // What is left falls with time, so bisection always converges.
    let (mut young, mut old) = (0.0, if left < 1.0 { 1e4 } else { 0.0 });
    loop {
        let middle = 0.5 * (young + old);
        if middle <= young || middle >= old {
            break;
        }
        if sum(&after(middle)) > left * all {
            young = middle;
        } else {
            old = middle;
        }
    }
    let mut pools = after(old);
    let sum = sum(&pools);
    for pool in &mut pools {
        pool.sound /= sum;
        pool.colonised /= sum;
    }
    pools
}

/// Share of a material's carbon that is in fines.
fn fine_carbon_share(material: &Material, figures: &Figures) -> f64 {
    if material.is_grains() {
        return 1.0;
    }
    material
        .pools
        .iter()
        .filter(|pool| pool.in_soil)
        .map(|pool| figures.of(&pool.share))
        .sum()
}
