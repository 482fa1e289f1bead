//! Compiling a bed and parameter values to a stack that runs.
//!
//! ```text
//! Bed -> Recipe (an ingredient's masses and volumes)
//!     -> Blend  (a layer: how its ingredients lie together)
//!     -> slices of at most 15 cm -> Stack and State
//! ```

mod arrival;
mod blend;
mod filling;
mod recipe;

use crate::fault::error::NoRoom;
use moulder_core::bed::measure::height_m;
use moulder_core::bed::parameters::{BULGE_LEFT, Parameters};
use moulder_core::bed::shape::Shape;
use moulder_core::bed::stack::{Fine, FineFill, Sides, SliceFill, Stack};
use moulder_core::bed::state::State;
use moulder_core::law::nitrogen::growth_k;
use moulder_core::law::season::Season;
use moulder_core::law::settlement::GRAVITY_KPA_M2_PER_KG;
use moulder_core::math::threshold::exceeds;
use moulder_core::weather::Weather;

use crate::bed::{Amount, Bed, Layer};
use crate::library::climates::Climate;
pub use crate::model::compile::arrival::{Arrival, arrivals};
use crate::model::compile::blend::{Blend, Contents};
pub(crate) use crate::model::compile::recipe::trodden_kpa;
use crate::model::figures::Figures;
use crate::model::weather::{climate_of, day_of_season};

/// Thicker layers are sliced; m.
pub const SLICE_M: f64 = 0.15;
/// Greatest slice near the surface, where water and temperature change most with depth, and of
/// mats; m.
pub const SURFACE_SLICE_M: f64 = 0.05;
/// Greatest slice of sheets that hold fines back, as the lowest fines in them come loose first;
/// m.
pub const SHEET_SLICE_M: f64 = 0.03;
/// Share of mats in a skeleton above which they fill from the top, in slices as near the surface:
/// a mat counts by the square of its share.
const MAT_SHARE: f64 = 0.7;

/// Passes in which thicknesses and the weight on them are found; the last changes no height by
/// 0.1 mm (tested).
const LOAD_PASSES: usize = 4;

/// Thickness of the boards of a box or a round bed; m (common practice, no source).
const WALL_M: f64 = 0.025;

/// Least annual growth over which a crop's demand is spread: in a cold climate one warm day must
/// not demand all of it; degree days (our own closure).
const LEAST_GROWTH_K_DAYS: f64 = 100.0;

/// A bed ready to run.
#[derive(Debug, Clone, PartialEq)]
pub struct Compiled {
    /// Parameters, slice by slice.
    pub stack: Stack,
    /// State on the day of filling.
    pub state: State,
}

/// Compiles a bed under a weather, with given parameter values.
///
/// # Errors
///
/// A mound whose sides meet before all of its layers are in.
pub fn compile(bed: &Bed, weather: Weather, figures: &Figures) -> Result<Compiled, NoRoom> {
    let placed = place(bed, figures)?;
    let top_m: f64 = placed.iter().map(|layer| layer.thickness_m).sum();
    let mut fills = Vec::new();
    let mut fines: Vec<Fine> = Vec::new();
    let mut rest_run = Vec::new();
    for (index, layer) in placed.iter().enumerate() {
        let contents = layer.blend.contents();
        let kinds: Vec<usize> = (fines.len()..).take(contents.fines.len()).collect();
        let depth_m = top_m - layer.bottom_m - layer.thickness_m;
        let air_c = weather.day(0.0).mean_c;
        fills.extend(slices(
            bed,
            layer,
            &contents,
            index,
            depth_m,
            (&kinds, air_c),
        )?);
        fines.extend(contents.fines.into_iter().map(|(fine, _)| fine));
        rest_run.resize(fills.len(), layer.blend.rest_run);
    }
    let climate = climate_of(bed, figures);
    let ground = ground(&climate);
    let filled_on_day = f64::from(day_of_season(bed.filled)) - 1.0;
    let parameters = parameters(bed, &climate, figures);
    let (stack, state) = Stack::assemble(fills, fines, parameters, weather, ground, filled_on_day);
    let (stack, state) = match bed.shape.run_per_rise() {
        Some(run_per_rise) => {
            let (width_m, length_m) = bed.shape.section_m(0.0);
            let run_m = run_per_rise * (top_m - bed.trench_m).max(0.0);
            let ridge_m = (length_m - width_m).abs();
            stack.with_slopes(state, run_m, ridge_m, rest_run)
        }
        None => (stack, state),
    };
    Ok(Compiled { stack, state })
}

