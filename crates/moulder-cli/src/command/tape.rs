//! `moulder tape`: a tape measure reading, written into the bed file.

use std::fmt::Write;

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::fit::reading_error::TAPE_M;
use moulder::internals::numeric::prior::TENTH_Z;
use moulder::internals::quantity::height::reading;
use moulder::internals::quantity::measures::Measures;
use moulder::internals::quantity::parse::parse;
use moulder::internals::quantity::unit::Dimension;
use moulder::internals::quantity::units::Units;
use moulder_words::forecast::spoken_date;

use crate::common::bed_file::BedArguments;
use crate::common::entries::Entry;
use crate::common::record::{Cell, Fields, List, Record, RecordArguments, of, one_spaced};
use crate::print::lines::safe;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct TapeArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How far the soil lies below the rim, with its unit, as in "31 cm" or "12 1/2 in"; "3 cm
    /// above" where it stands above the rim. Several spots of one day give their mean
    #[arg(index = 2, value_name = "DEPTH", required_unless_present_any = ["undo", "list"],
          conflicts_with_all = ["undo", "list"])]
    pub(crate) spots: Vec<String>,

    /// It was measured from the ground beside the bed up to the soil; the only way for a mound
    #[arg(long, conflicts_with_all = ["undo", "list"])]
    pub(crate) height: bool,

    /// How far the tape may be off, 8 times in 10, as in "1 cm"; if nothing is said, 1 cm,
    /// and more where several spots lie far apart
    #[arg(long, value_name = "LENGTH", conflicts_with_all = ["undo", "list"])]
    pub(crate) give_or_take: Option<String>,

    /// Anything worth remembering, as in "after heavy rain"
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["undo", "list"])]
    pub(crate) note: Option<String>,

    /// Put it in place of what was read on the same day
    #[arg(long, conflicts_with_all = ["undo", "list"])]
    pub(crate) replace: bool,

    #[command(flatten)]
    pub(crate) record: RecordArguments,
}

/// The readings of a bed file.
static READINGS: List = List {
    name: "reading",
    one: "tape reading",
    example: "moulder tape my-bed.toml \"31 cm\"",
    in_words,
};

/// What stands after a length that was measured from the rim, and whether it is above it.
const FROM_RIM: [(&str, bool); 4] = [
    ("above the rim", true),
    ("above", true),
    ("below the rim", false),
    ("below", false),
];
/// What may stand after a height.
const FROM_GROUND: [(&str, bool); 2] = [("above the ground", false), ("above", false)];

/// The answer to what was asked.
pub(crate) fn answer(asked: &TapeArguments) -> Result<(), Trouble> {
    let record = Record::open(&asked.bed, &READINGS)?;
    let look = asked.record.look;
    if asked.record.undo {
        return record.undo(&asked.record);
    }
    if asked.record.list {
        let columns: [(&str, Cell); 3] = [
            ("the tape said", |fields, _| place(fields)),
            ("give or take", give_or_take),
            ("note", |fields, _| of(fields, "note").to_owned()),
        ];
        return record.tell_list(&columns, look);
    }
    if !asked.height && record.bed.rim_m().is_none() {
        let said = format!(
            "The bed in {} has no rim to measure from. Measure from the ground beside it straight \
             up to its top, and add --height.",
            record.name()
        );
        let refusal = Refusal::new(FaultCode::DoesNotFit, said).file(record.name());
        return Err(Trouble::bad_input(refusal.option("<DEPTH>")));
    }
    let is_unit = |typed: &String| typed.trim_start().starts_with(char::is_alphabetic);
    if let Some(unit) = asked.spots.iter().find(|typed| is_unit(typed)) {
        let said = format!(
            "\"{}\" stands alone: put number and unit together between quotes, as in {}.",
            safe(unit),
            READINGS.example
        );
        let refusal = Refusal::new(FaultCode::BadQuantity, said).file(record.name());
        let refusal = refusal.found(unit, &[""; 0]);
        return Err(Trouble::bad_input(refusal.option("<DEPTH>")));
    }
    let on = record.day(&asked.record)?;
    let same_day = record.of_day(on);
    if !same_day.is_empty() && !asked.replace {
        let said = format!(
            "{} holds a reading of that day: {}. Add --replace to put the new one in its place, or \
             --on DATE if it was another day.",
            record.name(),
            record.told(&same_day)
        );
        let refusal = Refusal::new(FaultCode::RepeatedKey, said).file(record.name());
        return Err(Trouble::bad_input(
            refusal.path("/reading").option("--replace"),
        ));
    }
    let measured = Measured::of(asked, record.bed.units());
    measured.has_room(&record)?;
    let entry = Entry {
        on,
        fields: measured.fields(asked),
        remark: None,
    };
    let mut more = measured.about.clone();
    if record.bed.additions().iter().any(|added| added.on == on) {
        let _ = write!(
            more,
            " What was laid on it on {} counts as laid on after the reading: if the tape was held \
             later, date the reading a day later.",
            spoken_date(on)
        );
    }
    record.write(&entry, &same_day, "<DEPTH>", more.trim(), &asked.record)
}

