//! `moulder new`: a bed file or a plan file to start from. What fills its holes: a table a starter,
//! a column a unit.

use clap::{Args, ValueEnum};

use crate::common::output::{Destination, Output};
use crate::common::units::UnitsName;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// A bed, by what holds the filling, or a plan
    #[arg(value_enum, value_name = "WHAT")]
    pub(crate) shape: StarterShape,

    /// The units it is written in
    #[arg(long, value_enum, value_name = "UNITS", default_value = "metric")]
    pub(crate) units: UnitsName,

    /// Where on earth: decides the day of filling and the climate
    #[arg(long, value_enum, value_name = "HALF", default_value = "north")]
    pub(crate) hemisphere: Hemisphere,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

/// The shapes that there is a starter for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StarterShape {
    /// Upright walls on a rectangle: boards, sleepers, bricks
    Box,
    /// Upright walls on a circle: a ring, a tank, a round planter
    Round,
    /// A cloth bag, such as a builder's bulk bag
    Bag,
    /// A heap with sloping sides and no walls
    Mound,
    /// What is at hand for a bed and how it shall stand, for moulder plan
    Plan,
}

/// Halves of the earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Hemisphere {
    /// North of the equator
    North,
    /// South of the equator, where spring begins in September
    South,
}

/// A hole, with what fills it for metric, US and UK garden units.
type Row = (&'static str, [&'static str; 3]);

/// Fills every shape.
const ALL: &[Row] = &[
    ("units", ["metric", "us", "uk-garden"]),
    (
        "or_units",
        [
            "or \"us\", or \"uk-garden\": inches and litres",
            "or \"metric\", \"uk-garden\": inches and litres",
            "or \"metric\", or \"us\"",
        ],
    ),
    ("a_thickness", ["25 cm", "10 in", "10 in"]),
    ("a_volume", ["170 L", "1/2 cu yd", "170 L"]),
    ("a_weight", ["40 kg", "90 lb", "40 kg"]),
    ("tape", ["1 cm", "1/2 in", "1/2 in"]),
    ("water", ["20 L", "5 US gal", "20 L"]),
    ("nitrogen", ["5 g", "0.2 oz", "5 g"]),
];

const BOX: &[Row] = &[
    ("name", ["Plank box behind the old dairy"; 3]),
    ("measure", [BARROW, US_BARROW, BARROW]),
    ("a_measured", ["3 barrow"; 3]),
    ("width", ["1 m", "3 ft", "3 ft 3 in"]),
    ("length", ["2 m", "6 ft 6 in", "6 ft 6 in"]),
    ("rim", ["80 cm", "32 in", "32 in"]),
    ("logs", ["25 cm", "10 in", "10 in"]),
    ("log", ["12 cm", "5 in", "5 in"]),
    ("prunings", ["4 barrow", "11 cu ft", "4 barrow"]),
    ("leaves", ["2 barrow", "1/4 cu yd", "2 barrow"]),
    ("turf", ["8 cm", "3 in", "3 in"]),
    ("compost", ["12 cm", "5 in", "5 in"]),
    ("soil", ["15 cm", "6 in", "6 in"]),
    ("reading", ["14 cm", "5 1/2 in", "5 1/2 in"]),
];

const ROUND: &[Row] = &[
    ("name", ["Ring by the well"; 3]),
    ("measure", [BUCKET, US_BUCKET, BUCKET]),
    ("a_measured", ["9 bucket"; 3]),
    ("across", ["1.5 m", "5 ft", "5 ft"]),
    ("rim", ["60 cm", "2 ft", "2 ft"]),
    ("logs", ["18 cm", "7 in", "7 in"]),
    ("twig", ["15 mm", "1/2 in", "1/2 in"]),
    ("prunings", ["200 L", "1/4 cu yd", "200 L"]),
    ("grass", ["9 bucket"; 3]),
    ("card", ["1 cm", "1/2 in", "1/2 in"]),
    ("compost", ["12 cm", "5 in", "5 in"]),
    ("soil", ["15 cm", "6 in", "6 in"]),
    ("reading", ["9 cm", "3 1/2 in", "3 1/2 in"]),
];

