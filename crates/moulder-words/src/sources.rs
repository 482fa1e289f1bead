//! What the figures rest on, for those who read.
//!
//! ```
//! use moulder_words::sources::counted;
//!
//! assert!(counted().contains("were read in their source"));
//! ```

use moulder::internals::library::sources::{Figure, Sources, Tally, sources};
use moulder::materials::Status;

use crate::range::with_ends;

/// How many figures were read, recalled and judged, without a full stop.
#[must_use]
pub fn counted() -> String {
    let tally = sources().tally;
    format!(
        "Of the {} figures that moulder rests on, {} were read in their source, {} are recalled \
         from memory and {} are our own judgement",
        tally.figures, tally.read, tally.recalled, tally.judged
    )
}

/// How to read the list.
#[must_use]
pub fn explained(all: &Sources) -> String {
    let means: usize = all
        .climates
        .iter()
        .map(|normals| normals.monthly_means)
        .sum();
    format!(
        "A figure is one number of a material or of a law, with the range it may lie in. A figure \
         that rests on two sources is counted with both; one that is our own judgement is counted \
         with the source it leans on, if it leans on one. Beside these stand {means} monthly means \
         of {} climates, all from records of weather stations. Published series of heaps and beds \
         have since moved a little how soft stuff collapses when wet, and how fast it and wood \
         rot.",
        all.climates.len()
    )
}

/// "4 read, 0 recalled, 16 judged".
#[must_use]
pub fn in_a_phrase(tally: &Tally) -> String {
    format!(
        "{} read, {} recalled, {} judged",
        tally.read, tally.recalled, tally.judged
    )
}

/// A figure, what it is of, and what its source says.
#[must_use]
pub fn in_a_line(figure: &Figure) -> String {
    let value = &figure.value;
    let unit = match value.unit.as_ref() {
        "1" => String::new(),
        unit => format!(" {unit}"),
    };
    let what = match &figure.material {
        Some(material) => format!("{material}, {}", of_a_material(&figure.what)),
        None => figure.what.trim_end_matches('.').to_owned(),
    };
    let (status, lead) = match value.status {
        Status::Read => ("read", ""),
        Status::Memory => ("recalled", ""),
        // Said once is enough.
        Status::Judgement => ("judged", "our own judgement: "),
    };
    let source = value.source.as_ref();
    let told = |figure: f64| figure.to_string();
    format!(
        "{what}: {}{unit}; {status}: {}",
        with_ends(
            &told(value.best),
            &told(value.spread.low),
            &told(value.spread.high)
        ),
        source.strip_prefix(lead).unwrap_or(source)
    )
}

/// The name of a figure of a material, as `moulder materials` has it.
fn of_a_material(figure: &str) -> &str {
    match figure {
        "void ratio" => "gaps per solid, as tipped",
        "least void ratio" => "gaps per solid, at the least",
        "compression" => "settling per tenfold load",
        "reference stress" => "load at which settling begins",
        "creep" => "settling per tenfold time, over that per tenfold load",
        "collapse, tipped" => "settling on first watering, tipped",
        "collapse, trodden" => "settling on first watering, trodden",
        "void closure" => "how far gaps close as pieces rot",
        "moisture" => "water on arrival",
        "organic density" => "dry weight of the pieces, less minerals",
        "lag" => "how far volume lags behind weight",
        "across" => "size of a piece, across",
        "size exponent" => "how rotting goes with size",
        "mineral share" => "mineral share of the dry weight",
        "carbon share" => "carbon in the part that can rot",
        "loose share" => "share of its grains that trickles into gaps",
        "water held" => "water it holds against drainage",
        "share of a pool" => "share of the carbon in one part",
        "humified share" => "share of what rots that stays as humus",
        "colonised" => "how much faster fungi move in than it rots",
        "rate" => "rate of rotting",
        "half-range of a site" => {
            "where that was measured, half the way from the coldest to the warmest month"
        }
        "moisture of a site" => "where that was measured, share of the moist and aired rate",
        as_it_is => as_it_is,
    }
}
