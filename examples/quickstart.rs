//! How far does a bed sink? A bulk bag, a year ahead, a line a month.

#![allow(clippy::print_stdout, reason = "an example shows its answer")]
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::quantity::height::reading;
use moulder::internals::read::read_toml;
use moulder_words::forecast::in_a_sentence;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = include_str!("beds/bulk-bag.toml");
    let bed = read_toml(file, &Library::built_in())?;
    let year = forecast(&bed, 12, &unwatched)?;
    println!("{}", in_a_sentence(&year).unwrap_or_default());
    for month in &year.months {
        let (high, sunk) = (month.height_m, month.settlement_m);
        let units = year.units;
        println!(
            "{}  {} high, {} lower than filled",
            month.date,
            reading(high, units),
            reading(sunk, units)
        );
    }
    Ok(())
}