/// What was measured, in the words of the file.
struct Measured {
    /// From the rim down or from the ground up, as a quantity with its sign.
    text: String,
    /// The same; m. None where the text is no length, which the reader of the file tells.
    value_m: Option<f64>,
    /// How far it may be off, where that comes of several spots.
    give_or_take: Option<String>,
    /// The spots, where there are several.
    spots: Option<String>,
    /// What is told of it.
    about: String,
}

impl Measured {
    fn of(asked: &TapeArguments, units: Units) -> Self {
        let spots: Vec<(String, Option<f64>)> = asked
            .spots
            .iter()
            .map(|typed| spot(typed, asked.height))
            .collect();
        let first_odd = spots.iter().find(|(_, value_m)| value_m.is_none());
        if let Some((text, value_m)) = first_odd.or(spots.first().filter(|_| spots.len() == 1)) {
            return Self {
                text: text.clone(),
                value_m: *value_m,
                give_or_take: None,
                spots: None,
                about: String::new(),
            };
        }
        let values_m: Vec<f64> = spots.iter().filter_map(|(_, value_m)| *value_m).collect();
        let (mean_m, off_m) = mean_and_error(&values_m);
        let listed: Vec<&str> = spots.iter().map(|(text, _)| text.as_str()).collect();
        let listed = listed.join(", ");
        let count = spots.len();
        let about = if asked.give_or_take.is_some() {
            format!("It is the mean of {count} spots.")
        } else {
            format!(
                "It is the mean of {count} spots; the give or take comes of how far they lie \
                 apart, and of the {} that a tape may be off.",
                reading(tape_off_m(), units)
            )
        };
        Self {
            text: length(mean_m, units),
            value_m: Some(mean_m),
            give_or_take: Some(length(off_m, units)),
            spots: Some(format!("mean of {count} spots: {listed}")),
            about,
        }
    }

    /// The soil lies above the floor of the bed.
    fn has_room(&self, record: &Record<'_>) -> Result<(), Trouble> {
        let bed = &record.bed;
        let (Some(rim_m), Some(below_m)) = (bed.rim_m(), self.value_m) else {
            return Ok(());
        };
        let deepest_m = rim_m + bed.trench_m();
        // A height is never below zero.
        if below_m <= deepest_m + 1e-9 {
            return Ok(());
        }
        let floor = if bed.trench_m() > 0.0 {
            "the floor of its trench"
        } else {
            "the ground"
        };
        let said = format!(
            "{} below the rim lies deeper than the bed: its rim stands {} above {floor}. Measure \
             from the rim straight down to the soil; if it was measured from the ground up, add \
             --height.",
            self.text,
            reading(deepest_m, bed.units())
        );
        let refusal = Refusal::new(FaultCode::DoesNotFit, said).file(record.name());
        let refusal = refusal.found(&self.text, &[""; 0]);
        Err(Trouble::bad_input(refusal.option("<DEPTH>")))
    }

    /// The fields of the reading.
    fn fields(&self, asked: &TapeArguments) -> Vec<(&'static str, String)> {
        let place = if asked.height { "height" } else { "below-rim" };
        let mut fields = vec![(place, self.text.clone())];
        let told = asked.give_or_take.as_ref().map(|text| one_spaced(text));
        if let Some(off) = told.or_else(|| self.give_or_take.clone()) {
            fields.push(("give-or-take", off));
        }
        let note = asked.note.as_ref().map(|text| one_spaced(text));
        let note = match (note, &self.spots) {
            (Some(note), Some(spots)) => Some(format!("{note} ({spots})")),
            (note, spots) => note.or_else(|| spots.clone()),
        };
        fields.extend(note.map(|note| ("note", note)));
        fields
    }
}

