//! Width that each default adds to the interval of the settlement.

use crate::uncertainty::ensemble::run_each;
use std::collections::{BTreeMap, BTreeSet};

use crate::bed::{Bed, Ingredient, Layer};
use crate::fault::error::Error;
use crate::fault::notice::DefaultUsed;
use crate::forecast::forecast;
use crate::forecast::progress::{Progress, unwatched};
use crate::library::family::Kin;
use crate::library::figure::figures_of;
use crate::library::material::wet_share;
use crate::model::compile::loose_m;
use crate::numeric::prior::TENTH_Z;
use crate::uncertainty::parameter::{Stated, UncertainParameter, UncertainParameters, ingredients};
use crate::uncertainty::part::{Part, parts};
use crate::uncertainty::sample::Sample;

/// Most parameters times ingredients: each parameter takes two forecasts, whose cost grows with
/// the ingredients.
const MOST_WORK: usize = 6_400;
/// Least number of parameters.
const LEAST_FIGURES: usize = 12;

/// Largest number of parameters whose width is computed: 6400 over the number of ingredients,
/// at least 12.
#[must_use]
pub fn most_figures(bed: &Bed) -> usize {
    (MOST_WORK / ingredients(bed).len().max(1)).max(LEAST_FIGURES)
}

/// The defaults of a bed, in their order, each with the width that it adds to the settlement by
/// `month`: the absolute difference between the settlement with the figure behind it at its
/// 10 % and at its 90 % point, all others at their medians and in normal years.
///
/// Where a material lies in several places, each default of a figure of it has the width of all.
/// Defaults that are no uncertain parameter (a word, a name, a date, a fixed size) have none,
/// nor have those of later additions.
///
/// Above [`most_figures`] parameters, those behind most of the fill are computed, and the other
/// defaults are marked as left out. `progress` is called once a parameter.
///
/// # Errors
///
/// As [`forecast`], and month 0.
pub fn defaults_with_widths(
    bed: &Bed,
    month: u32,
    progress: &Progress<'_>,
) -> Result<Vec<DefaultUsed>, Error> {
    if month == 0 {
        return Err(Error::NothingSunkYet);
    }
    let uncertain = UncertainParameters::new(bed);
    let origin: Vec<Option<Origin>> = bed
        .defaults
        .iter()
        .map(|default| origin(bed, &default.path, &uncertain))
        .collect();
    let each = most_first(&uncertain, &origin);
    let (each, left_out) = each.split_at(each.len().min(most_figures(bed)));
    let settlement_m = |place: usize, z: f64| -> Result<f64, Error> {
        let mut all_z = vec![0.0; uncertain.count()];
        all_z[place] = z;
        let sample = Sample::from_z(bed, &uncertain, all_z, 0);
        // No discrepancy, normal years.
        let months = forecast(sample.bed(), month, &unwatched)?.months;
        Ok(months.last().map_or(0.0, |row| row.settlement_m))
    };
    let all = u32::try_from(each.len()).unwrap_or(u32::MAX);
    let one = |number| {
        let (part, place) = each[usize::try_from(number).unwrap_or(0)];
        let z = TENTH_Z / part.weight;
        Ok((settlement_m(place, z)? - settlement_m(place, -z)?).abs())
    };
    let mut found = Vec::with_capacity(each.len());
    run_each(0..all, progress, &one, &mut |width_m| found.push(width_m))?;
    let widths: BTreeMap<&UncertainParameter, f64> = each
        .iter()
        .map(|(part, _)| &part.parameter)
        .zip(found)
        .collect();
    let defaults = bed.defaults.iter().zip(&origin);
    let left_out: BTreeSet<&UncertainParameter> =
        left_out.iter().map(|(part, _)| &part.parameter).collect();
    let with_widths = defaults.map(|(default, origin)| {
        let parameter = origin.as_ref().map(|origin| &origin.part.parameter);
        DefaultUsed {
            width_it_adds_m: parameter.and_then(|it| widths.get(it).copied()),
            is_width_left_out: parameter.is_some_and(|it| left_out.contains(it)),
            ..default.clone()
        }
    });
    Ok(with_widths.collect())
}

/// The figure behind a default.
struct Origin {
    /// Its own part, which moves no other figure.
    part: Part,
    /// Thickness of its ingredient alone; m.
    loose_m: f64,
}

/// The parameters behind defaults, each once with its index, those behind most of the fill
/// first.
fn most_first<'a>(
    uncertain: &UncertainParameters,
    origin: &'a [Option<Origin>],
) -> Vec<(&'a Part, usize)> {
    let mut loose_m: BTreeMap<&UncertainParameter, (&Part, f64)> = BTreeMap::new();
    for origin in origin.iter().flatten() {
        let part = &origin.part;
        let sum = loose_m.entry(&part.parameter).or_insert((part, 0.0));
        sum.1 += origin.loose_m;
    }
    let mut each: Vec<(&Part, f64)> = loose_m.into_values().collect();
    each.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let each = each.into_iter();
    each.filter_map(|(part, _)| Some((part, uncertain.place(&part.parameter)?)))
        .collect()
}

