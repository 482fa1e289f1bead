//! Measures and money as they are typed.

use moulder::internals::quantity::measures::Measures;
use moulder::internals::quantity::parse::parse;
use moulder::internals::quantity::unit::Dimension;

/// A height or thickness above zero; m.
pub(super) fn height(text: &str) -> Result<f64, String> {
    match parse(text, &[Dimension::Length], &Measures::default()) {
        Ok(height) if height.value > 0.0 && height.value <= 5.0 => Ok(height.value),
        _ => Err(
            "it must be a height with its unit, up to 5 m, as in \"5 cm\" or \"2 in\"".to_owned(),
        ),
    }
}

/// A volume above zero; m3.
pub(super) fn volume(text: &str) -> Result<f64, String> {
    match parse(text, &[Dimension::Volume], &Measures::default()) {
        Ok(volume) if volume.value >= 1e-3 && volume.value <= 100.0 => Ok(volume.value),
        _ => Err(
            "it must be a volume with its unit, from 1 L to 100 m3, as in \"40 L\", \"1 bulk-bag\" or \"1 cu yd\""
                .to_owned(),
        ),
    }
}

/// Money, without a sign of any currency.
pub(super) fn money(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|money| (0.0..=1e9).contains(money))
        .ok_or_else(|| "it must be a number, 0 or more, as in 4.50".to_owned())
}

pub(super) fn latitude(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|latitude_deg| (-90.0..=90.0).contains(latitude_deg))
        .ok_or_else(|| {
            "it must be a number of degrees from -90 to 90, south negative, as in 52.6".to_owned()
        })
}

/// A height above the sea; m. Polders lie below it.
pub(super) fn elevation(text: &str) -> Result<f64, String> {
    let (sign, height) = match text.trim().strip_prefix('-') {
        Some(below) => (-1.0, below.trim_start()),
        None => (1.0, text),
    };
    match parse(height, &[Dimension::Length], &Measures::default()) {
        Ok(height) if height.value < 9_000.0 => Ok(sign * height.value),
        _ => Err("it must be a length with its unit, as in \"120 m\" or \"400 ft\"".to_owned()),
    }
}