/// A spot as the file writes it, and in metres where it is a length.
fn spot(typed: &str, from_ground: bool) -> (String, Option<f64>) {
    let typed = one_spaced(typed);
    let ends: &[(&str, bool)] = if from_ground { &FROM_GROUND } else { &FROM_RIM };
    let (size, is_above) = ends
        .iter()
        .find_map(|(end, is_above)| Some((typed.strip_suffix(end)?.trim_end(), *is_above)))
        .unwrap_or((&typed, false));
    let size_m = |text: &str| {
        let size = parse(text, &[Dimension::Length], &Measures::default());
        size.ok().map(|size| size.value)
    };
    if is_above {
        return (format!("-{size}"), size_m(size).map(|m| -m));
    }
    // As the file itself would have it.
    let below_zero = size
        .strip_prefix(['-', '\u{2212}'])
        .filter(|_| !from_ground);
    let value_m = match below_zero {
        Some(size) => size_m(size.trim_start()).map(|m| -m),
        None => size_m(size),
    };
    (size.to_owned(), value_m)
}

/// How far a tape may be off, four times in five; m.
fn tape_off_m() -> f64 {
    TAPE_M.best * TENTH_Z
}

/// The mean of several spots, and how far it may be off four times in five: by the standard
/// error of the mean, and by what a tape is; m.
fn mean_and_error(values_m: &[f64]) -> (f64, f64) {
    #[allow(clippy::cast_precision_loss, reason = "a command line holds far fewer")]
    let count = values_m.len() as f64;
    let mean_m = values_m.iter().sum::<f64>() / count;
    let squares = values_m.iter().map(|m| (m - mean_m) * (m - mean_m));
    let error_m2 = squares.sum::<f64>() / (count - 1.0) / count;
    let off_m2 = TENTH_Z * TENTH_Z * error_m2 + tape_off_m() * tape_off_m();
    (mean_m, off_m2.sqrt())
}

/// A length to a tenth of the owner's unit.
fn length(m: f64, units: Units) -> String {
    let (unit, per_m) = match units {
        Units::Metric => ("cm", 100.0),
        Units::Us | Units::UkGarden => ("in", 1.0 / 0.0254),
    };
    let number = format!("{:.1}", m * per_m);
    let number = number.strip_suffix(".0").unwrap_or(&number);
    let number = if number == "-0" { "0" } else { number };
    format!("{number} {unit}")
}

/// Where the soil lay: "31 cm below the rim".
fn place(fields: &Fields) -> String {
    let Some(below) = fields.get("below-rim") else {
        return format!("{} above the ground", of(fields, "height"));
    };
    match below.trim().strip_prefix(['-', '\u{2212}', '\u{2013}']) {
        Some(above) => format!("{} above the rim", above.trim_start()),
        None => format!("{below} below the rim"),
    }
}

fn give_or_take(fields: &Fields, units: Units) -> String {
    let told = fields.get("give-or-take").cloned();
    told.unwrap_or_else(|| reading(tape_off_m(), units))
}

fn in_words(fields: &Fields, units: Units) -> String {
    format!(
        "{}, give or take {}",
        place(fields),
        give_or_take(fields, units)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spot_lies_below_the_rim_unless_it_says_otherwise() {
        for (typed, text, value_m) in [
            ("31 cm", "31 cm", Some(0.31)),
            ("31cm", "31cm", Some(0.31)),
            (" 12  1/2 in ", "12 1/2 in", Some(0.3175)),
            ("31 cm below the rim", "31 cm", Some(0.31)),
            ("3 cm above", "-3 cm", Some(-0.03)),
            ("3 cm above the rim", "-3 cm", Some(-0.03)),
            ("-3 cm", "-3 cm", Some(-0.03)),
            ("31", "31", None),
            ("3 above", "-3", None),
        ] {
            let (said, m) = spot(typed, false);
            assert_eq!(said, text, "{typed}");
            assert_eq!(m.is_some(), value_m.is_some(), "{typed}");
            let apart = m.unwrap_or(0.0) - value_m.unwrap_or(0.0);
            assert!(apart.abs() < 1e-12, "{typed}");
        }
        assert_eq!(spot("61 cm above the ground", true).0, "61 cm");
        assert_eq!(spot("-61 cm", true).1, None);
    }

    #[test]
    fn spots_that_agree_leave_the_error_of_a_tape() {
        let (mean_m, off_m) = mean_and_error(&[0.31, 0.31, 0.31]);
        assert!((mean_m - 0.31).abs() < 1e-12 && (off_m - tape_off_m()).abs() < 1e-12);
        assert_eq!(length(off_m, Units::Metric), "1 cm");
        // Their standard deviation is 1.53 cm, that of the mean 0.88 cm.
        let (mean_m, off_m) = mean_and_error(&[0.31, 0.33, 0.30]);
        assert_eq!(length(mean_m, Units::Metric), "31.3 cm");
        assert_eq!(length(off_m, Units::Metric), "1.5 cm");
    }
}