/// Adds a layer, number `index` from the ground, `days` after filling.
///
/// # Errors
///
/// A mound whose sides meet before the layer is complete.
pub fn lay_on(
    bed: &Bed,
    stack: &Stack,
    state: &State,
    days: f64,
    layer: &Layer,
    index: usize,
    figures: &Figures,
) -> Result<Compiled, NoRoom> {
    let mut measures = Vec::new();
    stack.measure(state, days, &mut measures);
    let bottom_m = height_m(&measures);
    let no_room = NoRoom { layer: index };
    if reaches_past_peak(layer, &bed.shape, bottom_m) {
        return Err(no_room);
    }
    let placed = Placed::new(bed, layer, (bottom_m, 0.0), figures).ok_or(no_room)?;
    let air_c = stack.weather.day(days).mean_c;
    let contents = placed.blend.contents();
    // Soil that is there already is no new kind, or a bed topped up each year would get one a year.
    let mut kinds = Vec::new();
    let mut fines: Vec<Fine> = Vec::new();
    for (fine, _) in &contents.fines {
        let mut known = stack.fines.iter().enumerate();
        let known = known.find(|(kind, known)| *known == fine && !kinds.contains(kind));
        kinds.push(known.map_or(stack.fines.len() + fines.len(), |(kind, _)| kind));
        if known.is_none() {
            fines.push(fine.clone());
        }
    }
    let fills = slices(bed, &placed, &contents, index, 0.0, (&kinds, air_c))?;
    let rest_run = vec![placed.blend.rest_run; fills.len()];
    let (mut stack, mut state) = stack.with_laid_on(state, fills, fines, days);
    if let Some(run_per_rise) = bed.shape.run_per_rise() {
        // It is laid on with sides as steep as the first ones.
        let thickness_m = placed.thickness_m;
        let above_m = (bottom_m + thickness_m - bed.trench_m).clamp(0.0, thickness_m);
        stack.lengthen_slopes(&mut state, run_per_rise * above_m, &rest_run);
    }
    Ok(Compiled { stack, state })
}

/// The slices of a layer with its contents, bottom first, in air of that temperature; `kinds` are
/// those of its fines.
fn slices(
    bed: &Bed,
    layer: &Placed<'_>,
    contents: &Contents,
    index: usize,
    depth_m: f64,
    (kinds, air_c): (&[usize], f64),
) -> Result<Vec<SliceFill>, NoRoom> {
    let count = slice_count(layer, depth_m);
    let share = 1.0 / f64::from(count);
    let mut bottom_m = layer.bottom_m;
    let mut fills = Vec::new();
    for _ in 0..count {
        let volume_m3 = layer.blend.volume_m3 * share;
        let slice_m = bed
            .shape
            .thickness_m(bottom_m, volume_m3)
            .ok_or(NoRoom { layer: index })?;
        let sides = sides(bed, bottom_m, slice_m);
        let area_m2 = volume_m3 / slice_m;
        let mut fill = layer.blend.slice(contents, index, area_m2, share, sides);
        fill.temperature_c = air_c;
        for (kind, (_, whole)) in kinds.iter().zip(&contents.fines) {
            fill.fines.push(FineFill {
                kind: *kind,
                mineral_kg: whole.mineral_kg * share,
                nitrogen_kg: whole.nitrogen_kg * share,
                carbon_kg: whole.carbon_kg.iter().map(|kg| kg * share).collect(),
                ..*whole
            });
        }
        fills.push(fill);
        bottom_m += slice_m;
    }
    Ok(fills)
}

/// A layer in its place.
struct Placed<'a> {
    blend: Blend<'a>,
    bottom_m: f64,
    thickness_m: f64,
    /// Weight that came on top of it; kPa.
    load_kpa: f64,
}

impl<'a> Placed<'a> {
    /// None where a mound has no room for it.
    fn new(
        bed: &Bed,
        layer: &'a Layer,
        (bottom_m, load_kpa): (f64, f64),
        figures: &'a Figures,
    ) -> Option<Self> {
        let blend = Blend::of_layer(layer, &bed.shape, (bottom_m, load_kpa), figures);
        let thickness_m = bed.shape.thickness_m(bottom_m, blend.volume_m3)?;
        Some(Self {
            blend,
            bottom_m,
            thickness_m,
            load_kpa,
        })
    }

