//! Forecasts a bed, draws it and makes its page, by what the packages hold alone.

use std::error::Error;

use moulder::internals::fault::guide::{FAULTS, NOTICES};
use moulder::internals::topup::{TopUpRule, nominal_top_ups};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::internals::library::Library;
use moulder::internals::forecast::day::days;
use moulder::internals::read::read_toml;
use moulder_words::forecast::in_a_sentence;
use moulder::internals::forecast::progress::unwatched;
use moulder_chart::kind::{Kind, draw};
use moulder_chart::subject::Subject;
use moulder_chart::plot::look::Look;
use moulder_chart::svg::raster::png;
use moulder_page::page::{Contents, page};

const BED: &str = include_str!("../bed.toml");

fn main() -> Result<(), Box<dyn Error>> {
    let library = Library::built_in();
    let bed = read_toml(BED, &library)?;
    let draws = Realisations {
        count: 4,
        ..Realisations::default()
    };
    let forecast = forecast_with_intervals(&bed, 12, draws, &unwatched)?;
    println!("{}", in_a_sentence(&forecast).unwrap_or_default());

    let days = days(&bed)?;
    let subject = Subject {
        bed: &bed,
        forecast: &forecast,
        readings: &[],
        days: &days,
    };
    let drawing = draw(Kind::Section, &subject, &Look::default());
    assert!(drawing.file().starts_with("<?xml"));
    assert!(png(&drawing, 1.0)?.starts_with(b"\x89PNG"));

    let soil = library.find_material("loamy topsoil").ok_or("no topsoil")?;
    let html = page(&Contents {
        bed: &bed,
        forecast: &forecast,
        widths_month: 12,
        topups: &nominal_top_ups(&bed, &TopUpRule::usual(&bed, soil, 24), &unwatched)?,
        days: &days,
        file_text: BED,
    });
    assert!(html.starts_with("<!DOCTYPE html>"));

    let examples = FAULTS
        .iter()
        .chain(NOTICES)
        .filter_map(|entry| entry.example);
    assert!(examples.count() > 50);
    Ok(())
}