const BAG: &[Row] = &[
    ("name", ["Bag at the end of the drive"; 3]),
    ("measure", [BARROW, US_BARROW, BARROW]),
    ("a_measured", ["3 barrow"; 3]),
    ("width", ["85 cm", "34 in", "34 in"]),
    ("rim", ["85 cm", "34 in", "34 in"]),
    ("logs", ["30 cm", "12 in", "12 in"]),
    ("log", ["10 cm", "4 in", "4 in"]),
    ("prunings", ["2 barrow", "5 1/2 cu ft", "2 barrow"]),
    ("grass", ["1 barrow", "3 cu ft", "1 barrow"]),
    ("turf", ["12 cm", "5 in", "5 in"]),
    ("soil", ["15 cm", "6 in", "6 in"]),
    ("reading", ["16 cm", "6 1/2 in", "6 1/2 in"]),
];

const MOUND: &[Row] = &[
    ("name", ["Long mound under the damsons"; 3]),
    ("measure", [BARROW, US_BARROW, BARROW]),
    ("a_measured", ["3 barrow"; 3]),
    ("width", ["1.8 m", "6 ft", "6 ft"]),
    ("length", ["4 m", "13 ft", "13 ft"]),
    ("trench", ["20 cm", "8 in", "8 in"]),
    ("logs", ["900 L", "1 1/4 cu yd", "900 L"]),
    ("log", ["20 cm", "8 in", "8 in"]),
    ("prunings", ["5 barrow", "1/2 cu yd", "5 barrow"]),
    ("turf", ["3 barrow", "8 cu ft", "3 barrow"]),
    ("leaves", ["2 barrow", "1/4 cu yd", "2 barrow"]),
    ("compost", ["2 barrow", "1/4 cu yd", "2 barrow"]),
    ("soil", ["6 barrow", "3/4 cu yd", "6 barrow"]),
    ("reading", ["42 cm", "16 1/2 in", "16 1/2 in"]),
];

/// Prices are invented.
const PLAN: &[Row] = &[
    ("name", ["Box along the orchard fence"; 3]),
    ("money", ["EUR", "$", "GBP"]),
    ("measure", [BARROW, US_BARROW, BARROW]),
    ("a_measured", ["3 barrow"; 3]),
    ("width", ["1 m", "3 ft", "3 ft 3 in"]),
    ("length", ["2 m", "6 ft 6 in", "6 ft 6 in"]),
    ("rim", ["50 cm", "20 in", "20 in"]),
    ("soil", ["20 cm", "8 in", "8 in"]),
    ("logs", ["260 L", "9 cu ft", "260 L"]),
    ("log", ["12 cm", "5 in", "5 in"]),
    ("prunings", ["5 barrow", "14 cu ft", "5 barrow"]),
    ("leaves", ["3 barrow", "1/4 cu yd", "3 barrow"]),
    ("grass", ["25 kg", "55 lb", "25 kg"]),
    ("card", ["40 L", "1 1/2 cu ft", "40 L"]),
    ("soil_price", ["4.50", "6.50", "4.20"]),
    ("soil_pack", ["40 L", "1 1/2 cu ft", "40 L"]),
    ("compost_price", ["5.50", "7.00", "5.00"]),
    ("compost_pack", ["50 L", "2 cu ft", "50 L"]),
];

/// Common practice, no source: what a level garden barrow or bucket holds.
const BARROW: &str = "barrow = \"80 L\"";
const US_BARROW: &str = "barrow = \"3 cu ft\"";
const BUCKET: &str = "bucket = \"12 L\"";
const US_BUCKET: &str = "bucket = \"3 US gal\"";