    /// So much weight on it; kPa.
    fn load_kpa(&self, above_kg: f64) -> f64 {
        GRAVITY_KPA_M2_PER_KG * above_kg * self.thickness_m / self.blend.volume_m3
    }
}

/// Stacks the layers from the ground up. A layer has taken up a share of the weight that came on
/// top of it, and thicknesses as they lie weigh by that: both are found in turn.
fn place<'a>(bed: &'a Bed, figures: &'a Figures) -> Result<Vec<Placed<'a>>, NoRoom> {
    let mut loads_kpa = vec![0.0; bed.layers.len()];
    let mut placed = place_under(bed, &loads_kpa, figures)?;
    for _ in 1..LOAD_PASSES {
        let mut above_kg = 0.0;
        for (load_kpa, layer) in loads_kpa.iter_mut().zip(&placed).rev() {
            *load_kpa = layer.load_kpa(above_kg);
            above_kg += layer.blend.total_mass_kg;
        }
        placed = place_under(bed, &loads_kpa, figures)?;
    }
    Ok(placed)
}

/// Stacks the layers, each under its load.
fn place_under<'a>(
    bed: &'a Bed,
    loads_kpa: &[f64],
    figures: &'a Figures,
) -> Result<Vec<Placed<'a>>, NoRoom> {
    let mut placed = Vec::with_capacity(bed.layers.len());
    let mut top_m = 0.0;
    for (index, (layer, load_kpa)) in bed.layers.iter().zip(loads_kpa).enumerate() {
        let no_room = NoRoom { layer: index };
        if reaches_past_peak(layer, &bed.shape, top_m) {
            return Err(no_room);
        }
        let layer = Placed::new(bed, layer, (top_m, *load_kpa), figures).ok_or(no_room)?;
        top_m += layer.thickness_m;
        placed.push(layer);
    }
    Ok(placed)
}

/// Height of all layers on the day of filling, the trench included; m.
///
/// # Errors
///
/// A mound whose sides meet before all of its layers are in.
pub(crate) fn height_filled_m(bed: &Bed, figures: &Figures) -> Result<f64, NoRoom> {
    let placed = place(bed, figures)?;
    Ok(placed.iter().map(|layer| layer.thickness_m).sum())
}

/// Thickness of a layer at the foot of an outline, before settlement; m.
pub(crate) fn loose_m(shape: &Shape, layer: &Layer) -> f64 {
    let blend = Blend::of_layer(layer, shape, (0.0, 0.0), Figures::nominal());
    blend.volume_m3 / shape.area_m2()
}

/// Annual course of the ground surface temperature: that of the daily mean air temperature.
fn ground(climate: &Climate) -> Season {
    let (high, low) = (&climate.high_c, &climate.low_c);
    Season::from_months(&core::array::from_fn(|month| {
        0.5 * (high[month] + low[month])
    }))
}

/// The sides from `bottom_m` up by `thickness_m`.
fn sides(bed: &Bed, bottom_m: f64, thickness_m: f64) -> Sides {
    let (width_m, length_m) = bed.shape.section_m(bottom_m + 0.5 * thickness_m);
    let round = matches!(bed.shape, Shape::Round { .. });
    let is_boarded = matches!(bed.shape, Shape::Box { .. } | Shape::Round { .. });
    let above_m = (bottom_m + thickness_m - bed.trench_m).clamp(0.0, thickness_m);
    let perimeter_m = if round {
        core::f64::consts::PI * width_m
    } else {
        2.0 * (width_m + length_m)
    };
    let (wall_m, open) = if is_boarded {
        (WALL_M, 0.0)
    } else {
        (0.0, 1.0)
    };
    Sides {
        perimeter_m,
        share: above_m / thickness_m,
        wall_m,
        open,
        quarter_width_m: 0.25 * width_m.min(length_m),
    }
}

/// Whether a given thickness ends above the point where a mound's sides meet.
fn reaches_past_peak(layer: &Layer, shape: &Shape, top_m: f64) -> bool {
    let Some(peak_m) = shape.peak_m() else {
        return false;
    };
    layer.put.iter().any(
        |ingredient| matches!(ingredient.amount, Amount::ThicknessM(m) if top_m + m > peak_m + 1e-9),
    )
}

