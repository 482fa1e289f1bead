//! Two ends of a range in words.

use crate::figure::amount::{volume_beside, weight};
use crate::figure::height::reading;
use crate::forecast::spoken_date;
use crate::topup::money;
use moulder::Date;
use moulder::Interval;
use moulder::Package;
use moulder::Units;
use moulder::purchases::DateInterval;

/// From one end to the other, with the unit once where both have the same; one where they
/// read the same.
///
/// ```
/// use moulder_words::range::from_to;
///
/// assert_eq!(from_to("12 kg", "30 kg"), "12 to 30 kg");
/// assert_eq!(from_to("12 1/2 in", "15 in"), "12 1/2 to 15 in");
/// assert_eq!(from_to("12 kg", "12 kg"), "12 kg");
/// assert_eq!(from_to("20 cu ft", "1.2 cu yd"), "20 cu ft to 1.2 cu yd");
/// ```
#[must_use]
pub fn from_to(low: &str, high: &str) -> String {
    if low == high {
        return high.to_owned();
    }
    let (bare, unit) = parted(low);
    if !unit.is_empty() && parted(high).1 == unit {
        format!("{bare} to {high}")
    } else {
        format!("{low} to {high}")
    }
}

/// A figure with the ends of its range in brackets; alone where these read the same.
///
/// ```
/// use moulder_words::range::with_ends;
///
/// assert_eq!(with_ends("31", "24", "40"), "31 (24 to 40)");
/// assert_eq!(with_ends("8", "8", "8"), "8");
/// ```
#[must_use]
pub fn with_ends(figure: &str, low: &str, high: &str) -> String {
    if low == high {
        figure.to_owned()
    } else {
        format!("{figure} ({})", from_to(low, high))
    }
}

/// A figure and its unit ("12 1/2", "in").
fn parted(text: &str) -> (&str, &str) {
    let is_figure = |c: char| c.is_ascii_digit() || " ./-".contains(c);
    let at = text.find(|c| !is_figure(c)).unwrap_or(text.len());
    let (figure, unit) = text.split_at(at);
    (figure.trim_end(), unit)
}

/// An interval of volumes in m3, both ends in the unit of the mean.
///
/// ```
/// use moulder::{Interval, Units};
/// use moulder_words::range::volumes;
///
/// let band = Interval { lower: 0.473, upper: 0.994, ..Interval::known(0.8) };
/// assert_eq!(volumes(&band, Units::Us), "0.6 to 1.3 cu yd");
/// assert_eq!(volumes(&band, Units::Metric), "473 to 994 L");
/// let band = Interval { mean: 0.6, ..band };
/// assert_eq!(volumes(&band, Units::Us), "16.7 to 35.1 cu ft");
/// ```
#[must_use]
pub fn volumes(band: &Interval, units: Units) -> String {
    let in_unit = |m3: f64| volume_beside(m3, band.mean, units);
    from_to(&in_unit(band.lower), &in_unit(band.upper))
}

/// An interval of masses in kg.
#[must_use]
pub fn weights(band: &Interval, units: Units) -> String {
    from_to(&weight(band.lower, units), &weight(band.upper, units))
}

/// An interval of money: without hundredths for large sums and where there are none.
///
/// ```
/// use moulder::Interval;
/// use moulder_words::range::moneys;
///
/// let band = |low, high| Interval { lower: low, upper: high, ..Interval::known(low) };
/// assert_eq!(moneys(&band(4.5, 9.0)), "4.50 to 9.00");
/// assert_eq!(moneys(&band(49.05, 63.45)), "49 to 63");
/// assert_eq!(moneys(&band(0.0, 302.4)), "0 to 302");
/// assert_eq!(moneys(&band(0.0, 12.0)), "0 to 12");
/// ```
#[must_use]
pub fn moneys(band: &Interval) -> String {
    /// From here on hundredths do not matter.
    const MUCH: f64 = 10.0;
    let is_whole = |money: f64| (money - money.round()).abs() < 0.005;
    let is_round = is_whole(band.lower) && is_whole(band.upper);
    if is_round || band.lower >= MUCH || band.upper >= 10.0 * MUCH {
        from_to(&format!("{:.0}", band.lower), &format!("{:.0}", band.upper))
    } else {
        from_to(&money(band.lower), &money(band.upper))
    }
}

