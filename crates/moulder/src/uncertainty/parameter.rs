//! The uncertain parameters behind a forecast of a bed, by name.
//!
//! A constant of a law is a parameter by its key. A figure of a material has a part of its own,
//! by the names of the material and the figure, and one in common with its family
//! (`part.rs`). What an owner gives (amounts, moisture, decay) is a parameter of each
//! ingredient. No source's wording makes or breaks a parameter.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::bed::{Bed, Ingredient};
use crate::library::calibration::Calibration;
use crate::library::crop::Crop;
use crate::library::family::Kin;
use crate::library::figure::{RATE, figures_of};
use crate::library::material::Material;
use crate::model::weather::HALF_WET_MM;
use crate::numeric::cholesky::Cholesky;
use crate::uncertainty::part::{Part, parts};
use moulder_core::bed::parameters::{CONSTANTS, ConstantGroup};
use moulder_core::bed::shape::Shape;
use moulder_core::value::Value;

/// An uncertain constant of a law.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Law {
    /// Its name, by which it is one parameter.
    pub(crate) key: &'static str,
    /// The constant.
    pub(crate) value: &'static Value,
    /// Whether it matters to mounds alone; other beds do not have it.
    is_of_mounds: bool,
}

impl Law {
    /// The nitrogen demand of a crop.
    pub(crate) fn of_crop(crop: Crop) -> Self {
        let key = match crop {
            Crop::Hungry => "HUNGRY",
            Crop::Modest => "MODEST",
            Crop::None => "NONE",
        };
        Self {
            key,
            value: crop.need(),
            is_of_mounds: false,
        }
    }

    /// The parameter that it is.
    pub(crate) const fn parameter(self) -> UncertainParameter {
        UncertainParameter::Law(self.key)
    }
}

/// Uncertain constants of the laws, most influential first, and of the weather.
pub(crate) static LAWS: [Law; CONSTANTS.len() + 1] = {
    let mut all = [Law {
        key: "HALF_WET_MM",
        value: &HALF_WET_MM,
        is_of_mounds: false,
    }; CONSTANTS.len() + 1];
    let mut at = 0;
    while at < CONSTANTS.len() {
        all[at] = Law {
            key: CONSTANTS[at].key,
            value: CONSTANTS[at].value,
            is_of_mounds: matches!(CONSTANTS[at].group, ConstantGroup::Mound),
        };
        at += 1;
    }
    all
};

/// An uncertain parameter.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum UncertainParameter {
    /// A quantity given for an ingredient, by layer and place in it.
    Stated(Stated, usize, usize),
    /// How high the bed stood when filled.
    Start,
    /// A constant of a law, by its key.
    Law(&'static str),
    /// What a family of figures has in common.
    Common {
        /// What the figures are.
        of: &'static str,
        /// Key of the family.
        key: String,
    },
    /// What a figure of a material has of its own.
    Own {
        /// Name of the material.
        material: String,
        /// What the figure is.
        of: &'static str,
        /// Its number among those of that name in the material.
        nth: usize,
    },
}

/// Quantities given by the owner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Stated {
    Amount,
    ParticleSize,
    Moisture,
    Decay,
}

/// Every uncertain parameter behind a forecast of a bed, each once, those that usually move the
/// surface most first (they get the best quasi-random columns).
#[derive(Debug, Clone)]
pub struct UncertainParameters {
    places: BTreeMap<UncertainParameter, usize>,
    calibration: Arc<Calibration>,
    /// Places of the calibrated parameters that correlate, each with the weights of the
    /// independent deviations up to its own.
    linked: Vec<(usize, Vec<(usize, f64)>)>,
}

impl UncertainParameters {
    /// Those of a bed, later additions included.
    #[must_use]
    pub fn new(bed: &Bed) -> Self {
        Self::under(Calibration::kept(), bed)
    }

