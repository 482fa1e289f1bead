//! The collection of materials.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::fault::library_fault::{LibraryFault, LibraryFaults};
use crate::fault::sentence;
use crate::fault::{FaultCode, Place};
use crate::library::check;
use crate::library::file::{Walked, walk};
use crate::library::material::Material;
use crate::text::limit;
use crate::text::suggestion::suggested_entries;
use crate::text::work;
use crate::tree::{Places, Unplaced, read_toml, without_mark};

/// The built-in files, in the order in which they are listed.
const BUILT_IN: [&str; 4] = [
    include_str!("../../data/materials/logs.toml"),
    include_str!("../../data/materials/woody.toml"),
    include_str!("../../data/materials/soft.toml"),
    include_str!("../../data/materials/soils.toml"),
];

/// What people ask for that is no name on the shelf, and the names that come nearest; none where
/// nothing on it will do.
const NEAREST: &[(&[&str], &[&str])] = &[
    (
        &["log", "logs", "wood", "firewood", "timber", "trunks"],
        &["hardwood log", "softwood log"],
    ),
    (
        &[
            "mushroom compost",
            "used mushroom compost",
            "spent mushroom compost",
        ],
        &["garden compost", "horse manure"],
    ),
    (
        &[
            "manure",
            "cow manure",
            "cattle manure",
            "farmyard manure",
            "sheep manure",
            "goat manure",
        ],
        &["horse manure", "poultry manure"],
    ),
    (
        &["tea", "tea leaves", "tea bags"],
        &["coffee grounds", "kitchen vegetable waste"],
    ),
    (&["paper", "newspaper"], &["brown card"]),
    (
        &["peat", "coir", "leaf litter"],
        &["leaf mould", "deciduous leaves"],
    ),
    (
        &["weeds", "nettles", "comfrey", "bracken"],
        &["mixed green waste", "hay"],
    ),
    (
        &["food waste", "food scraps", "fruit"],
        &["kitchen vegetable waste"],
    ),
    (
        &["mulch", "wood mulch"],
        &["wood chips", "bark", "shredded prunings"],
    ),
    (&["sand"], &["sandy topsoil"]),
    (
        &["dirt", "earth", "subsoil"],
        &["loamy topsoil", "clay topsoil"],
    ),
    (
        &[
            "wood ash",
            "wood ashes",
            "ashes",
            "gravel",
            "stones",
            "rubble",
        ],
        &[],
    ),
];

/// A file of materials.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialFile {
    material: Vec<Material>,
}

/// The materials that a bed file may name.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    materials: Vec<Material>,
    /// Index of the material with that name, as names are compared.
    named: BTreeMap<String, usize>,
}

impl Catalogue {
    /// A catalogue of the given materials.
    #[must_use]
    pub fn new(materials: Vec<Material>) -> Self {
        let mut named = BTreeMap::new();
        for (i, material) in materials.iter().enumerate() {
            for name in names(material) {
                named.entry(name).or_insert(i);
            }
        }
        Self { materials, named }
    }

    /// The built-in materials with their priors, in the order of their files.
    ///
    /// # Panics
    ///
    /// Never: the files are part of the program, and a test reads them whole.
    #[must_use]
    pub fn built_in() -> Self {
        let read = |text: &&str| {
            let file: MaterialFile = toml::from_str(text)
                .expect("the files of materials are part of the program and read by a test");
            file.material
        };
        Self::new(BUILT_IN.iter().flat_map(read).collect())
    }

    /// Materials of a TOML file in the format of the built-in ones, of at most
    /// [`limit::SHELF_BYTES`] bytes and [`limit::SHELF_MATERIALS`] materials.
    ///
    /// # Errors
    ///
    /// [`LibraryFaults`] with every fault of the format, each with its line; or, where the format
    /// is right, with everything that [`Catalogue::faults`] finds.
    pub fn from_toml(text: &str) -> Result<Self, LibraryFaults> {
        read(without_mark(text)).map(Self::new)
    }

