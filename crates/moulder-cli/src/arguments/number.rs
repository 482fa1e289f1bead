//! Whole numbers as they are typed.

use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::text::limit::SAMPLES_LIMIT;

pub(super) fn within(text: &str, least: u32, most: u32) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|number| (least..=most).contains(number))
        .ok_or_else(|| format!("it must be a whole number from {least} to {most}"))
}

pub(super) fn months(text: &str) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|months| *months <= MONTHS_LIMIT)
        .ok_or_else(|| {
            format!("a forecast looks 0 to {MONTHS_LIMIT} whole months ahead, a hundred years")
        })
}

pub(super) fn some_months(text: &str) -> Result<u32, String> {
    months(text)?;
    match within(text, 1, MONTHS_LIMIT) {
        Err(_) => Err("on the day of filling nothing has sunk yet; ask for 1 or more".to_owned()),
        asked => asked,
    }
}

pub(super) fn draws(text: &str) -> Result<u32, String> {
    if text.trim() == "1" {
        return Err(
            "one draw makes no range: ask for 2 or more, or 0 for the middle line alone".to_owned(),
        );
    }
    within(text, 0, SAMPLES_LIMIT)
}

pub(super) fn every(text: &str) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|every| *every > 0)
        .ok_or_else(|| "it must be a whole number, 1 or more".to_owned())
}
