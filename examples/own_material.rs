//! A user's own material, top-ups with it in the bed, and a chart.

#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use moulder::{Amount, Bed, Layer, Library, Package, Shape, TopUpRequest, date, top_ups};
use moulder_chart::{Chart, ChartOptions};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let library = Library::built_in();
    let mut willow = library
        .material("birch log")?
        .derived("my willow log", "from the brook");
    willow.organic_density = willow
        .organic_density
        .measured(380.0, 340.0..=420.0, "weighed, 2026");
    let library = library.with(willow)?; // checked

    let bag = Shape::Bag {
        width_m: 0.9,
        length_m: 0.9,
        bulged: 0.3,
    };
    let bed = Bed::builder(bag, date(2026, 3, 14))
        .name("bag by the brook")
        .library(&library)
        .rim_m(0.9)
        .climate("Cambridge UK")
        .layer(Layer::of("my willow log", Amount::ThicknessM(0.40)))
        .layer(Layer::of("garden compost", Amount::ThicknessM(0.15)))
        .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.30)))
        .build()?;
    let forecast = bed.forecast().months(36).ensemble_size(20).run()?;

    let beds = [bed];
    let sack = Package::new("sack", 0.04).price(4.5);
    let plans = top_ups(
        &beds,
        &TopUpRequest::new("garden compost")
            .in_packs(&sack)
            .months(36)
            .ensemble_size(20),
    )?;
    println!("{} sacks in three years", plans[0].bought());

    let svg = moulder_chart::svg(
        Chart::Section,
        &beds[0],
        &forecast,
        &ChartOptions::default(),
    )?;
    println!("a drawing of {} kB", svg.file().len() / 1024);
    Ok(())
}