    /// This collection overlaid by another.
    ///
    /// A material of `over` with the main name of one of these, ignoring case, replaces it and
    /// takes over its synonyms. A material of `over` with a synonym of one of these takes the
    /// synonym. All other materials of `over` follow at the end.
    #[must_use]
    pub fn overlaid(self, over: Self) -> Self {
        let taken = over.named;
        let mut over: Vec<Option<Material>> = over.materials.into_iter().map(Some).collect();
        // Where each material of `over` was placed.
        let mut places: Vec<Option<usize>> = vec![None; over.len()];
        let mut materials: Vec<Material> = Vec::new();
        for mut ours in self.materials {
            ours.also.retain(|name| !taken.contains_key(&key(name)));
            let Some(i) = taken.get(&key(&ours.name)).copied() else {
                materials.push(ours);
                continue;
            };
            if let Some(mut theirs) = over[i].take() {
                theirs.also.append(&mut ours.also);
                places[i] = Some(materials.len());
                materials.push(theirs);
            } else if let Some(place) = places[i] {
                materials[place].also.append(&mut ours.also);
            }
        }
        materials.extend(over.into_iter().flatten());
        Self::new(materials)
    }

    /// The faults of the materials, one plain sentence each.
    ///
    /// Checks names, units, sources, spreads, bounds, pool shares, rates and their sites, and
    /// that the loose bulk density is plausible.
    #[must_use]
    pub fn faults(&self) -> Vec<String> {
        self.faults_by_material()
            .map(|(name, message)| format!("{name}: {message}"))
            .collect()
    }

    /// The faults, each with the name of its material.
    pub(crate) fn faults_by_material(&self) -> impl Iterator<Item = (String, String)> {
        check::faults(&self.materials)
            .into_iter()
            .map(|(i, message)| (self.materials[i].name.clone(), message))
    }

    /// Up to three names of materials most similar to `name`, best first.
    #[must_use]
    pub fn suggestions(&self, name: &str) -> Vec<&str> {
        let typed = key(name);
        let asked = NEAREST
            .iter()
            .find(|(asked, _)| asked.contains(&typed.as_str()));
        if let Some((_, nearest)) = asked {
            let nearest = nearest.iter().filter_map(|name| self.find(name));
            return nearest.map(|material| material.name.as_str()).collect();
        }
        suggested_entries(
            name,
            self.materials
                .iter()
                .map(|material| (material.name.as_str(), material.also.as_slice())),
        )
    }

    /// The materials in the order of the file.
    pub fn iter(&self) -> impl Iterator<Item = &Material> {
        self.materials.iter()
    }

    /// The material of that name or synonym, ignoring case.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Material> {
        work::count(1);
        let i = self.named.get(&key(name))?;
        self.materials.get(*i)
    }
}

/// A name as it is compared.
fn key(name: &str) -> String {
    name.trim().to_lowercase()
}

/// All names of a material as they are compared.
fn names(material: &Material) -> impl Iterator<Item = String> {
    core::iter::once(&material.name)
        .chain(&material.also)
        .map(|name| key(name))
}

/// The materials of a file, or its faults.
fn read(text: &str) -> Result<Vec<Material>, LibraryFaults> {
    if text.len() > limit::SHELF_BYTES {
        let message = format!(
            "the file holds {} bytes, and {} can be read.",
            text.len(),
            limit::SHELF_BYTES
        );
        let place = Place::Line { line: 1, column: 1 };
        return refused(vec![fault(FaultCode::TooBig, place, "", message)].into_iter());
    }
    let tree = read_toml(text);
    let places = &tree.places;
    if !tree.faults.is_empty() {
        return refused(tree.faults.iter().map(|found| syntax_fault(places, found)));
    }
    let Walked { faults, starts } = walk(&tree.root);
    if !faults.is_empty() {
        return refused(faults.iter().map(|found| {
            let of = found.material.and_then(|i| starts.get(i));
            let name = of.map_or("", |material| material.name.as_str());
            fault(
                found.code,
                places.place(found.at, ""),
                name,
                found.message(),
            )
        }));
    }
    match toml::from_str::<MaterialFile>(text) {
        Ok(MaterialFile {
            material: materials,
        }) => {
            let faults = check::faults(&materials);
            if faults.is_empty() {
                return Ok(materials);
            }
            refused(faults.into_iter().map(|(i, message)| {
                let at = starts.get(i).map_or(0, |material| material.at);
                let place = places.place(at, "");
                fault(FaultCode::DoesNotFit, place, &materials[i].name, message)
            }))
        }
        // The walk finds all that serde would; if it ever does not, report the line.
        Err(error) => {
            let at = error.span().unwrap_or_default().start;
            let message = "this does not follow the form of a file of materials.".to_owned();
            let place = places.place(at, "");
            refused(vec![fault(FaultCode::WrongKind, place, "", message)].into_iter())
        }
    }
}

