//! A comparison in words.
//!
//! ```
//! # use moulder::internals::library::Library;
//! # use moulder::internals::read::read_toml;
//! # use moulder::internals::forecast::progress::unwatched;
//! # let text = r#"
//! # format = 1
//! # filled = 2026-03-14
//! # climate = "Cambridge UK"
//! # [bed]
//! # shape = "round"
//! # across = "1.2 m"
//! # rim = "50 cm"
//! # [[layer]]
//! # put = [{ material = "woody prunings", amount = "300 L" }]
//! # [[layer]]
//! # put = [{ material = "loamy topsoil", amount = "25 cm" }]
//! # "#;
//! # let library = Library::built_in();
//! # let bed = read_toml(text, &library)?;
//! use moulder::internals::compare::compare;
//! use moulder_words::comparison::against_the_first;
//! use moulder::internals::uncertainty::ensemble::Realisations;
//!
//! let mut other = bed.clone();
//! other.layers.remove(0);
//! let draws = Realisations { count: 16, ..Realisations::default() };
//! let found = compare(&[bed, other], 3, draws, &unwatched)?;
//! let words = against_the_first(&found, &found.designs[1]).ok_or("the first has no other")?;
//! assert!(!words.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use crate::forecast::spoken_date;
use crate::range::{less_to_more, of_ten};
use crate::topup::{money, plural, time};
use moulder::internals::compare::{Comparison, Design};
use moulder::internals::quantity::amount::{volume, weight};
use moulder::internals::quantity::height::reading;

/// Volumes are told to the nearest half a bucket; m3.
const HANDY_M3: f64 = 0.005;

/// What is said of the draws.
#[must_use]
pub fn draws_in_words(comparison: &Comparison) -> String {
    format!(
        "Both ends hold four in five of {} draws. Each draw gives all beds the same figures \
         where they share them and the same weather, so that the difference is surer than \
         either. The laws are off in each, and by the same share in all beds.",
        comparison.ensemble_size
    )
}

/// How a design does against the first, to be read aloud. None for the first.
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
    let odds = if less.settlement_m.median > 0.0 && !is_same {
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

/// What topping a design up takes against the first. None where that was not asked.
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
