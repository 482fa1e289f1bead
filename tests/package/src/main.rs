//! Forecasts a bed, draws a chart and makes its page, from the packages alone.

use std::error::Error;

use moulder::internals::fault::guide::{FAULTS, NOTICES};
use moulder::months::days;
use moulder::{Bed, Library, TopUpRequest, top_ups};
use moulder_chart::{Chart, ChartOptions};
use moulder_page::{Contents, FirstSheet, More, page};
use moulder_words::forecast::in_a_sentence;

const BED: &str = include_str!("../bed.toml");

fn main() -> Result<(), Box<dyn Error>> {
    let bed = Bed::from_toml(BED, &Library::built_in())?;
    let forecast = bed.forecast().months(13).ensemble_size(4).run()?;
    println!("{}", in_a_sentence(&forecast).unwrap_or_default());

    let drawing = moulder_chart::svg(Chart::Section, &bed, &forecast, &ChartOptions::default())?;
    assert!(drawing.file().starts_with("<?xml"));

    let request = TopUpRequest::new("loamy topsoil").months(13).ensemble_size(0);
    let topups = &top_ups(std::slice::from_ref(&bed), &request)?[0];
    let html = page(&Contents {
        sheets: &[FirstSheet {
            bed: &bed,
            forecast: &forecast,
            topups,
            feeding: None,
            as_of: bed.filled(),
        }],
        more: Some(More {
            forecast: &forecast,
            widths_month: 12,
            topups,
            days: &days(&bed)?,
            file_text: BED,
            is_full: false,
        }),
        ..Contents::default()
    });
    assert!(html.starts_with("<!DOCTYPE html>"));

    let examples = FAULTS
        .iter()
        .chain(NOTICES)
        .filter_map(|entry| entry.example);
    assert!(examples.count() > 50);
    Ok(())
}
