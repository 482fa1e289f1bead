//! A fit in plain sentences.
//!
//! ```
//! use moulder::{Bed, Reading, date};
//! use moulder_words::fit::draws_in_words;
//!
//! let bed = Bed::example().with_reading(Reading::below_rim_m(date(2026, 5, 14), 0.10))?;
//! let fit = bed.forecast().months(3).ensemble_size(100).fit()?;
//! assert!(draws_in_words(&fit).contains("beds like it"));
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::volume;
use crate::forecast::{below_the_rim, depths, spoken_date, than_when_built};
use crate::range::volumes;
use crate::surprise::in_a_fit;
use moulder::Fit;
use moulder::Interval;
use moulder::ensembles::FitMonth;
use moulder::ensembles::Theme;
use moulder::ensembles::{Direction, Moved};
use moulder::internals::fit::reading_error::TAPE_M;
use moulder::internals::numeric::normal::quantile;
use moulder::internals::text::phrase::joined;

/// Half the 80 % interval of a tape measure reading whose document gives none; m.
#[must_use]
pub fn usual_give_or_take_m() -> f64 {
    quantile(0.9) * TAPE_M.best
}

/// The prior and the posterior of the surface at the end of the months.
///
/// None for day zero alone.
#[must_use]
pub fn fit_in_a_sentence(fit: &Fit) -> Option<String> {
    let last = fit.months.last().filter(|month| month.month > 0)?;
    let by = spoken_date(last.date);
    let surprise = in_a_fit(fit).map_or_else(String::new, |said| said + " ");
    Some(format!(
        "{surprise}Before your {} it was expected {} by {by}. Now expect it {}.",
        plural(fit.readings.len(), "reading"),
        stands(
            fit,
            |month| month.below_rim_before_m,
            |m| m.lowered_before_m
        ),
        stands(fit, |month| month.below_rim_m, |m| m.lowered_m),
    ))
}

/// Where the surface stands at the end, with its range.
fn stands(
    fit: &Fit,
    below_rim: fn(&FitMonth) -> Option<Interval>,
    lowered: fn(&FitMonth) -> Interval,
) -> String {
    let Some((first, last)) = fit.months.first().zip(fit.months.last()) else {
        return String::new();
    };
    let (stands, range) = if let Some(below) = below_rim(last) {
        let range = depths(&below, below.mean, fit.units);
        (below_the_rim(below.mean, fit.units), range)
    } else {
        // What was added on the day of filling is there at the start.
        let start_m = lowered(first).mean;
        let lower = lowered(last).map(|m| m - start_m);
        let range = depths(&lower, lower.mean, fit.units);
        (than_when_built(lower.mean, fit.units), range)
    };
    range.map_or(stands.clone(), |range| {
        format!("{stands} (8 in 10: {range})")
    })
}

/// The basis of the posterior interval.
#[must_use]
pub fn draws_in_words(fit: &Fit) -> String {
    let counted = format!(
        "Reckoned from {} beds like it, each counted by how well it agrees with the tape: they \
         tell as much as {:.0} that all count the same. Figures are means, and a range leaves out \
         one such bed in ten at either end.",
        fit.ensemble_size, fit.effective_draws
    );
    if fit.tempering_exponent < 1.0 {
        format!(
            "{counted} Too few agreed, so each reading was made to count as {:.0} % of one, and \
             the range is wider than they warrant.",
            100.0 * fit.tempering_exponent
        )
    } else {
        counted
    }
}

