//! `moulder materials`: what a bed can be filled with.

use std::fmt::Write;

use moulder::internals::library::material::{Class, Counts, Form, Material, Pool};
use moulder_core::value::{Status, Value};
use moulder_words::material::{lies, made_of, sheet_of};

use crate::arguments::MaterialsArguments;
use crate::lines::{TextWidth, listed, wrapped};
use crate::output::pretty;
use crate::shelf;
use crate::trouble::Trouble;

/// How to read the numbers of a material.
const KEY: &str = "In brackets: where four in five true values are held to lie. \
read: the source was read. memory: recalled, not read again. \
judgement: our own, no source gives it.";

/// The answer to what was asked.
pub(crate) fn answer(asked: &MaterialsArguments) -> Result<String, Trouble> {
    let (shelf, complaints) = shelf::with_own(&asked.shelf)?;
    if !complaints.is_empty() {
        return Err(Trouble::BadInput(complaints));
    }
    if asked.name.is_empty() {
        let all: Vec<&Material> = shelf.materials().collect();
        return Ok(if asked.json { pretty(&all) } else { list(&all) });
    }
    let name = asked.name.join(" ");
    let material = shelf::named(&shelf, &name, "<NAME>")?;
    Ok(if asked.json {
        pretty(material)
    } else {
        numbers(material)
    })
}

/// Pieces as thick as this are logs; m. Firewood begins about there: our judgement.
const LOG_M: f64 = 0.05;

/// The groups of the list, in its order.
const GROUPS: [&str; 4] = [
    "Logs",
    "Other wood",
    "Leaves, greens and other soft stuff",
    "Soils and composts",
];

/// Which of [`GROUPS`] a material belongs to.
fn group(material: &Material) -> usize {
    let thick = material.form == Form::Rods && material.particle_size.best >= LOG_M;
    match material.class {
        Class::Wood if thick => 0,
        Class::Wood => 1,
        Class::Plant => 2,
        Class::Soil => 3,
    }
}

/// All materials by group, a name and a line about it.
fn list(materials: &[&Material]) -> String {
    /// Where the lines about the materials begin; characters.
    const ABOUT: usize = 28;
    let mut said = String::new();
    for (number, heading) in GROUPS.iter().enumerate() {
        let mut here = materials
            .iter()
            .filter(|material| group(material) == number)
            .peekable();
        if here.peek().is_none() {
            continue;
        }
        let _ = writeln!(said, "{heading}");
        for material in here {
            said.push_str(&listed(&material.name, &material.about, ABOUT));
        }
        said.push('\n');
    }
    said.push_str("All numbers of one, with their sources: moulder materials NAME\n");
    said
}

const fn kind(class: Class) -> &'static str {
    match class {
        Class::Wood => "wood",
        Class::Plant => "soft stuff",
        Class::Soil => "soil",
    }
}

/// One material with all its numbers.
fn numbers(material: &Material) -> String {
    let mut said = wrapped(&material.name, TextWidth::PLAIN);
    let mut head = material.about.clone();
    if !material.also.is_empty() {
        let _ = write!(head, " Also called {}.", material.also.join(", "));
    }
    let _ = write!(head, " It rots as {}", kind(material.class));
    head.push_str(match material.form {
        Form::Rods => " and lies as long pieces.",
        Form::Lumps => " and lies as pieces about as long as wide.",
    });
    if material.is_grains() {
        head.push_str(" Its grains trickle into gaps below.");
    }
    said.push_str(&wrapped(&head, TextWidth::PLAIN));
    said.push('\n');
    said.push_str(&wrapped(KEY, TextWidth::PLAIN));
    said.push_str("\nWhat it is made of\n");
    for (label, value) in made_of(material) {
        said.push_str(&number(label, value));
    }
    said.push_str("\nHow it lies and settles\n");
    for (label, value) in lies(material) {
        said.push_str(&number(label, value));
    }
    if let Some(sheet) = &material.sheet {
        said.push_str("\nAs a sheet, which holds soil back while it lasts\n");
        for (label, value) in sheet_of(sheet) {
            said.push_str(&number(label, value));
        }
    }
    for part in &material.pools {
        said.push_str(&rotting(part));
    }
    said
}

/// How one part of a material rots.
fn rotting(part: &Pool) -> String {
    let mut said = format!(
        "\n{}",
        wrapped(&format!("How it rots: {}", part.name), TextWidth::PLAIN)
    );
    said.push_str(&number("share of the carbon", &part.share));
    said.push_str(&number(
        "share of what rots that stays as humus",
        &part.humification_coefficient,
    ));
    if part.in_soil {
        said.push_str("  This carbon lies in soil that the rest holds together.\n");
    }
    let counts = match part.counts {
        Counts::PieceLeft => "rate, of the piece that is left",
        Counts::AllCarbonLeft => "rate, of all carbon that is left",
    };
    for rate in &part.rates {
        said.push_str(&number(counts, &rate.rate));
        let size = rate
            .particle_size_m
            .map_or_else(String::new, |particle_size_m| {
                format!(", pieces {particle_size_m} m across")
            });
        let site = match &rate.site {
            Some(site) => format!(
                "measured at {} (mean {} deg C, half range {} deg C, {} of the moist and aired \
                 rate){size}; {}",
                site.place, site.mean_c, site.half_range_c, site.moisture_factor, site.source
            ),
            None => format!("as it would be at 10 deg C, moist and aired{size}"),
        };
        said.push_str(&wrapped(&site, TextWidth::hanging(6, 6)));
    }
    said
}

/// One number with its spread, unit, status and source.
fn number(label: &str, value: &Value) -> String {
    let unit = match value.unit.as_ref() {
        "1" => "",
        unit => unit,
    };
    let figure = format!(
        "{label}: {} ({} to {}) {unit}",
        value.best, value.spread.low, value.spread.high
    );
    let status = match value.status {
        Status::Read => "read",
        Status::Memory => "memory",
        Status::Judgement => "judgement",
    };
    let source = value.source.as_ref();
    let source = match value.status {
        // Said once is enough.
        Status::Judgement => source.strip_prefix("our own judgement: ").unwrap_or(source),
        Status::Read | Status::Memory => source,
    };
    let source = format!("{status}: {source}");
    wrapped(&figure, TextWidth::hanging(2, 6)) + &wrapped(&source, TextWidth::hanging(6, 6))
}