/// Returns the faults, of which there is at least one.
fn refused(
    faults: impl ExactSizeIterator<Item = LibraryFault>,
) -> Result<Vec<Material>, LibraryFaults> {
    LibraryFaults::of(faults).map_or_else(|| Ok(Vec::new()), Err)
}

fn syntax_fault(places: &Places<'_>, found: &Unplaced) -> LibraryFault {
    let placed = places.placed(found.clone());
    let message = match placed.code {
        FaultCode::TooDeep => "lists and tables are nested too deep here.".to_owned(),
        _ => sentence::sentence(&placed),
    };
    fault(placed.code, placed.place, "", message)
}

fn fault(code: FaultCode, place: Place, material: &str, message: String) -> LibraryFault {
    LibraryFault {
        code,
        place,
        material: material.to_owned(),
        said: message,
    }
}

#[cfg(test)]
mod tests {
    use super::{BUILT_IN, Catalogue, MaterialFile, NEAREST};
    use crate::library::file::walk;
    use crate::text::limit;
    use crate::tree::read_toml;

    /// The first material of the first built-in file.
    fn one_material() -> String {
        let start = BUILT_IN[0].find("[[material]]").unwrap();
        let rest = &BUILT_IN[0][start..];
        let end = rest[1..].find("\n[[material]]").unwrap();
        rest[..end + 2].to_owned()
    }

    fn with_line(text: &str, i: usize, change: impl Fn(&str) -> String) -> String {
        let lines = text.lines().enumerate();
        lines
            .map(|(j, line)| if i == j { change(line) } else { line.to_owned() } + "\n")
            .collect()
    }

    /// With each line of a material dropped, renamed, or given a value of another kind, the walk
    /// and serde accept and refuse the same files.
    #[test]
    fn the_walk_and_serde_agree() {
        let text = one_material();
        let mut refused = 0;
        for (i, line) in text.lines().enumerate() {
            let mut changed = vec![with_line(&text, i, |_| String::new())];
            if let Some((name, _)) = line.split_once(" = ") {
                changed.push(with_line(&text, i, |line| format!("x{line}")));
                for value in [
                    "3",
                    "\"\\u00e6\"",
                    "true",
                    "[1.0]",
                    "{ best = 1 }",
                    "[\"a\"]",
                ] {
                    changed.push(with_line(&text, i, |_| format!("{name} = {value}")));
                }
            }
            for part in [
                "best", "spread", "unit", "source", "status", "place", "mean-c",
            ] {
                if line.contains(&format!("{part} = ")) {
                    let other = format!("{part}s = ");
                    changed.push(with_line(&text, i, |line| {
                        line.replace(&format!("{part} = "), &other)
                    }));
                }
            }
            for text in changed {
                let tree = read_toml(&text);
                let walked = tree.faults.is_empty() && walk(&tree.root).faults.is_empty();
                let by_serde = toml::from_str::<MaterialFile>(&text).map(|_| ());
                assert_eq!(walked, by_serde.is_ok(), "{text}\n{by_serde:?}");
                refused += usize::from(!walked);
            }
        }
        assert!(refused > 150, "{refused}");
    }

