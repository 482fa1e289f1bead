//! The shelf of materials.

use crate::inspect;
use crate::material::Material;
use crate::nearest::nearest_entries;
use serde::Deserialize;

/// The shelf that ships with the library.
const BUILT_IN: &str = include_str!("../data/materials.toml");

/// The file of materials.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Shelf {
    material: Vec<Material>,
}

/// All materials that a bed file may name.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    materials: Vec<Material>,
}

impl Catalogue {
    /// A catalogue of the given materials.
    #[must_use]
    pub fn new(materials: Vec<Material>) -> Self {
        Self { materials }
    }

    /// The materials that ship with the library, in the order of their file.
    ///
    /// # Panics
    /// Never in a released library: the file is part of the program, and a test
    /// reads it whole.
    #[must_use]
    pub fn built_in() -> Self {
        let shelf: Shelf = toml::from_str(BUILT_IN)
            .expect("the file of materials is part of the program and read by a test");
        Self::new(shelf.material)
    }

    /// What is wrong with the materials, one plain sentence each; empty when all is well.
    ///
    /// Checks names, units, sources, spreads, bounds, shares of pools, rates and
    /// their sites, and that each material as loosely tipped has a likely weight.
    #[must_use]
    pub fn faults(&self) -> Vec<String> {
        inspect::faults(&self.materials)
    }

    /// Up to three names of materials most like `name`, best first.
    #[must_use]
    pub fn nearest(&self, name: &str) -> Vec<&str> {
        nearest_entries(
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

    /// The material of that name or other name, whatever the case.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Material> {
        let wanted = name.trim().to_lowercase();
        self.materials.iter().find(|material| {
            material.name.to_lowercase() == wanted
                || material
                    .also
                    .iter()
                    .any(|other| other.to_lowercase() == wanted)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Catalogue;

    #[test]
    fn the_built_in_shelf_has_no_fault() {
        assert_eq!(Catalogue::built_in().faults(), Vec::<String>::new());
    }

    #[test]
    fn the_first_part_of_the_shelf_is_complete() {
        let shelf = Catalogue::built_in();
        for name in [
            "beech log",
            "oak log",
            "birch log",
            "spruce log",
            "hardwood log",
            "softwood log",
            "woody prunings",
            "deciduous leaves",
            "grass clippings",
            "brown card",
            "turf",
            "loamy topsoil",
            "garden compost",
        ] {
            assert_eq!(shelf.find(name).map(|m| m.name.as_str()), Some(name));
        }
    }

    #[test]
    fn a_material_answers_to_its_other_names() {
        let shelf = Catalogue::built_in();
        let found = |name: &str| shelf.find(name).map(|m| m.name.as_str());
        assert_eq!(found(" Cardboard"), Some("brown card"));
        assert_eq!(found("sods"), Some("turf"));
        assert_eq!(found("gravel"), None);
    }

    #[test]
    fn a_slip_is_answered_with_near_names() {
        let shelf = Catalogue::built_in();
        assert_eq!(shelf.nearest("beach log")[0], "beech log");
        assert_eq!(shelf.nearest("grass cuttings")[0], "grass clippings");
        assert!(shelf.nearest("bathtub enamel").is_empty());
    }

    /// Jenkinson 1977, abstract: about a third of ryegrass carbon is left after
    /// one year in the field, about an eighth after ten.
    #[test]
    fn grass_keeps_the_shares_of_jenkinson() {
        let shelf = Catalogue::built_in();
        let grass = shelf.find("grass clippings").unwrap();
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
