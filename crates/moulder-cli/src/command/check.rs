//! `moulder check`: a bed file read back in words.

use std::fmt::Write;

use clap::Args;
use moulder::internals::bed::{Amount, Bed, Firmness, Ingredient, Irrigation, Layer, Placement};
use moulder::internals::fault::notice::Notice;
use moulder::internals::forecast::Month;
use moulder::internals::library::material::Class;
use moulder::internals::model::mixture::Mixtures;
use moulder::internals::quantity::amount::{light_weight, load, volume, water, weight};
use moulder::internals::quantity::height::{in_unit, reading, size};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::month::MONTHS;
use moulder_bridge::recipe::check::Checked;
use moulder_core::bed::shape::Shape;
use moulder_words::climate::estimate_in_words;
use moulder_words::mixture::{fill_in_sentences, in_a_phrase};

use crate::common::assumed;
use crate::common::bed_file::BedArguments;
use crate::print::lines::{apart, hanging, plain};
use crate::print::look::Look;
use crate::print::notices;
use crate::print::screen::pretty;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// Give the source of every value that was assumed, and how far it widens the range of
    /// what has sunk by month 6; takes two forecasts each
    #[arg(long)]
    pub(crate) defaults: bool,

    /// End with exit code 3 where a warning or a danger stands that the bed file does not
    /// acknowledge
    #[arg(long)]
    pub(crate) strict: bool,

    /// Answer in JSON, for programs: the bed as understood, or a list of what is wrong with it
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

/// Months after which the widths of defaults are computed: by then most of the mechanical
/// settlement is over, and a season of decay.
const WIDTH_MONTHS: u32 = 6;

/// The answer to what was asked.
pub(crate) fn answer(asked: &CheckArguments) -> Result<String, Trouble> {
    let read = asked.bed.read()?;
    let bed = &read.bed;
    let checked = Checked::of(bed).map_err(|error| read.refused(&error))?;
    let (forecast, filled) = (&checked.forecast, checked.filled());
    let amounts = read.file.amounts();
    let defaults = if asked.defaults {
        assumed::widths(&read, WIDTH_MONTHS, asked.look)?
    } else {
        bed.defaults().to_vec()
    };
    if asked.json {
        let answer = checked.answer(bed, &amounts, &defaults);
        return ended(pretty(&answer), asked, &forecast.notices);
    }
    let mut said = notices::first("", &forecast.notices, &forecast.layers);
    said += &in_words(bed, filled, &checked.mixtures, &amounts);
    said += &notices::told(&forecast.notices, &forecast.layers);
    if asked.defaults {
        said += &assumed::by_width(bed, &defaults, WIDTH_MONTHS);
    } else {
        said += &assumed::listed(bed, false);
        if !bed.defaults().is_empty() {
            said.push_str("Where these come from: add --defaults.\n");
        }
    }
    if asked.strict {
        said += &notices::standing(&forecast.notices);
    }
    ended(said, asked, &forecast.notices)
}

/// The answer, or the same as an error under `--strict` where warnings stand.
fn ended(said: String, asked: &CheckArguments, notices: &[Notice]) -> Result<String, Trouble> {
    if asked.strict && notices.iter().any(Notice::stands) {
        return Err(Trouble::NoticesStand(said));
    }
    Ok(said)
}

