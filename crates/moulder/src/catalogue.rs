//! The shelf of materials.

use crate::material::Material;

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