    /// Serde takes a pair of three numbers; the walk does not.
    #[test]
    fn built_in_files_pass_the_walk() {
        for text in BUILT_IN {
            assert!(Catalogue::from_toml(text).is_ok());
        }
        let text = one_material().replace("[2.0, 4.0]", "[2.0, 4.0, 6.0]");
        let message = Catalogue::from_toml(&text).unwrap_err().to_string();
        assert!(
            message.contains("the \"spread\" of its \"lag\" must be a pair"),
            "{message}"
        );
    }

    #[test]
    fn every_fault_has_its_line_and_material() {
        let good = one_material()
            .replace("beech", "elm")
            .replace("Fagus", "Ulmus");
        assert_eq!(Catalogue::from_toml(&good).unwrap().iter().count(), 1);
        let bad = good
            .replace("class = \"wood\"", "class = \"timber\"")
            .replace("lag = {", "lagg = {")
            .replacen("across-m = 0.31", "across-m = \"31 cm\"", 1);
        let faults = Catalogue::from_toml(&bad).unwrap_err().to_string();
        let lines: Vec<&str> = faults.lines().collect();
        assert_eq!(lines.len(), 4, "{faults}");
        assert_eq!(
            lines[0],
            "line 1, column 1, in \"elm log\": it has no \"lag\"."
        );
        assert!(lines[1].starts_with("line 5, column 9, in \"elm log\": its \"class\" must be \"wood\", \"plant\" or \"soil\", not \"timber\"."));
        assert!(
            lines[2]
                .ends_with("it has a field \"lagg\" that cannot be used. Did you mean \"lag\"?")
        );
        assert!(lines[3].ends_with(
            "the \"across-m\" of rate 1 of its pool 1 must be a number, not the text \"31 cm\"."
        ));
    }

    #[test]
    fn a_file_of_the_right_format_is_validated() {
        let good = one_material();
        let bad = good
            .replace(
                "spread = [2.0, 4.0], unit = \"1\"",
                "spread = [4.0, 2.0], unit = \"1\"",
            )
            .replace("unit = \"kPa\"", "unit = \"psi\"");
        let faults = Catalogue::from_toml(&format!("# Mine.\n{good}{bad}")).unwrap_err();
        let message: Vec<&str> = faults.as_slice().iter().map(|f| f.said.as_str()).collect();
        assert!(message.contains(&"the spread of its lag is the wrong way round."));
        assert!(message.contains(&"its reference stress is in \"psi\", not in \"kPa\"."));
        assert!(message.contains(&"the name \"beech log\" is already taken by \"beech log\"."));
        let second = good.lines().count() + 2;
        let place = format!("line {second}, column 1, in \"beech log\": ");
        assert!(
            faults
                .to_string()
                .lines()
                .all(|line| line.starts_with(&place)),
            "{faults}"
        );
    }

    #[test]
    fn other_files_are_refused() {
        for (text, part) in [
            (String::new(), "the file holds no [[material]]"),
            ("material = []".into(), "the file holds no material"),
            ("material = 3".into(), "two pairs of brackets"),
            ("format = 1\n[[material]]".into(), "has no place"),
            (
                "[[material]]\nname = elm".into(),
                "a text must stand in quotes",
            ),
            ("[[material]]\n".repeat(501), "501 materials, and 500"),
            ("#".repeat(limit::SHELF_BYTES + 1), "1048577 bytes"),
            ("[".repeat(limit::SHELF_BYTES), "line 1"),
            (format!("{}a = 1", "a.".repeat(100_000)), "nested too deep"),
        ] {
            let message = Catalogue::from_toml(&text).unwrap_err().to_string();
            assert!(message.contains(part), "{part}: {message:.300}");
        }
    }

