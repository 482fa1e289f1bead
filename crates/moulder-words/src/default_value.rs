//! The place of a default, in words.

use moulder::Bed;
use moulder::filled::DefaultUsed;
use moulder::internals::text::phrase::layer as layer_in_words;
use moulder::internals::uncertainty::parameter::ingredients;

/// Where a JSON Pointer of a [`DefaultUsed`] leads: its rank in
/// a listing from the ground up, and the place in words.
fn place(bed: &Bed, path: &str) -> ((usize, usize), String) {
    let steps: Vec<&str> = path.split('/').skip(1).collect();
    let number = |index: usize| steps.get(index).and_then(|step| step.parse::<usize>().ok());
    if steps.first() == Some(&"layer")
        && let Some(index) = number(1)
        && let Some(layer) = bed.layers().get(index)
    {
        return match number(3).and_then(|put| Some((put, layer.put.get(put)?))) {
            Some((put, found)) => (
                (index + 1, put + 1),
                format!("layer {}, {}", index + 1, found.material.name),
            ),
            None => ((index + 1, 0), layer_in_words(index + 1, &layer.name)),
        };
    }
    if steps.first() == Some(&"added")
        && let Some(index) = number(1)
    {
        return (
            (usize::MAX, index),
            format!("addition {} of the file", index + 1),
        );
    }
    let name = match steps.first() {
        Some(&"bed") => "the bed",
        Some(&"measures") => "the measures",
        Some(&"water") if steps.len() > 1 => "the watering",
        _ => "the file",
    };
    ((0, 0), name.to_owned())
}

/// The width that a default adds to the interval of the surface, to sort by; m. What has none
/// comes last.
fn width_m(assumed: &DefaultUsed) -> f64 {
    let none_m = if assumed.is_width_left_out {
        -1.0
    } else {
        -2.0
    };
    assumed.width_it_adds_m.unwrap_or(none_m)
}

/// Defaults with their places in words: from the ground up or, by width, what moves the surface
/// most first.
#[must_use]
pub fn in_order<'d>(
    bed: &Bed,
    defaults: &'d [DefaultUsed],
    is_by_width: bool,
) -> Vec<(String, &'d DefaultUsed)> {
    let placed = defaults.iter().map(|one| (place(bed, &one.path), one));
    let mut all: Vec<_> = placed.collect();
    all.sort_by_key(|((order, _), _)| *order);
    if is_by_width {
        all.sort_by(|(_, one), (_, other)| width_m(other).total_cmp(&width_m(one)));
    }
    all.into_iter()
        .map(|((_, name), one)| (name, one))
        .collect()
}

/// What stands for the width of a default that has none: a question mark where it was left
/// out, and else a hyphen.
#[must_use]
pub const fn no_width(assumed: &DefaultUsed) -> &'static str {
    if assumed.is_width_left_out { "?" } else { "-" }
}

/// The sentence about defaults whose width was left out; none where none was.
#[must_use]
pub fn widths_left_out(bed: &Bed, defaults: &[DefaultUsed]) -> Option<String> {
    let left_out = defaults.iter().filter(|assumed| assumed.is_width_left_out);
    let count = left_out.count();
    (count > 0).then(|| {
        format!(
            "A question mark: left out, {count} times, for a bed of {} ingredients takes long to \
             forecast, and less of the fill rests on these than on what has a number.",
            ingredients(bed).len()
        )
    })
}

/// The name of the field that such a JSON Pointer leads to.
///
/// ```
/// assert_eq!(moulder_words::default_value::field("/layer/0/put/1/across"), "across");
/// ```
#[must_use]
pub fn field(path: &str) -> String {
    let last = path.rsplit('/').next().unwrap_or_default();
    // RFC 6901 writes a slash as ~1 and a tilde as ~0.
    last.replace("~1", "/").replace("~0", "~")
}
