//! Intervals of top-ups in words, in the owner's units.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, top_ups};
//! use moulder_words::topup_range::draws_in_words;
//!
//! let request = TopUpRequest::new("loamy topsoil").months(12).ensemble_size(8);
//! let plans = top_ups(&[Bed::example()], &request)?;
//! assert!(draws_in_words(&plans[0]).is_some_and(|words| words.contains("8 draws")));
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::{volume, weight};
use crate::figure::height::{reading, span};
use crate::forecast::spoken_date;
use crate::range::{moneys, of_ten, on_or_between, stands, stands_at, volumes, wholes};
use crate::topup::{mark, money, plural, slides_in_words, time};
use moulder::TopUps;
use moulder::Units;
use moulder::internals::topup::overfill::{Overfill, OverfillIntervals};
use moulder::months::month_day;
use moulder::purchases::{Sums, TopUpIntervals};

/// The sum with its interval: what to buy, when first, and the final height; before all that,
/// whether readings were rejected. None for the nominal run alone.
#[must_use]
pub fn sum_in_ranges(topups: &TopUps) -> Option<String> {
    let bands = topups.intervals.as_ref()?;
    let sum = sum(topups, bands);
    Some(if bands.readings_contradict {
        format!(
            "The readings in the bed file contradict what is believed of it, and were passed \
             over: moulder fit says which. {sum}"
        )
    } else if let (0, Some(least)) = (bands.readings, bands.readings_take_draws) {
        format!(
            "All readings in the bed file were passed over: it takes at least {least} draws \
             (--draws {least}) to find those that agree with them. {sum}"
        )
    } else {
        sum
    })
}

/// By when: a bed with readings is planned from the last of them on.
fn by_when(topups: &TopUps, bands: &TopUpIntervals) -> String {
    if bands.readings > 0 {
        format!(
            "By {}",
            spoken_date(month_day(topups.filled, topups.months))
        )
    } else {
        format!("Within {}", time(topups.months))
    }
}

fn sum(topups: &TopUps, bands: &TopUpIntervals) -> String {
    let units = topups.units;
    let by_when = by_when(topups, bands);
    let end = stands(&bands.below_at_end_m, mark(topups), units);
    let Some(first) = bands.top_ups.iter().find(|line| line.chance >= 0.5) else {
        return if bands.top_ups.is_empty() {
            format!(
                "{by_when} no top-up is due in any of {} draws: by then it stands {end}.",
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
    let all = &bands.all;
    let cost = all.cost.map_or_else(String::new, |cost| {
        format!(
            "cost {}, most likely {}, and ",
            moneys(&cost),
            money(cost.median)
        )
    });
    let times = wholes(&bands.times);
    let noun = if times == "1" { "top-up" } else { "top-ups" };
    format!(
        "{by_when} expect to buy {}, for {times} {noun}, the first {}. They {cost}take \
         {}, about {}. In the end it stands {end}; without any it would stand about {}.",
        bags_in_words(all, &topups.package.name),
        on_or_between(&first.date),
        likely(
            &volumes(&all.laid_m3, units),
            &volume(all.laid_m3.median, units)
        ),
        weight(all.laid_kg.median, units),
        stands_at(topups.below_without_m, mark(topups), units),
    )
}

/// What each year takes. None where every year has but one top-up, which the list has.
#[must_use]
pub fn years_in_words(topups: &TopUps) -> Option<String> {
    let bands = topups.intervals.as_ref()?;
    if bands.years.len() < 2 || bands.top_ups.len() <= bands.years.len() && !has_ranges(bands) {
        return None;
    }
    let name = &topups.package.name;
    // A year in which something is bought in fewer than one realisation of ten is left out.
    let years = bands.years.iter();
    let years = years.filter(|year| year.sums.bought.upper >= 1.0);
    let told: Vec<String> = years
        .map(|year| format!("{} in {}", bags_in_words(&year.sums, name), year.year))
        .collect();
    Some(format!("Year by year: {}.", told.join("; ")))
}

/// The sentence about the ensemble. None for the nominal run alone.
#[must_use]
pub fn draws_in_words(topups: &TopUps) -> Option<String> {
    let bands = topups.intervals.as_ref()?;
    let off = 100.0 * bands.discrepancy_sd;
    let off = format!("taken to be off by some {off:.0} % in how fast it sinks");
    let readings = match bands.readings {
        1 => "the reading".to_owned(),
        many => format!("the {many} readings"),
    };
    let mut said = if bands.readings > 0 {
        format!(
            "The ranges hold four in five of {} draws that agree with {readings} in the bed \
             file; the laws themselves are {off}. Nothing is planned before the last reading. \
             What stands beside a range is the middle of the draws; what is told without any is \
             of the draw that takes the middle volume.",
            bands.ensemble_size
        )
    } else {
        format!(
            "The ranges hold four in five of {} draws of all that is uncertain in the fill, the \
             figures and the weather, and in the laws themselves, {off}. What stands beside a \
             range is the middle of the draws; what is told without any is the middle line.",
            bands.ensemble_size
        )
    };
    if bands.readings_tempering_exponent < 1.0 {
        said.push_str(
            " Few draws agree with them, so that they count less than in full: moulder fit says \
             more.",
        );
        if let Some(draws) = bands.readings_take_draws {
            let more = format!(" With --draws {draws} more are weighed, and they count for more.");
            said.push_str(&more);
        }
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

/// How many units to buy: "3 to 5 bags, most likely 4".
#[must_use]
fn bags_in_words(sums: &Sums, name: &str) -> String {
    let range = wholes(&sums.bought);
    let count = if range == "1" { 1 } else { 2 };
    likely(
        &format!("{range} {}", plural(name, count)),
        &format!("{:.0}", sums.bought.median),
    )
}

/// How far to overfill, with the interval.
#[must_use]
pub fn overfill_in_ranges(overfill: &Overfill, bands: &OverfillIntervals, units: Units) -> String {
    format!(
        "To be level with the rim after {}, lay on {} more when you fill it, most likely {} \
         ({}): it then stands about {} the rim at the start.{}",
        time(overfill.months),
        span(bands.more_m.lower, bands.more_m.upper, units),
        reading(bands.more_m.median, units),
        volumes(&bands.more_m3, units),
        if bands.above_rim_m.median >= 0.0 {
            format!("{} above", reading(bands.above_rim_m.median, units))
        } else {
            format!("{} below", reading(-bands.above_rim_m.median, units))
        },
        slides_in_words(overfill, units)
    )
}

/// Whether any date is an interval.
fn has_ranges(bands: &TopUpIntervals) -> bool {
    let lines = bands.top_ups.iter();
    lines
        .map(|line| &line.date)
        .any(|date| date.lower != date.upper)
}

/// An interval with its median, unless both read the same.
fn likely(range: &str, middle: &str) -> String {
    if range.split(' ').next() == Some(middle) && !range.contains(" to ") || range == middle {
        range.to_owned()
    } else {
        format!("{range}, most likely {middle}")
    }
}
