//! What was assumed where a bed file is silent.

use moulder::bed::Bed;
use moulder::notice::DefaultUsed;

use crate::lines::{TextWidth, counted, wrapped};

/// How many values were assumed, and how to see them.
pub(crate) fn in_short(bed: &Bed) -> String {
    let said = match bed.defaults.len() {
        0 => "Nothing was assumed: the bed file says it all.".to_owned(),
        count => format!(
            "{} assumed where the bed file is silent; --defaults lists them.",
            counted(count, "value was", "values were")
        ),
    };
    format!("\n{}", wrapped(&said, TextWidth::PLAIN))
}

/// Every value that was assumed, place by place, from the ground up.
pub(crate) fn listed(bed: &Bed, with_sources: bool) -> String {
    if bed.defaults.is_empty() {
        return in_short(bed);
    }
    let mut said = String::from("\nAssumed where the bed file is silent:\n");
    for (place, here) in by_place(bed) {
        if with_sources {
            said.push('\n');
            said.push_str(&wrapped(&place, TextWidth::hanging(2, 6)));
            for assumed in here {
                let (field, value) = (field(&assumed.path), &assumed.value);
                let text = format!("{field} = {value}, from: {}", assumed.source);
                said.push_str(&wrapped(&text, TextWidth::hanging(4, 8)));
            }
        } else {
            let values: Vec<String> = here
                .iter()
                .map(|assumed| format!("{} {}", field(&assumed.path), assumed.value))
                .collect();
            let text = format!("{place}: {}", values.join(", "));
            said.push_str(&wrapped(&text, TextWidth::hanging(2, 6)));
        }
    }
    said
}

/// The values of each place together, in the order of the file.
fn by_place(bed: &Bed) -> Vec<(String, Vec<&DefaultUsed>)> {
    let mut places: Vec<((usize, usize), String, Vec<&DefaultUsed>)> = Vec::new();
    for assumed in &bed.defaults {
        let (order, name) = place(bed, &assumed.path);
        match places.iter_mut().find(|(_, known, _)| *known == name) {
            Some((_, _, here)) => here.push(assumed),
            None => places.push((order, name, vec![assumed])),
        }
    }
    places.sort_by_key(|(order, _, _)| *order);
    places
        .into_iter()
        .map(|(_, name, here)| (name, here))
        .collect()
}

/// Where a JSON Pointer leads: its rank in the listing, and the place in words.
fn place(bed: &Bed, path: &str) -> ((usize, usize), String) {
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

/// The name of the field that a JSON Pointer leads to.
fn field(path: &str) -> String {
    let last = path.rsplit('/').next().unwrap_or_default();
    // RFC 6901 writes a slash as ~1 and a tilde as ~0.
    last.replace("~1", "/").replace("~0", "~")
}
