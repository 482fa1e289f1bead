//! Forecasts of several beds, with a progress function that may stop them.

#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use std::ops::ControlFlow;

use moulder::{Bed, Error, ForecastOptions, Library, forecast_all};

const FILES: [&str; 2] = [
    include_str!("beds/hardwood-base.toml"),
    include_str!("beds/softwood-base.toml"),
];

fn main() -> Result<(), Error> {
    let library = Library::built_in();
    let beds = FILES
        .iter()
        .map(|text| Bed::from_toml(text, &library))
        .collect::<Result<Vec<Bed>, Error>>()?;
    let all = forecast_all(
        &beds,
        &ForecastOptions::default().months(60).ensemble_size(20),
        &|done, of| {
            bar(done, of);
            ControlFlow::Continue(())
        },
    )?;
    for forecast in &all {
        let settlement_m = forecast.intervals[60].settlement_m;
        println!(
            "{}: {:.2} m in five years",
            forecast.name, settlement_m.median
        );
    }
    Ok(())
}

/// A line at each tenth of the way.
fn bar(done: u32, of: u32) {
    let tenth = (of / 10).max(1);
    if done > 0 && done.is_multiple_of(tenth) {
        println!("{} %", 10 * (done / tenth));
    }
}
