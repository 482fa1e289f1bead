//! Where the figures of the materials come from.

use moulder::Bed;
use moulder::Material;
use moulder::Sourced as Value;
use moulder::materials::Status;
use moulder::materials::{Counts, Pool};
use moulder_words::material::{lies, made_of, sheet_of};
use moulder_words::range::with_ends;

use crate::name::{in_a_line, sentence_case};

/// How a source was met.
const READ: &str = "Read";
const MEMORY: &str = "From memory, not read again";
const JUDGEMENT: &str = "Our own judgement, no source gives it";

/// A material with its figures.
pub(crate) struct Sourced {
    /// Its name.
    pub(crate) name: String,
    /// What it is.
    pub(crate) about: String,
    /// Its figures, by source.
    pub(crate) sources: Vec<Source>,
}

/// What comes from one source.
pub(crate) struct Source {
    /// How it was met, and which it is.
    pub(crate) name: String,
    /// The figures; the first begins a sentence.
    pub(crate) figures: Vec<String>,
}

/// The materials of beds and their additions, each once, from the ground up.
pub(crate) fn sources(beds: &[&Bed]) -> Vec<Sourced> {
    let mut materials: Vec<&Material> = Vec::new();
    let ingredients = beds.iter().flat_map(|bed| {
        let put = bed.layers().iter().flat_map(|layer| &layer.put);
        put.chain(bed.additions().iter().map(|added| &added.ingredient))
    });
    for ingredient in ingredients {
        let material = &ingredient.material;
        if materials.iter().all(|known| known.name != material.name) {
            materials.push(material);
        }
    }
    materials.into_iter().map(sourced).collect()
}

/// How many figures of a material were read, recalled and judged, in a line.
pub(crate) fn in_short(material: &Sourced) -> String {
    let of = |met: &str| -> usize {
        let of = material.sources.iter();
        let of = of.filter(|source| source.name.starts_with(met));
        of.map(|source| source.figures.len()).sum()
    };
    format!(
        "{} read, {} from memory, {} judged",
        of(READ),
        of(MEMORY),
        of(JUDGEMENT)
    )
}

fn sourced(material: &Material) -> Sourced {
    let mut sources = Vec::new();
    let sheet = material.sheet.iter().flat_map(sheet_of);
    for (label, value) in made_of(material)
        .into_iter()
        .chain(lies(material))
        .chain(sheet)
    {
        note(&mut sources, &figure(label, value), value);
    }
    for pool in &material.pools {
        rots(&mut sources, pool);
    }
    Sourced {
        name: in_a_line(&material.name),
        about: in_a_line(&material.about),
        sources,
    }
}

/// Decay of a pool.
fn rots(sources: &mut Vec<Source>, pool: &Pool) {
    let name = &pool.name;
    for (label, value) in [
        ("share of the carbon", &pool.share),
        (
            "share of what rots that stays as humus",
            &pool.humification_coefficient,
        ),
    ] {
        note(sources, &figure(&format!("{name}, {label}"), value), value);
    }
    if let Some(ratio) = &pool.colonised {
        let label = format!("{name}, how much faster fungi move in than it rots");
        note(sources, &figure(&label, ratio), ratio);
    }
    let counts = match pool.counts {
        Counts::PieceLeft => "rate of the piece that is left",
        Counts::AllCarbonLeft => "rate of all carbon that is left",
    };
    for rate in &pool.rates {
        let site = rate.site.as_ref().map_or_else(
            || " at 10 deg C, moist and aired".to_owned(),
            |site| {
                let years = rate.years.map(|years| format!(" over {years} years"));
                format!(" measured at {}{}", site.place, years.unwrap_or_default())
            },
        );
        let said = format!("{}{site}", figure(&format!("{name}, {counts}"), &rate.rate));
        note(sources, &said, &rate.rate);
    }
}

/// Puts a figure to its source.
fn note(sources: &mut Vec<Source>, said: &str, value: &Value) {
    let met = match value.status {
        Status::Read => READ,
        Status::Memory => MEMORY,
        Status::Judgement => JUDGEMENT,
    };
    let source = value.source.as_ref();
    let source = match value.status {
        // The status has it already.
        Status::Judgement => source.strip_prefix("our own judgement: ").unwrap_or(source),
        Status::Read | Status::Memory => source,
    };
    let name = in_a_line(&format!("{met}: {}.", source.trim_end_matches('.')));
    let said = in_a_line(said);
    match sources.iter_mut().find(|known| known.name == name) {
        Some(known) => known.figures.push(said),
        None => sources.push(Source {
            name,
            figures: vec![sentence_case(&said)],
        }),
    }
}

/// "carbon to nitrogen 300 (200 to 500)".
fn figure(label: &str, value: &Value) -> String {
    let unit = match value.unit.as_ref() {
        "1" => String::new(),
        unit => format!(" {unit}"),
    };
    let [best, low, high] =
        [value.best, value.spread.low, value.spread.high].map(|figure| figure.to_string());
    format!("{label} {}{unit}", with_ends(&best, &low, &high))
}
