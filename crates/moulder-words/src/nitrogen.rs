//! The nitrogen of a bed in words.
//!
//! ```
//! use moulder::Bed;
//! use moulder_words::nitrogen::nitrogen_in_a_sentence;
//!
//! let forecast = Bed::example().forecast().months(12).ensemble_size(0).run()?;
//! assert!(nitrogen_in_a_sentence(&forecast).is_some_and(|words| words.contains("nitrogen")));
//! # Ok::<(), moulder::Error>(())
//! ```

use moulder::Forecast;
use moulder::internals::text::month::MONTHS;
use moulder::months::month_day;
use moulder::months::{NitrogenYear, Suits};

/// Years that are described.
const YEARS_TOLD: usize = 3;
/// Least shortage that is mentioned; g.
const LEAST_LACKING_G: f64 = 0.5;

/// Nitrogen for a crop in the first three years, the months in which it runs short, and the
/// feed that would make up for it; equal years are put together. None for less than a year, or
/// where nothing grows.
#[must_use]
pub fn nitrogen_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let years = &forecast.nitrogen_years;
    let years = &years[..years.len().min(YEARS_TOLD)];
    let told: Vec<String> = years
        .chunk_by(|one, next| one.suits == next.suits)
        .map(|alike| of_years(forecast, alike))
        .collect();
    if told.is_empty() {
        return None;
    }
    Some(format!(
        "{} Nitrogen is the least certain figure here: watch the leaves, and have the soil \
         tested before you feed much.",
        told.join(" ")
    ))
}

/// Years in a row that suit the same crops.
fn of_years(forecast: &Forecast, years: &[NitrogenYear]) -> String {
    let (first, last) = match years {
        [] => return String::new(),
        [only] => (only, only),
        [first, .., last] => (first, last),
    };
    let opens = match (first.year, last.year) {
        (1, 1) => "In its first year".to_owned(),
        (1, 2) => "In its first two years".to_owned(),
        (1, _) => "In its first three years".to_owned(),
        (2, 2) => "In its second year".to_owned(),
        (2, _) => "In its second and third year".to_owned(),
        _ => "In its third year".to_owned(),
    };
    let feeds = match first.suits {
        Suits::Hungry => "the bed feeds hungry crops such as cabbages and squash",
        Suits::Modest => "the bed feeds modest crops such as lettuce and carrots",
        Suits::Peas => "the bed feeds little but peas and beans",
    };
    let lacking_g = years.iter().map(|year| year.lacking_g).fold(0.0, f64::max);
    let short: Vec<u32> = years
        .iter()
        .flat_map(|year| year.short_months.iter().copied())
        .collect();
    let Some(months) = months_named(forecast, &short).filter(|_| lacking_g >= LEAST_LACKING_G)
    else {
        return format!("{opens} {feeds}.");
    };
    let shares = years
        .iter()
        .map(|year| year.crop_uptake_g_m2 / year.crop_demand_g_m2);
    let (least, most) = shares.fold((f64::INFINITY, 0.0), |(least, most), share: f64| {
        (share.min(least), share.max(most))
    });
    let (least, most) = (
        format!("{:.0}", 100.0 * least),
        format!("{:.0}", 100.0 * most),
    );
    let share = if least == most {
        format!("{least} %")
    } else {
        format!("{least} to {most} %")
    };
    format!(
        "{opens} {feeds}: {} one finds {share} of the nitrogen it wants and runs short {months}.",
        forecast.crop.article_and_name(),
    )
}

/// From so many months of the year on, a shortage is "most of the year".
const MOST_MONTHS: usize = 7;

/// The months of the year in which a crop is short, by the rows it is short in: "from May
/// to July", "in April and August", "most of the year".
fn months_named(forecast: &Forecast, rows: &[u32]) -> Option<String> {
    let filled = forecast.filled;
    // A row stands at the end of its month: the month is the one it began in.
    let number = |row: u32| {
        let month = month_day(filled, row.saturating_sub(1)).month();
        usize::try_from(month - 1).unwrap_or(0)
    };
    months_of_the_year(core::array::from_fn(|month| {
        rows.iter().any(|row| number(*row) == month)
    }))
}

/// Months of the year, January first: "from May to July"; none where there is none.
pub(crate) fn months_of_the_year(is_short: [bool; 12]) -> Option<String> {
    let count = is_short.iter().filter(|short| **short).count();
    if count == 0 {
        return None;
    }
    if count >= MOST_MONTHS {
        return Some("most of the year".to_owned());
    }
    // Runs of months, which may go over the turn of the year.
    let begins = (0..12).filter(|&month| is_short[month] && !is_short[(month + 11) % 12]);
    let runs: Vec<String> = begins
        .map(|first| {
            let length = (0..12)
                .take_while(|step| is_short[(first + step) % 12])
                .count();
            match length {
                1 => format!("in {}", MONTHS[first]),
                2 => format!("in {} and {}", MONTHS[first], MONTHS[(first + 1) % 12]),
                _ => format!(
                    "from {} to {}",
                    MONTHS[first],
                    MONTHS[(first + length - 1) % 12]
                ),
            }
        })
        .collect();
    match runs.as_slice() {
        [] => None,
        [only] => Some(only.clone()),
        [rest @ .., last] => Some(format!("{} and {last}", rest.join(", "))),
    }
}
