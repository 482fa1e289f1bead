//! Uncertain parameters grouped by what a gardener can measure.

use std::collections::BTreeMap;

use moulder_core::bed::parameters::{CONSTANTS, ConstantGroup};
use moulder_core::bed::shape::Shape;
use serde::{Deserialize, Serialize};

use crate::bed::{Bed, Ingredient};
use crate::library::crop::Crop;
use crate::library::family::{Kin, LOG_M};
use crate::library::figure::{COLLAPSE_TIPPED, COLLAPSE_TRODDEN, POOL_SHARE, RATE, figures_of};
use crate::library::material::{Class, Form};
use crate::uncertainty::parameter::{
    Law, Stated, UncertainParameter, UncertainParameters, ingredients,
};
use crate::uncertainty::part::parts;

/// Groups of uncertain parameters, by what would have to be measured to know them.
///
/// ```
/// use moulder::ensembles::{ParameterGroup, Theme};
///
/// assert_eq!(ParameterGroup::WoodDecay.theme(), Theme::Wood);
/// assert!(ParameterGroup::StartHeight.is_measurable());
/// ```
///
/// Exhaustive: words must be written for each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ParameterGroup {
    /// Height of the bed on the day of filling.
    StartHeight,
    /// Amounts of the ingredients relative to each other.
    Amounts,
    /// How firmly and how wet the bed was filled.
    Filling,
    /// Looseness of logs: voids against pieces.
    LooseLogs,
    /// Looseness of brush, chips and other small wood.
    LooseBrush,
    /// Looseness of leaves, grass, card, turf and the like, and cover of sheets.
    LooseSoft,
    /// Looseness of soil and compost, and the share that migrates.
    LooseSoil,
    /// Compression under load and collapse on first wetting.
    Giving,
    /// Moisture on arrival.
    Moisture,
    /// Diameter and decay of the wood on arrival.
    Wood,
    /// Size and decay on arrival of non-woody pieces and soil crumbs, which decide what lies in
    /// the voids of what.
    Lumps,
    /// Bulging of a bag.
    Bulge,
    /// Decay rates of non-woody material and soil, and humification.
    NonwoodyDecay,
    /// Decay rates of wood, each kind and all together, and how its volume follows.
    WoodDecay,
    /// Composition: density, mineral matter, carbon, nitrogen.
    Makeup,
    /// Constants of settlement, slumping, fines migration, shrinkage and bioturbation.
    SettlingLaws,
    /// Constants of water, air, temperature and nitrogen.
    WaterLaws,
    /// Weather of the years.
    Weather,
    /// Model discrepancy.
    Laws,
}

impl ParameterGroup {
    /// All of them, in the order of their codes here.
    pub const ALL: [Self; 19] = [
        Self::StartHeight,
        Self::Amounts,
        Self::Filling,
        Self::LooseLogs,
        Self::LooseBrush,
        Self::LooseSoft,
        Self::LooseSoil,
        Self::Giving,
        Self::Moisture,
        Self::Wood,
        Self::Lumps,
        Self::Bulge,
        Self::NonwoodyDecay,
        Self::WoodDecay,
        Self::Makeup,
        Self::SettlingLaws,
        Self::WaterLaws,
        Self::Weather,
        Self::Laws,
    ];

    /// Whether a gardener can measure it while the bed is filled (our own judgement).
    #[must_use]
    pub const fn is_measurable(self) -> bool {
        match self {
            Self::StartHeight
            | Self::Amounts
            | Self::Filling
            | Self::LooseLogs
            | Self::LooseBrush
            | Self::LooseSoft
            | Self::LooseSoil
            | Self::Giving
            | Self::Moisture
            | Self::Wood
            | Self::Lumps
            | Self::Bulge => true,
            Self::NonwoodyDecay
            | Self::WoodDecay
            | Self::Makeup
            | Self::SettlingLaws
            | Self::WaterLaws
            | Self::Weather
            | Self::Laws => false,
        }
    }

    /// Its theme in a fit.
    #[must_use]
    pub const fn theme(self) -> Theme {
        match self {
            Self::StartHeight => Theme::StartHeight,
            Self::Amounts
            | Self::Filling
            | Self::LooseLogs
            | Self::LooseBrush
            | Self::LooseSoft
            | Self::LooseSoil
            | Self::Lumps => Theme::Filling,
            Self::Giving | Self::Bulge | Self::SettlingLaws => Theme::Settling,
            Self::NonwoodyDecay => Theme::NonwoodyDecay,
            Self::Wood | Self::WoodDecay => Theme::Wood,
            Self::Moisture | Self::WaterLaws => Theme::Water,
            Self::Makeup | Self::Weather | Self::Laws => Theme::Other,
        }
    }
}

