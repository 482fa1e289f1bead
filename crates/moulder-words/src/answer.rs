//! The short answer: a bed within a screen.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, date, feed::feeding, months::unwatched, top_ups};
//! use moulder_words::answer::ShortAnswer;
//!
//! let bed = Bed::example();
//! let forecast = bed.forecast().months(13).ensemble_size(8).run()?;
//! let plans = top_ups(&[bed.clone()], &TopUpRequest::new("loamy topsoil").ensemble_size(8))?;
//! let today = date(2026, 3, 14);
//! let feeding = feeding(&bed, today, 8, 1, &unwatched)?;
//! let answer = ShortAnswer::new(&bed, &forecast, &plans[0], &feeding, today);
//! assert_eq!(answer.lines[0].0, "Sinks");
//! # Ok::<(), moulder::Error>(())
//! ```

use moulder::feed::Feeding;
use moulder::internals::fault::notice::{Notice, Severity};
use moulder::internals::text::month::MONTHS;
use moulder::months::{Expected, month_day};
use moulder::purchases::TopUp;
use moulder::{Bed, Date, Forecast, TopUps, Units, date};

use crate::feeding::doses_in_words;
use crate::figure::amount::volume;
use crate::figure::height::reading;
use crate::forecast::{below_the_rim, depths, plural_of, spoken_date, than_when_built};
use crate::notice::sentence;
use crate::range::wholes;
use crate::surprise::in_a_forecast;
use crate::topup::{money, plural};

/// The days by which a season has turned: the first of April and of October.
pub(crate) const TURNS: [i8; 2] = [4, 10];
/// A day is told when it lies so many days ahead at least.
const AHEAD_DAYS: i32 = 56;

/// What a bed comes to, in a title and lines of a word and what it is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShortAnswer {
    /// The bed and what is known of it.
    pub title: String,
    /// A word, and the sentence to it.
    pub lines: Vec<(&'static str, String)>,
}

impl ShortAnswer {
    /// The answer about a bed on a day, which is that of its filling or later. The forecast should
    /// reach a year beyond it, and top-ups be planned from it on.
    #[must_use]
    pub fn new(
        bed: &Bed,
        forecast: &Forecast,
        topups: &TopUps,
        feeding: &Feeding,
        as_of: Date,
    ) -> Self {
        let as_of = as_of.max(forecast.filled);
        let mut lines = vec![("Sinks", standings(forecast, as_of).join("; "))];
        if let Some(surprise) = forecast.given.as_ref().and_then(in_a_forecast) {
            lines.push(("Odd", surprise));
        }
        lines.push(("Buy", buy(topups)));
        lines.push(("Feed", doses_in_words(forecast, feeding)));
        lines.extend(mind(&forecast.notices).map(|said| ("Mind", said)));
        Self {
            title: title(bed, forecast, as_of),
            lines,
        }
    }
}

/// The bed, when it was filled, and when it was measured last.
fn title(bed: &Bed, forecast: &Forecast, as_of: Date) -> String {
    let filled = spoken_date(forecast.filled);
    let count = match bed.count() {
        1 => String::new(),
        count => format!(" (each of {count})"),
    };
    let name = &forecast.name;
    match &forecast.given {
        Some(given) => format!(
            "{name}{count}, filled {filled}, measured {}",
            spoken_date(given.last_on)
        ),
        None if as_of > forecast.filled => {
            format!(
                "{name}{count}, as filled {filled}, on {}",
                spoken_date(as_of)
            )
        }
        None => format!("{name}{count}, as filled {filled}"),
    }
}

