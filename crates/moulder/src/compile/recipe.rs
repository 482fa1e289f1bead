//! One ingredient: how much of it there is, dry and by volume, whatever way the
//! amount was measured.

use moulder_core::decay::Pool;
use moulder_core::envelope::{MINERAL_DENSITY_KG_M3, volume_left};
use moulder_core::moisture::{
    plant_dry_factor, soil_dry_factor, soil_wet_factor, wood_dry_factor, wood_wet_factor,
};
use moulder_core::packing::{filled_volume, packing_ratio, pore_width_m};
use moulder_core::settlement::{
    FOOT_KPA, FOOT_RADIUS_M, TREADING_SHARE, closing_exponent, collapse_exponent, left_after_load,
    left_after_wetting, treading_kpa,
};
use moulder_core::shape::Shape;
use moulder_core::temperature::Q10_WOOD;

use crate::bed::{Amount, Ingredient, Measured};
use crate::draw::Draw;
use crate::material::{Class, Form, Material};
use crate::rate::{law, pool_rate_per_year};

/// Depth in a lift at which treading is reckoned: the middle of 15 cm; m.
const TREADING_DEPTH_M: f64 = 0.075;

/// The stress that treading leaves; kPa.
pub(super) fn trodden_kpa(draw: Draw) -> f64 {
    treading_kpa(
        draw.of(&TREADING_SHARE),
        draw.of(&FOOT_KPA),
        draw.of(&FOOT_RADIUS_M),
        TREADING_DEPTH_M,
    )
}

/// One ingredient in numbers: what lies in the bed on the day it is filled.
///
/// The frame part is what stays in place, the fine part what may trickle. Leaves
/// and logs are all frame, soil is all fine; turf is a frame (the mat) that holds
/// fines (its soil).
pub(super) struct Recipe<'a> {
    pub(super) ingredient: &'a Ingredient,
    /// Organic matter of the frame when it was sound; kg dry.
    pub(super) fresh_organic_kg: f64,
    /// Mineral matter in the frame; kg.
    pub(super) frame_mineral_kg: f64,
    /// Organic matter of the fines; kg dry.
    pub(super) fine_organic_kg: f64,
    /// Mineral matter of the fines; kg.
    pub(super) fine_mineral_kg: f64,
    /// Share of the frame's envelope that is left after what had rotted on arrival.
    envelope_left: f64,
    draw: Draw,
}

impl<'a> Recipe<'a> {
    /// The ingredient as put on what reaches up to `top_m`.
    pub(super) fn of(ingredient: &'a Ingredient, shape: &Shape, top_m: f64, draw: Draw) -> Self {
        let material = &ingredient.material;
        let mineral = draw.of(&material.mineral_share);
        // For 1 kg of dry sound material first, then as much as there is.
        let fine_share = fine_carbon_share(material, draw);
        let fines_hold_mineral = fine_share > 0.0;
        let organic = 1.0 - mineral;
        let one_kg = Self {
            ingredient,
            fresh_organic_kg: organic * (1.0 - fine_share),
            frame_mineral_kg: if fines_hold_mineral { 0.0 } else { mineral },
            fine_organic_kg: organic * fine_share * (1.0 - ingredient.rotten),
            fine_mineral_kg: if fines_hold_mineral { mineral } else { 0.0 },
            envelope_left: volume_left(1.0 - ingredient.rotten, draw.of(&material.lag)),
            draw,
        };
        let scale = match ingredient.amount {
            Amount::DryMass(kg) => kg / one_kg.dry_kg(),
            Amount::WetMass(kg) => kg * (1.0 - ingredient.moisture_wet) / one_kg.dry_kg(),
            Amount::Volume(m3) => m3 / one_kg.bulk_m3(ingredient.measured),
            Amount::Thickness(m) => {
                shape.volume_m3(top_m, top_m + m) / one_kg.bulk_m3(ingredient.measured)
            }
        };
        Self {
            fresh_organic_kg: scale * one_kg.fresh_organic_kg,
            frame_mineral_kg: scale * one_kg.frame_mineral_kg,
            fine_organic_kg: scale * one_kg.fine_organic_kg,
            fine_mineral_kg: scale * one_kg.fine_mineral_kg,
            ..one_kg
        }
    }

