//! Plans in words.

use crate::figure::amount::{load, volume, water, weight};
use crate::figure::height::{figure, reading, span, unit};
use crate::forecast::{reckoned_from, spoken_date};
use moulder::Interval;
use moulder::Plan;
use moulder::Units;
use moulder::fills::{Aim, Fill, Left, Put, Rule, Shortfall};
use moulder::internals::plan::answer::WET_SHARE;
use moulder::internals::text::phrase::joined;

/// Least difference in height that is mentioned: the step of a tape measure; m.
const SEEN_M: f64 = 0.01;
/// Least remainder of a pack that is mentioned; m3.
const SPARE_M3: f64 = 0.001;
/// Least difference in money that is mentioned.
const SEEN_MONEY: f64 = 0.005;

/// What a fill aims at.
#[must_use]
pub const fn aim(aim: Aim) -> &'static str {
    match aim {
        Aim::Cheapest => "cheapest",
        Aim::SinksLeast => "sinks least",
        Aim::FeedsBest => "feeds best",
        Aim::UsesMost => "uses up most",
    }
}

/// All that a fill is the best at.
///
/// ```
/// use moulder::fills::Aim;
/// use moulder_words::plan::aims;
///
/// assert_eq!(aims(&[Aim::Cheapest, Aim::UsesMost]), "cheapest, uses up most");
/// ```
#[must_use]
pub fn aims(aims: &[Aim]) -> String {
    let words: Vec<&str> = aims.iter().map(|one| aim(*one)).collect();
    words.join(", ")
}

/// Money: what stands before a price, and two decimals.
///
/// ```
/// use moulder_words::plan::money;
///
/// assert_eq!(money(3.5, "EUR"), "EUR 3.50");
/// assert_eq!(money(3.5, ""), "3.50");
/// ```
#[must_use]
pub fn money(amount: f64, sign: &str) -> String {
    let gap = if sign.ends_with(char::is_alphanumeric) {
        " "
    } else {
        ""
    };
    format!("{sign}{gap}{amount:.2}")
}

/// What the figures of the fills rest on.
#[must_use]
pub fn how_sure(answer: &Plan) -> String {
    if answer.ensemble_size == 0 {
        return "One run with the best figures, no range: take the heights as the middle of a \
                wide one."
            .to_owned();
    }
    reckoned_from(answer.ensemble_size)
}

/// The request, in a sentence.
#[must_use]
pub fn wanted(answer: &Plan) -> String {
    let soil = if answer.soil_m > 0.0 {
        format!(
            " with {} or more of growing soil on top",
            reading(answer.soil_m, answer.units)
        )
    } else {
        String::new()
    };
    format!(
        "Wanted: {} high on {}, {} after filling,{soil}.",
        reading(answer.height_m, answer.units),
        answer.settled,
        months(answer.after_months)
    )
    .replace(",.", ".")
}

fn months(count: u32) -> String {
    if count == 1 {
        "1 month".to_owned()
    } else {
        format!("{count} months")
    }
}

/// What a fill pays for what it is the best at, beside the others; none where nothing.
#[must_use]
pub fn trade_off(answer: &Plan, index: usize) -> Option<String> {
    let fill = answer.fills.get(index)?;
    let least = |of: &dyn Fn(&Fill) -> f64| {
        let fills = answer.fills.iter().enumerate();
        fills.min_by(|(_, one), (_, other)| of(one).total_cmp(&of(other)))
    };
    let mut pays = Vec::new();
    let (best, cheapest) = least(&|fill| fill.cost)?;
    let more = fill.cost - cheapest.cost;
    if more > SEEN_MONEY {
        let more = money(more, &answer.money);
        pays.push(format!("costs {more} more than fill {}", best + 1));
    }
    let (best, firmest) = least(&|fill| sinks_m(fill))?;
    let more = sinks_m(fill) - sinks_m(firmest);
    if more > SEEN_M {
        let more = reading(more, answer.units);
        pays.push(format!("sinks {more} further than fill {}", best + 1));
    }
    let (best, clearest) = least(&left_m3)?;
    let more = left_m3(fill) - left_m3(clearest);
    if more > 0.05 * left_m3(fill) {
        let more = volume(more, answer.units);
        pays.push(format!("leaves {more} more lying than fill {}", best + 1));
    }
    let (last, rest) = pays.split_last()?;
    Some(if rest.is_empty() {
        format!("It {last}.")
    } else {
        format!("It {} and {last}.", rest.join(", "))
    })
}

/// The settlement of a fill; m.
#[must_use]
fn sinks_m(fill: &Fill) -> f64 {
    fill.tipped_m - fill.stands_m
}

fn left_m3(fill: &Fill) -> f64 {
    fill.left.iter().map(|left| left.volume_m3).sum()
}

/// What is put in, with the measure of the file beside it ("240 L of turf (3 barrows)").
#[must_use]
pub fn put(put: &Put) -> String {
    let measures = match &put.measures {
        Some((count, name)) => format!(" ({})", counted(*count, name)),
        None => String::new(),
    };
    let bought = if put.bought { ", bought" } else { "" };
    format!("{} of {}{bought}{measures}", put.amount, put.material)
}

