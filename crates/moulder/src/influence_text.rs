//! What to measure, in words.

use crate::influence::{Influence, Influences};
use crate::sentence::spoken_date;
use crate::tape::{reading, span};
use crate::unknown_group::UnknownGroup;

/// What a group of unknowns is, in a few words that follow "knowing".
#[must_use]
pub const fn what(group: UnknownGroup) -> &'static str {
    match group {
        UnknownGroup::StartHeight => "how high it stood at the start",
        UnknownGroup::Amounts => "how much of each thing went in",
        UnknownGroup::LooseLogs => "how loosely the logs lay",
        UnknownGroup::LooseBrush => "how loosely the brush went in",
        UnknownGroup::LooseSoft => "how loosely the soft stuff went in",
        UnknownGroup::LooseSoil => "how loosely the soil went in",
        UnknownGroup::Giving => "how far it goes down under load and water",
        UnknownGroup::Moisture => "how wet it was when it went in",
        UnknownGroup::Wood => "how thick and how rotten the wood was",
        UnknownGroup::Lumps => "how coarse the soft stuff and the soil were",
        UnknownGroup::Bulge => "how far the bag bulges",
        UnknownGroup::SoftRot => "how fast soft stuff rots",
        UnknownGroup::WoodRot => "how fast wood rots",
        UnknownGroup::Makeup => "what it is made of: its weight, ash and nitrogen",
        UnknownGroup::SettlingLaws => "how it creeps, sifts and shrinks",
        UnknownGroup::WaterLaws => "how water, air and warmth go through it",
        UnknownGroup::Weather => "the years' weather",
    }
}

/// How to measure a group, or why nobody can (our own judgement, and common practice).
#[must_use]
pub const fn how_to_measure(group: UnknownGroup) -> &'static str {
    match group {
        UnknownGroup::StartHeight => "tape from the rim, at five spots, on the day of filling",
        UnknownGroup::Amounts => "count the loads, and weigh one of each",
        UnknownGroup::LooseLogs => "weigh a stacked crate of them",
        UnknownGroup::LooseBrush | UnknownGroup::LooseSoft => {
            "fill a tub the same way and weigh it"
        }
        UnknownGroup::LooseSoil => "fill a bucket the same way and weigh it",
        UnknownGroup::Giving => "fill a tub, soak it, load it, tape how far it goes down",
        UnknownGroup::Moisture => "weigh a bagful, dry it, weigh it again",
        UnknownGroup::Wood => "measure twenty pieces; see how deep a nail goes in by hand",
        UnknownGroup::Lumps => "measure twenty lumps of each, and state it (across)",
        UnknownGroup::Bulge => "a string around its middle, now and in a month",
        UnknownGroup::SoftRot | UnknownGroup::WoodRot => {
            "not beforehand: a tape in the bed shows it in time"
        }
        UnknownGroup::Makeup => "only in a laboratory",
        UnknownGroup::SettlingLaws | UnknownGroup::WaterLaws => "nobody can, in a garden",
        UnknownGroup::Weather => "nobody can know it beforehand",
    }
}

/// How wide the range is, and what matters most in it; to be read aloud.
#[must_use]
pub fn most_in_a_sentence(found: &Influences) -> String {
    let units = found.units;
    let (by, width_m) = (spoken_date(&found.by), found.width_m());
    let sunk = span(found.sunk_m.low.max(0.0), found.sunk_m.high.max(0.0), units);
    let range = format!("By {by} it will have sunk {sunk}, four times in five");
    let width = reading(width_m, units);
    let Some(most) = found.most() else {
        return format!("{range}, and nothing that is uncertain makes a difference.");
    };
    if width.starts_with("0 ") {
        return format!("{range}: closer than a tape reads, so there is nothing to measure.");
    }
    let narrowed = |one: &Influence| {
        let left = reading(one.width_if_known_m, units);
        (left != width).then(|| format!("from {width} to about {left}"))
    };
    let to_measure = found.to_measure();
    let best = to_measure.first().copied();
    let best = best.and_then(|best| Some((best, narrowed(best)?)));
    let told = match &best {
        Some((best, narrowed)) if best.group == most.group => format!(
            "Measuring {} would narrow that range most: {narrowed}.",
            what(best.group)
        ),
        Some((best, narrowed)) if most.measurable => format!(
            "What moves it most, in company with all else, is {}; but measuring {} alone would \
             narrow the range most: {narrowed}.",
            what(most.group),
            what(best.group)
        ),
        Some((best, narrowed)) => format!(
            "What moves it most is {}, which nobody can measure as the bed is filled. Of what \
             can be measured, {} would narrow the range most: {narrowed}.",
            what(most.group),
            what(best.group)
        ),
        None => format!(
            "What moves it most is {}. No one thing that can be measured as the bed is filled \
             would narrow the range by as much as a tape reads.",
            what(most.group)
        ),
    };
    let doubt = match to_measure.as_slice() {
        [one, other, ..] if best.is_some() && !is_told_apart(one, other) => {
            format!(" On these draws, {} may do as much.", what(other.group))
        }
        _ => String::new(),
    };
    format!("{range}. {told}{doubt}")
}

/// Whether a share is larger than another by more than the standard error of the two.
fn is_told_apart(one: &Influence, other: &Influence) -> bool {
    let (a, b) = (one.alone, other.alone);
    let error = libm::hypot(a.standard_error, b.standard_error);
    a.share - b.share > error
}

/// What the figures rest on.
#[must_use]
pub fn rows_in_words(found: &Influences) -> String {
    format!(
        "Of {} forecasts. Shares are of the variance of what has sunk: alone, what would go if \
         that alone were known; in all, with what it does in company with the rest, so that \
         these add up to more than 100 %. Give or take is one standard error; --draws {} \
         would halve it.",
        found.forecasts,
        found.rows.saturating_mul(4)
    )
}
