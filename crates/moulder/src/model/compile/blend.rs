//! One layer: packing of its ingredients, and the contents of a slice.

use moulder_core::bed::shape::Shape;
use moulder_core::bed::stack::{Fine, FineFill, Gap, Piece, PieceFill, Rot, Sides, SliceFill};
use moulder_core::law::moisture::Matter;
use moulder_core::law::nitrogen::MINERAL_ON_ARRIVAL;
use moulder_core::law::packing::{Component, filled_volume, mixed_volume_m3};
use moulder_core::law::packing::{mean_particle_size_m, packing_ratio, pore_width_m};
use moulder_core::law::settlement::{
    WATERED_DAYS, WILTING_DAYS, closing_exponent, collapse_exponent, left_after_load,
    left_after_wetting,
};
use moulder_core::law::shrinkage::Skeleton;
use moulder_core::law::water::{DRINKING_DAYS, drinking_days};
use moulder_core::math::threshold::exceeds;

use crate::bed::{Layer, Placement};
use crate::library::material::Class;
use crate::model::compile::filling::Filling;
use crate::model::compile::recipe::{Recipe, arrived};
use crate::model::figures::Figures;

/// A layer on the day it is filled.
pub(super) struct Blend<'a> {
    /// Bulk volume; m3.
    pub(super) volume_m3: f64,
    /// Mass, water included; kg.
    pub(super) total_mass_kg: f64,
    /// Run over rise at which it rests.
    pub(super) rest_run: f64,
    /// Whether most of its skeleton is sheets, which hold fines back.
    pub(super) is_sheeted: bool,
    /// Share of its skeleton that lies as a mat, which holds fines back.
    pub(super) mat_share: f64,
    recipes: Vec<Recipe<'a>>,
    figures: &'a Figures,
    /// Envelope of its skeleton, swollen; m3.
    swollen_m3: f64,
    area_m2: f64,
    gap: Gap,
    excess_gap_m3: f64,
    excess_fine_gap_m3: f64,
    stress_kpa: f64,
    wetted: f64,
    wetting_days: f64,
    water_kg: f64,
    wood_water_kg: f64,
    drinking_days: f64,
}

/// What a whole layer is made of.
pub(super) struct Contents {
    pieces: Vec<PieceFill>,
    /// Kinds of fines, each with its amount.
    pub(super) fines: Vec<(Fine, FineFill)>,
    mineral_nitrogen_kg: f64,
}

/// Sums over the ingredients of a layer, weighted by their loose bulk volume.
#[derive(Default)]
struct Weights {
    bulk_m3: f64,
    /// Measured wet.
    watered_m3: f64,
    /// Wetted before any measure.
    moist_m3: f64,
    /// Fresh and green.
    wilting_m3: f64,
    envelope_m3: f64,
    void_ratio: f64,
    min_void_ratio: f64,
    compression: f64,
    reference_kpa: f64,
    /// Creep strain per tenfold time.
    creep: f64,
    /// Excess voids in the state filled, and those of them that wetting closes.
    excess_m3: f64,
    collapse_m3: f64,
    /// The same as loosely tipped.
    loose_excess_m3: f64,
    loose_collapse_m3: f64,
    rest_run: f64,
}