    /// Those of a bed whose materials are calibrated so.
    #[must_use]
    pub fn under(calibration: &Arc<Calibration>, bed: &Bed) -> Self {
        let mut all = Self::none(calibration);
        let put: Vec<(usize, usize, &Ingredient)> = ingredients(bed);
        all.list(UncertainParameter::Start);
        for (layer, place, _) in &put {
            all.list(UncertainParameter::Stated(Stated::Amount, *layer, *place));
        }
        let mut materials: Vec<Material> = Vec::new();
        for (_, _, ingredient) in &put {
            if !materials.contains(&ingredient.material) {
                materials.push(ingredient.material.clone());
            }
        }
        // The most influential figures of all materials come before the rest of any.
        let figures: Vec<Vec<(&str, Vec<Part>)>> = materials
            .iter_mut()
            .map(|material| {
                let kin = Kin::of(material);
                let figures = figures_of(material).into_iter();
                figures
                    .map(|figure| (figure.of, parts(&kin, &figure, calibration)))
                    .collect()
            })
            .collect();
        for place in 0..FIRST {
            let each = figures.iter().filter_map(|figures| figures.get(place));
            each.for_each(|(_, parts)| all.list_parts(parts));
        }
        if matches!(bed.shape, Shape::Mound { .. }) {
            for law in LAWS.iter().filter(|law| law.is_of_mounds) {
                all.list(law.parameter());
            }
        }
        for law in &LAWS[..FIRST_LAWS] {
            all.list(law.parameter());
        }
        for (_, parts) in figures.iter().flatten().filter(|(of, _)| *of == RATE) {
            all.list_parts(parts);
        }
        for (layer, place, _) in &put {
            for stated in [Stated::Moisture, Stated::ParticleSize, Stated::Decay] {
                all.list(UncertainParameter::Stated(stated, *layer, *place));
            }
        }
        for (_, parts) in figures.iter().flatten() {
            all.list_parts(parts);
        }
        for law in LAWS.iter().filter(|law| !law.is_of_mounds) {
            all.list(law.parameter());
        }
        for crop in [Crop::Hungry, Crop::Modest, Crop::None] {
            all.list(Law::of_crop(crop).parameter());
        }
        all.link();
        all
    }

    fn none(calibration: &Arc<Calibration>) -> Self {
        Self {
            places: BTreeMap::new(),
            calibration: Arc::clone(calibration),
            linked: Vec::new(),
        }
    }

    /// Those of several beds: of the first in its own order, then those of later ones alone.
    /// Beds share parameters by meaning, and given quantities by place.
    #[must_use]
    pub fn from_beds(beds: &[Bed]) -> Self {
        let mut all = Self::none(Calibration::kept());
        for bed in beds {
            for parameter in Self::new(bed).in_order() {
                all.list(parameter.clone());
            }
        }
        all.link();
        all
    }

    /// What the figures that they share were calibrated with.
    pub(crate) fn calibration(&self) -> &Calibration {
        &self.calibration
    }

    /// Correlates independent standard normal deviations as the calibration has it.
    pub(crate) fn correlate(&self, z: &mut [f64]) {
        let correlated: Vec<(usize, f64)> = self
            .linked
            .iter()
            .map(|(place, weights)| {
                let parts = weights.iter().map(|(from, weight)| weight * z[*from]);
                (*place, parts.sum())
            })
            .collect();
        for (place, deviation) in correlated {
            z[place] = deviation;
        }
    }

    /// Finds what correlates: the factor of the correlation of those that the bed has.
    fn link(&mut self) {
        let mut present: Vec<(usize, usize)> = Vec::new();
        for (parameter, place) in &self.places {
            if let UncertainParameter::Common { of, key } = parameter
                && let Some(posterior) = self.calibration.of_family(of, key)
            {
                present.push((posterior.place, *place));
            }
        }
        present.sort_unstable();
        let among = present.iter().flat_map(|(row, _)| {
            let columns = present.iter();
            columns.map(|(column, _)| self.calibration.correlation(*row, *column))
        });
        let matrix: Vec<f64> = among.collect();
        let Some(factor) = Cholesky::of(&matrix, present.len()) else {
            return;
        };
        self.linked = (0..present.len())
            .map(|row| {
                let weights = factor.row(row).iter().zip(&present);
                let weights = weights.map(|(weight, (_, place))| (*place, *weight));
                (present[row].1, weights.collect())
            })
            .collect();
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.places.len()
    }