/// Where the surface stands, a phrase each: as it was measured last, where it was, and as it is
/// expected at the next turn of the season and a year on.
#[must_use]
pub fn standings(forecast: &Forecast, as_of: Date) -> Vec<String> {
    let mut said = forecast
        .given
        .as_ref()
        .map(|given| {
            let units = forecast.units;
            let stands = match forecast.rim_m.map(|rim_m| rim_m - given.last_height_m) {
                Some(below_m) if below_m < 0.0 => {
                    format!("{} above the rim", reading(-below_m, units))
                }
                Some(below_m) => format!("{} below the rim", reading(below_m, units)),
                None => format!("{} high", reading(given.last_height_m, units)),
            };
            vec![format!("{stands} on {}", spoken_date(given.last_on))]
        })
        .unwrap_or_default();
    let days = horizons(as_of);
    let expected = days.iter().filter_map(|day| forecast.expected_on(*day));
    for (place, expected) in expected.enumerate() {
        said.push(stands_by(forecast, &expected, place == 0));
    }
    said
}

/// The first turn of the season at least eight weeks ahead, and a year ahead.
#[must_use]
pub fn horizons(as_of: Date) -> [Date; 2] {
    let turns = (0..=1)
        .flat_map(|years| TURNS.map(|month| date(as_of.year().saturating_add(years), month, 1)));
    let a_year_on = month_day(as_of, 12);
    let first = turns
        .filter(|turn| days_between(as_of, *turn) >= AHEAD_DAYS)
        .min();
    [first.unwrap_or(a_year_on), a_year_on]
}

/// "about 32 cm below the rim by 1 Oct 2026 (8 in 10 such beds: 25 to 39)".
fn stands_by(forecast: &Forecast, expected: &Expected, is_first: bool) -> String {
    let units = forecast.units;
    let (stands, range) = match expected.below_rim_m {
        Some(below) => (
            below_the_rim(below.mean, units),
            depths(&below, below.mean, units),
        ),
        None => (
            than_when_built(expected.lowered_m.mean, units),
            depths(&expected.lowered_m, expected.lowered_m.mean, units),
        ),
    };
    let such = if is_first {
        format!("8 in 10 such {}: ", plural_of(forecast))
    } else {
        String::new()
    };
    let range = range.map_or_else(String::new, |range| format!(" ({such}{range})"));
    format!("{stands} by {}{range}", spoken_date(expected.on))
}

/// What is bought first.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Purchase {
    /// An order.
    Order {
        /// How many packs of what, with their range and what they cost.
        what: String,
        /// The part of the month in which it is needed ("in mid-March 2027").
        when: String,
        /// The loose volume that it takes, and what limits it.
        loose: String,
        /// The day to order on, where that is before the day on which it is needed.
        order_by: Option<String>,
    },
    /// Nothing, and why.
    Nothing(String),
}

/// The first order.
#[must_use]
pub fn purchase(topups: &TopUps) -> Purchase {
    let Some(first) = topups.top_ups.first() else {
        return Purchase::Nothing("nothing within a year".to_owned());
    };
    let when = part_of_month(first.date);
    if first.bought == 0 && first.is_held_back {
        let said = format!("a top-up is needed {when}, but the budget buys none");
        return Purchase::Nothing(said);
    }
    if first.bought == 0 {
        return Purchase::Nothing(format!("nothing; what is left over does {when}"));
    }
    let held_back = if first.is_held_back {
        "; it takes more, but the budget or --at-most allows no more"
    } else {
        ""
    };
    Purchase::Order {
        what: order(topups, first),
        when,
        loose: format!(
            "about {} loose{held_back}",
            loose(first.laid_m3, topups.units)
        ),
        order_by: order_by(topups, first)
            .filter(|on| *on < first.date)
            .map(spoken_date),
    }
}

/// By the early end of its range it is there in time nine times in ten.
pub(crate) fn order_by(topups: &TopUps, topup: &TopUp) -> Option<Date> {
    let lines = topups.intervals.iter().flat_map(|bands| &bands.top_ups);
    let mut lines = lines.filter(|line| topups.order(line) == Some(topup));
    let early = lines.next().map(|line| line.order_by.lower);
    early.or(topup.order_by)
}

