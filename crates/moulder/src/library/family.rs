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

use moulder_core::value::{Spread, Status, Value};

use crate::library::figure::{POOL_SHARE, RATE};
use crate::library::material::{Class, Form, Material};

/// Share c of the variance that the figures of a family have in common.
pub(crate) static COMMON_SHARE: Value = Value::new(
    0.5,
    Spread::new(0.25, 0.75),
    "1",
    "our own closure: figures of one kind of matter err as much together as apart",
    Status::Judgement,
);

/// Rods at least this thick are logs; m.
pub(crate) const LOG_M: f64 = 0.05;

/// Name and kind of the material whose figures are asked for.
pub(crate) struct Kin {
    pub(crate) material: String,
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

    /// Key of a figure's family.
    pub(crate) fn family<'a>(&self, of: &str, value: &'a Value) -> Option<&'a str> {
        match (&value.shared_by, of, value.status) {
            (Some(key), _, _) => Some(key),
            (None, POOL_SHARE, _) => None,
            (None, RATE, _) => Some(self.class),
            (None, _, Status::Judgement) => Some(self.kind),
            (None, _, Status::Read | Status::Memory) => None,
        }
    }
}