fn in_words(bed: &Bed, filled: &Month, mixtures: &Mixtures, amounts: &[Vec<String>]) -> String {
    let units = bed.units();
    let mut said = plain(bed.name());
    let latitude = bed.climate().latitude_deg;
    let side = if latitude < 0.0 { "south" } else { "north" };
    let stands = format!(
        "Filled on {}, in the climate of {}, {:.1} degrees {side}. {}",
        bed.filled(),
        bed.climate().name,
        latitude.abs(),
        outline(bed)
    );
    said += &plain(&stands);
    if let Some(estimated) = estimate_in_words(bed.climate(), units) {
        said += &plain(&estimated);
    }
    if let Some(watering) = &bed.irrigation() {
        said += &plain(&watered(watering, units));
    }
    let start = if bed.trench_m() > 0.0 {
        "From the bottom of the trench up: layer 1 lies lowest."
    } else {
        "From the ground up: layer 1 lies lowest."
    };
    said.push('\n');
    let start = format!("{start} Forecasts use the same numbers and names.");
    said += &plain(&start);
    let mut top_m = 0.0;
    for (index, (layer, row)) in bed.layers().iter().zip(&filled.layers).enumerate() {
        let head = format!("{}. {}", index + 1, layer.name);
        let volume_m3 = bed.shape().volume_m3(top_m, top_m + row.thickness_m);
        top_m += row.thickness_m;
        let lies = format!(
            "{} thick, its top {}; {}, {} wet",
            reading(row.thickness_m, units),
            against_ground(top_m - bed.trench_m(), units),
            volume(volume_m3, units),
            weight(row.total_mass_kg, units)
        );
        said.push('\n');
        said += &hanging(0, 3, &head);
        said += &hanging(3, 6, &lies);
        let written = amounts.get(index).map_or(&[][..], Vec::as_slice);
        for (place, put) in layer.put.iter().enumerate() {
            let written = written.get(place).map_or("", String::as_str);
            let text = ingredient(put, written, units);
            said += &hanging(3, 6, &text);
        }
        if layer.put.len() > 1 {
            let mixed = "mixed: what is fine lies in the gaps of what is coarse, so they take \
                         less room together";
            said += &hanging(3, 6, mixed);
        }
        if let Some(mixture) = mixtures.layers.get(index) {
            said += &hanging(3, 6, &in_a_phrase(mixture));
        }
        said += &hanging(3, 6, &filled_so(layer));
    }
    said += &apart(&height(filled, units));
    said += &plain(&whole(bed, filled, top_m));
    if let Some(fill) = fill_in_sentences(bed, mixtures) {
        said += &plain(&fill);
    }
    said += &later(bed);
    said
}

/// Later additions and feeds, and the number of beds.
fn later(bed: &Bed) -> String {
    let units = bed.units();
    let laid = bed.additions().iter().map(|added| {
        let put = &added.ingredient;
        let much = amount(put.amount, units);
        (added.on, format!("{much} of {} laid on", put.material.name))
    });
    let fed = bed.fed().iter().map(|feed| {
        let much = light_weight(feed.nitrogen_kg, units);
        (feed.on, format!("{much} of nitrogen fed"))
    });
    let mut events: Vec<_> = laid.chain(fed).collect();
    events.sort_by_key(|(on, _)| *on);
    let mut said = String::new();
    if bed.count() > 1 {
        let many = format!(
            "There are {} beds like it; all figures are for one.",
            bed.count()
        );
        said += &plain(&many);
    }
    if !events.is_empty() {
        said.push_str("\nLater:\n");
    }
    for (on, what) in events {
        said += &hanging(2, 14, &format!("{on}  {what}"));
    }
    said
}

/// The watering and what is kept off.
fn watered(watering: &Irrigation, units: Units) -> String {
    let month = |number: u8| {
        let index = usize::from(number).saturating_sub(1);
        MONTHS.get(index).copied().unwrap_or_default()
    };
    let given = if watering.litres_per_week > 0.0 {
        format!(
            "Watered with {} a week from {} to {}",
            water(watering.litres_per_week, units),
            month(watering.from),
            month(watering.to)
        )
    } else {
        "Not watered by hand".to_owned()
    };
    format!(
        "{given}; {:.0} % of the rain gets in.",
        watering.rain_share * 100.0
    )
}

/// A height against the ground beside the bed.
fn against_ground(height_m: f64, units: Units) -> String {
    // Half a step of a tape measure reading, in its unit.
    let level = match units {
        Units::Metric => 0.5,
        Units::Us | Units::UkGarden => 0.25,
    };
    let text = reading(height_m.abs(), units);
    if in_unit(height_m.abs(), units) < level {
        "level with the ground".to_owned()
    } else if height_m > 0.0 {
        format!("{text} above the ground")
    } else {
        format!("{text} below the ground")
    }
}

