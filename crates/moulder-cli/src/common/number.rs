//! Numbers, measures and money as they are typed.

use std::ops::RangeBounds;
use std::str::FromStr;

use clap::Args;
use moulder::internals::quantity::measures::Measures;
use moulder::internals::quantity::parse::parse;
use moulder::internals::quantity::unit::Dimension;
use moulder::internals::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};
use moulder::internals::uncertainty::ensemble::Realisations;

/// The seed of ranges.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct SeedArguments {
    /// Another number makes up other beds like it; the same number gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,
}

/// An ensemble of that size and seed.
pub(crate) fn realisations(ensemble_size: u32, seed: u64) -> Realisations {
    Realisations {
        ensemble_size,
        seed,
        ..Realisations::default()
    }
}

/// Which months of a table are shown.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct EveryArguments {
    /// Show only every Nth month, and the last
    #[arg(long, value_name = "N", default_value = "1", value_parser = every, hide_default_value = true)]
    every: u32,
}

impl EveryArguments {
    /// Every Nth of the rows by their month, and the last.
    pub(crate) fn of<R>(self, rows: &[R], month: fn(&R) -> u32) -> Vec<&R> {
        let last = rows.last().map_or(0, month);
        let shown = rows.iter();
        shown
            .filter(|row| month(row).is_multiple_of(self.every) || month(row) == last)
            .collect()
    }
}

/// A number in that range, or else the error `said`.
pub(crate) fn number<T: FromStr + PartialOrd>(
    text: &str,
    range: impl RangeBounds<T>,
    said: impl Into<String>,
) -> Result<T, String> {
    let number = text.parse().ok().filter(|number| range.contains(number));
    number.ok_or_else(|| said.into())
}

pub(crate) fn within(text: &str, least: u32, most: u32) -> Result<u32, String> {
    let said = format!("it must be a whole number from {least} to {most}");
    number(text, least..=most, said)
}

pub(crate) fn months(text: &str) -> Result<u32, String> {
    let said = format!("a forecast looks 0 to {MONTHS_LIMIT} whole months ahead, a hundred years");
    number(text, 0..=MONTHS_LIMIT, said)
}

pub(crate) fn some_months(text: &str) -> Result<u32, String> {
    months(text)?;
    let said = "on the day of filling nothing has sunk yet; ask for 1 or more";
    number(text, 1..=MONTHS_LIMIT, said)
}

/// The size of an ensemble: zero for the nominal run alone, or two and more.
pub(crate) fn draws(text: &str) -> Result<u32, String> {
    if text.trim() == "1" {
        return Err(
            "one bed makes no range: ask for 2 or more, or 0 for one run with the best figures"
                .to_owned(),
        );
    }
    within(text, 0, SAMPLES_LIMIT)
}

/// The same, and never without.
pub(crate) fn some_draws(text: &str) -> Result<u32, String> {
    draws_from(text, 2)
}

/// The size of an ensemble that must have so many.
pub(crate) fn draws_from(text: &str, least: u32) -> Result<u32, String> {
    draws(text)?;
    within(text, least, 10_000)
}

fn every(text: &str) -> Result<u32, String> {
    number(text, 1.., "it must be a whole number, 1 or more")
}

/// Money, without a sign of any currency.
pub(crate) fn money(text: &str) -> Result<f64, String> {
    number(
        text,
        0.0..=1e9,
        "it must be a number, 0 or more, as in 4.50",
    )
}

pub(crate) fn latitude(text: &str) -> Result<f64, String> {
    let said = "it must be a number of degrees from -90 to 90, south negative, as in 52.6";
    number(text, -90.0..=90.0, said)
}

/// A measure with its unit, in metres or cubic metres, or else the error `said`.
fn measure(
    text: &str,
    dimension: Dimension,
    will_do: impl Fn(f64) -> bool,
    said: &str,
) -> Result<f64, String> {
    match parse(text, &[dimension], &Measures::default()) {
        Ok(measure) if will_do(measure.value) => Ok(measure.value),
        _ => Err(said.to_owned()),
    }
}

/// A height or thickness above zero; m.
pub(crate) fn height(text: &str) -> Result<f64, String> {
    let said = "it must be a height with its unit, up to 5 m, as in \"5 cm\" or \"2 in\"";
    measure(text, Dimension::Length, |m| m > 0.0 && m <= 5.0, said)
}

/// A volume above zero; m3.
pub(crate) fn volume(text: &str) -> Result<f64, String> {
    let said = "it must be a volume with its unit, from 1 L to 100 m3, as in \"40 L\", \
                \"1 bulk-bag\" or \"1 cu yd\"";
    let range = 1e-3..=100.0;
    measure(text, Dimension::Volume, |m3| range.contains(&m3), said)
}

/// A height above the sea; m. Polders lie below it.
pub(crate) fn elevation(text: &str) -> Result<f64, String> {
    let (sign, height) = match text.trim().strip_prefix('-') {
        Some(below) => (-1.0, below.trim_start()),
        None => (1.0, text),
    };
    let said = "it must be a length with its unit, as in \"120 m\" or \"400 ft\"";
    measure(height, Dimension::Length, |m| m < 9_000.0, said).map(|height_m| sign * height_m)
}