impl<'a> Blend<'a> {
    /// The layer on top of what reaches up to `top_m`, with `load_kpa` on it once the bed is full.
    pub(super) fn of_layer(
        layer: &'a Layer,
        shape: &Shape,
        (top_m, load_kpa): (f64, f64),
        figures: &'a Figures,
    ) -> Self {
        let filling = Filling::of(layer, load_kpa, figures);
        let recipes: Vec<Recipe<'_>> = layer
            .put
            .iter()
            .map(|ingredient| Recipe::of(ingredient, shape, top_m, filling, figures))
            .collect();
        let all = weights(recipes.iter());
        // What was measured wet had more voids before; what comes moist has collapsed in part
        // before any measure.
        let watered = all.watered_m3 / all.bulk_m3;
        let before = watered + all.moist_m3 / all.bulk_m3;
        let wetted = before + (1.0 - before) * filling.wetted;
        let wetting = Wetting {
            watered,
            while_filling: wetted - before,
        };

        let skeletons: Vec<&Recipe<'_>> = recipes.iter().filter(|r| r.has_skeleton()).collect();
        let (gap, gap_m3, excess_gap_m3) = skeleton_gap(&skeletons, filling.stress_kpa, wetting);
        let swollen_m3: f64 = skeletons.iter().map(|r| r.envelope_m3()).sum();
        let swollen = Skeleton {
            envelope_m3: swollen_m3,
            gap_m3,
        };
        let skeleton = arrived(swollen, skeletons.iter().copied(), figures);

        let most_sheets = |recipe: &&Recipe<'_>| {
            recipe.ingredient.material.is_sheet() && exceeds(2.0 * recipe.envelope_m3(), swollen_m3)
        };
        let mats = skeletons.iter().filter(|recipe| recipe.is_mat());
        let mat_share =
            mats.map(|mat| mat.envelope_m3()).sum::<f64>() / swollen_m3.max(f64::MIN_POSITIVE);

