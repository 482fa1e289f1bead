//! `moulder materials`: what a bed can be filled with.

use std::fmt::Write;

use clap::Args;
use moulder::internals::library::material::{Class, Counts, Fitted, Form, Material, Pool, Rate};
use moulder_core::value::{Status, Value};
use moulder_words::material::{lies, made_of, sheet_of};
use moulder_words::range::with_ends;

use crate::common::shelf::{ShelfArguments, named};
use crate::print::lines::{apart, hanging, listed, plain};
use crate::print::look::Look;
use crate::print::screen::pretty;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct MaterialsArguments {
    /// One material, to see all its numbers; without it, the list of all
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

/// How to read the numbers of a material.
const KEY: &str = "In brackets: where 8 in 10 true values are held to lie. \
read: the source was read. memory: recalled, not read again. \
judgement: our own, no source gives it.";

/// The answer to what was asked.
pub(crate) fn answer(asked: &MaterialsArguments) -> Result<String, Trouble> {
    let shelf = asked.shelf.faultless()?;
    if asked.name.is_empty() {
        let all: Vec<&Material> = shelf.materials().collect();
        return Ok(if asked.json { pretty(&all) } else { list(&all) });
    }
    let name = asked.name.join(" ");
    let material = named(&shelf, &name, "<NAME>")?;
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
            said += &listed(&material.name, &material.about, ABOUT);
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
    let mut said = plain(&material.name);
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
    if material.wilts {
        head.push_str(" Fresh and green, it wilts and goes down without rain.");
    }
    said += &plain(&head);
    said += &apart(KEY);
    said.push_str("\nWhat it is made of\n");
    said += &numbers_of(made_of(material));
    said.push_str("\nHow it lies and settles\n");
    said += &numbers_of(lies(material));
    if let Some(sheet) = &material.sheet {
        said += if sheet.mat {
            "\nAs a mat, which holds soil back until it rots\n"
        } else {
            "\nAs a sheet, which holds soil back while it lasts\n"
        };
        said += &numbers_of(sheet_of(sheet));
    }
    for part in &material.pools {
        said += &rotting(part);
    }
    said
}

/// The decay of one pool of a material.
fn rotting(part: &Pool) -> String {
    let mut said = format!("\n{}", plain(&format!("How it rots: {}", part.name)));
    said += &number("share of the carbon", &part.share);
    said += &number(
        "share of what rots that stays as humus",
        &part.humification_coefficient,
    );
    if part.in_soil {
        said.push_str("  This carbon lies in soil that the rest holds together.\n");
    }
    if let Some(ratio) = &part.colonised {
        said += &number(
            "fungi move into sound wood, times faster than it rots",
            ratio,
        );
    }
    let counts = match part.counts {
        Counts::PieceLeft => "rate, of the piece that is left",
        Counts::AllCarbonLeft => "rate, of all carbon that is left",
    };
    for rate in &part.rates {
        said += &number(counts, &rate.rate);
        let size = rate
            .particle_size_m
            .map_or_else(String::new, |particle_size_m| {
                format!(", pieces {particle_size_m} m across")
            });
        let site = match &rate.site {
            Some(site) => format!(
                "measured at {} (mean {} deg C){size}{}; {}",
                site.place,
                site.mean_c,
                studied(rate),
                site.source
            ),
            None => format!("as it would be at 10 deg C, moist and aired{size}"),
        };
        said += &hanging(6, 6, &site);
        if let Some(site) = &rate.site {
            said += &number(
                "there, half the way from the coldest to the warmest month",
                &site.half_range_c,
            );
            said += &number(
                "there, share of the moist and aired rate",
                &site.moisture_factor,
            );
        }
    }
    said
}

/// Over how many years a rate was measured, and from when on.
fn studied(rate: &Rate) -> String {
    let over = rate
        .years
        .map_or_else(String::new, |years| format!(", over {years} years"));
    match rate.fitted {
        Fitted::FromStart => over,
        Fitted::Slope => over + ", when it was well under way",
    }
}

fn numbers_of<'a>(labelled: impl IntoIterator<Item = (&'a str, &'a Value)>) -> String {
    let labelled = labelled.into_iter();
    labelled
        .map(|(label, value)| number(label, value))
        .collect()
}

/// One number with its spread, unit, status and source.
fn number(label: &str, value: &Value) -> String {
    let unit = match value.unit.as_ref() {
        "1" => "",
        unit => unit,
    };
    let [best, low, high] =
        [value.best, value.spread.low, value.spread.high].map(|figure| figure.to_string());
    let figure = format!("{label}: {} {unit}", with_ends(&best, &low, &high));
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
    hanging(2, 6, &figure) + &hanging(6, 6, &source)
}
