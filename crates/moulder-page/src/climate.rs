//! Where the climate comes from.

use moulder::bed::Bed;
use moulder::station::Stations;

use crate::name::in_a_line;

/// Where the normals come from, in words.
pub(crate) fn source(bed: &Bed) -> String {
    let stations = Stations::built_in();
    let shipped = stations
        .find(&bed.climate.name)
        .filter(|station| station.climate == bed.climate);
    let said = match shipped {
        Some(station) => format!(
            "{}: {} Years {}. {}",
            bed.climate.name,
            ended(&station.source),
            station.years,
            ended(&station.licence)
        ),
        None => format!("{}: months given with the bed.", bed.climate.name),
    };
    in_a_line(&said)
}

/// With a full stop.
fn ended(text: &str) -> String {
    format!("{}.", text.trim_end_matches('.'))
}