        let (width_m, length_m) = shape.section_m(top_m);
        let area_m2 = shape.area_m2().min(width_m * length_m);
        let mut fine_gap_m3 = 0.0;
        let mut excess_fine_gap_m3 = 0.0;
        for recipe in recipes.iter().filter(|recipe| recipe.has_fines()) {
            let gap = fine_gap(recipe);
            let grains_m3 = recipe.grains_m3();
            let least = gap.min_void_ratio;
            let excess = grains_m3
                * (recipe.number(|m| &m.void_ratio) - least)
                * left_after_load(
                    gap.load_exponent,
                    gap.reference_kpa,
                    0.0,
                    filling.stress_kpa,
                )
                * recipe.left_as_measured_wet(watered)
                * left_after_wetting(gap.collapse, 0.0, wetting.while_filling);
            fine_gap_m3 += grains_m3 * least + excess;
            excess_fine_gap_m3 += excess;
        }
        let fines_m3: f64 = recipes.iter().map(Recipe::grains_m3).sum::<f64>() + fine_gap_m3;
        let volume_m3 = if !recipes.iter().any(Recipe::has_fines) {
            skeleton.envelope_m3 + skeleton.gap_m3
        } else if skeletons.is_empty() {
            fines_m3
        } else {
            let pore_m = pore_m(&skeletons, skeleton.gap_m3 / skeleton.envelope_m3);
            let ratio = packing_ratio(fine_particle_size_m(&recipes) / pore_m);
            filled_volume(skeleton.envelope_m3, skeleton.gap_m3, fines_m3, ratio)
        };
        let water_kg = water_kg(&recipes, layer.watered);
        let wood_water_kg: f64 = wood(&recipes).map(Recipe::water_on_arrival_kg).sum();
        let dry_kg: f64 = recipes.iter().map(Recipe::dry_kg).sum();
        let watering = if layer.watered {
            1.0 / figures.of(&WATERED_DAYS)
        } else {
            0.0
        };
        let wilting = all.wilting_m3 / all.bulk_m3 / figures.of(&WILTING_DAYS);
        Self {
            volume_m3,
            total_mass_kg: dry_kg + water_kg + wood_water_kg,
            rest_run: all.rest_run / all.bulk_m3,
            is_sheeted: skeletons.iter().any(most_sheets),
            mat_share,
            swollen_m3,
            area_m2,
            gap,
            excess_gap_m3,
            excess_fine_gap_m3,
            stress_kpa: filling.stress_kpa,
            wetted,
            wetting_days: 1.0 / (watering + wilting),
            water_kg,
            wood_water_kg,
            drinking_days: drinking(&recipes, figures),
            recipes,
            figures,
        }
    }

    /// What it is made of, with the pools of its carbon: costly, and heights need none of it.
    pub(super) fn contents(&self) -> Contents {
        let mut contents = Contents {
            pieces: Vec::new(),
            fines: Vec::new(),
            mineral_nitrogen_kg: 0.0,
        };
        let mineral = self.figures.of(&MINERAL_ON_ARRIVAL);
        for recipe in &self.recipes {
            let held_by = recipe.has_skeleton().then_some(contents.pieces.len());
            if recipe.has_skeleton() {
                contents.pieces.push(self.piece(recipe));
            }
            if recipe.has_fines() {
                let (fine, fill) = fine(recipe, held_by, self.figures);
                let organic = 1.0 - mineral;
                contents.mineral_nitrogen_kg += fill.nitrogen_kg * (1.0 - organic) / organic;
                contents.fines.push((fine, fill));
            }
        }
        contents
    }

    /// A slice with `share` of the layer and its contents, on `area_m2`; the caller adds the
    /// fines, as it numbers their kinds.
    pub(super) fn slice(
        &self,
        contents: &Contents,
        layer: usize,
        area_m2: f64,
        share: f64,
        sides: Sides,
    ) -> SliceFill {
        let pieces = contents
            .pieces
            .iter()
            .map(|fill| {
                let piece = &fill.piece;
                let piece = Piece {
                    fresh_carbon_kg: piece.fresh_carbon_kg * share,
                    fresh_envelope_m3: piece.fresh_envelope_m3 * share,
                    mineral_kg: piece.mineral_kg * share,
                    sheets: piece.sheets * share,
                    ..piece.clone()
                };
                PieceFill {
                    piece,
                    carbon_kg: fill.carbon_kg.iter().map(|kg| kg * share).collect(),
                    nitrogen_kg: fill.nitrogen_kg * share,
                }
            })
            .collect();
        SliceFill {
            layer,
            area_m2,
            sides,
            drinking_days: self.drinking_days,
            wetting_days: self.wetting_days,
            water_kg: self.water_kg * share,
            wood_water_kg: self.wood_water_kg * share,
            temperature_c: 0.0,
            mineral_nitrogen_kg: contents.mineral_nitrogen_kg * share,
            gap: self.gap,
            pieces,
            fines: Vec::new(),
            excess_gap_m3: self.excess_gap_m3 * share,
            excess_fine_gap_m3: self.excess_fine_gap_m3 * share,
            stress_kpa: self.stress_kpa,
            wetted: self.wetted,
        }
    }

    fn piece(&self, recipe: &Recipe<'_>) -> PieceFill {
        let material = &recipe.ingredient.material;
        let (pools, carbon_kg) = recipe.pools(false);
        let (sheets, cover) = material.sheet.as_ref().map_or((0.0, 0.0), |sheet| {
            let thickness_m = recipe.alone_m3() / self.area_m2;
            // Sheets among other material do not overlap: the share counts twice. What mats does so
            // where flat pieces lie on one another: not at all below half of the skeleton.
            let share = recipe.envelope_m3() / self.swollen_m3;
            let overlap = if sheet.mat {
                (2.0 * self.mat_share - 1.0).max(0.0)
            } else {
                share * share
            };
            let sheets = thickness_m / self.figures.of(&sheet.thickness) * overlap;
            (sheets, self.figures.of(&sheet.cover))
        });
        let piece = Piece {
            matter: recipe.matter(),
            rot: match material.class {
                Class::Wood => Rot::Wood,
                Class::Plant | Class::Soil => Rot::Soft,
            },
            fresh_carbon_kg: recipe.fresh_organic_kg * recipe.carbon_share(),
            fresh_envelope_m3: recipe.fresh_envelope_m3(),
            mineral_kg: recipe.skeleton_mineral_kg,
            organic_per_carbon: 1.0 / recipe.carbon_share(),
            field_capacity: recipe.field_capacity().0,
            lag: recipe.number(|m| &m.lag),
            void_closure: recipe.number(|m| &m.void_closure),
            particle_size_m: recipe.ingredient.particle_size_m,
            rod_share: recipe.rod_share(),
            sheets,
            cover,
            pools,
            first_pool: 0,
            nitrogen: 0,
        };
        PieceFill {
            nitrogen_kg: recipe.nitrogen_kg(&carbon_kg),
            piece,
            carbon_kg,
        }
    }
}