/// Writes a starter where it was asked for.
pub(crate) fn answer(asked: &NewArguments) -> Result<(), Trouble> {
    let output = Output::open(&asked.destination, &[])?;
    let (usual, next) = match asked.shape {
        StarterShape::Plan => ("plan.toml", "ask moulder plan what to fill in"),
        _ => ("bed.toml", "look at it with moulder check"),
    };
    let file = output.name().unwrap_or_else(|| usual.to_owned());
    output.put(
        &starter(asked.shape, asked.units, asked.hemisphere, &file),
        &format!("Make it your own in any text editor, then {next}."),
    )
}

/// The template of a shape and its table.
const fn template(shape: StarterShape) -> (&'static str, &'static [Row]) {
    match shape {
        StarterShape::Box => (include_str!("../../starters/box.toml"), BOX),
        StarterShape::Round => (include_str!("../../starters/round.toml"), ROUND),
        StarterShape::Bag => (include_str!("../../starters/bag.toml"), BAG),
        StarterShape::Mound => (include_str!("../../starters/mound.toml"), MOUND),
        StarterShape::Plan => (include_str!("../../starters/plan.toml"), PLAN),
    }
}

/// The day a starter was filled and the day of its reading, half a year later. In the
/// south all are filled in September, when spring begins there.
const fn days(shape: StarterShape, hemisphere: Hemisphere) -> (&'static str, &'static str) {
    match (hemisphere, shape) {
        (Hemisphere::South, _) => ("2026-09-12", "2027-03-12"),
        (Hemisphere::North, StarterShape::Box) => ("2026-04-11", "2026-10-11"),
        (Hemisphere::North, StarterShape::Round) => ("2026-10-03", "2027-04-03"),
        (Hemisphere::North, StarterShape::Bag) => ("2026-03-28", "2026-09-28"),
        (Hemisphere::North, StarterShape::Mound) => ("2026-11-07", "2027-05-07"),
        (Hemisphere::North, StarterShape::Plan) => ("2026-10-17", "2027-04-17"),
    }
}

/// The starter of that shape, in those units, as a TOML text that reads without fault.
/// `file` is what its notes call it.
fn starter(shape: StarterShape, units: UnitsName, hemisphere: Hemisphere, file: &str) -> String {
    let (template, table) = template(shape);
    let column = match units {
        UnitsName::Metric => 0,
        UnitsName::Us => 1,
        UnitsName::UkGarden => 2,
    };
    let climate = match (hemisphere, units) {
        (Hemisphere::South, _) => "Hobart AU",
        (Hemisphere::North, UnitsName::Us) => "Ann Arbor US",
        (Hemisphere::North, _) => "Cambridge UK",
    };
    let (filled, read) = days(shape, hemisphere);
    let mut holes = vec![
        ("file", file),
        ("climate", climate),
        ("filled", filled),
        ("read", read),
    ];
    let rows = ALL.iter().chain(table);
    holes.extend(rows.map(|(hole, texts)| (*hole, texts[column])));
    template
        .lines()
        .map(|line| filled_in(line, &holes))
        .collect()
}

/// A line with its holes filled, its note set where notes stand, and a line end.
fn filled_in(line: &str, holes: &[(&str, &str)]) -> String {
    /// Where a note begins, so that notes stand under each other; characters.
    const NOTE: usize = 34;
    let mut line = line.to_owned();
    for (hole, text) in holes {
        line = line.replace(&format!("{{{hole}}}"), text);
    }
    match line.split_once("  # ") {
        Some((before, note)) => format!("{before:NOTE$}# {note}\n"),
        None => line + "\n",
    }
}

#[cfg(test)]
mod tests {
    use clap::ValueEnum;
    use moulder::internals::forecast::forecast;
    use moulder::internals::forecast::progress::unwatched;
    use moulder::internals::library::Library;
    use moulder::internals::plan::plan;
    use moulder::internals::quantity::units::Units;
    use moulder::internals::read::{read_plan_toml, read_toml};

    use super::*;

    /// Every starter of these shapes, with its name and units.
    fn starters(shapes: &[StarterShape]) -> Vec<(String, UnitsName, Hemisphere, String)> {
        let mut all = Vec::new();
        for shape in shapes {
            for units in UnitsName::value_variants() {
                for hemisphere in Hemisphere::value_variants() {
                    let text = starter(*shape, *units, *hemisphere, "bed.toml");
                    let name = format!("{shape:?} {units:?} {hemisphere:?}");
                    all.push((name, *units, *hemisphere, text));
                }
            }
        }
        all
    }

