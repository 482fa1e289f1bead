//! Which works the figures rest on, and how each was met.

use std::sync::LazyLock;

use moulder_core::value::{Status, Value};
use serde::{Deserialize, Serialize};

use crate::library::climates::Stations;
use crate::library::figure::figures_of;
use crate::library::materials::Catalogue;

/// The constants, made from the source by `examples/write_docs`.
const CONSTANTS: &str = include_str!("../../data/constants.json");

/// The works, and the words in a source by which each is known.
const WORKS: &str = include_str!("../../data/works.toml");

/// A constant of the laws, as the source code has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Constant {
    /// Its name in the source (`HUMUS_RATE`).
    pub name: String,
    /// File of the source.
    pub file: String,
    /// What it means, the first paragraph of its comment.
    pub meaning: String,
    /// The figure.
    pub value: Value,
}

/// A work that figures rest on.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Work {
    name: String,
    /// A source that holds one of these rests on it.
    marks: Vec<String>,
    /// Set for what is no one work: counted where no other work is named.
    #[serde(default)]
    general: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Works {
    work: Vec<Work>,
}

/// A figure and what it is of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// Name of the material; none for a constant of the laws.
    pub material: Option<String>,
    /// What it is: the figure of a material by its name, a constant by its meaning.
    pub what: String,
    /// The figure.
    pub value: Value,
}

/// How figures were obtained from their sources.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Tally {
    /// How many there are.
    pub figures: usize,
    /// Read in their source, or computed from what was read there.
    pub read: usize,
    /// Recalled from the literature and not read again.
    pub recalled: usize,
    /// Our own judgement.
    pub judged: usize,
}

impl Tally {
    fn of<'a>(values: impl IntoIterator<Item = &'a Value>) -> Self {
        let mut tally = Self::default();
        for value in values {
            tally.figures += 1;
            *match value.status {
                Status::Read => &mut tally.read,
                Status::Memory => &mut tally.recalled,
                Status::Judgement => &mut tally.judged,
            } += 1;
        }
        tally
    }
}

/// A source with what rests on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Source {
    /// The work, or that no work gives it.
    pub name: String,
    /// How its figures were obtained.
    pub tally: Tally,
    /// The figures. Those that rest on two works are with both.
    pub figures: Vec<Figure>,
}

/// Where the normals of a climate are from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Normals {
    /// Name of the climate.
    pub climate: String,
    /// Who measured, and where the records were read.
    pub source: String,
    /// Monthly means of high, low and rain that rest on it.
    pub monthly_means: usize,
}

/// All that the figures rest on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sources {
    /// All figures of materials and all constants, each once.
    pub tally: Tally,
    /// The sources, those with most figures first.
    pub sources: Vec<Source>,
    /// The climates.
    pub climates: Vec<Normals>,
}

impl Sources {
    /// The same with what has that word at the start of one of its own, ignoring case: all figures
    /// of a source whose name has it, of other sources the figures that have it, and the climates.
    #[must_use]
    pub fn with_word(&self, word: &str) -> Self {
        let word = word.trim().to_lowercase();
        let has = |text: &str| has_word(text, &word);
        let of_it = |figure: &&Figure| {
            figure.material.as_deref().is_some_and(has)
                || has(&figure.what)
                || has(&figure.value.source)
        };
        let sources = self.sources.iter().filter_map(|source| {
            let all = has(&source.name);
            let kept = source.figures.iter().filter(|figure| all || of_it(figure));
            let figures: Vec<Figure> = kept.cloned().collect();
            (!figures.is_empty()).then(|| Source {
                name: source.name.clone(),
                tally: Tally::of(figures.iter().map(|figure| &figure.value)),
                figures,
            })
        });
        let climates = self.climates.iter();
        let climates = climates.filter(|normals| has(&normals.climate) || has(&normals.source));
        let mut sources: Vec<Source> = sources.collect();
        sources.sort_by_key(|source| core::cmp::Reverse(source.tally.figures));
        Self {
            tally: self.tally,
            sources,
            climates: climates.cloned().collect(),
        }
    }
}

/// Whether one of a text's words begins so; `word` is in lower case.
fn has_word(text: &str, word: &str) -> bool {
    let text = text.to_lowercase();
    let mut found = text.match_indices(word);
    !word.is_empty() && found.any(|(at, _)| !text[..at].ends_with(char::is_alphanumeric))
}

/// What figures rest on that no work gives.
pub const OWN: &str = "Our own judgement or closure: no source gives it";

/// Every constant that has a source, in the order of the files of the source.
///
/// # Panics
///
/// Never: the file is part of the program, and a test reads it.
#[must_use]
pub fn constants() -> Vec<Constant> {
    serde_json::from_str(CONSTANTS).expect("the file is part of the program and read by a test")
}

/// What every figure of the built-in shelf, before calibration, and every constant rests on.
#[must_use]
pub fn sources() -> &'static Sources {
    static ALL: LazyLock<Sources> = LazyLock::new(collected);
    &ALL
}