fn slice_count(layer: &Placed<'_>, depth_m: f64) -> u32 {
    let slice_m = if layer.blend.is_sheeted {
        SHEET_SLICE_M
    } else if exceeds(SLICE_M, depth_m) || exceeds(layer.blend.mat_share, MAT_SHARE) {
        SURFACE_SLICE_M
    } else {
        SLICE_M
    };
    let mut count = 1;
    while exceeds(layer.thickness_m, slice_m * f64::from(count)) {
        count += 1;
    }
    count
}

/// Growth in a mean year of the climate, at least [`LEAST_GROWTH_K_DAYS`]; degree days.
fn growth_k_days(climate: &Climate) -> f64 {
    let (high, low) = (&climate.high_c, &climate.low_c);
    let months = high.iter().zip(low);
    let mean_k: f64 = months
        .map(|(high, low)| growth_k(0.5 * (high + low)) / 12.0)
        .sum();
    (mean_k * moulder_core::DAYS_PER_YEAR).max(LEAST_GROWTH_K_DAYS)
}

fn parameters(bed: &Bed, climate: &Climate, figures: &Figures) -> Parameters {
    Parameters {
        swell: bed.shape.swell(figures.of(&BULGE_LEFT)),
        crop_kg_m2_per_k_day: figures.of(bed.crop.need()) / 1000.0 / growth_k_days(climate),
        catch_m2: bed.shape.area_m2(),
        ..Parameters::from_constants(|constant| figures.of(constant))
    }
}

#[cfg(test)]
mod tests {
    use super::{height_filled_m, place, place_under};
    use crate::bed::Bed;
    use crate::library::Library;
    use crate::model::figures::Figures;
    use crate::read::read_toml;

    fn bed(layers: &str) -> Bed {
        let text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"box\"\nwidth = \"1 m\"\nlength = \"2 m\"\nrim = \"2 m\"\n{layers}"
        );
        read_toml(&text, &Library::built_in()).unwrap()
    }

    /// Thicknesses as they lie add up to the height, however firm the layers are; a tipped volume
    /// has given way below what came on top of it.
    #[test]
    fn thicknesses_in_place_add_up() {
        let layer = |put: &str| format!("[[layer]]\nput = [{{ material = {put} }}]\n");
        let soil = layer("\"loamy topsoil\", amount = \"60 cm\"");
        let in_place = layer("\"straw\", amount = \"80 cm\"") + &soil;
        let height_m = height_filled_m(&bed(&in_place), Figures::nominal()).unwrap();
        assert!((height_m - 1.4).abs() < 1e-9, "{height_m}");
        let tipped = layer("\"straw\", amount = \"1600 L\"") + &soil;
        let height_m = height_filled_m(&bed(&tipped), Figures::nominal()).unwrap();
        assert!(height_m > 1.2 && height_m < 1.39, "{height_m}");
    }

    /// Another pass moves no height by 0.1 mm, in deep soft fill under soil.
    #[test]
    fn loads_and_thicknesses_have_settled_on_one_another() {
        for amount in ["80 cm", "1600 L"] {
            let bed = bed(&format!(
                "[[layer]]\nput = [{{ material = \"straw\", amount = \"{amount}\" }}]\n\
                 [[layer]]\nput = [{{ material = \"hay\", amount = \"{amount}\" }}]\n\
                 [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"60 cm\" }}]\n"
            ));
            let placed = place(&bed, Figures::nominal()).unwrap();
            let mut above_kg = 0.0;
            let mut loads_kpa = Vec::new();
            for layer in placed.iter().rev() {
                loads_kpa.insert(0, layer.load_kpa(above_kg));
                above_kg += layer.blend.total_mass_kg;
            }
            let once_more = place_under(&bed, &loads_kpa, Figures::nominal()).unwrap();
            for (one, other) in placed.iter().zip(&once_more) {
                let apart_m = (one.thickness_m - other.thickness_m).abs();
                assert!(apart_m < 1e-4, "{amount}: {apart_m}");
                let mass = one.blend.total_mass_kg / other.blend.total_mass_kg;
                assert!((mass - 1.0).abs() < 1e-3, "{amount}: {mass}");
            }
        }
    }
}
