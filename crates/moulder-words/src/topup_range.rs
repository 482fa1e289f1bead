//! Intervals of top-ups in words, in the owner's units.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, top_ups};
//! use moulder_words::topup_range::draws_in_words;
//!
//! let request = TopUpRequest::new("loamy topsoil").months(12).ensemble_size(8);
//! let plans = top_ups(&[Bed::example()], &request)?;
//! assert!(draws_in_words(&plans[0]).is_some_and(|words| words.contains("8 beds like it")));
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::{volume, weight};
use crate::figure::height::reading;
use crate::forecast::{reckoned_from, spoken_date};
use crate::range::{about_at, costs, of_ten, on_or_between, volumes, wholes};
use crate::topup::{
    brought, by_when, is_short_of, mark, money, plural, slides_in_words, time, wanted_m3,
};
use moulder::TopUps;
use moulder::Units;
use moulder::internals::topup::overfill::{Overfill, OverfillIntervals};
use moulder::purchases::TopUpIntervals;

/// The sum with its interval: what to buy, when first, and the final height; before all that,
/// whether readings are a surprise. What is bought is left out of a bed that shares orders with
/// others. None for the nominal run alone.
#[must_use]
pub fn sum_in_ranges(topups: &TopUps, shares: bool) -> Option<String> {
    let bands = topups.intervals.as_ref()?;
    let sum = sum(topups, bands, shares);
    Some(if bands.readings_surprise {
        format!(
            "The readings in the bed file are a surprise, and count all the same: moulder fit says \
             which. {sum}"
        )
    } else {
        sum
    })
}

fn sum(topups: &TopUps, bands: &TopUpIntervals, shares: bool) -> String {
    let units = topups.units;
    let by_when = by_when(topups);
    let end = about_at(topups.below_at_end_m, mark(topups), units);
    let Some(first) = topups.top_ups.first() else {
        return if bands.top_ups.is_empty() {
            format!(
                "{by_when} no top-up is due in any of {} such beds: by then it stands {end}.",
                bands.ensemble_size
            )
        } else {
            let none = 1.0 - bands.chance_of_any;
            format!(
                "{by_when} no top-up may be due: none is {}. By then it stands {end}.",
                of_ten(none)
            )
        };
    };
    let without = about_at(topups.below_without_m, mark(topups), units);
    let all = &bands.all;
    if topups.bought() == 0 {
        return format!(
            "{by_when} a top-up is needed, first on {}, but the budget buys none. In the end it \
             stands {without}.",
            spoken_date(first.date)
        );
    }
    let name = &topups.package.name;
    let cost = topups.cost().map_or_else(String::new, |cost| {
        let range = all.cost.as_ref().map(|cost| costs(cost, &topups.package));
        let range = range.map_or_else(String::new, |range| format!(" (8 in 10: {range})"));
        format!(", {} in all{range}", money(cost))
    });
    let times = match topups.top_ups.len() {
        1 => "one top-up".to_owned(),
        count => format!("{count} top-ups"),
    };
    let mut lines = bands.top_ups.iter();
    let date = lines.find(|line| topups.order(line) == Some(first));
    let when = date.map_or_else(
        || format!("on {}", spoken_date(first.date)),
        |line| on_or_between(&line.date),
    );
    let kg: f64 = topups.top_ups.iter().map(|topup| topup.laid_kg).sum();
    if shares {
        let each = match topups.beds {
            1 => String::new(),
            beds => format!(" for each of {beds} beds"),
        };
        let wanted = format!(
            "{by_when} {times}{each}, the first {when}, take {} (8 in 10: {})",
            volume(wanted_m3(topups), units),
            volumes(&all.laid_m3, units),
        );
        let weight = weight(kg, units);
        let then = if is_short_of(topups) {
            brought(topups, &weight)
        } else {
            format!(", about {weight}. In the end it stands {end}")
        };
        return format!("{wanted}{then}; without any it would stand {without}.");
    }
    let range = Some(wholes(&all.bought)).filter(|range| *range != topups.bought().to_string());
    let range = range.map_or_else(String::new, |range| format!(" (8 in 10: {range})"));
    format!(
        "{by_when} buy {} {}{range} for {times}, the first {when}{cost}. They take {}, \
         about {}. In the end it stands {end}; without any it would stand {without}.",
        topups.bought(),
        plural(name, topups.bought()),
        volume(topups.laid_m3(), units),
        weight(kg, units),
    )
}

/// What each year takes. None where every year has but one top-up, which the list has.
#[must_use]
pub fn years_in_words(topups: &TopUps) -> Option<String> {
    let mut years: Vec<(i16, u32)> = Vec::new();
    for topup in &topups.top_ups {
        match years.last_mut() {
            Some((year, bought)) if *year == topup.date.year() => *bought += topup.bought,
            _ => years.push((topup.date.year(), topup.bought)),
        }
    }
    if topups.intervals.is_none() || years.len() < 2 || topups.top_ups.len() <= years.len() {
        return None;
    }
    let name = &topups.package.name;
    let told = years.iter().filter(|(_, bought)| *bought > 0);
    let told: Vec<String> = told
        .map(|(year, bought)| format!("{bought} {} in {year}", plural(name, *bought)))
        .collect();
    Some(format!("Year by year: {}.", told.join("; ")))
}

/// The sentence about the ensemble. None for the nominal run alone.
#[must_use]
pub fn draws_in_words(topups: &TopUps) -> Option<String> {
    let bands = topups.intervals.as_ref()?;
    let readings = match bands.readings {
        1 => "the reading".to_owned(),
        many => format!("the {many} readings"),
    };
    let mut said = reckoned_from(bands.ensemble_size);
    said.push_str(" An order is the mean volume in whole packs.");
    if bands.readings > 0 {
        let agree = format!(
            " All agree with {readings} in the bed file; nothing is planned before the last."
        );
        said.push_str(&agree);
    }
    if bands.readings_tempering_exponent < 1.0 {
        said.push_str(
            " Few agree with them, so that they count less than in full: moulder fit says \
             more.",
        );
    }
    if bands.readings > 0 && bands.together.beds > topups.beds {
        said.push_str(
            " Each measured bed is drawn for itself, so that the range of all beds together is \
             somewhat too narrow.",
        );
    }
    said.push_str(" Order again by the tape.");
    Some(said)
}

/// How far to overfill, with the interval.
#[must_use]
pub fn overfill_in_ranges(overfill: &Overfill, bands: &OverfillIntervals, units: Units) -> String {
    format!(
        "To be level with the rim after {}, lay on about {} more when you fill it, {} (8 in 10: \
         {}): it then stands about {} the rim at the start.{}",
        time(overfill.months),
        reading(bands.more_m.mean, units),
        volume(bands.more_m3.mean, units),
        volumes(&bands.more_m3, units),
        if bands.above_rim_m.mean >= 0.0 {
            format!("{} above", reading(bands.above_rim_m.mean, units))
        } else {
            format!("{} below", reading(-bands.above_rim_m.mean, units))
        },
        slides_in_words(overfill, units)
    )
}