/// Panics never: the file of works is part of the program, and a test reads it.
fn collected() -> Sources {
    let Works { work: works } =
        toml::from_str(WORKS).expect("the file is part of the program and read by a test");
    let figures = figures();
    let tally = Tally::of(figures.iter().map(|figure| &figure.value));
    let names = works.iter().map(|work| work.name.as_str()).chain([OWN]);
    let mut sources: Vec<Source> = names
        .map(|name| Source {
            name: name.to_owned(),
            tally: Tally::default(),
            figures: Vec::new(),
        })
        .collect();
    for figure in figures {
        for place in places(&works, &figure.value.source) {
            sources[place].figures.push(figure.clone());
        }
    }
    for source in &mut sources {
        source.tally = Tally::of(source.figures.iter().map(|figure| &figure.value));
    }
    sources.retain(|source| source.tally.figures > 0);
    sources.sort_by_key(|source| core::cmp::Reverse(source.tally.figures));
    Sources {
        tally,
        sources,
        climates: climates(),
    }
}

/// Places of the works that a source names; of what is no one work where it names none; else one
/// past the last, that of our own judgement.
fn places(works: &[Work], source: &str) -> Vec<usize> {
    let named = |general: bool| -> Vec<usize> {
        let works = works.iter().enumerate();
        let works = works.filter(|(_, work)| work.general == general);
        let works = works.filter(|(_, work)| work.marks.iter().any(|mark| source.contains(mark)));
        works.map(|(place, _)| place).collect()
    };
    let mut places = named(false);
    if places.is_empty() {
        places = named(true);
        places.truncate(1);
    }
    if places.is_empty() {
        places.push(works.len());
    }
    places
}

/// Every figure of the shelf, then every constant.
fn figures() -> Vec<Figure> {
    let shelf = Catalogue::built_in();
    let mut figures = Vec::new();
    for material in shelf.iter() {
        let mut material = material.clone();
        let name = material.name.clone();
        figures.extend(figures_of(&mut material).into_iter().map(|figure| Figure {
            material: Some(name.clone()),
            what: figure.of.to_owned(),
            value: figure.value.clone(),
        }));
    }
    figures.extend(constants().into_iter().map(|constant| Figure {
        material: None,
        what: constant.meaning,
        value: constant.value,
    }));
    figures
}

fn climates() -> Vec<Normals> {
    let stations = Stations::built_in();
    let normals = stations.iter().map(|station| Normals {
        climate: station.climate.name.clone(),
        source: station.source.clone(),
        monthly_means: station.climate.high_c.len()
            + station.climate.low_c.len()
            + station.climate.rain_mm.len(),
    });
    normals.collect()
}

#[cfg(test)]
mod tests {
    use super::{OWN, Works, constants, places, sources};
    use moulder_core::value::Status;

    #[test]
    fn every_figure_is_counted_once() {
        let all = sources();
        let tally = all.tally;
        assert_eq!(tally.figures, tally.read + tally.recalled + tally.judged);
        let of_constants = constants().len();
        assert!(of_constants > 70, "{of_constants}");
        assert!(tally.figures > 1200 + of_constants, "{tally:?}");
        let with_works: usize = all.sources.iter().map(|source| source.tally.figures).sum();
        assert!(with_works >= tally.figures);
        assert!(
            all.sources
                .is_sorted_by(|one, other| one.tally.figures >= other.tally.figures)
        );
    }

    /// What was read or recalled names where.
    #[test]
    fn what_is_no_judgement_has_a_work() {
        let all = sources();
        let own = all
            .sources
            .iter()
            .find(|source| source.name == OWN)
            .unwrap();
        let odd = own
            .figures
            .iter()
            .filter(|figure| figure.value.status != Status::Judgement);
        let odd: Vec<_> = odd.map(|figure| &figure.value.source).collect();
        assert!(odd.is_empty(), "no work in data/works.toml for {odd:#?}");
    }

    /// A row of the file that no figure rests on is left over.
    #[test]
    fn every_work_has_a_figure_and_general_knowledge_comes_last() {
        let Works { work: works } = toml::from_str(super::WORKS).unwrap();
        for work in &works {
            let found = sources()
                .sources
                .iter()
                .any(|source| source.name == work.name);
            assert!(found, "nothing rests on {}", work.name);
        }
        let both = "NRAES-54 table A.1 (Rynk 1992), 54 from memory; read in Cornell factsheet 2";
        assert_eq!(places(&works, both).len(), 2);
        assert_eq!(places(&works, "made up"), [works.len()]);
    }

    #[test]
    fn a_word_finds_a_source_a_material_and_a_climate() {
        let all = sources();
        let jenkinson = all.with_word("JENKINSON");
        assert!(jenkinson.sources[0].name.starts_with("Jenkinson"));
        let straw = all.with_word("straw bale");
        assert!(straw.sources.len() > 3);
        assert_eq!(all.with_word("hobart").climates.len(), 1);
        assert!(all.with_word("enkinson").sources.is_empty());
        assert!(all.with_word(" ").sources.is_empty());
    }
}
