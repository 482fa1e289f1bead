//! `moulder check`: a bed file read back in words.

use std::fmt::Write;

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::{Amount, Bed, Ingredient, Irrigation, Layer, Placement};
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::notice::Notice;
use moulder::internals::forecast::calendar::month_day;
use moulder::internals::forecast::{LayerMonth, Month};
use moulder::internals::library::material::Class;
use moulder::internals::model::mixture::{Mixture, Mixtures};
use moulder::internals::quantity::amount::{light_weight, load, volume, water, weight};
use moulder::internals::quantity::height::{reading, size};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::text::month::MONTHS;
use moulder::internals::text::phrase::joined;
use moulder_core::bed::shape::Shape;
use moulder_words::mixture::{fill_in_sentences, in_a_phrase};
use serde_json::{Value, json};

use crate::arguments::CheckArguments;
use crate::bed_file::BedFile;
use crate::lines::{TextWidth, wrapped};
use crate::output::pretty;
use crate::refusal::Refusal;
use crate::trouble::Trouble;
use crate::{assumed, forecast, notices};

/// Months after which the widths of what was assumed are told: most of what has settled
/// by then, and a season of rot.
const WIDTH_MONTHS: u32 = 6;

/// The answer to what was asked.
pub(crate) fn answer(asked: &CheckArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    // What is laid on later that day is told apart: of it cautions alone should know.
    let mut as_filled = bed.clone();
    let next_day = bed.filled().tomorrow().unwrap_or(bed.filled());
    for added in as_filled.edit().additions {
        added.on = added.on.max(next_day);
    }
    let forecast = forecast::of(&as_filled, 0, &file.file.name)?;
    finds_room(&bed, &file.file.name)?;
    let filled = forecast
        .months
        .first()
        .ok_or_else(|| no_day_of_filling(&file.file.name))?;
    let mixtures =
        Mixtures::of(&bed).map_err(|no_room| forecast::refused(&file.file.name, no_room.into()))?;
    let amounts = file.amounts();
    let defaults = if asked.defaults {
        assumed::widths(&bed, WIDTH_MONTHS, asked.look, &file.file.name)?
    } else {
        bed.defaults().to_vec()
    };
    if asked.json {
        let answer = json!({
            "bed": as_json(&bed, filled, &mixtures, &amounts),
            "notices": forecast.notices,
            "defaults": defaults,
        });
        return ended(pretty(&answer), asked, &forecast.notices);
    }
    let mut said = notices::first("", &forecast.notices, &forecast.layers);
    said.push_str(&in_words(&bed, filled, &mixtures, &amounts));
    said.push_str(&notices::told(&forecast.notices, &forecast.layers));
    if asked.defaults {
        said.push_str(&assumed::by_width(&bed, &defaults, WIDTH_MONTHS));
    } else {
        said.push_str(&assumed::listed(&bed, false));
        if !bed.defaults().is_empty() {
            said.push_str("Where these come from: add --defaults.\n");
        }
    }
    if asked.strict {
        said.push_str(&notices::standing(&forecast.notices));
    }
    ended(said, asked, &forecast.notices)
}

/// Every forecast begins with that day.
fn no_day_of_filling(name: &str) -> Trouble {
    let said = format!("{name} gives no day of filling.");
    Trouble::cannot(Refusal::new(FaultCode::Unfinished, said).file(name))
}

/// Refuses a bed in which something that is laid on later finds no room: a mound whose
/// sides would meet. Where there are walls there is always room.
fn finds_room(bed: &Bed, name: &str) -> Result<(), Trouble> {
    let Some(last) = bed.additions().iter().map(|added| added.on).max() else {
        return Ok(());
    };
    if matches!(bed.shape(), Shape::Mound { .. }) {
        // What would be laid on after the last month there is can be told by nobody.
        let month = (0..MONTHS_LIMIT).find(|month| month_day(bed.filled(), *month) >= last);
        forecast::of(bed, month.unwrap_or(MONTHS_LIMIT), name)?;
    }
    Ok(())
}

/// The answer, or the same as trouble where warnings stand and nobody may pass them over.
fn ended(said: String, asked: &CheckArguments, notices: &[Notice]) -> Result<String, Trouble> {
    if asked.strict && notices.iter().any(Notice::stands) {
        return Err(Trouble::NoticesStand(said));
    }
    Ok(said)
}