    fn material(&self) -> &'a Material {
        &self.ingredient.material
    }

    /// A number of the material under the draw.
    pub(super) fn number(&self, of: impl Fn(&Material) -> &moulder_core::value::Value) -> f64 {
        self.draw.of(of(self.material()))
    }

    fn dry_kg(&self) -> f64 {
        self.fresh_organic_kg * (1.0 - self.ingredient.rotten)
            + self.frame_mineral_kg
            + self.fine_organic_kg
            + self.fine_mineral_kg
    }

    /// Whether any of it stays in place.
    pub(super) fn has_frame(&self) -> bool {
        self.fresh_organic_kg > 0.0
    }

    /// Whether any of it may trickle.
    pub(super) fn has_fines(&self) -> bool {
        self.fine_mineral_kg + self.fine_organic_kg > 0.0
    }

    /// Envelope of the frame's organic part when it was sound; m3.
    pub(super) fn fresh_envelope_m3(&self) -> f64 {
        self.fresh_organic_kg / self.number(|m| &m.organic_density)
    }

    /// Envelope of the frame as it lies; m3.
    pub(super) fn envelope_m3(&self) -> f64 {
        self.fresh_envelope_m3() * self.envelope_left
            + self.frame_mineral_kg / MINERAL_DENSITY_KG_M3
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

    /// Exponent of load for this material alone.
    pub(super) fn load_exponent(&self) -> f64 {
        closing_exponent(
            self.number(|m| &m.compression),
            self.number(|m| &m.void_ratio),
            self.number(|m| &m.least_void_ratio),
        )
    }

    /// Share of the tipped excess gap that is left in the state it was measured in.
    pub(super) fn excess_left(&self, measured: Measured) -> f64 {
        match measured {
            Measured::Tipped => 1.0,
            Measured::Trodden => left_after_load(
                self.load_exponent(),
                self.number(|m| &m.reference_stress),
                0.0,
                trodden_kpa(self.draw),
            ),
            Measured::Watered => left_after_wetting(
                collapse_exponent(
                    self.number(|m| &m.collapse_tipped),
                    self.number(|m| &m.void_ratio),
                    self.number(|m| &m.least_void_ratio),
                ),
                0.0,
                1.0,
            ),
        }
    }

    /// Void ratio in a state.
    pub(super) fn void_ratio(&self, measured: Measured) -> f64 {
        let (tipped, least) = (
            self.number(|m| &m.void_ratio),
            self.number(|m| &m.least_void_ratio),
        );
        least + (tipped - least) * self.excess_left(measured)
    }

    /// Bulk volume of this ingredient alone in a state; m3.
    fn bulk_m3(&self, measured: Measured) -> f64 {
        let void_ratio = self.void_ratio(measured);
        let (envelope, grains) = (self.envelope_m3(), self.grains_m3());
        if !self.has_fines() {
            return envelope * (1.0 + void_ratio);
        }
        if !self.has_frame() {
            return grains * (1.0 + void_ratio);
        }
        let across_m = self.ingredient.across_m;
        let pore_m = pore_width_m(across_m, void_ratio, self.rod_share());
        filled_volume(
            envelope,
            envelope * void_ratio,
            grains * (1.0 + void_ratio),
            packing_ratio(across_m / pore_m),
        )
    }

    /// Loose bulk volume of this ingredient by itself; m3.
    pub(super) fn alone_m3(&self) -> f64 {
        self.bulk_m3(Measured::Tipped)
    }

    /// Water held in the bed; kg per kg dry.
    pub(super) fn water_per_dry(&self) -> f64 {
        let value = &self.material().moisture_in_bed;
        let water = self.draw.of(value);
        if value.unit == "kg/kg wet" {
            water / (1.0 - water)
        } else {
            water
        }
    }

    /// Carbon per organic dry mass; kg/kg.
    pub(super) fn carbon_share(&self) -> f64 {
        self.number(|m| &m.carbon_share)
    }

    /// Share of the moist, aired rate that its stated moisture allows.
    fn moisture_factor(&self) -> f64 {
        let dry_basis = self.water_per_dry();
        match self.material().class {
            Class::Wood => {
                let gravity = self.number(|m| &m.organic_density) / 1000.0;
                wood_dry_factor(dry_basis) * wood_wet_factor(gravity, dry_basis)
            }
            Class::Plant => plant_dry_factor(dry_basis / (1.0 + dry_basis)),
            Class::Soil => {
                let mineral = self.number(|m| &m.mineral_share);
                let grains_m3 = mineral / MINERAL_DENSITY_KG_M3
                    + (1.0 - mineral) / self.number(|m| &m.organic_density);
                let water_m3 = dry_basis / 1000.0;
                let filled = water_m3 / (grains_m3 * self.number(|m| &m.void_ratio));
                soil_dry_factor(filled) * soil_wet_factor(filled)
            }
        }
    }

    /// The carbon pools of the frame (`in_fines` false) or of the fines, with the
    /// carbon now in each; kg.
    pub(super) fn pools(&self, in_fines: bool) -> (Vec<Pool<1>>, Vec<[f64; 1]>) {
        let material = self.material();
        let draw = self.draw;
        let q10_wood = draw.of(&Q10_WOOD);
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
        let shares: f64 = chosen.iter().map(|pool| draw.of(&pool.share)).sum();
        chosen
            .into_iter()
            .map(|pool| {
                let per_year =
                    pool_rate_per_year(pool, material, self.ingredient.across_m, draw, q10_wood)
                        * self.moisture_factor();
                let carbon_kg = organic_kg * self.carbon_share() * draw.of(&pool.share) / shares;
                (
                    Pool {
                        rate_per_day: [per_year / moulder_core::DAYS_PER_YEAR],
                        humified: [draw.of(&pool.humified)],
                        law: law(material.class),
                    },
                    [carbon_kg],
                )
            })
            .unzip()
    }
}

/// Share of a material's carbon that lies in fines.
fn fine_carbon_share(material: &Material, draw: Draw) -> f64 {
    if material.is_grains() {
        return 1.0;
    }
    material
        .pools
        .iter()
        .filter(|pool| pool.in_soil)
        .map(|pool| draw.of(&pool.share))
        .sum()
}