/// A number of measures, to a quarter.
fn counted(count: f64, name: &str) -> String {
    let quarters = (count * 4.0).round();
    let whole = (quarters / 4.0).floor();
    let part = match quarters - 4.0 * whole {
        part if part > 2.5 => "3/4",
        part if part > 1.5 => "1/2",
        part if part > 0.5 => "1/4",
        _ => "",
    };
    let number = match (whole >= 1.0, part) {
        (false, "") => return format!("under 1/4 {name}"),
        (false, part) => part.to_owned(),
        (true, "") => format!("{whole:.0}"),
        (true, part) => format!("{whole:.0} {part}"),
    };
    let many = quarters > 4.0 && !name.ends_with('s');
    format!("{number} {name}{}", if many { "s" } else { "" })
}

/// The sentences about a fill besides its layers.
#[must_use]
pub fn about(answer: &Plan, fill: &Fill) -> Vec<String> {
    let units = answer.units;
    let mut said = Vec::new();
    said.extend(expect(answer, fill));
    said.extend(misses(answer, fill));
    said.push(bought(answer, fill));
    said.extend(left_over(fill, units));
    said.extend(over_the_rim(fill, units, answer.rim_m));
    said.extend(pour(fill, units));
    said.extend(feeding(fill));
    said.push(format!(
        "It weighs up to {} wet, {}.",
        weight(fill.total_mass_kg, units),
        load(fill.total_mass_kg / answer.base_m2, units)
    ));
    said.extend(fill.bent.iter().map(|rule| bent(*rule).to_owned()));
    said
}

/// How the fill stands on the settled day, with ranges; none for the nominal run alone.
fn expect(answer: &Plan, fill: &Fill) -> Option<String> {
    let units = answer.units;
    let ranges = fill.intervals.as_ref()?;
    let told = |range: &Interval| format!("(8 in 10: {})", span(range.lower, range.upper, units));
    let soil = if fill.soil_stands_m > 0.0 {
        format!(
            ", with {} of growing soil on top {}",
            reading(fill.soil_stands_m, units),
            told(&ranges.soil_m)
        )
    } else {
        String::new()
    };
    Some(format!(
        "On {} expect it about {} high {}{soil}.",
        spoken_date(answer.settled),
        reading(fill.stands_m, units),
        told(&ranges.height_m)
    ))
}

/// Whether a fill falls short of what is wanted, in height or in soil.
#[must_use]
pub fn is_short(fill: &Fill) -> bool {
    fill.height_short_m > 0.0 || fill.soil_short_m > 0.0
}

/// By how much a fill falls short, for a table, in height and in soil: to a tenth of the unit.
#[must_use]
pub fn shorts(fill: &Fill, units: Units) -> String {
    let shorts = [("", fill.height_short_m), ("soil ", fill.soil_short_m)];
    let shorts = shorts.iter().filter(|(_, short_m)| *short_m > 0.0);
    let told = shorts.map(|(what, short_m)| match figure(*short_m, units) {
        text if text == "0.0" => format!("{what}<0.1"),
        text => format!("{what}{text}"),
    });
    told.collect::<Vec<String>>().join("\n")
}

/// By how much a fill misses what is wanted; none where it meets it.
fn misses(answer: &Plan, fill: &Fill) -> Option<String> {
    let units = answer.units;
    let shorts = [
        (fill.height_short_m, "height"),
        (fill.soil_short_m, "growing soil"),
    ];
    let shorts = shorts.iter().filter(|(short_m, _)| *short_m > 0.0);
    let shorts: Vec<String> = shorts
        .map(|(short_m, what)| format!("{} of {what}", tape(*short_m, units)))
        .collect();
    if !shorts.is_empty() {
        let slopes = match answer.rim_m {
            None if !fill.on_the_mark => " Loose, more may not fit within the slopes of the mound.",
            _ if fill.left.is_empty() && fill.buy.is_empty() => {
                " All that is at hand is in it: get more, or ask for less under [wanted]."
            }
            _ => "",
        };
        return Some(format!(
            "It falls short of what is wanted by {}.{slopes}",
            joined(&shorts, "and")
        ));
    }
    (!fill.on_the_mark).then(|| {
        format!(
            "It ends {} higher than wanted.",
            tape(fill.stands_m - answer.height_m, units)
        )
    })
}

/// A small length: millimetres below a centimetre, else to a tenth of the unit.
fn tape(length_m: f64, units: Units) -> String {
    let millimetres = length_m * 1000.0;
    match units {
        Units::Metric if millimetres < 9.5 => format!("{:.0} mm", millimetres.max(1.0)),
        Units::Metric => format!("{} {}", figure(length_m, units), unit(units)),
        Units::Us | Units::UkGarden => match figure(length_m, units) {
            text if text == "0.0" => "less than 0.1 in".to_owned(),
            text => format!("{text} {}", unit(units)),
        },
    }
}