/// What holds the filling, with its measures.
fn outline(bed: &Bed) -> String {
    let units = bed.units();
    let long = |height_m: f64| reading(height_m, units);
    let mut said = match bed.shape() {
        Shape::Box { width_m, length_m } => {
            format!(
                "A box, {} wide and {} long inside",
                long(width_m),
                long(length_m)
            )
        }
        Shape::Round { diameter_m } => {
            format!("A round bed, {} across inside", long(diameter_m))
        }
        Shape::Bag {
            width_m,
            length_m,
            bulged,
        } => {
            let bulge = if bulged <= 0.0 {
                "not bulged yet".to_owned()
            } else {
                format!("bulged {:.0} % of the way to round", bulged * 100.0)
            };
            format!(
                "A bag, {} wide and {} long, {bulge}",
                long(width_m),
                long(length_m)
            )
        }
        Shape::Mound {
            width_m,
            length_m,
            slope_deg,
            ..
        } => format!(
            "A mound, {} wide and {} long at the foot, its sides at {slope_deg:.0} degrees",
            long(width_m),
            long(length_m)
        ),
    };
    if bed.trench_m() > 0.0 {
        let _ = write!(said, ", in a trench {} deep", long(bed.trench_m()));
    }
    if let Some(rim_m) = bed.rim_m() {
        let _ = write!(said, ", its rim {} above the ground", long(rim_m));
    }
    said.push('.');
    said
}

/// One material: how much, in the words of the file and as understood.
fn ingredient(put: &Ingredient, written: &str, units: Units) -> String {
    let understood = amount(put.amount, units);
    let amount = if written.is_empty() || written == understood {
        understood
    } else {
        format!("{written} ({understood})")
    };
    let mut said = format!("{}, {amount}", put.material.name);
    if matches!(put.amount, Amount::VolumeM3(_) | Amount::ThicknessM(_)) {
        said.push_str(match put.placement {
            Placement::Loose => " as tipped",
            Placement::InPlace => " as it lies",
            Placement::Compacted => " as trodden",
            Placement::Wetted => " as watered",
        });
    }
    let pieces = match put.material.class {
        Class::Soil => "crumbs",
        Class::Wood | Class::Plant => "pieces",
    };
    let _ = write!(
        said,
        ", {pieces} {} across",
        size(put.particle_size_m, units)
    );
    if put.rotten > 0.0 {
        let _ = write!(said, ", {:.0} % rotten already", put.rotten * 100.0);
    }
    said
}

fn amount(amount: Amount, units: Units) -> String {
    match amount {
        Amount::VolumeM3(m3) => volume(m3, units),
        Amount::ThicknessM(thickness_m) => reading(thickness_m, units),
        Amount::WetMassKg(kg) => weight(kg, units),
        Amount::DryMassKg(kg) => format!("{} dry", weight(kg, units)),
    }
}

/// How a layer was filled, and whether roots live there.
fn filled_so(layer: &Layer) -> String {
    let mut said = String::from(match layer.firmness {
        Firmness::Loose => "tipped and raked level, not firmed",
        Firmness::Firmed => "firmed by hand",
        Firmness::Compacted => "trodden down",
        _ => "how it was filled is not told: anything from tipped to trodden (then)",
    });
    if layer.watered {
        said.push_str(", then watered in");
    }
    if layer.grows {
        said.push_str("; roots live here");
    }
    said
}

/// The height of the whole, against the rim.
fn height(filled: &Month, units: Units) -> String {
    /// Less than this is level to the eye; m.
    const LEVEL_M: f64 = 0.005;
    let stands = format!(
        "In all its top is {}",
        against_ground(filled.height_m, units)
    );
    match filled.below_rim_m {
        None => format!("{stands}."),
        Some(below) if below.abs() < LEVEL_M => format!("{stands}, level with the rim."),
        Some(below) if below > 0.0 => format!(
            "{stands}, with {} of room to the rim.",
            reading(below, units)
        ),
        Some(below) => format!("{stands}, heaped {} above the rim.", reading(-below, units)),
    }
}

/// Volume and weight of the whole.
fn whole(bed: &Bed, filled: &Month, top_m: f64) -> String {
    let units = bed.units();
    format!(
        "It holds {} and weighs {} wet, about {}.",
        volume(bed.shape().volume_m3(0.0, top_m), units),
        weight(filled.total_mass_kg, units),
        load(filled.total_mass_kg / bed.shape().area_m2(), units)
    )
}