/// An interval of what whole packs cost: its ends are rounded outwards to what a number of packs
/// costs, as [`wholes`] rounds that number. Deliveries on top are no packs, and leave it as it is.
///
/// ```
/// use moulder::{Interval, Package};
/// use moulder_words::range::costs;
///
/// let band = Interval { lower: 0.0, upper: 6.6, ..Interval::known(2.0) };
/// let bag = Package::new("bag", 0.04).price(6.0);
/// assert_eq!(costs(&band, &bag), "0 to 12");
/// assert_eq!(costs(&band, &bag.price(2.5)), "0.00 to 7.50");
/// ```
#[must_use]
pub fn costs(band: &Interval, package: &Package) -> String {
    let price = package
        .price
        .filter(|price| *price > 0.0 && package.delivery <= 0.0);
    price.map_or_else(
        || moneys(band),
        |price| {
            moneys(&Interval {
                lower: (band.lower / price + 1e-9).floor() * price,
                upper: (band.upper / price - 1e-9).ceil().max(0.0) * price,
                ..*band
            })
        },
    )
}

/// An interval of shares.
#[must_use]
pub(crate) fn percents(band: &Interval) -> String {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    from_to(&percent(band.lower), &percent(band.upper))
}

/// An interval of whole numbers, its ends rounded outwards: what can be bought.
///
/// ```
/// use moulder::Interval;
/// use moulder_words::range::wholes;
///
/// let band = Interval { lower: 3.4, upper: 5.2, ..Interval::known(4.0) };
/// assert_eq!(wholes(&band), "3 to 6");
/// ```
#[must_use]
pub fn wholes(band: &Interval) -> String {
    from_to(
        &format!("{:.0}", (band.lower + 1e-9).floor()),
        &format!("{:.0}", (band.upper - 1e-9).ceil().max(0.0)),
    )
}

/// An interval of depths below a mark; m, negative above it.
///
/// ```
/// use moulder::Interval;
/// use moulder::Units;
/// use moulder_words::range::stands;
///
/// let band = |low, high| Interval { lower: low, upper: high, ..Interval::known(low) };
/// assert_eq!(stands(&band(0.02, 0.05), "the rim", Units::Metric), "2 to 5 cm below the rim");
/// assert_eq!(stands(&band(0.0, 0.002), "the rim", Units::Metric), "level with the rim");
/// assert_eq!(
///     stands(&band(-0.02, 0.05), "the rim", Units::Metric),
///     "between 2 cm above and 5 cm below the rim"
/// );
/// ```
#[must_use]
pub fn stands(band: &Interval, mark: &str, units: Units) -> String {
    let read = |height_m: f64| reading(height_m.abs(), units);
    let is_level = |height_m: f64| read(height_m).starts_with("0 ");
    let (low_m, high_m) = (band.lower, band.upper);
    if is_level(low_m) && is_level(high_m) {
        format!("level with {mark}")
    } else if low_m >= 0.0 || is_level(low_m) {
        format!("{} below {mark}", from_to(&read(low_m), &read(high_m)))
    } else if high_m <= 0.0 || is_level(high_m) {
        format!("{} above {mark}", from_to(&read(high_m), &read(low_m)))
    } else {
        format!(
            "between {} above and {} below {mark}",
            read(low_m),
            read(high_m)
        )
    }
}

/// A depth below a mark; m, negative above it.
#[must_use]
pub(crate) fn stands_at(below_m: f64, mark: &str, units: Units) -> String {
    stands(&Interval::known(below_m), mark, units)
}

/// The same of what is expected: "about 39 cm below the rim", "level with the rim".
#[must_use]
pub(crate) fn about_at(below_m: f64, mark: &str, units: Units) -> String {
    let stands = stands_at(below_m, mark, units);
    if stands.starts_with("level") {
        stands
    } else {
        format!("about {stands}")
    }
}

