//! What is asked of a plan: the bed, how it shall stand, and what is at hand for it.

use jiff::civil::Date;
use moulder_core::bed::shape::Shape;

use crate::bed::document::{ClimateDocument, OutlineDocument};
use crate::bed::{Amount, Boards, Ingredient, StandsOn};
use crate::fault::notice::DefaultUsed;
use crate::library::climates::Climate;
use crate::quantity::units::Units;

/// A checked plan: what shall stand where, and what there is to fill it with.
///
/// It is only made by reading a plan file ([`crate::read::read_plan_toml`],
/// [`crate::read::read_plan_json`]), so every figure in it lies within its stated range.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRequest {
    /// What the owner calls the bed.
    pub(crate) name: String,
    /// The day it will be filled.
    pub(crate) filled: Date,
    /// The climate it will stand in.
    pub(crate) climate: Climate,
    /// The units the owner thinks in.
    pub(crate) units: Units,
    /// Its outline.
    pub(crate) shape: Shape,
    /// Height of the rim above the ground; m. A mound has none.
    pub(crate) rim_m: Option<f64>,
    /// Depth of the trench the bed starts in; m.
    pub(crate) trench_m: f64,
    /// What is below it, where the file says so.
    pub(crate) stands_on: Option<StandsOn>,
    /// Whether it stands against the wall of a building, where the file says so.
    pub(crate) near_wall: Option<bool>,
    /// What its boards are, where the file says so.
    pub(crate) boards: Option<Boards>,
    /// Height wanted above the ground once the bed has settled; m.
    pub(crate) height_m: f64,
    /// Months after filling at which it shall stand so; 1 to 120.
    pub(crate) after_months: u32,
    /// Least depth of growing soil by then; m.
    pub(crate) soil_m: f64,
    /// What stands before a price; may be empty.
    pub(crate) money: String,
    /// Codes of the notices that the owner has seen to.
    pub(crate) seen: Vec<&'static str>,
    /// What is at hand or can be bought, in the order of the file.
    pub(crate) stock: Vec<StockItem>,
    /// The outline in the words of the file.
    pub(crate) outline: OutlineDocument,
    /// The climate in the words of the file.
    pub(crate) climate_given: ClimateDocument,
    /// What was assumed where the file is silent.
    pub(crate) defaults: Vec<DefaultUsed>,
}

impl PlanRequest {
    /// The plan with its owner thinking in those units.
    #[must_use]
    pub const fn with_units(mut self, units: Units) -> Self {
        self.units = units;
        self
    }

    /// What the owner calls the bed.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The day it will be filled.
    #[must_use]
    pub const fn filled(&self) -> Date {
        self.filled
    }

    /// The climate it will stand in.
    #[must_use]
    pub fn climate(&self) -> &Climate {
        &self.climate
    }

    /// The units the owner thinks in.
    #[must_use]
    pub const fn units(&self) -> Units {
        self.units
    }

    /// Its outline.
    #[must_use]
    pub const fn shape(&self) -> Shape {
        self.shape
    }

    /// Height of the rim above the ground; m. A mound has none.
    #[must_use]
    pub const fn rim_m(&self) -> Option<f64> {
        self.rim_m
    }

    /// Depth of the trench the bed starts in; m.
    #[must_use]
    pub const fn trench_m(&self) -> f64 {
        self.trench_m
    }

    /// What is below it, where the file says so.
    #[must_use]
    pub const fn stands_on(&self) -> Option<StandsOn> {
        self.stands_on
    }

    /// Whether it stands against the wall of a building, where the file says so.
    #[must_use]
    pub const fn near_wall(&self) -> Option<bool> {
        self.near_wall
    }

    /// What its boards are, where the file says so.
    #[must_use]
    pub const fn boards(&self) -> Option<Boards> {
        self.boards
    }

    /// Height wanted above the ground once the bed has settled; m.
    #[must_use]
    pub const fn height_m(&self) -> f64 {
        self.height_m
    }

    /// Months after filling at which it shall stand so; 1 to 120.
    #[must_use]
    pub const fn after_months(&self) -> u32 {
        self.after_months
    }

    /// Least depth of growing soil by then; m.
    #[must_use]
    pub const fn soil_m(&self) -> f64 {
        self.soil_m
    }

    /// What stands before a price; may be empty.
    #[must_use]
    pub fn money(&self) -> &str {
        &self.money
    }

    /// Codes of the notices that the owner has seen to.
    #[must_use]
    pub fn seen(&self) -> &[&'static str] {
        &self.seen
    }

    /// What is at hand or can be bought, in the order of the file.
    #[must_use]
    pub fn stock(&self) -> &[StockItem] {
        &self.stock
    }

    /// The outline in the words of the file.
    #[must_use]
    pub fn outline(&self) -> &OutlineDocument {
        &self.outline
    }

    /// The climate in the words of the file.
    #[must_use]
    pub fn climate_given(&self) -> &ClimateDocument {
        &self.climate_given
    }

    /// What was assumed where the file is silent.
    #[must_use]
    pub fn defaults(&self) -> &[DefaultUsed] {
        &self.defaults
    }
}

/// One thing at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct StockItem {
    /// A cubic metre of it, loose as tipped.
    pub sample: Ingredient,
    /// How much there is.
    pub supply: Supply,
    /// In which words its amounts are told.
    pub reported: Reported,
    /// What it costs; none where it lies about.
    pub price: Option<Price>,
    /// Least share of the whole fill by loose volume; 0 to 1.
    pub least: f64,
    /// Largest share of the whole fill by loose volume; 0 to 1.
    pub most: f64,
    /// Its size, water and rot in the words of the file, where it gives them.
    pub overrides: Overrides,
}

/// How much there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Supply {
    /// As much as it takes.
    Plenty,
    /// So much: a volume loose as tipped, or a mass.
    Of(Amount),
}

/// In which words an amount is told, besides litres or cubic feet.
#[derive(Debug, Clone, PartialEq)]
pub enum Reported {
    /// By volume alone.
    Volume,
    /// By weight.
    Weight,
    /// In a measure that holds so many m3.
    Measure(String, f64),
}

/// What a pack costs and holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Money for one pack.
    pub money: f64,
    /// What is in a pack: a volume, or a mass.
    pub per: Amount,
    /// The same, in the words of the file.
    pub per_text: String,
}

/// What a plan file says of the state of a material, word by word.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Overrides {
    /// Size of a piece.
    pub across: Option<String>,
    /// Water on arrival.
    pub moisture: Option<String>,
    /// How far it has rotted.
    pub arrived: Option<String>,
}