/// What changed from prior to posterior; sentences without line breaks.
#[must_use]
pub fn posterior_in_words(fit: &Fit) -> String {
    let posterior_summary = &fit.posterior_summary;
    let gone = |direction: &Direction| {
        let percent = percent(direction.contraction);
        format!("({percent} % of the doubt is gone)")
    };
    let mut said = Vec::new();
    match posterior_summary.directions.as_slice() {
        [] => said.push(
            "The readings settle next to nothing that was not known before: a tape is off by \
             nearly as much as the forecast."
                .to_owned(),
        ),
        [one] => said.push(format!(
            "The readings settle one thing: {} {}.",
            if one.number == 1 {
                "how high the bed stands"
            } else {
                "how it sinks from one reading to the next"
            },
            gone(one)
        )),
        [first, second, ..] => said.push(format!(
            "The readings settle two things: how high the bed stands {} and how it sinks from \
             one reading to the next {}.",
            gone(first),
            gone(second)
        )),
    }
    if let Some(first) = posterior_summary.directions.first()
        && first.number == 1
        && !first.made_of.is_empty()
    {
        let parts: Vec<String> = first
            .made_of
            .iter()
            .map(|part| format!("{} ({} %)", group(part.group), percent(part.share)))
            .collect();
        let apart = if parts.len() > 1 {
            "; a tape cannot tell these apart"
        } else {
            ""
        };
        said.push(format!(
            "How high it stands hangs most on {}{apart}.",
            joined(&parts, "and")
        ));
    }
    let moved: Vec<String> = posterior_summary
        .moved
        .iter()
        .take(3)
        .map(moved_in_words)
        .collect();
    if !moved.is_empty() {
        said.push(format!("It looks as if {}.", joined(&moved, "and")));
    }
    if posterior_summary.too_early_for_wood {
        said.push(format!(
            "It is too early to learn about the wood: it makes {} % of what has sunk, and \
             below 20 % a tape does not see it.",
            percent(posterior_summary.wood_share.unwrap_or(0.0).max(0.0))
        ));
    }
    said.join(" ")
}

/// What it takes to fill the bed up in the end; none for a mound, or where there is no room.
#[must_use]
pub fn room_in_words(fit: &Fit) -> Option<String> {
    let room = fit.room_m3.filter(|room| room.mean > 0.0)?;
    let last = fit.months.last()?;
    Some(format!(
        "Filling it up to the rim on {} takes about {} as it lies before it settles (8 in 10: {}).",
        spoken_date(last.date),
        volume(room.mean, fit.units),
        volumes(&room, fit.units)
    ))
}

/// A group in words, as what a height depends on.
const fn group(group: Theme) -> &'static str {
    match group {
        Theme::StartHeight => "how high it stood when filled",
        Theme::Filling => "how much went in and how loosely",
        Theme::Settling => "how far it settles under its weight and when wetted",
        Theme::NonwoodyDecay => "how fast the soft stuff rots",
        Theme::Wood => "how fast the wood rots and shrinks",
        Theme::Water => "how wet it is",
        Theme::Other => "other things",
    }
}

fn moved_in_words(moved: &Moved) -> String {
    let higher = moved.shift > 0.0;
    let told = match (moved.group, higher) {
        (Theme::StartHeight, true) => "it stood higher when filled than told",
        (Theme::StartHeight, false) => "it stood lower when filled than told",
        (Theme::Filling, true) => "it was filled more densely than thought",
        (Theme::Filling, false) => "it was filled more loosely than thought",
        (Theme::Settling, true) => "it settles less than thought",
        (Theme::Settling, false) => "it settles more than thought",
        (Theme::NonwoodyDecay, true) => "the soft stuff rots more slowly than thought",
        (Theme::NonwoodyDecay, false) => "the soft stuff rots faster than thought",
        (Theme::Wood, true) => "the wood goes more slowly than thought",
        (Theme::Wood, false) => "the wood goes faster than thought",
        (Theme::Water, true) => "water lowers it less than thought",
        (Theme::Water, false) => "water lowers it more than thought",
        (Theme::Other, _) => "other things are not as thought",
    };
    told.to_owned()
}

fn percent(share: f64) -> String {
    format!("{:.0}", 100.0 * share)
}

fn plural(count: usize, what: &str) -> String {
    if count == 1 {
        what.to_owned()
    } else {
        format!("{count} {what}s")
    }
}