fn bought(answer: &Plan, fill: &Fill) -> String {
    if fill.buy.is_empty() {
        return "Nothing has to be bought.".to_owned();
    }
    let list: Vec<String> = fill
        .buy
        .iter()
        .map(|buy| {
            let spare = if buy.spare_m3 >= SPARE_M3 {
                format!(", {} to spare", volume(buy.spare_m3, answer.units))
            } else {
                String::new()
            };
            format!(
                "{:.0} x {} of {} ({}{spare})",
                buy.packs,
                buy.per,
                buy.material,
                money(buy.cost, &answer.money)
            )
        })
        .collect();
    format!(
        "To buy: {}. Altogether {}.",
        list.join(", "),
        money(fill.cost, &answer.money)
    )
}

fn left_over(fill: &Fill, units: Units) -> Option<String> {
    let list: Vec<String> = fill
        .left
        .iter()
        .map(|left| format!("{} of {}", left_amount(left, units), left.material))
        .collect();
    (!list.is_empty()).then(|| format!("Left over: {}.", list.join(", ")))
}

fn left_amount(left: &Left, units: Units) -> String {
    if left.by_weight {
        weight(left.total_mass_kg, units)
    } else {
        volume(left.volume_m3, units)
    }
}

fn over_the_rim(fill: &Fill, units: Units, rim_m: Option<f64>) -> Option<String> {
    let over_m = fill.tipped_m - rim_m?;
    (over_m > SEEN_M).then(|| {
        format!(
            "Loose, it reaches {} over the rim: tip in what fits, let it settle for a week or \
             two, then add the rest.",
            reading(over_m, units)
        )
    })
}

fn pour(fill: &Fill, units: Units) -> Option<String> {
    (fill.water_l >= 0.5).then(|| {
        format!(
            "Pour on about {} while filling: the brush, soft stuff and card arrive too dry to \
             rot well, and that brings them to {:.0} % water.",
            water(fill.water_l, units),
            WET_SHARE * 100.0
        )
    })
}

fn feeding(fill: &Fill) -> Option<String> {
    let layer = fill.layers.get(fill.feeding?)?;
    let mixture = &layer.mixture;
    let ratio = &mixture.carbon_to_nitrogen;
    Some(format!(
        "The mixed layer that feeds the roots has a carbon to nitrogen of about {:.0} ({:.0} to \
         {:.0}) and arrives {:.0} % water.",
        ratio.best,
        ratio.low,
        ratio.high,
        mixture.moisture_wet * 100.0
    ))
}

const fn bent(rule: Rule) -> &'static str {
    match rule {
        Rule::CoarseWoodAtMostHalf => {
            "Against common practice more than half of it is coarse wood: fill the hollows well."
        }
        Rule::CardInAFewSheets => {
            "Against common practice it holds more card than a few sheets: water may not pass."
        }
        Rule::CoveredUnderTheSoil => {
            "Against common practice no card or turf lies under the soil, which will run into \
             the gaps."
        }
        Rule::NotTooGreen => {
            "Against common practice the mixed layer is nearly all green: it may turn to slime \
             and heat up."
        }
        Rule::CompostAtMostHalf => {
            "Against common practice more than half of the growing soil is compost: it sinks \
             more, and may be too rich for seedlings."
        }
        Rule::SoilNotMuchDeeper => {
            "There is too little besides soil, so the growing soil is far deeper than asked for."
        }
    }
}

/// What is short where there is no fill, and what would do.
#[must_use]
pub fn short(answer: &Plan, short: &Shortfall) -> String {
    let units = answer.units;
    let lacking = |depth_m: f64, m3: f64, what: &str| {
        (depth_m > 0.001).then(|| {
            format!(
                "{} of {what} ({} over the bed)",
                volume(m3, units),
                reading(depth_m, units)
            )
        })
    };
    let list: Vec<String> = [
        lacking(short.soil_m, short.soil_m3, "growing soil"),
        lacking(short.fill_m, short.fill_m3, "anything to fill with"),
    ]
    .into_iter()
    .flatten()
    .collect();
    format!(
        "There is too little: short of about {}, as it lies once settled, so more has to be \
         tipped in. With all there is the bed would stand about {} high. Add a [[hand]] of what \
         you can get or buy (amount = \"plenty\" if it can be had), raise the \
         shares you set, or ask for less under [wanted].",
        list.join(" and "),
        reading(short.reached_m, units)
    )
}

/// How the rules of layering and the figures came about, for whoever wants to know.
#[must_use]
pub fn grounds() -> &'static str {
    "Each fill was forecast as the very bed it makes. The order of layers and the limits \
     on coarse wood, card, greens and compost are common practice and have no source."
}

#[cfg(test)]
mod tests {
    use super::tape;
    use moulder::Units;

    #[test]
    fn shortfalls_are_told_as_a_tape_has_them() {
        assert_eq!(tape(0.0044, Units::Metric), "4 mm");
        assert_eq!(tape(0.000_6, Units::Metric), "1 mm");
        assert_eq!(tape(0.0123, Units::Metric), "1.2 cm");
        assert_eq!(tape(0.0044, Units::UkGarden), "0.2 in");
        assert_eq!(tape(0.000_6, Units::Us), "less than 0.1 in");
    }
}
