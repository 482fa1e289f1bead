//! A comparison in words.

use crate::amount_text::weight;
use crate::compare::{Comparison, Design};
use crate::sentence::spoken_date;
use crate::tape::reading;

/// What is said of the draws.
#[must_use]
pub fn draws_in_words(comparison: &Comparison) -> String {
    format!(
        "Both ends hold four in five of {} draws. Each draw gives all beds the same figures \
         where they share them, the same weather, and laws that are off alike, so that the \
         difference is surer than either.",
        comparison.draws
    )
}

/// How a design does against the first, to be read aloud. None for the first.
#[must_use]
pub fn against_the_first(comparison: &Comparison, design: &Design) -> Option<String> {
    let first = comparison.designs.first()?;
    let less = design.less_the_first.as_ref()?;
    let chance = design.chance_it_sinks_less?;
    let units = comparison.units;
    let [low, middle, high] = [less.sunk_m.low, less.sunk_m.middle, less.sunk_m.high];
    let read = |height_m: f64| reading(height_m.abs(), units);
    let sinks = if read(middle).starts_with("0 ") {
        format!("sinks about as far as {}", first.name)
    } else if middle < 0.0 {
        format!("sinks about {} less than {}", read(middle), first.name)
    } else {
        format!("sinks about {} further than {}", read(middle), first.name)
    };
    let told = |height_m: f64| {
        let text = read(height_m);
        if text.starts_with("0 ") {
            "as far".to_owned()
        } else if height_m < 0.0 {
            format!("{text} less")
        } else {
            format!("{text} further")
        }
    };
    let range = if told(low) == told(high) {
        String::new()
    } else {
        format!(" (from {} to {})", told(low), told(high))
    };
    let odds = (chance * 10.0).round();
    let odds = if odds <= 0.0 {
        "hardly ever".to_owned()
    } else if odds >= 10.0 {
        "nearly always".to_owned()
    } else {
        format!("in {odds:.0} draws of 10")
    };
    let carbon = less.carbon_kg.middle;
    let carbon = if carbon < 0.0 {
        format!("{} less", weight(-carbon, units))
    } else {
        format!("{} more", weight(carbon, units))
    };
    Some(format!(
        "By {}, {} {sinks}{range}; {odds} it sinks less. It then holds {carbon} carbon.",
        spoken_date(&design.by),
        design.name
    ))
}
