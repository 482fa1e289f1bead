//! A comparison in words.
//!
//! ```
//! use moulder::months::unwatched;
//! use moulder::{Bed, Crop, ForecastOptions, compare};
//! use moulder_words::comparison::against_the_first;
//!
//! let beds = [Bed::example(), Bed::example().with_crop(Crop::None)];
//! let options = ForecastOptions::default().months(3).ensemble_size(8);
//! let found = compare(&beds, &options, &unwatched)?;
//! assert!(against_the_first(&found, &found.designs[1]).is_some_and(|words| !words.is_empty()));
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::{volume, weight};
use crate::figure::height::reading;
use crate::forecast::{reckoned_from, spoken_date};
use crate::range::{less_to_more, of_ten};
use crate::topup::{money, plural, time};
use moulder::Comparison;
use moulder::ensembles::Design;
pub use moulder::internals::compare::told_apart;

/// Volumes are rounded to half a bucket; m3.
const HANDY_M3: f64 = 0.005;

/// The sentence about the ensemble.
#[must_use]
pub fn draws_in_words(comparison: &Comparison) -> String {
    format!(
        "{} Each time all beds have the same weather, and the same figures for what they have in \
         common, so that their difference is surer than either of them.",
        reckoned_from(comparison.ensemble_size)
    )
}

/// A design compared with the first, to be read aloud. None for the first.
#[must_use]
pub fn against_the_first(comparison: &Comparison, design: &Design) -> Option<String> {
    let first = comparison.designs.first()?;
    let less = design.less_the_first.as_ref()?;
    let chance = design.chance_it_sinks_less?;
    let units = comparison.units;
    let (middle, range) = less_to_more(&less.settlement_m, "further", |height_m| {
        reading(height_m, units)
    });
    let is_same = middle == "about the same";
    let sinks = if is_same {
        format!("sinks about as far as {}", first.name)
    } else {
        format!("sinks {middle} than {}", first.name)
    };
    let odds = if less.settlement_m.mean > 0.0 && !is_same {
        format!("{} it sinks further", of_ten(1.0 - chance))
    } else {
        format!("{} it sinks less", of_ten(chance))
    };
    let topups = topups_in_words(comparison, design).map_or_else(String::new, |said| said + " ");
    let (carbon, of_carbon) = less_to_more(&less.carbon_kg, "more", |kg| weight(kg, units));
    Some(format!(
        "By {}, {} {sinks}{range}; {odds}. {topups}By then it holds {carbon} carbon{of_carbon}.",
        spoken_date(design.by),
        design.name
    ))
}

/// The top-ups of a design compared with the first. None where that was not asked.
fn topups_in_words(comparison: &Comparison, design: &Design) -> Option<String> {
    let less = design.less_the_first.as_ref()?.topups?;
    let units = comparison.units;
    let handy = |m3: f64| volume((m3 / HANDY_M3).round() * HANDY_M3, units);
    let (laid, of_laid) = less_to_more(&less.laid_m3, "more", handy);
    let cost = less.cost.map_or_else(String::new, |cost| {
        let (cost, of_cost) = less_to_more(&cost, "more", money);
        format!(", and costs {cost}{of_cost}")
    });
    Some(format!(
        "Over {} topping it up takes {laid}{of_laid}{cost}.",
        time(comparison.months)
    ))
}

/// With what the designs are topped up, and when. None where that was not asked.
#[must_use]
pub fn topped_up_in_words(comparison: &Comparison) -> Option<String> {
    let with = comparison.topped_up_with.as_ref()?;
    Some(format!(
        "Top-ups over {}: each year before spring planting up to the rim, or without one up to \
         the first height, with {} in {} of {}. What they sink and hold is told of beds that \
         are left alone.",
        time(comparison.months),
        with.material,
        plural(&with.package.name, 2),
        volume(with.package.volume_m3, comparison.units)
    ))
}
