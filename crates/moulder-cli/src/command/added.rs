//! `moulder added`: what was laid on a bed, written into the bed file.

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::quantity::units::Units;
use moulder_words::forecast::spoken_date;

use crate::common::bed_file::BedArguments;
use crate::common::entries::Entry;
use crate::common::record::{Cell, Fields, List, Record, RecordArguments, of, one_spaced};
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct AddedArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How much, with its unit, as in "3 barrow", "60 L" or "5 cm" over the whole bed
    #[arg(index = 2, value_name = "AMOUNT", required_unless_present_any = ["undo", "list"],
          conflicts_with_all = ["undo", "list"])]
    pub(crate) amount: Option<String>,

    /// What was laid on it: a material of the shelf, as in "garden compost"
    #[arg(long, value_name = "MATERIAL", required_unless_present_any = ["undo", "list"],
          conflicts_with_all = ["undo", "list"])]
    pub(crate) with: Option<String>,

    /// The tape reading of that day was taken after it was laid on; without this it counts as
    /// taken before
    #[arg(long, conflicts_with_all = ["undo", "list"])]
    pub(crate) after: bool,

    /// Anything worth remembering, as in "bagged"
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["undo", "list"])]
    pub(crate) note: Option<String>,

    #[command(flatten)]
    pub(crate) record: RecordArguments,
}

/// The additions of a bed file.
static ADDITIONS: List = List {
    name: "added",
    one: "addition",
    example: "moulder added my-bed.toml \"3 barrow\" --with \"garden compost\"",
    in_words,
};

/// The answer to what was asked.
pub(crate) fn answer(asked: &AddedArguments) -> Result<(), Trouble> {
    let record = Record::open(&asked.bed, &ADDITIONS)?;
    let look = asked.record.look;
    if asked.record.undo {
        return record.undo(&asked.record);
    }
    let (Some(amount), Some(with)) = (&asked.amount, &asked.with) else {
        return record.tell_list(
            &[
                ("laid on", in_words as Cell),
                ("note", |fields, _| of(fields, "note").to_owned()),
            ],
            look,
        );
    };
    let material = asked.bed.shelf.material(with)?;
    let on = record.day(&asked.record)?;
    if asked.after {
        let said = format!(
            "A bed file cannot tell that a reading was taken after something was laid on that day: \
             it counts as taken before. Date the reading a day later, or what was laid on a day \
             earlier: a day hardly moves a forecast. Then leave --after out. {} stays as it is.",
            record.name()
        );
        let refusal = Refusal::new(FaultCode::BadOption, said).file(record.name());
        return Err(Trouble::bad_input(refusal.option("--after")));
    }
    let mut fields = vec![("material", material.name), ("amount", one_spaced(amount))];
    fields.extend(asked.note.as_ref().map(|note| ("note", one_spaced(note))));
    let entry = Entry {
        on,
        fields,
        remark: None,
    };
    let mut readings = record.bed.readings().iter();
    let more = if readings.any(|reading| reading.on == on) {
        format!(
            "The tape reading of {} counts as taken before it.",
            spoken_date(on)
        )
    } else {
        String::new()
    };
    record.write(&entry, &[], "<AMOUNT>", &more, &asked.record)
}

fn in_words(fields: &Fields, _units: Units) -> String {
    format!("{} of {}", of(fields, "amount"), of(fields, "material"))
}