fn in_words(bed: &Bed, filled: &Month, mixtures: &Mixtures, amounts: &[Vec<String>]) -> String {
    let units = bed.units();
    let mut said = wrapped(bed.name(), TextWidth::PLAIN);
    let latitude = bed.climate().latitude_deg;
    let side = if latitude < 0.0 { "south" } else { "north" };
    let stands = format!(
        "Filled on {}, in the climate of {}, {:.1} degrees {side}. {}",
        bed.filled(),
        bed.climate().name,
        latitude.abs(),
        outline(bed)
    );
    said.push_str(&wrapped(&stands, TextWidth::PLAIN));
    if let Some(watering) = &bed.irrigation() {
        said.push_str(&wrapped(&watered(watering, units), TextWidth::PLAIN));
    }
    let start = if bed.trench_m() > 0.0 {
        "From the bottom of the trench up: layer 1 lies lowest."
    } else {
        "From the ground up: layer 1 lies lowest."
    };
    said.push('\n');
    let start = format!("{start} Forecasts use the same numbers and names.");
    said.push_str(&wrapped(&start, TextWidth::PLAIN));
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
        said.push_str(&wrapped(&head, TextWidth::hanging(0, 3)));
        said.push_str(&wrapped(&lies, TextWidth::hanging(3, 6)));
        let empty = Vec::new();
        let written = amounts.get(index).unwrap_or(&empty);
        for (place, put) in layer.put.iter().enumerate() {
            let written = written.get(place).map_or("", String::as_str);
            let text = ingredient(put, written, units);
            said.push_str(&wrapped(&text, TextWidth::hanging(3, 6)));
        }
        if layer.put.len() > 1 {
            let mixed = "mixed: what is fine lies in the gaps of what is coarse, so they take \
                         less room together";
            said.push_str(&wrapped(mixed, TextWidth::hanging(3, 6)));
        }
        if let Some(mixture) = mixtures.layers.get(index) {
            said.push_str(&wrapped(&in_a_phrase(mixture), TextWidth::hanging(3, 6)));
        }
        if let Some(treated) = treated(layer) {
            said.push_str(&wrapped(&treated, TextWidth::hanging(3, 6)));
        }
    }
    said.push('\n');
    said.push_str(&wrapped(&height(filled, units), TextWidth::PLAIN));
    said.push_str(&wrapped(&whole(bed, filled, top_m), TextWidth::PLAIN));
    if let Some(fill) = fill_in_sentences(bed, mixtures) {
        said.push_str(&wrapped(&fill, TextWidth::PLAIN));
    }
    said.push_str(&later(bed));
    said
}

