//! Where the climate comes from.

use moulder::Bed;
use moulder::Library;
use moulder_words::climate::{CREDIT, estimate_in_words};

use crate::name::in_a_line;

/// Where the normals of beds come from, in words, each once.
pub(crate) fn sources(beds: &[&Bed]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for bed in beds {
        let said = source(bed);
        if !all.contains(&said) {
            all.push(said);
        }
    }
    all
}

fn source(bed: &Bed) -> String {
    if let Some(said) = estimate_in_words(bed.climate(), bed.units()) {
        return in_a_line(&format!("{said} {CREDIT}"));
    }
    let library = Library::built_in();
    let shipped = library
        .find_station(&bed.climate().name)
        .filter(|station| station.climate == *bed.climate());
    let said = match shipped {
        Some(station) => format!(
            "{}: {} Years {}. {}",
            bed.climate().name,
            ended(&station.source),
            station.years,
            ended(&station.licence)
        ),
        None => format!("{}: months given with the bed.", bed.climate().name),
    };
    in_a_line(&said)
}

/// With a full stop.
fn ended(text: &str) -> String {
    format!("{}.", text.trim_end_matches('.'))
}
