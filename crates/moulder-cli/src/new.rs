//! `moulder new`: bed files to start from.

use crate::arguments::StarterShape;

/// The starter of that shape, as a TOML text that reads without fault.
pub(crate) const fn starter(shape: StarterShape) -> &'static str {
    match shape {
        StarterShape::Box => include_str!("../starters/box.toml"),
        StarterShape::Round => include_str!("../starters/round.toml"),
        StarterShape::Bag => include_str!("../starters/bag.toml"),
        StarterShape::Mound => include_str!("../starters/mound.toml"),
    }
}

#[cfg(test)]
mod tests {
    use clap::ValueEnum;
    use moulder::catalogue::Catalogue;
    use moulder::forecast::forecast;
    use moulder::read::read_toml;
    use moulder::station::Stations;
    use moulder::watcher::Unwatched;

    use super::{StarterShape, starter};

    #[test]
    fn every_starter_can_be_read_and_forecast() {
        for shape in StarterShape::value_variants() {
            let text = starter(*shape);
            let bed = read_toml(text, &Catalogue::built_in(), &Stations::built_in());
            let bed = bed.unwrap_or_else(|faults| panic!("{shape:?}: {faults}"));
            assert_eq!(bed.notices, Vec::new(), "{shape:?}");
            let year = forecast(&bed, 12, &mut Unwatched).unwrap();
            assert!(year.months[12].sunk_m > 0.01, "{shape:?} hardly sinks");
            // Nobody wants a starter that runs over its rim or stays half empty.
            let below_m = year.months[0].below_rim_m.unwrap_or(0.0);
            assert!((-0.10..0.10).contains(&below_m), "{shape:?}: {below_m}");
        }
    }

    #[test]
    fn starters_fit_the_screen_and_say_what_to_do() {
        for shape in StarterShape::value_variants() {
            let text = starter(*shape);
            assert!(
                text.lines().all(|line| line.chars().count() <= 80),
                "{shape:?}"
            );
            assert!(text.contains("moulder forecast"), "{shape:?}");
        }
    }
}
