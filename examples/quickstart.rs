//! How far does a bed settle? A bulk bag over a year, a line per month.

#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use moulder::{Bed, Error, Library};
use moulder_words::forecast::in_a_sentence;

fn main() -> Result<(), Error> {
    let bed = Bed::from_toml(include_str!("beds/bulk-bag.toml"), &Library::built_in())?;
    let year = bed.forecast().months(12).ensemble_size(0).run()?;
    println!("{}", in_a_sentence(&year).unwrap_or_default());
    for month in &year.months {
        println!(
            "{}  {:.3} m high, {:.3} m lower than filled",
            month.date, month.height_m, month.settlement_m
        );
    }
    Ok(())
}