fn wood<'a>(recipes: &'a [Recipe<'a>]) -> impl Iterator<Item = &'a Recipe<'a>> {
    recipes
        .iter()
        .filter(|recipe| recipe.matter() == Matter::Wood)
}

/// Water of non-woody material and soil: as it arrived, or at least field capacity where the
/// layer was wetted through; kg.
fn water_kg(recipes: &[Recipe<'_>], watered: bool) -> f64 {
    let soft = recipes
        .iter()
        .filter(|recipe| recipe.matter() != Matter::Wood);
    soft.map(|recipe| {
        let came_kg = recipe.water_on_arrival_kg();
        if watered {
            came_kg.max(recipe.field_capacity_kg())
        } else {
            came_kg
        }
    })
    .sum()
}

/// Mean wetting time of a layer's wood; d.
fn drinking(recipes: &[Recipe<'_>], figures: &Figures) -> f64 {
    let at_10_cm = figures.of(&DRINKING_DAYS);
    let (mut sum, mut weights) = (0.0, 0.0);
    for recipe in wood(recipes) {
        let weight = recipe.dry_kg();
        sum += weight * drinking_days(recipe.ingredient.particle_size_m, at_10_cm);
        weights += weight;
    }
    if weights > 0.0 {
        sum / weights
    } else {
        at_10_cm
    }
}

/// First wetting before day zero, as shares of the whole.
#[derive(Clone, Copy)]
struct Wetting {
    /// Measured wet, from the loose state.
    watered: f64,
    while_filling: f64,
}

fn weights<'a>(recipes: impl Iterator<Item = &'a Recipe<'a>>) -> Weights {
    let mut sum = Weights::default();
    for recipe in recipes {
        let envelope_m3 = recipe.envelope_m3() + recipe.grains_m3();
        let void_ratio = recipe.number(|m| &m.void_ratio);
        let bulk_m3 = envelope_m3 * (1.0 + void_ratio);
        let least = recipe.number(|m| &m.min_void_ratio);
        let excess_m3 = envelope_m3 * recipe.felt_excess();
        sum.excess_m3 += excess_m3;
        sum.collapse_m3 += excess_m3 * recipe.collapse_share();
        let loose_excess_m3 = envelope_m3 * (void_ratio - least);
        sum.loose_excess_m3 += loose_excess_m3;
        sum.loose_collapse_m3 += loose_excess_m3 * recipe.loose_collapse_share();
        sum.bulk_m3 += bulk_m3;
        if recipe.ingredient.placement == Placement::Wetted {
            sum.watered_m3 += bulk_m3;
        } else {
            sum.watered_m3 += bulk_m3 * recipe.limp_on_arrival();
            sum.moist_m3 += bulk_m3 * recipe.moist_on_arrival();
        }
        if recipe.ingredient.material.wilts {
            sum.wilting_m3 += bulk_m3;
        }
        sum.envelope_m3 += envelope_m3;
        sum.void_ratio += envelope_m3 * void_ratio;
        sum.min_void_ratio += envelope_m3 * least;
        sum.compression += bulk_m3 * recipe.number(|m| &m.compression);
        sum.reference_kpa += bulk_m3 * recipe.number(|m| &m.reference_stress);
        sum.creep += bulk_m3 * recipe.number(|m| &m.compression) * recipe.number(|m| &m.creep);
        sum.rest_run += bulk_m3 / recipe.repose();
    }
    sum
}

/// Compression of the voids of a mixed skeleton, their volume, and the excess in it; m3.
///
/// The loose void volume follows linear packing; nested ingredients have less of it, and their
/// least void ratio shrinks in proportion.
fn skeleton_gap(skeletons: &[&Recipe<'_>], stress_kpa: f64, wetting: Wetting) -> (Gap, f64, f64) {
    if skeletons.is_empty() {
        let none = Gap {
            min_void_ratio: 0.0,
            load_exponent: 0.0,
            reference_kpa: 1.0,
            collapse: 0.0,
            creep_exponent: 0.0,
        };
        return (none, 0.0, 0.0);
    }
    let components: Vec<Component> = skeletons
        .iter()
        .map(|recipe| Component {
            envelope_m3: recipe.envelope_m3(),
            void_ratio: recipe.number(|m| &m.void_ratio),
            particle_size_m: recipe.ingredient.particle_size_m,
            rod_share: recipe.rod_share(),
        })
        .collect();
    let envelope_m3: f64 = components.iter().map(|c| c.envelope_m3).sum();
    let void_ratio = mixed_volume_m3(&components) / envelope_m3 - 1.0;
    let sum = weights(skeletons.iter().copied());
    let least =
        sum.min_void_ratio / sum.envelope_m3 * (void_ratio * sum.envelope_m3 / sum.void_ratio);
    let exponent = closing_exponent(sum.compression / sum.bulk_m3, void_ratio, least);
    let reference_kpa = sum.reference_kpa / sum.bulk_m3;
    let squeezed = left_after_load(exponent, reference_kpa, 0.0, stress_kpa);
    let collapse = collapse_exponent(sum.collapse_m3 / sum.excess_m3);
    // An amount measured after wetting had collapsed from the loose state.
    let tipped = collapse_exponent(sum.loose_collapse_m3 / sum.loose_excess_m3);
    let excess_m3 = envelope_m3
        * (void_ratio - least)
        * squeezed
        * left_after_wetting(tipped, 0.0, wetting.watered)
        * left_after_wetting(collapse, 0.0, wetting.while_filling);
    let gap = Gap {
        min_void_ratio: least,
        load_exponent: exponent,
        reference_kpa,
        collapse,
        creep_exponent: closing_exponent(sum.creep / sum.bulk_m3, void_ratio, least),
    };
    (gap, least * envelope_m3 + excess_m3, excess_m3)
}

fn fine(recipe: &Recipe<'_>, held_by: Option<usize>, figures: &Figures) -> (Fine, FineFill) {
    let (pools, carbon_kg) = recipe.pools(true);
    let fine = Fine {
        organic_density_kg_m3: recipe.number(|m| &m.organic_density),
        organic_per_carbon: 1.0 / recipe.carbon_share(),
        field_capacity: recipe.field_capacity().1,
        void_closure: recipe.number(|m| &m.void_closure),
        particle_size_m: recipe.crumb_m(),
        gap: fine_gap(recipe),
        pools,
    };
    let nitrogen_kg = recipe.nitrogen_kg(&carbon_kg);
    let fill = FineFill {
        kind: 0,
        mineral_kg: recipe.fine_mineral_kg,
        carbon_kg,
        nitrogen_kg: nitrogen_kg * (1.0 - figures.of(&MINERAL_ON_ARRIVAL)),
        loose: recipe
            .ingredient
            .material
            .loose
            .as_ref()
            .map_or(1.0, |loose| figures.of(loose)),
        held_by,
    };
    (fine, fill)
}

/// Compression of the gaps of an ingredient's fines.
fn fine_gap(recipe: &Recipe<'_>) -> Gap {
    let exponent = recipe.load_exponent();
    Gap {
        min_void_ratio: recipe.number(|m| &m.min_void_ratio),
        load_exponent: exponent,
        reference_kpa: recipe.number(|m| &m.reference_stress),
        collapse: collapse_exponent(recipe.collapse_share()),
        creep_exponent: recipe.number(|m| &m.creep) * exponent,
    }
}

fn fine_particle_size_m(recipes: &[Recipe<'_>]) -> f64 {
    let grains: f64 = recipes.iter().map(Recipe::grains_m3).sum();
    let by_particle_size: f64 = recipes
        .iter()
        .map(|recipe| recipe.grains_m3() / recipe.crumb_m())
        .sum();
    mean_particle_size_m(grains, by_particle_size)
}

fn pore_m(skeletons: &[&Recipe<'_>], void_ratio: f64) -> f64 {
    let (mut envelope, mut by_particle_size, mut rods) = (0.0, 0.0, 0.0);
    for recipe in skeletons {
        let own = recipe.envelope_m3();
        envelope += own;
        by_particle_size += own / recipe.ingredient.particle_size_m;
        rods += own * recipe.rod_share();
    }
    pore_width_m(
        mean_particle_size_m(envelope, by_particle_size),
        void_ratio,
        rods / envelope,
    )
}

#[cfg(test)]
mod tests {
    use super::Blend;
    use crate::library::Library;
    use crate::model::figures::Figures;
    use crate::read::read_toml;

    const HEAD: &str = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
         shape = \"round\"\nacross = \"1.2 m\"\nrim = \"90 cm\"\n";

    fn wetted(put: &str) -> f64 {
        let text = format!("{HEAD}[[layer]]\nput = [{put}]\nthen = [\"tipped\"]\n");
        let bed = read_toml(&text, &Library::built_in()).unwrap();
        Blend::of_layer(&bed.layers[0], &bed.shape, (0.0, 0.0), Figures::nominal()).wetted
    }

    /// Grass wilts within seven days, half as fast where half of a layer is straw, and wood not at
    /// all; watering comes on top.
    #[test]
    fn greens_wilt_by_their_share_of_the_layer() {
        let days = |put: &str, then: &str| {
            let text = format!("{HEAD}[[layer]]\nput = [{put}]\nthen = [\"{then}\"]\n");
            let bed = read_toml(&text, &Library::built_in()).unwrap();
            let figures = Figures::nominal();
            Blend::of_layer(&bed.layers[0], &bed.shape, (0.0, 0.0), figures).wetting_days
        };
        let grass = "{ material = \"grass clippings\", amount = \"200 L\" }";
        let straw = "{ material = \"straw\", amount = \"200 L\" }";
        assert!((days(grass, "tipped") - 7.0).abs() < 1e-12);
        assert!((days(&format!("{grass}, {straw}"), "tipped") - 14.0).abs() < 1e-9);
        assert!((1.0 / days(grass, "watered") - 0.5 - 1.0 / 7.0).abs() < 1e-12);
        assert!(days(straw, "tipped").is_infinite());
    }

    /// Dry soil that is tipped has all of its collapse to come, soil at field capacity (0.21 kg/kg,
    /// 17 % of its wet mass) three tenths behind it, and what was measured watered all; one
    /// hundredth of the rest where nobody says how it was filled. Leaves that come wet lie limp, grass is
    /// stiff with its own water.
    #[test]
    fn what_comes_moist_has_less_to_collapse() {
        let soil = |rest: &str| {
            wetted(&format!(
                "{{ material = \"loamy topsoil\", amount = \"30 cm\", {rest} }}"
            ))
        };
        assert!(soil("moisture = \"5 %\"").abs() < 1e-12);
        assert!((soil("moisture = \"18 %\"") - 0.3).abs() < 1e-12);
        let between = soil("moisture = \"14 %\"");
        assert!(between > 0.05 && between < 0.25, "{between}");
        assert!((soil("moisture = \"5 %\", as = \"watered\"") - 1.0).abs() < 1e-12);
        let untold = format!(
            "{HEAD}[[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"30 cm\", \
             moisture = \"5 %\" }}]\n"
        );
        let bed = read_toml(&untold, &Library::built_in()).unwrap();
        let untold = Blend::of_layer(&bed.layers[0], &bed.shape, (0.0, 0.0), Figures::nominal());
        assert!((untold.wetted - 0.01).abs() < 1e-12);
        let leaves = |moisture: &str| {
            wetted(&format!(
                "{{ material = \"deciduous leaves\", amount = \"30 cm\", moisture = \"{moisture}\" }}"
            ))
        };
        assert!(leaves("30 %").abs() < 1e-12);
        assert!((leaves("75 %") - 0.7).abs() < 1e-12);
        assert!(wetted("{ material = \"grass clippings\", amount = \"30 cm\" }").abs() < 1e-12);
        let wood = "{ material = \"birch log\", amount = \"30 cm\", moisture = \"45 %\" }";
        assert!(wetted(wood).abs() < 1e-12);
    }
}