    /// Index of a parameter.
    pub(crate) fn place(&self, parameter: &UncertainParameter) -> Option<usize> {
        self.places.get(parameter).copied()
    }

    /// All of them in their order.
    pub(crate) fn in_order(&self) -> Vec<&UncertainParameter> {
        let mut all: Vec<(usize, &UncertainParameter)> = self
            .places
            .iter()
            .map(|(parameter, place)| (*place, parameter))
            .collect();
        all.sort_by_key(|(place, _)| *place);
        all.into_iter().map(|(_, parameter)| parameter).collect()
    }

    fn list_parts(&mut self, parts: &[Part]) {
        for part in parts {
            self.list(part.parameter.clone());
        }
    }

    fn list(&mut self, parameter: UncertainParameter) {
        let next = self.places.len();
        self.places.entry(parameter).or_insert(next);
    }
}

/// Figures of each material that come first.
const FIRST: usize = 5;
/// Constants of the laws that come before the rates.
const FIRST_LAWS: usize = 4;

/// All ingredients with their layer and their place in it; each later addition is a layer of
/// its own.
#[must_use]
pub fn ingredients(bed: &Bed) -> Vec<(usize, usize, &Ingredient)> {
    let filled = bed.layers.iter().map(|layer| layer.put.as_slice());
    let added = bed.additions.iter();
    let added = added.map(|added| core::slice::from_ref(&added.ingredient));
    filled
        .chain(added)
        .enumerate()
        .flat_map(|(layer, put)| {
            let put = put.iter().enumerate();
            put.map(move |(place, ingredient)| (layer, place, ingredient))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::{UncertainParameter, UncertainParameters};
    use crate::library::Library;
    use crate::library::calibration::{Calibrated, Calibration};
    use crate::read::read_toml;

    /// Deviations with the correlation of the calibration, each of unit variance, for those of the
    /// calibrated ones that the bed has; all others stay as they are.
    #[test]
    fn calibrated_deviations_correlate() {
        let of = [("creep", "logs"), ("rate", "soft matter"), ("rate", "wood")];
        let of = of.map(|(figure, family)| Calibrated::new(figure, family));
        let cholesky = vec![vec![0.5], vec![0.2, 0.3], vec![0.1, -0.2, 0.6]];
        let calibration = Calibration::new(vec![], of.into(), vec![0.0; 3], cholesky).unwrap();
        let bed = "format = 1\nfilled = 2026-03-01\nclimate = \"Cambridge UK\"\n\
            bed = { shape = \"box\", width = \"1 m\", length = \"1 m\", rim = \"1 m\" }\n\
            [[layer]]\nput = [{ material = \"straw\", amount = \"20 cm\" }]\n\
            [[layer]]\nput = [{ material = \"wood chips\", amount = \"20 cm\" }]\n";
        let bed = read_toml(bed, &Library::built_in()).unwrap();
        let uncertain = UncertainParameters::under(&Arc::new(calibration.clone()), &bed);
        let place = |key: &str| {
            let key = key.to_owned();
            uncertain.place(&UncertainParameter::Common { of: "rate", key })
        };
        let [soft, wood] = ["soft matter", "wood"].map(|key| place(key).unwrap());
        // Images of the unit vectors are the columns of the factor.
        let image = |at: usize| {
            let mut z = vec![0.0; uncertain.count()];
            z[at] = 1.0;
            uncertain.correlate(&mut z);
            z
        };
        let (one, other) = (image(soft), image(wood));
        let covariance = one[soft] * one[wood] + other[soft] * other[wood];
        assert!((covariance - calibration.correlation(1, 2)).abs() < 1e-12);
        let variance = one[wood] * one[wood] + other[wood] * other[wood];
        assert!((variance - 1.0).abs() < 1e-12);
        let start = uncertain.place(&UncertainParameter::Start).unwrap();
        assert!((image(start)[start] - 1.0).abs() < 1e-12);
        assert!(image(start)[soft].abs() < 1e-12);
    }
}