    #[test]
    fn a_users_material_replaces_ours() {
        let built_in = Catalogue::built_in();
        let count = built_in.iter().count();
        let make = |name: &str, also: &[&str]| {
            let mut made = built_in.find("oak log").unwrap().clone();
            made.name = name.to_owned();
            made.also = also.iter().map(|&other| other.to_owned()).collect();
            made.about = "mine".to_owned();
            made
        };
        let over = |made| built_in.clone().overlaid(Catalogue::new(made));
        let about = |materials: &Catalogue, name: &str| materials.find(name).unwrap().about.clone();

        // By main name, ignoring case: its synonyms go with it.
        let materials = over(vec![make("Beech Log", &["my beech"])]);
        assert_eq!(materials.iter().count(), count);
        assert_eq!(materials.iter().next().unwrap().name, "Beech Log");
        for name in ["beech log", "my beech", "beech"] {
            assert_eq!(about(&materials, name), "mine");
        }
        // By a synonym of the user's, here two built-in materials at once.
        let materials = over(vec![make("lawn", &["turf", "turf clods"])]);
        assert_eq!(materials.iter().count(), count - 1);
        for name in ["lawn", "turf", "sods", "turf clods", "sod clods"] {
            assert_eq!(about(&materials, name), "mine");
        }
        // A synonym is taken from the built-in material.
        let materials = over(vec![make("willow log", &["plum log"])]);
        assert_eq!(materials.iter().count(), count + 1);
        assert_eq!(about(&materials, "willow log"), "mine");
        assert_eq!(about(&materials, "plum log"), "mine");
        assert_eq!(
            materials.find("poplar log"),
            built_in
                .find("poplar log")
                .map(|ours| {
                    let mut ours = ours.clone();
                    ours.also.retain(|name| name != "willow log");
                    ours
                })
                .as_ref()
        );
        assert_eq!(materials.faults(), Vec::<String>::new());
    }

    #[test]
    fn the_built_in_materials_have_no_fault() {
        assert_eq!(Catalogue::built_in().faults(), Vec::<String>::new());
    }

    #[test]
    fn a_material_is_found_by_its_synonyms() {
        let materials = Catalogue::built_in();
        let found = |name: &str| materials.find(name).map(|m| m.name.as_str());
        assert_eq!(found(" Cardboard"), Some("brown card"));
        assert_eq!(found("sods"), Some("turf"));
        assert_eq!(found("Leylandii"), Some("cypress log"));
        assert_eq!(found("gravel"), None);
    }

    /// Each row gives names of the shelf for what is none.
    #[test]
    fn what_people_ask_for_has_its_nearest() {
        let materials = Catalogue::built_in();
        for (asked, nearest) in NEAREST {
            for name in *asked {
                assert!(materials.find(name).is_none(), "{name} is on the shelf");
            }
            for name in *nearest {
                let found = materials.find(name).map(|material| material.name.as_str());
                assert_eq!(found, Some(*name));
            }
        }
    }

    #[test]
    fn a_misspelt_name_gets_suggestions() {
        let materials = Catalogue::built_in();
        assert_eq!(materials.suggestions("beach log")[0], "beech log");
        assert_eq!(
            materials.suggestions("grass cuttings")[0],
            "grass clippings"
        );
        assert!(materials.suggestions("bathtub enamel").is_empty());
        assert_eq!(
            materials.suggestions("Logs "),
            ["hardwood log", "softwood log"]
        );
        assert!(materials.suggestions("wood ash").is_empty());
        assert_eq!(materials.suggestions("ash")[0], "ash log");
    }

    /// Jenkinson 1977, abstract: about a third of ryegrass carbon is left after one year in the
    /// field, about an eighth after ten.
    #[test]
    fn grass_retention_matches_jenkinson() {
        let materials = Catalogue::built_in();
        let grass = materials.find("grass clippings").unwrap();
        let left = |years: f64| -> f64 {
            grass
                .pools
                .iter()
                .map(|pool| pool.share.best * libm::exp(-pool.rates[0].rate.best * years))
                .sum()
        };
        assert!((left(1.0) - 0.3189).abs() < 5e-5, "{}", left(1.0));
        assert!((left(10.0) - 0.1261).abs() < 5e-5, "{}", left(10.0));
    }
}
