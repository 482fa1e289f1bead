//! Where a default stands, in words.

use moulder::bed::Bed;

/// Where a JSON Pointer of a [`DefaultUsed`](moulder::fault::notice::DefaultUsed) leads: its rank in
/// a listing from the ground up, and the place in words.
#[must_use]
pub fn place(bed: &Bed, path: &str) -> ((usize, usize), String) {
    let steps: Vec<&str> = path.split('/').skip(1).collect();
    let number = |index: usize| steps.get(index).and_then(|step| step.parse::<usize>().ok());
    if steps.first() == Some(&"layer")
        && let Some(index) = number(1)
        && let Some(layer) = bed.layers.get(index)
    {
        return match number(3).and_then(|put| Some((put, layer.put.get(put)?))) {
            Some((put, found)) => (
                (index + 1, put + 1),
                format!("layer {}, {}", index + 1, found.material.name),
            ),
            None => (
                (index + 1, 0),
                format!("layer {} ({})", index + 1, layer.name),
            ),
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
