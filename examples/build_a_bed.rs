//! A bed built in a program, its forecast, and the effect of a reading.

#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use moulder::{Amount, Bed, Error, Layer, Reading, Shape, date};

fn main() -> Result<(), Error> {
    let bed = Bed::builder(
        Shape::Box {
            width_m: 1.2,
            length_m: 2.4,
        },
        date(2026, 3, 14),
    )
    .rim_m(0.6)
    .climate("Cambridge UK")
    .layer(Layer::of("birch log", Amount::ThicknessM(0.30)))
    .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.30)))
    .build()?; // error.faults(), error.code()
    let forecast = bed.forecast().months(24).run()?;
    let year = forecast.intervals[12].settlement_m;
    println!(
        "After a year it has sunk {:.2} m; eight in ten {:.2} to {:.2} m.",
        year.mean, year.lower, year.upper
    );

    let read =
        bed.with_reading(Reading::below_rim_m(date(2026, 9, 14), 0.10).give_or_take_m(0.01))?;
    let later = read.forecast().months(24).fit()?;
    if later.agreement.is_surprising {
        println!("Hardly any such bed would be read so: measure again.");
    }
    let year = later.months[12].settlement_m;
    println!(
        "With the reading of September {:.2} m; eight in ten {:.2} to {:.2} m.",
        year.mean, year.lower, year.upper
    );
    Ok(())
}