/// Themes of parameters in a fit: a few heights cannot resolve the groups. Exhaustive: words
/// must be written for each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Theme {
    /// How high the bed stood when filled.
    StartHeight,
    /// Amounts, sizes of pieces, and looseness.
    Filling,
    /// Settlement under its own weight, on first wetting, and by fines migration.
    Settling,
    /// Decay of non-woody material.
    NonwoodyDecay,
    /// Diameter and decay of wood.
    Wood,
    /// Water content, field capacity, evapotranspiration and crop uptake.
    Water,
    /// All else.
    Other,
}

impl Theme {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::StartHeight,
        Self::Filling,
        Self::Settling,
        Self::NonwoodyDecay,
        Self::Wood,
        Self::Water,
        Self::Other,
    ];
}

/// Kind of an ingredient.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Log,
    Brush,
    Soft,
    Soil,
}

impl Kind {
    fn new(put: &Ingredient) -> Self {
        match put.material.class {
            Class::Wood if put.material.form == Form::Rods && put.particle_size_m >= LOG_M => {
                Self::Log
            }
            Class::Wood => Self::Brush,
            Class::Plant => Self::Soft,
            Class::Soil => Self::Soil,
        }
    }

    const fn looseness(self) -> ParameterGroup {
        match self {
            Self::Log => ParameterGroup::LooseLogs,
            Self::Brush => ParameterGroup::LooseBrush,
            Self::Soft => ParameterGroup::LooseSoft,
            Self::Soil => ParameterGroup::LooseSoil,
        }
    }

    const fn pieces(self) -> ParameterGroup {
        match self {
            Self::Log | Self::Brush => ParameterGroup::Wood,
            Self::Soft | Self::Soil => ParameterGroup::Lumps,
        }
    }

    const fn decay(self) -> ParameterGroup {
        match self {
            Self::Log | Self::Brush => ParameterGroup::WoodDecay,
            Self::Soft | Self::Soil => ParameterGroup::NonwoodyDecay,
        }
    }
}

/// The group of each uncertain parameter of a bed, in their order. None is without one (tested
/// for the whole library).
///
/// A parameter that two kinds share belongs to the lower layer.
pub(crate) fn groups_of(bed: &Bed, uncertain: &UncertainParameters) -> Vec<Option<ParameterGroup>> {
    let mut known = laws(bed);
    for (layer, place, put) in ingredients(bed) {
        let kind = Kind::new(put);
        for (stated, group) in [
            (Stated::Amount, ParameterGroup::Amounts),
            (Stated::Moisture, ParameterGroup::Moisture),
            (Stated::ParticleSize, kind.pieces()),
            (Stated::Decay, kind.pieces()),
        ] {
            known.insert(UncertainParameter::Stated(stated, layer, place), group);
        }
        let mut material = put.material.clone();
        let kin = Kin::of(&material);
        for figure in figures_of(&mut material) {
            if let Some(group) = of_figure(figure.of, kind) {
                for part in parts(&kin, &figure, uncertain.calibration()) {
                    known.entry(part.parameter).or_insert(group);
                }
            }
        }
    }
    let of = |parameter: &UncertainParameter| match parameter {
        UncertainParameter::Start => Some(ParameterGroup::StartHeight),
        other => known.get(other).copied(),
    };
    uncertain.in_order().into_iter().map(of).collect()
}

/// The groups of the constants of the laws.
fn laws(bed: &Bed) -> BTreeMap<UncertainParameter, ParameterGroup> {
    let group_of = |group| match group {
        ConstantGroup::Bulge if matches!(bed.shape, Shape::Bag { .. }) => ParameterGroup::Bulge,
        ConstantGroup::Bulge | ConstantGroup::Settlement | ConstantGroup::Mound => {
            ParameterGroup::SettlingLaws
        }
        ConstantGroup::Filling => ParameterGroup::Filling,
        ConstantGroup::WoodDecay => ParameterGroup::WoodDecay,
        ConstantGroup::NonwoodyDecay => ParameterGroup::NonwoodyDecay,
        ConstantGroup::Water => ParameterGroup::WaterLaws,
    };
    let constants = CONSTANTS.iter();
    let constants = constants.map(|constant| (constant.key, group_of(constant.group)));
    let crops = [Crop::Hungry, Crop::Modest, Crop::None].map(Law::of_crop);
    let crops = crops.map(|law| (law.key, ParameterGroup::WaterLaws));
    let weather = [("HALF_WET_MM", ParameterGroup::Weather)];
    let all = constants.chain(crops).chain(weather);
    all.map(|(key, group)| (UncertainParameter::Law(key), group))
        .collect()
}

