//! Plan requests: the bed, its target height, and the stock to fill it with.

use crate::bed::document::{ClimateDocument, OutlineDocument};
use crate::bed::site::BedSite;
use crate::bed::{Amount, Ingredient};
use crate::quantity::units::Units;

/// A checked plan file: the bed to fill, its target and the stock. Every value lies within its
/// stated range.
///
/// ```
/// use moulder::{Library, PlanRequest};
///
/// let text = r#"
///     format = 1
///     filled = 2026-03-14
///     climate = "Cambridge UK"
///     bed = { shape = "round", across = "1.2 m", rim = "40 cm" }
///     wanted = { after = 6 }
///     hand = [{ material = "birch log", amount = "200 L" }, { material = "loamy topsoil", amount = "plenty" }]
/// "#;
/// let request = PlanRequest::from_toml(text, &Library::built_in())?;
/// assert_eq!(request.after_months(), 6);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRequest {
    /// What a plan and a bed have in common.
    pub(crate) site: BedSite,
    /// Target height above the ground after settlement; m.
    pub(crate) height_m: f64,
    /// Months after filling at which it is to have that height; 1 to 120.
    pub(crate) after_months: u32,
    /// Least depth of growing soil by then; m.
    pub(crate) soil_m: f64,
    /// Currency, printed before a price; may be empty.
    pub(crate) money: String,
    /// Stock, in the order of the file.
    pub(crate) stock: Vec<StockItem>,
    /// The outline as given in the file.
    pub(crate) outline: OutlineDocument,
    /// The climate as given in the file.
    pub(crate) climate_given: ClimateDocument,
    /// Realisations of each fill.
    pub(crate) ensemble_size: u32,
    /// Their seed.
    pub(crate) seed: u64,
}

/// Usual number of realisations of a fill: each fill is forecast from them twice or more.
pub(crate) const USUAL_ENSEMBLE: u32 = 32;

impl PlanRequest {
    /// With so many realisations of each fill, 32 when nothing is said; 0 for the nominal run
    /// alone.
    #[must_use]
    pub const fn ensemble_size(mut self, ensemble_size: u32) -> Self {
        self.ensemble_size = ensemble_size;
        self
    }

    /// With realisations of that seed.
    #[must_use]
    pub const fn seed(mut self, seed: u64) -> Self {
        self.seed = seed;
        self
    }

    /// The plan request in the owner's other units.
    #[must_use]
    pub const fn with_units(mut self, units: Units) -> Self {
        self.site.units = units;
        self
    }

    /// Target height above the ground after settlement; m.
    #[must_use]
    pub const fn height_m(&self) -> f64 {
        self.height_m
    }

    /// Months after filling at which it is to have that height; 1 to 120.
    #[must_use]
    pub const fn after_months(&self) -> u32 {
        self.after_months
    }

    /// Least depth of growing soil by then; m.
    #[must_use]
    pub const fn soil_m(&self) -> f64 {
        self.soil_m
    }

    /// Currency, printed before a price; may be empty.
    #[must_use]
    pub fn money(&self) -> &str {
        &self.money
    }

    /// Stock, in the order of the file.
    #[must_use]
    pub fn stock(&self) -> &[StockItem] {
        &self.stock
    }

    /// The outline as given in the file.
    #[must_use]
    pub fn outline(&self) -> &OutlineDocument {
        &self.outline
    }

    /// The climate as given in the file.
    #[must_use]
    pub fn climate_given(&self) -> &ClimateDocument {
        &self.climate_given
    }
}

values_of_site!(PlanRequest);

/// One item of stock.
///
/// ```
/// use moulder::{Library, PlanRequest};
///
/// let text = r#"
///     format = 1
///     filled = 2026-03-14
///     climate = "Cambridge UK"
///     bed = { shape = "round", across = "1.2 m", rim = "40 cm" }
///     wanted = { after = 6 }
///     hand = [{ material = "birch log", amount = "200 L" }, { material = "loamy topsoil", amount = "plenty" }]
/// "#;
/// let request = PlanRequest::from_toml(text, &Library::built_in())?;
/// assert_eq!(request.stock()[0].sample.material.name, "birch log");
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct StockItem {
    /// One cubic metre of it, loose.
    pub sample: Ingredient,
    /// How much there is.
    pub supply: Supply,
    /// The unit of its amounts.
    pub reported: Reported,
    /// Its price; none if free.
    pub price: Option<Price>,
    /// Least share of the fill by loose volume; 0 to 1.
    pub least: f64,
    /// Largest share of the fill by loose volume; 0 to 1.
    pub most: f64,
    /// Particle size, water content and decay as given in the file.
    pub overrides: Overrides,
}

/// How much there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Supply {
    /// Unlimited.
    Plenty,
    /// A limited amount: a loose volume or a mass.
    Of(Amount),
}

/// The unit of an amount, besides litres or cubic feet.
#[derive(Debug, Clone, PartialEq)]
pub enum Reported {
    /// By volume alone.
    Volume,
    /// By weight.
    Weight,
    /// A measure by name, with its volume in m3.
    Measure(String, f64),
}

/// The price and the content of a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Money for one pack.
    pub money: f64,
    /// Content of a pack: a volume or a mass.
    pub per: Amount,
    /// The content as given in the file.
    pub per_text: String,
}

/// The state of a material as given in a plan file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Overrides {
    /// Particle size.
    pub across: Option<String>,
    /// Water content on arrival.
    pub moisture: Option<String>,
    /// Share decayed.
    pub arrived: Option<String>,
}
