//! How wide each default makes the range of a sink.

use crate::uncertainty::draws::run_each;
use std::collections::{BTreeMap, BTreeSet};

use crate::bed::{Bed, Ingredient, Layer};
use crate::fault::error::Error;
use crate::fault::notice::DefaultUsed;
use crate::forecast::forecast;
use crate::forecast::progress::{Progress, unwatched};
use crate::library::material::wet_share;
use crate::model::compile::loose_m;
use crate::uncertainty::parameter::{
    Figure, Stated, UncertainParameter, UncertainParameters, ingredients,
};
use crate::uncertainty::prior::TENTH_Z;
use crate::uncertainty::sample::Sample;

/// Figures times ingredients, at most: each figure takes two forecasts, and a forecast takes
/// the longer the more the bed is made of.
const MOST_WORK: usize = 6_400;
/// So many figures at least.
const LEAST_FIGURES: usize = 12;

/// Of how many figures of a bed the widths are worked out at most: of 6400 over the number of
/// its ingredients, and of 12 at least.
#[must_use]
pub fn most_figures(bed: &Bed) -> usize {
    (MOST_WORK / ingredients(bed).len().max(1)).max(LEAST_FIGURES)
}

/// The defaults of a bed, in their order, each with the width it adds to the sink by
/// `month`: the sink with the one figure behind it at its low point less that with it at
/// its high one, without sign, all else at its middle and in normal years.
///
/// A figure that several things take from one source is one unknown: each default that
/// rests on it has the width of all together. A default that is no uncertain figure (a
/// word, a name, a date, a size that is never drawn) has none, nor has one of what was laid
/// on after filling.
///
/// It takes two forecasts for each figure; the progress is told how many figures are done.
/// Where there are more than [`most_figures`], it is those on which most of the fill rests,
/// and the other defaults tell that their width was left out.
///
/// # Errors
///
/// As [`forecast`], and month 0, when nothing has sunk yet.
pub fn defaults_with_widths(
    bed: &Bed,
    month: u32,
    progress: &Progress<'_>,
) -> Result<Vec<DefaultUsed>, Error> {
    if month == 0 {
        return Err(Error::NothingSunkYet);
    }
    let uncertain = UncertainParameters::of(bed);
    let origin: Vec<Option<Origin>> = bed
        .defaults
        .iter()
        .map(|default| origin(bed, &default.path))
        .collect();
    let each = most_first(&uncertain, &origin);
    let (each, left_out) = each.split_at(each.len().min(most_figures(bed)));
    let settlement_m = |place: usize, z: f64| -> Result<f64, Error> {
        let mut all_z = vec![0.0; uncertain.count()];
        all_z[place] = z;
        let sample = Sample::with(bed, &uncertain, all_z, 0);
        // The laws are at their best in either, and the years are normal ones.
        let months = forecast(sample.bed(), month, &unwatched)?.months;
        Ok(months.last().map_or(0.0, |row| row.settlement_m))
    };
    let all = u32::try_from(each.len()).unwrap_or(u32::MAX);
    let one = |number| {
        let (_, place) = each[usize::try_from(number).unwrap_or(0)];
        Ok((settlement_m(place, TENTH_Z)? - settlement_m(place, -TENTH_Z)?).abs())
    };
    let mut found = Vec::with_capacity(each.len());
    run_each(0..all, progress, &one, &mut |width_m| found.push(width_m))?;
    let widths: BTreeMap<&UncertainParameter, f64> =
        each.iter().map(|(origin, _)| *origin).zip(found).collect();
    let defaults = bed.defaults.iter().zip(&origin);
    let left_out: BTreeSet<&UncertainParameter> =
        left_out.iter().map(|(parameter, _)| *parameter).collect();
    let with_widths = defaults.map(|(default, origin)| {
        let parameter = origin.as_ref().map(|origin| &origin.parameter);
        DefaultUsed {
            width_it_adds_m: parameter.and_then(|it| widths.get(it).copied()),
            is_width_left_out: parameter.is_some_and(|it| left_out.contains(it)),
            ..default.clone()
        }
    });
    Ok(with_widths.collect())
}

/// What is behind a default.
struct Origin {
    parameter: UncertainParameter,
    /// How thick what it is of lies by itself; m.
    loose_m: f64,
}

/// The unknowns behind defaults, each once with its place among all: first those of which
/// most was put in.
fn most_first<'a>(
    uncertain: &UncertainParameters,
    origin: &'a [Option<Origin>],
) -> Vec<(&'a UncertainParameter, usize)> {
    let mut loose_m: BTreeMap<&UncertainParameter, f64> = BTreeMap::new();
    for origin in origin.iter().flatten() {
        *loose_m.entry(&origin.parameter).or_default() += origin.loose_m;
    }
    let mut each: Vec<(&UncertainParameter, f64)> = loose_m.into_iter().collect();
    each.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let each = each.into_iter();
    each.filter_map(|(parameter, _)| Some((parameter, uncertain.place(parameter)?)))
        .collect()
}

/// The unknown behind the default at a JSON Pointer, where there is one.
fn origin(bed: &Bed, path: &str) -> Option<Origin> {
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
        parameter: of_ingredient(put, layer, place, field)?,
        loose_m: loose_m(&bed.shape, &alone),
    })
}

/// The unknown behind an ingredient's field. As in a sample, what is as the shelf has it
/// strays with the shelf.
fn of_ingredient(
    put: &Ingredient,
    layer: usize,
    place: usize,
    field: &str,
) -> Option<UncertainParameter> {
    let material = &put.material;
    let is_default = |one: f64, other: f64| one.to_bits() == other.to_bits();
    match field {
        "across" => Some(Figure::from_material("across", &material.particle_size)),
        "moisture" if is_default(put.moisture_wet, wet_share(&material.moisture)) => {
            Some(Figure::from_material("moisture", &material.moisture))
        }
        "moisture" => Some(UncertainParameter::Stated(Stated::Moisture, layer, place)),
        // Odds of nothing stay nothing.
        "arrived" if put.rotten > 0.0 => {
            Some(UncertainParameter::Stated(Stated::Rotten, layer, place))
        }
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
    use crate::read::read_toml;
    use crate::uncertainty::parameter::UncertainParameters;
    use crate::uncertainty::prior::TENTH_Z;
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

    /// With every unknown at its middle a sample is the bed as told.
    #[test]
    fn the_middle_sample_is_the_middle_line() {
        let bed = bed("{ material = \"woody prunings\", amount = \"200 L\" }, \
             { material = \"grass clippings\", amount = \"200 L\" }");
        let uncertain = UncertainParameters::of(&bed);
        let middle = Sample::with(&bed, &uncertain, vec![0.0; uncertain.count()], 0);
        let (got, want) = (settlement_m(middle.bed()), settlement_m(&bed));
        assert!((got - want).abs() < 1e-6, "{got} {want}");
    }

    /// The width of a size is what comes of writing both ends of its spread into the file
    /// and filling up to the same height.
    #[test]
    fn a_width_is_that_of_both_ends_told() {
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