/// The group of a material's figure by its name.
fn of_figure(name: &str, kind: Kind) -> Option<ParameterGroup> {
    match name {
        "void ratio" | "loose share" | "cover of a sheet" | "thickness of a sheet" => {
            Some(kind.looseness())
        }
        COLLAPSE_TIPPED | COLLAPSE_TRODDEN | "compression" | "reference stress" | "creep"
        | "least void ratio" => Some(ParameterGroup::Giving),
        "moisture" => Some(ParameterGroup::Moisture),
        "across" => Some(kind.pieces()),
        "void closure"
        | "lag"
        | "size exponent"
        | POOL_SHARE
        | "humified share"
        | "colonised"
        | RATE
        | "half-range of a site"
        | "moisture of a site" => Some(kind.decay()),
        "organic density" | "mineral share" | "carbon share" | "carbon to nitrogen" => {
            Some(ParameterGroup::Makeup)
        }
        "water held" => Some(ParameterGroup::WaterLaws),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{ParameterGroup, groups_of};
    use crate::library::Library;
    use crate::read::read_toml;
    use crate::uncertainty::parameter::UncertainParameters;
    use std::collections::BTreeSet;
    use std::fmt::Write as _;

    fn bed(shape: &str, materials: &[&str]) -> crate::bed::Bed {
        let mut text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n{shape}\n\
             rim = \"4 m\"\n"
        );
        for name in materials {
            let put = format!("[{{ material = \"{name}\", amount = \"6 cm\" }}]");
            write!(text, "[[layer]]\nput = {put}\n").unwrap();
        }
        read_toml(&text, &Library::built_in()).unwrap()
    }

    const ROUND: &str = "shape = \"round\"\nacross = \"1.2 m\"";
    const BAG: &str = "shape = \"bag\"\nwidth = \"90 cm\"\nlength = \"90 cm\"";

    /// Every parameter of every library material, in a bag and in a ring, has exactly one
    /// group.
    #[test]
    fn every_parameter_has_one_group() {
        let library = Library::built_in();
        let mut names: Vec<&str> = library.materials().map(|m| m.name.as_str()).collect();
        names.sort_unstable();
        let mut seen = BTreeSet::new();
        for shape in [ROUND, BAG] {
            for names in names.chunks(20) {
                let bed = bed(shape, names);
                let uncertain = UncertainParameters::new(&bed);
                let groups = groups_of(&bed, &uncertain);
                assert_eq!(groups.len(), uncertain.count());
                for (parameter, group) in uncertain.in_order().into_iter().zip(groups) {
                    assert!(group.is_some(), "{parameter:?}");
                    seen.extend(group);
                }
            }
        }
        // Discrepancy is not among a bed's parameters.
        seen.insert(ParameterGroup::Laws);
        assert_eq!(seen, ParameterGroup::ALL.into_iter().collect());
    }

    /// A log is one by its diameter in this bed; only a bag bulges.
    #[test]
    fn groups_follow_the_bed() {
        let of = |shape: &str, materials: &[&str]| -> BTreeSet<ParameterGroup> {
            let bed = bed(shape, materials);
            let groups = groups_of(&bed, &UncertainParameters::new(&bed));
            groups.into_iter().flatten().collect()
        };
        let soil = of(ROUND, &["loamy topsoil"]);
        assert!(!soil.contains(&ParameterGroup::Bulge));
        assert!(!soil.contains(&ParameterGroup::LooseLogs));
        assert!(soil.contains(&ParameterGroup::LooseSoil));
        assert!(of(BAG, &["loamy topsoil"]).contains(&ParameterGroup::Bulge));
        let wood = of(ROUND, &["birch log", "woody prunings"]);
        assert!(wood.contains(&ParameterGroup::LooseLogs));
        assert!(wood.contains(&ParameterGroup::LooseBrush));
    }
}