/// The parameter behind the default at a JSON Pointer.
fn origin(bed: &Bed, path: &str, uncertain: &UncertainParameters) -> Option<Origin> {
    let steps: Vec<&str> = path.split('/').skip(1).collect();
    let number = |step: &str| step.parse::<usize>().ok();
    let ["layer", layer, "put", place, field] = steps.as_slice() else {
        return None;
    };
    let (layer, place) = (number(layer)?, number(place)?);
    let of = bed.layers.get(layer)?;
    let put = of.put.get(place)?;
    let alone = Layer {
        put: vec![put.clone()],
        name: String::new(),
        ..*of
    };
    Some(Origin {
        part: of_ingredient(put, (layer, place), field, uncertain)?,
        loose_m: loose_m(&bed.shape, &alone),
    })
}

/// The own part of the figure behind an ingredient's field. As in a sample, a value equal to the
/// library's varies with the library's.
fn of_ingredient(
    put: &Ingredient,
    (layer, place): (usize, usize),
    field: &str,
    uncertain: &UncertainParameters,
) -> Option<Part> {
    let is_default = |one: f64, other: f64| one.to_bits() == other.to_bits();
    let of_material = |of: &str| {
        let mut material = put.material.clone();
        let kin = Kin::of(&material);
        let figures = figures_of(&mut material);
        let figure = figures.iter().find(|figure| figure.of == of)?;
        parts(&kin, figure, uncertain.calibration()).pop()
    };
    let stated = |what| Part {
        parameter: UncertainParameter::Stated(what, layer, place),
        weight: 1.0,
    };
    match field {
        "across" => of_material("across"),
        "moisture" if is_default(put.moisture_wet, wet_share(&put.material.moisture)) => {
            of_material("moisture")
        }
        "moisture" => Some(stated(Stated::Moisture)),
        // Odds of zero stay zero.
        "arrived" if put.rotten > 0.0 => Some(stated(Stated::Decay)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::defaults_with_widths;
    use crate::bed::Bed;
    use crate::fault::error::Error;
    use crate::forecast::forecast;
    use crate::forecast::progress::unwatched;
    use crate::library::Library;
    use crate::numeric::prior::TENTH_Z;
    use crate::read::read_toml;
    use crate::uncertainty::parameter::UncertainParameters;
    use crate::uncertainty::sample::Sample;

    fn bed(put: &str) -> Bed {
        let text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"round\"\nacross = \"1.2 m\"\nrim = \"90 cm\"\n[[layer]]\nput = [{put}]\n"
        );
        read_toml(&text, &Library::built_in()).unwrap()
    }

    fn settlement_m(bed: &Bed) -> f64 {
        let months = forecast(bed, 3, &unwatched).unwrap().months;
        months[3].settlement_m
    }

    /// With every parameter at its median a sample is the nominal bed.
    #[test]
    fn the_median_sample_is_the_nominal_run() {
        let bed = bed("{ material = \"woody prunings\", amount = \"200 L\" }, \
             { material = \"grass clippings\", amount = \"200 L\" }");
        let uncertain = UncertainParameters::new(&bed);
        let nominal = Sample::from_z(&bed, &uncertain, vec![0.0; uncertain.count()], 0);
        let (got, want) = (settlement_m(nominal.bed()), settlement_m(&bed));
        assert!((got - want).abs() < 1e-6, "{got} {want}");
    }

    /// The width of a particle size equals the difference between two documents with the ends
    /// of its spread, filled to the same height.
    #[test]
    fn a_width_is_that_between_the_given_ends() {
        let given = |across: &str| {
            bed(&format!(
                "{{ material = \"woody prunings\", amount = \"60 cm\"{across} }}"
            ))
        };
        let silent = given("");
        let defaults = defaults_with_widths(&silent, 3, &unwatched).unwrap();
        let across = defaults
            .iter()
            .find(|default| default.path.ends_with("/across"));
        let width_m = across.unwrap().width_it_adds_m.unwrap();
        let spread = silent.layers[0].put[0].material.particle_size.spread;
        assert!((TENTH_Z - 1.2816).abs() < 1e-4);
        let ends = [spread.low, spread.high];
        let ends = ends.map(|m| settlement_m(&given(&format!(", across = \"{} mm\"", m * 1000.0))));
        let want = (ends[0] - ends[1]).abs();
        assert!(width_m > 1e-4, "{width_m}");
        assert!((width_m - want).abs() < 1e-5, "{width_m} {want}");
    }

    #[test]
    fn only_figures_have_widths() {
        let bed =
            bed("{ material = \"birch log\", amount = \"60 cm\", arrived = \"half-rotten\" }");
        let defaults = defaults_with_widths(&bed, 2, &unwatched).unwrap();
        assert_eq!(defaults.len(), bed.defaults.len());
        for (default, before) in defaults.iter().zip(&bed.defaults) {
            let field = default.path.rsplit('/').next().unwrap();
            let has = ["across", "moisture", "arrived"].contains(&field);
            assert_eq!(default.width_it_adds_m.is_some(), has, "{default:?}");
            assert_eq!(before.width_it_adds_m, None);
            assert_eq!(before.source, default.source);
        }
        let none = defaults_with_widths(&bed, 0, &unwatched);
        assert_eq!(none, Err(Error::NothingSunkYet));
    }
}
