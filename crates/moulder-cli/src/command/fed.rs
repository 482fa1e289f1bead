//! `moulder fed`: what a bed was fed, written into the bed file as nitrogen.

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::quantity::measures::Measures;
use moulder::internals::quantity::parse::parse;
use moulder::internals::quantity::unit::Dimension;
use moulder::internals::quantity::units::Units;

use crate::common::bed_file::BedArguments;
use crate::common::entries::Entry;
use crate::common::feed::{Label, label};
use crate::common::record::{Cell, Fields, List, Record, RecordArguments, of, one_spaced};
use crate::print::lines::safe;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct FedArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How much feed was given to the whole bed, by weight, as in "55 g" or "2 oz"
    #[arg(index = 2, value_name = "WEIGHT", required_unless_present_any = ["undo", "list"],
          conflicts_with_all = ["undo", "list"])]
    pub(crate) weight: Option<String>,

    /// What its label says of nitrogen, as in "13 % N"; of three numbers such as 7-5-6 it is the
    /// first
    #[arg(long, value_name = "LABEL", value_parser = label,
          required_unless_present_any = ["undo", "list"], conflicts_with_all = ["undo", "list"])]
    pub(crate) feed: Option<Label>,

    #[command(flatten)]
    pub(crate) record: RecordArguments,
}

/// The feedings of a bed file.
static FEEDINGS: List = List {
    name: "fed",
    one: "feeding",
    example: "moulder fed my-bed.toml \"55 g\" --feed \"13 % N\"",
    in_words,
};

/// The answer to what was asked.
pub(crate) fn answer(asked: &FedArguments) -> Result<(), Trouble> {
    let record = Record::open(&asked.bed, &FEEDINGS)?;
    let look = asked.record.look;
    if asked.record.undo {
        return record.undo(&asked.record);
    }
    let (Some(weight), Some(label)) = (&asked.weight, &asked.feed) else {
        return record.tell_list(&[("fed", in_words as Cell)], look);
    };
    let on = record.day(&asked.record)?;
    let weight = one_spaced(weight);
    let given = parse(&weight, &[Dimension::Mass], &Measures::default());
    if let Err(odd) = &given
        && odd.code == FaultCode::MissingUnit
    {
        let shown = safe(&weight);
        let said = format!(
            "\"{shown}\" has no unit: write what the scale shows with its unit, as in \"{shown} g\" \
             or \"{shown} oz\"."
        );
        let refusal = Refusal::new(odd.code, said).found(&weight, &[""; 0]);
        return Err(Trouble::bad_input(refusal.option("<WEIGHT>")));
    }
    // What else is no weight is told by the reader of the file.
    let (nitrogen, remark, more) = match given {
        Ok(given) if !given.dry => {
            let feed = format!("{weight} of a feed with {} % N", label.percent);
            let more = format!("It is what {feed} holds.");
            (grams(given.value * label.share), Some(feed), more)
        }
        _ => (weight, None, String::new()),
    };
    let entry = Entry {
        on,
        fields: vec![
            ("nitrogen", nitrogen),
            ("feed", format!("{} %", label.percent)),
        ],
        remark,
    };
    record.write(&entry, &[], "<WEIGHT>", &more, &asked.record)
}

/// A small weight to three digits, in grams.
fn grams(kg: f64) -> String {
    let g = kg * 1000.0;
    let text = match g {
        g if g < 10.0 => format!("{g:.2}"),
        g if g < 100.0 => format!("{g:.1}"),
        g => format!("{g:.0}"),
    };
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    format!("{text} g")
}

fn in_words(fields: &Fields, _units: Units) -> String {
    format!("{} of nitrogen", of(fields, "nitrogen"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weight_has_three_digits() {
        for (kg, text) in [
            (0.00715, "7.15 g"),
            (0.01, "10 g"),
            (0.0123, "12.3 g"),
            (0.13, "130 g"),
            (1.3, "1300 g"),
            (0.0005, "0.5 g"),
        ] {
            assert_eq!(grams(kg), text);
        }
    }
}
