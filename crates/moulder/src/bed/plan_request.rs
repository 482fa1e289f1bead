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
#[non_exhaustive]
pub struct PlanRequest {
    /// What the owner calls the bed.
    pub name: String,
    /// The day it will be filled.
    pub filled: Date,
    /// The climate it will stand in.
    pub climate: Climate,
    /// The units the owner thinks in.
    pub units: Units,
    /// Its outline.
    pub shape: Shape,
    /// Height of the rim above the ground; m. A mound has none.
    pub rim_m: Option<f64>,
    /// Depth of the trench the bed starts in; m.
    pub trench_m: f64,
    /// What is below it, where the file says so.
    pub stands_on: Option<StandsOn>,
    /// Whether it stands against the wall of a building, where the file says so.
    pub near_wall: Option<bool>,
    /// What its boards are, where the file says so.
    pub boards: Option<Boards>,
    /// Height wanted above the ground once the bed has settled; m.
    pub height_m: f64,
    /// Months after filling at which it shall stand so; 1 to 120.
    pub after_months: u32,
    /// Least depth of growing soil by then; m.
    pub soil_m: f64,
    /// What stands before a price; may be empty.
    pub money: String,
    /// Codes of the notices that the owner has seen to.
    pub seen: Vec<&'static str>,
    /// What is at hand or can be bought, in the order of the file.
    pub stock: Vec<StockItem>,
    /// The outline in the words of the file.
    pub outline: OutlineDocument,
    /// The climate in the words of the file.
    pub climate_given: ClimateDocument,
    /// What was assumed where the file is silent.
    pub defaults: Vec<DefaultUsed>,
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