/// A volume as it is asked for in bags and in bulk: "302 L (0.30 m3)".
fn loose(m3: f64, units: Units) -> String {
    let told = volume(m3, units);
    match units {
        Units::Metric | Units::UkGarden if told.ends_with('L') => format!("{told} ({m3:.2} m3)"),
        _ => told,
    }
}

/// The first order in a line.
fn buy(topups: &TopUps) -> String {
    match purchase(topups) {
        Purchase::Order { what, when, .. } => format!("{what} {when}. Measure first"),
        Purchase::Nothing(said) => said,
    }
}

/// What a bed takes of an order that it shares: "about 302 L (0.30 m3) loose for each of 6 in
/// mid-March 2027, of the order below".
#[must_use]
pub fn part_of_order(topups: &TopUps) -> String {
    let each = match topups.beds {
        1 => String::new(),
        beds => format!(" for each of {beds}"),
    };
    match purchase(topups) {
        Purchase::Order { when, loose, .. } => {
            format!("{loose}{each} {when}, of the order below")
        }
        Purchase::Nothing(said) => said,
    }
}

/// "8 bags of 40 L loamy topsoil (6 to 10)".
pub(crate) fn order(topups: &TopUps, first: &TopUp) -> String {
    let sold = &topups.package;
    let bands = topups.intervals.iter().flat_map(|bands| &bands.top_ups);
    let range = bands
        .filter(|line| topups.order(line) == Some(first))
        .map(|line| wholes(&line.bought))
        .find(|range| *range != first.bought.to_string());
    let range = range.map_or_else(String::new, |range| format!(" (8 in 10: {range})"));
    let cost = first
        .cost
        .map_or_else(String::new, |cost| format!(", {}", money(cost)));
    let each = match topups.beds {
        1 => String::new(),
        beds => format!(" for each of {beds}"),
    };
    format!(
        "{} {} of {} {}{range}{each}{cost}",
        first.bought,
        plural(&sold.name, first.bought),
        volume(sold.volume_m3, topups.units),
        topups.material,
    )
}

/// "in mid-March 2027".
#[must_use]
pub fn part_of_month(day: Date) -> String {
    let part = match day.day() {
        ..=10 => "early ",
        11..=20 => "mid-",
        _ => "late ",
    };
    let number = usize::try_from(day.month()).unwrap_or(1).saturating_sub(1);
    let month = MONTHS.get(number).copied().unwrap_or_default();
    format!("in {part}{month} {}", day.year())
}

/// The first warning; none where there is none. Dangers stand before the answer.
fn mind(notices: &[Notice]) -> Option<String> {
    let open = notices.iter().filter(|notice| !notice.acknowledged);
    let mut warnings = open.filter(|notice| notice.severity == Severity::Warning);
    let first = sentence(warnings.next()?);
    let more = match warnings.count() {
        0 => String::new(),
        count => format!(" And {count} more: moulder check tells"),
    };
    Some(format!("{first}{more}"))
}

/// Days from one day to another, negative backwards.
fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

#[cfg(test)]
mod tests {
    use super::{horizons, part_of_month};
    use moulder::date;

    #[test]
    fn the_next_turn_is_eight_weeks_ahead() {
        assert_eq!(
            horizons(date(2026, 3, 14)),
            [date(2026, 10, 1), date(2027, 3, 14)]
        );
        assert_eq!(
            horizons(date(2026, 2, 4)),
            [date(2026, 4, 1), date(2027, 2, 4)]
        );
        assert_eq!(
            horizons(date(2026, 2, 5)),
            [date(2026, 10, 1), date(2027, 2, 5)]
        );
        assert_eq!(horizons(date(2026, 11, 30))[0], date(2027, 4, 1));
    }

    #[test]
    fn days_are_said_roughly() {
        assert_eq!(part_of_month(date(2027, 3, 14)), "in mid-March 2027");
        assert_eq!(part_of_month(date(2027, 9, 30)), "in late September 2027");
    }
}