    /// A plan that was not touched is answered: with more than one fill, each of which meets what
    /// is wanted and keeps the rules.
    #[test]
    fn every_plan_to_start_from_is_answered() {
        for (name, units, hemisphere, text) in starters(&[StarterShape::Plan]) {
            assert!(text.contains("moulder plan bed.toml"), "{name}");
            let request = read_plan_toml(&text, &Library::built_in());
            let request = request.unwrap_or_else(|faults| panic!("{name}: {faults}"));
            assert_eq!(request.units(), Units::from(units), "{name}");
            let south = hemisphere == Hemisphere::South;
            assert_eq!(request.climate().latitude_deg < 0.0, south, "{name}");
            let answer = plan(&request.ensemble_size(4), &unwatched).unwrap();
            assert!(answer.fills.len() > 1, "{name}: {:?}", answer.shortfall);
            for fill in &answer.fills {
                let shorts = (fill.height_short_m, fill.soil_short_m);
                assert_eq!(shorts, (0.0, 0.0), "{name}: {:?}", fill.aims);
                assert!(fill.on_the_mark && fill.bent.is_empty(), "{name}");
            }
        }
    }

    #[test]
    fn every_starter_can_be_read_and_forecast() {
        let library = Library::built_in();
        let shapes = StarterShape::value_variants().iter().copied();
        let beds: Vec<StarterShape> = shapes.filter(|is| *is != StarterShape::Plan).collect();
        let all = starters(&beds);
        assert_eq!(all.len(), 24);
        for (name, units, hemisphere, text) in all {
            // As it is, and with all that waits behind a #.
            let lines = text.lines().map(|line| match line.strip_prefix("# ") {
                Some(rest) if rest.starts_with('[') || rest.contains(" = ") => rest,
                _ => line,
            });
            let whole: Vec<&str> = lines.collect();
            let more = read_toml(&whole.join("\n"), &library);
            let more = more.unwrap_or_else(|faults| panic!("{name}: {faults}"));
            assert!(
                more.notices().is_empty() && more.readings().len() == 1,
                "{name}"
            );

            let bed = read_toml(&text, &library);
            let bed = bed.unwrap_or_else(|faults| panic!("{name}: {faults}"));
            assert_eq!(bed.notices(), Vec::new(), "{name}");
            assert_eq!(bed.units(), Units::from(units), "{name}");
            let south = hemisphere == Hemisphere::South;
            assert_eq!(bed.climate().latitude_deg < 0.0, south, "{name}");
            assert!(!south || bed.filled().month() == 9, "{name}");
            let year = forecast(&bed, 12, &unwatched).unwrap();
            assert!(year.months[12].settlement_m > 0.01, "{name} hardly sinks");
            // Nobody wants a starter that runs over its rim or stays half empty.
            let below_m = year.months[0].below_rim_m.unwrap_or(0.0);
            assert!((-0.10..0.10).contains(&below_m), "{name}: {below_m}");
        }
    }

    #[test]
    fn starters_fit_the_screen_and_have_no_holes_left() {
        for (name, units, _, text) in starters(StarterShape::value_variants()) {
            for line in text.lines() {
                assert!(line.chars().count() <= 80, "{name}: {line}");
                let hole = line.split('{').skip(1).any(|rest| !rest.starts_with(' '));
                assert!(!hole, "{name}: {line}");
            }
            let asks = ["moulder forecast bed.toml", "moulder plan bed.toml"];
            assert!(asks.iter().any(|asks| text.contains(asks)), "{name}");
            let inches = text.contains(" in\"");
            assert_eq!(inches, units != UnitsName::Metric, "{name}");
            let cubic = text.contains(" cu ") && !text.contains(" L\"");
            assert_eq!(cubic, units == UnitsName::Us, "{name}");
        }
    }
}