/// What is laid on the bed and fed to it after it is filled, and how many beds there are.
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
        said.push_str(&wrapped(&many, TextWidth::PLAIN));
    }
    if !events.is_empty() {
        said.push_str("\nLater:\n");
    }
    for (on, what) in events {
        said.push_str(&wrapped(
            &format!("{on}  {what}"),
            TextWidth::hanging(2, 14),
        ));
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
    let text = reading(height_m.abs(), units);
    if text.starts_with("0 ") {
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

/// What was done to a layer, and whether roots live there.
fn treated(layer: &Layer) -> Option<String> {
    let mut parts = Vec::new();
    if layer.trodden {
        parts.push("trodden".to_owned());
    }
    if layer.watered {
        parts.push("watered".to_owned());
    }
    let done = (!parts.is_empty()).then(|| format!("then {}", joined(&parts, "and")));
    let roots = layer.grows.then(|| "roots live here".to_owned());
    let said: Vec<String> = done.into_iter().chain(roots).collect();
    (!said.is_empty()).then(|| said.join("; "))
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

/// The bed as understood, in metres and kilograms.
fn as_json(bed: &Bed, filled: &Month, mixtures: &Mixtures, amounts: &[Vec<String>]) -> Value {
    let mut top_m = 0.0;
    let layers: Vec<Value> = bed
        .layers()
        .iter()
        .zip(&filled.layers)
        .enumerate()
        .map(|(index, (layer, row))| {
            let volume_m3 = bed.shape().volume_m3(top_m, top_m + row.thickness_m);
            top_m += row.thickness_m;
            let written = amounts.get(index).map_or(&[][..], Vec::as_slice);
            layer_as_json(layer, row, mixtures.layers.get(index), volume_m3, written)
        })
        .collect();
    json!({
        "name": bed.name(),
        "filled": bed.filled().to_string(),
        "climate": bed.climate(),
        "units": bed.units(),
        "shape": shape_as_json(&bed.shape()),
        "area_m2": bed.shape().area_m2(),
        "rim_m": bed.rim_m(),
        "trench_m": bed.trench_m(),
        "stands_on": bed.stands_on(),
        "near_wall": bed.near_wall(),
        "boards": bed.boards(),
        "watering": bed.irrigation(),
        "height_m": filled.height_m,
        "below_rim_m": filled.below_rim_m,
        "total_mass_kg": filled.total_mass_kg,
        "wet_kg_per_m2": filled.total_mass_kg / bed.shape().area_m2(),
        "mixture": mixtures.fill,
        "layers": layers,
        "count": bed.count(),
        "crop": bed.crop(),
        "added": bed.additions().iter().map(|added| json!({
            "on": added.on.to_string(),
            "material": added.ingredient.material.name,
        })).collect::<Vec<_>>(),
        "fed": bed.fed().iter().map(|feed| json!({
            "on": feed.on.to_string(),
            "nitrogen_kg": feed.nitrogen_kg,
        })).collect::<Vec<_>>(),
    })
}

fn shape_as_json(shape: &Shape) -> Value {
    match *shape {
        Shape::Box { width_m, length_m } => {
            json!({ "shape": "box", "width_m": width_m, "length_m": length_m })
        }
        Shape::Round { diameter_m } => {
            json!({ "shape": "round", "diameter_m": diameter_m })
        }
        Shape::Bag {
            width_m,
            length_m,
            bulged,
        } => {
            json!({ "shape": "bag", "width_m": width_m, "length_m": length_m, "bulged": bulged })
        }
        Shape::Mound {
            width_m,
            length_m,
            slope_deg,
        } => json!({
            "shape": "mound", "width_m": width_m, "length_m": length_m, "slope_deg": slope_deg,
        }),
    }
}

fn layer_as_json(
    layer: &Layer,
    row: &LayerMonth,
    mixture: Option<&Mixture>,
    volume_m3: f64,
    written: &[String],
) -> Value {
    let put: Vec<Value> = layer
        .put
        .iter()
        .enumerate()
        .map(|(index, put)| {
            let (measure, value) = match put.amount {
                Amount::VolumeM3(m3) => ("volume_m3", m3),
                Amount::ThicknessM(thickness_m) => ("thickness_m", thickness_m),
                Amount::WetMassKg(kg) => ("total_mass_kg", kg),
                Amount::DryMassKg(kg) => ("dry_kg", kg),
            };
            json!({
                "material": put.material.name,
                "written": written.get(index),
                "amount": { measure: value },
                "as": put.placement,
                "particle_size_m": put.particle_size_m,
                "moisture_wet": put.moisture_wet,
                "rotten": put.rotten,
            })
        })
        .collect();
    json!({
        "name": layer.name,
        "grows": layer.grows,
        "trodden": layer.trodden,
        "watered": layer.watered,
        "thickness_m": row.thickness_m,
        "volume_m3": volume_m3,
        "total_mass_kg": row.total_mass_kg,
        "mixture": mixture,
        "put": put,
    })
}

#[cfg(test)]
mod tests {
    use super::finds_room;
    use moulder::internals::bed::Bed;
    use moulder::internals::library::Library;
    use moulder::internals::read::read_toml;

    /// A mound 90 cm high at most, with 40 cm in it and so much laid on the year after.
    fn mound(added: &str) -> Bed {
        let text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"mound\"\nwidth = \"1.8 m\"\nlength = \"4 m\"\nslope = \"45 deg\"\n\
             [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"40 cm\" }}]\n\
             [[added]]\non = 2027-03-01\nmaterial = \"loamy topsoil\"\namount = \"{added}\"\n"
        );
        let bed = read_toml(&text, &Library::built_in());
        bed.expect("a lawful bed")
    }

    #[test]
    fn what_is_laid_on_a_mound_must_find_room() {
        assert!(finds_room(&mound("10 cm"), "mound.toml").is_ok());
        assert!(finds_room(&mound("80 cm"), "mound.toml").is_err());
    }
}
