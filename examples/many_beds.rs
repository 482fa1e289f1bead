//! Forecasts of several beds, with a progress function that may stop them.

#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicU32, Ordering};

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
            forecast.name, settlement_m.mean
        );
    }
    Ok(())
}

/// A line at each tenth of the way; calls may come out of order.
fn bar(done: u32, of: u32) {
    static SHOWN: AtomicU32 = AtomicU32::new(0);
    let tenths = 10 * done / of.max(1);
    if SHOWN.fetch_max(tenths, Ordering::Relaxed) < tenths {
        println!("{} %", 10 * tenths);
    }
}
