//! Which figures of materials are wrong together.
//!
//! A figure j deviates from its best value, in standard deviations of the scale of its prior, by
//!
//! ```text
//! z_j = sqrt(c) b + sqrt(1 - c) e_j
//! ```
//!
//! with b in common to its family and `e_j` of its own, both standard normal: two figures of a
//! family correlate by c. Family and c are said here for every kind of figure:
//!
//! - a figure with a key (`shared-by` in a file of materials) is of the family of that key;
//! - decay rates are of one family for wood, soft matter and soil each: all are brought from
//!   their sites by the same laws;
//! - any other figure that is a judgement is of the family of its kind of matter: who judges
//!   straw too stiff judges hay too stiff;
//! - a figure read or recalled is alone, and so are the shares of pools, which sum to one.
//!
//! Figures of different names are never of one family. A constant of a law has no family: it is
//! one unknown (c of 1).

use moulder_core::math::elementary::sqrt;
use moulder_core::value::{Spread, Status, Value};

use crate::library::material::{Class, Form, Material};
use crate::uncertainty::parameter::{Figure, POOL_SHARE, RATE, UncertainParameter};

/// Share c of the variance that the figures of a family have in common.
static COMMON_SHARE: Value = Value::new(
    0.5,
    Spread::new(0.25, 0.75),
    "1",
    "our own closure: figures of one kind of matter err as much together as apart",
    Status::Judgement,
);

/// Rods at least this thick are logs; m.
pub(crate) const LOG_M: f64 = 0.05;

/// A part of a figure's deviation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Part {
    /// The parameter behind it.
    pub(crate) parameter: UncertainParameter,
    /// What it counts.
    pub(crate) weight: f64,
}

/// Name and kind of the material whose figures are asked for.
pub(crate) struct Kin {
    material: String,
    class: &'static str,
    kind: &'static str,
}

impl Kin {
    pub(crate) fn of(material: &Material) -> Self {
        let is_log = material.form == Form::Rods && material.particle_size.best >= LOG_M;
        let (class, kind) = match material.class {
            Class::Wood if is_log => ("wood", "logs"),
            Class::Wood => ("wood", "small wood"),
            Class::Plant => ("soft matter", "soft matter"),
            Class::Soil => ("soil", "soil"),
        };
        Self {
            material: material.name.clone(),
            class,
            kind,
        }
    }

    /// The parts of a figure's deviation: in common first, its own last.
    pub(crate) fn parts(&self, figure: &Figure<'_>) -> Vec<Part> {
        let own = |weight| Part {
            parameter: UncertainParameter::Own {
                material: self.material.clone(),
                of: figure.of,
                nth: figure.nth,
            },
            weight,
        };
        let Some(key) = self.family(figure.of, figure.value) else {
            return vec![own(1.0)];
        };
        let common = Part {
            parameter: UncertainParameter::Common {
                of: figure.of,
                key: key.to_owned(),
            },
            weight: sqrt(COMMON_SHARE.best),
        };
        vec![common, own(sqrt(1.0 - COMMON_SHARE.best))]
    }

    /// Key of a figure's family.
    fn family<'a>(&self, of: &str, value: &'a Value) -> Option<&'a str> {
        match (&value.shared_by, of, value.status) {
            (Some(key), _, _) => Some(key),
            (None, POOL_SHARE, _) => None,
            (None, RATE, _) => Some(self.class),
            (None, _, Status::Judgement) => Some(self.kind),
            (None, _, Status::Read | Status::Memory) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Kin, Part};
    use crate::library::Library;
    use crate::uncertainty::parameter::{UncertainParameter, figures_of};

    fn parts(material: &str, of: &str) -> Vec<Part> {
        let mut material = Library::built_in().find_material(material).unwrap().clone();
        let kin = Kin::of(&material);
        let figures = figures_of(&mut material);
        let figure = figures.iter().find(|figure| figure.of == of).unwrap();
        kin.parts(figure)
    }

    /// The parts of a figure make a standard normal deviation.
    #[test]
    fn weights_are_a_unit_vector() {
        for material in Library::built_in().materials() {
            let mut material = material.clone();
            let kin = Kin::of(&material);
            for figure in figures_of(&mut material) {
                let parts = kin.parts(&figure);
                let sum: f64 = parts.iter().map(|part| part.weight * part.weight).sum();
                assert!((sum - 1.0).abs() < 1e-12, "{}", figure.of);
                let own = &parts.last().unwrap().parameter;
                assert!(matches!(own, UncertainParameter::Own { .. }));
            }
        }
    }

    #[test]
    fn families_are_those_of_the_key_the_rate_and_the_kind() {
        let common = |material: &str, of: &str| {
            let parts = parts(material, of);
            (parts.len() == 2).then(|| parts[0].parameter.clone())
        };
        let of = "collapse, tipped";
        assert_eq!(common("straw", of), common("hay", of));
        assert_ne!(common("straw", of), common("loamy topsoil", of));
        assert_ne!(common("oak log", of), common("twigs", of));
        assert_eq!(common("oak log", "rate"), common("twigs", "rate"));
        assert_ne!(common("straw", of), common("straw", "compression"));
        // Read, not judged.
        assert_eq!(common("oak log", "organic density"), None);
        assert_eq!(common("straw", "share of a pool"), None);
        let mut mine = Library::built_in().find_material("hay").unwrap().clone();
        mine.collapse_tipped.shared_by = Some("my meadow".into());
        let kin = Kin::of(&mine);
        let figures = figures_of(&mut mine);
        let key = match &kin.parts(&figures[1])[0].parameter {
            UncertainParameter::Common { key, .. } => key.clone(),
            _ => String::new(),
        };
        assert_eq!(key, "my meadow");
    }
}
