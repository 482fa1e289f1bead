//! From the size of a bed and what is at hand to fills, ranked, each with what it trades.
//!
//! What is linear: the share of its loose volume that each material keeps until the day
//! asked for, taken from a forecast of that material alone (`keeping`); with these, the
//! amounts are a linear programme (`optimum`). What is checked: every fill is a bed, and
//! the whole forecast of that bed, with its layers mixed, loaded and sifting into each
//! other, says how high it stands. Where the two differ, each layer's share is corrected
//! and the amounts are sought again (`search`), until the forecast lies within 1 cm of
//! what is wanted.
//!
//! The rules of layering ([`role`]) are common practice and have no source: coarse wood at
//! the bottom, brush and soft stuff mixed over it, card or turf over that, soil on top.

pub mod answer;
pub mod form;
pub mod hand;
mod keeping;
mod optimum;
pub mod role;
mod search;
mod trial;

use jiff::civil::Date;
use moulder_core::shape::Shape;

use crate::bed::{Boards, StandsOn, Units};
use crate::document::{ClimateDocument, OutlineDocument};
use crate::notice::DefaultUsed;
use crate::station::Climate;
pub use answer::{Answer, Fill, PlanError};
pub use hand::{Hand, Price, Supply, Told};
pub use search::plan;

/// A checked plan: what shall stand where, and what there is to fill it with.
///
/// It is only made by reading a plan file ([`crate::read::read_plan_toml`],
/// [`crate::read::read_plan_json`]), so every figure in it lies within its stated range.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Plan {
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
    pub hands: Vec<Hand>,
    /// The outline in the words of the file.
    pub outline: OutlineDocument,
    /// The climate in the words of the file.
    pub climate_given: ClimateDocument,
    /// What was assumed where the file is silent.
    pub defaults: Vec<DefaultUsed>,
}
