//! What beds are topped up with, and how it is sold.

use moulder::internals::library::material::Material;
use moulder::internals::topup::Package;

use crate::arguments::{PackArguments, ShelfArguments};
use crate::shelf;
use crate::trouble::Trouble;

/// What beds are topped up with when nothing is said.
pub(crate) const USUAL_MATERIAL: &str = "loamy topsoil";
/// What that is sold in then, by its name and volume; m3.
const USUAL_PACK: (&str, f64) = ("bag", 0.04);

impl PackArguments {
    /// Whether anything was said of it.
    pub(crate) const fn is_told(&self) -> bool {
        self.with.is_some()
            || self.sold_in.is_some()
            || self.called.is_some()
            || self.price.is_some()
    }

    /// The material.
    pub(crate) fn material(&self, own: &ShelfArguments) -> Result<Material, Trouble> {
        shelf::one(own, self.with.as_deref().unwrap_or(USUAL_MATERIAL))
    }

    /// What one pack is called.
    pub(crate) fn called(&self) -> &str {
        self.called.as_deref().unwrap_or(USUAL_PACK.0)
    }

    /// How it is sold, fetched at no cost and at once.
    pub(crate) fn sold(&self) -> Package {
        Package {
            name: self.called().to_owned(),
            volume_m3: self.sold_in.unwrap_or(USUAL_PACK.1),
            price: self.price,
            delivery: 0.0,
            lead_days: 0,
        }
    }
}