/// A difference with its ends: how much less or more than something else.
///
/// ```
/// use moulder::Interval;
/// use moulder_words::range::less_to_more;
///
/// let band = Interval { lower: -4.0, upper: 2.0, ..Interval::known(-1.0) };
/// let (middle, range) = less_to_more(&band, "more", |figure| format!("{figure:.0} kg"));
/// assert_eq!(middle, "about 1 kg less");
/// assert_eq!(range, " (8 in 10: 4 kg less to 2 kg more)");
/// ```
///
/// The mean, and the ends in brackets with a space before; no ends where they read the same.
#[must_use]
pub fn less_to_more(band: &Interval, more: &str, tell: impl Fn(f64) -> String) -> (String, String) {
    let is_nothing = |figure: f64| {
        let text = tell(figure.abs());
        text == "0" || text == "0.00" || text.starts_with("0 ")
    };
    let way = |figure: f64| if figure < 0.0 { "less" } else { more };
    let told = |figure: f64| {
        if is_nothing(figure) {
            "the same".to_owned()
        } else {
            format!("{} {}", tell(figure.abs()), way(figure))
        }
    };
    let (low, middle, high) = (told(band.lower), told(band.mean), told(band.upper));
    let middle = format!("about {middle}");
    if low == high {
        return (middle, String::new());
    }
    // The smaller end comes first where both go the same way.
    let range = if band.upper < 0.0 && !is_nothing(band.upper) {
        from_to(&tell(-band.upper), &tell(-band.lower)) + " less"
    } else if band.lower > 0.0 && !is_nothing(band.lower) {
        format!("{} {more}", from_to(&tell(band.lower), &tell(band.upper)))
    } else {
        format!("{low} to {high}")
    };
    (middle, format!(" (8 in 10: {range})"))
}

/// "14 Mar 2027", or "between Oct 2026 and Mar 2027".
#[must_use]
pub fn on_or_between(dates: &DateInterval) -> String {
    if dates.lower == dates.upper {
        return format!("on {}", spoken_date(dates.lower));
    }
    let (low, high) = (month_of(dates.lower), month_of(dates.upper));
    if low == high {
        return format!("in {low}");
    }
    format!("between {low} and {high}")
}

/// "2027-03-14", "Jul 2026", "May to Aug 2026" or "Oct 2026 to Mar 2027": for a table.
#[must_use]
pub fn date_or_months(dates: &DateInterval) -> String {
    if dates.lower == dates.upper {
        return dates.lower.to_string();
    }
    let (low, high) = (month_of(dates.lower), month_of(dates.upper));
    if low == high {
        return low;
    }
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((month, year)), Some((_, same))) if year == same => format!("{month} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// "Mar 2027".
fn month_of(date: Date) -> String {
    let spoken = spoken_date(date);
    let month = spoken.split_once(' ').map(|(_, month)| month.to_owned());
    month.unwrap_or(spoken)
}

/// A share of the realisations: "in 7 of 10 such beds".
///
/// ```
/// use moulder_words::range::of_ten;
///
/// assert_eq!(of_ten(0.72), "in 7 of 10 such beds");
/// assert_eq!(of_ten(0.99), "in nearly all such beds");
/// assert_eq!(of_ten(0.01), "in hardly any such bed");
/// ```
#[must_use]
pub fn of_ten(share: f64) -> String {
    let tenths = (share * 10.0).round();
    if tenths <= 0.0 {
        "in hardly any such bed".to_owned()
    } else if tenths >= 10.0 {
        "in nearly all such beds".to_owned()
    } else {
        format!("in {tenths:.0} of 10 such beds")
    }
}

#[cfg(test)]
mod tests {
    use super::date_or_months;
    use moulder::purchases::DateInterval;

    #[test]
    fn months_of_one_year_name_it_once() {
        let told = |low: &str, high: &str| {
            date_or_months(&DateInterval {
                lower: low.parse().unwrap(),
                median: low.parse().unwrap(),
                upper: high.parse().unwrap(),
            })
        };
        assert_eq!(told("2027-03-14", "2027-03-14"), "2027-03-14");
        assert_eq!(told("2027-03-01", "2027-03-14"), "Mar 2027");
        assert_eq!(told("2026-05-14", "2026-08-14"), "May to Aug 2026");
        assert_eq!(told("2026-10-14", "2027-03-14"), "Oct 2026 to Mar 2027");
    }
}
