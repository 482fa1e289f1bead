//! What a plan comes to: fills, or what is short.

use jiff::civil::Date;
use std::borrow::Cow;

use serde::{Deserialize, Serialize};

pub use super::optimum::{Aim, Rule};
use super::role::Role;
use crate::bed::document::BedDocument;
use crate::fault::notice::{DefaultUsed, Notice};
use crate::model::mixture::Mixture;
use crate::quantity::units::Units;

/// Version of the form in which an answer is written as JSON.
pub const SCHEMA_VERSION: u32 = 2;

/// What a plan comes to. Figures are SI whatever the owner's units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Plan {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of this form.
    pub schema: u32,
    /// What the owner calls the bed.
    pub name: String,
    /// Day zero, year-month-day.
    pub filled: Date,
    /// The day by which the bed shall have settled, year-month-day.
    pub settled: Date,
    /// Months from the one to the other.
    pub after_months: u32,
    /// The climate it stands in.
    pub climate: String,
    /// The units the owner thinks in.
    pub units: Units,
    /// What stands before a price.
    pub money: String,
    /// Plan area of the bed's floor; m2.
    pub base_m2: f64,
    /// Height of the rim above the ground; m. A mound has none.
    pub rim_m: Option<f64>,
    /// Height wanted by then; m.
    pub height_m: f64,
    /// Least depth of growing soil wanted by then; m.
    pub soil_m: f64,
    /// What each material keeps by itself, in the order of the file.
    pub materials: Vec<Alone>,
    /// The fills, the best first; none where something is short.
    pub fills: Vec<Fill>,
    /// What is short where there is no fill.
    pub shortfall: Option<Shortfall>,
    /// What was assumed where the plan file is silent.
    pub defaults: Vec<DefaultUsed>,
}

/// What a material keeps by itself: the coefficient the search begins with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Alone {
    /// The material.
    pub material: String,
    /// The layer it goes to.
    pub layer: Role,
    /// Share of its loose volume that it keeps until the day asked for.
    pub kept: f64,
}

/// One way to fill the bed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Fill {
    /// What it is the best at; more than one where the best are the same.
    pub aims: Vec<Aim>,
    /// Its layers, from the ground up.
    pub layers: Vec<FillLayer>,
    /// Height above the ground on the day of filling; m.
    pub tipped_m: f64,
    /// Height above the ground on the day asked for, by the forecast of this very bed; m.
    pub stands_m: f64,
    /// Depth of the growing soil by then, by the same forecast; m.
    pub soil_stands_m: f64,
    /// Whether both lie within 1 cm of what is wanted (more soil is no fault).
    pub on_the_mark: bool,
    /// Forecasts it took.
    pub forecasts: u32,
    /// The layer that feeds the roots beside the soil, counted from the ground; none where
    /// nothing is mixed.
    pub feeding: Option<usize>,
    /// Water that brings the mixed layer and the card to [`WET_SHARE`]; L.
    pub water_l: f64,
    /// What the fill weighs at its heaviest turn of a month, water included; kg.
    pub total_mass_kg: f64,
    /// What is to be bought, in whole packs.
    pub buy: Vec<Buy>,
    /// What all that costs.
    pub cost: f64,
    /// What lies about and is not used.
    pub left: Vec<Left>,
    /// Rules of good practice that gave way.
    pub bent: Vec<Rule>,
    /// What a reader should know of this bed.
    pub notices: Vec<Notice>,
    /// The bed as a bed file.
    pub bed: BedDocument,
}

/// Water of what is mixed in, as a share of its wet mass: where soft matter rots best by the
/// law of moisture (Haug 1993, scaled to 1 there).
pub const WET_SHARE: f64 = 0.6;

/// One layer of a fill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FillLayer {
    /// What it is.
    pub role: Role,
    /// What is put in.
    pub put: Vec<Put>,
    /// How thick it lies on the day of filling; m.
    pub tipped_m: f64,
    /// How thick it stands on the day asked for; m.
    pub stands_m: f64,
    /// Its carbon to nitrogen and water as it arrives.
    pub mixture: Mixture,
}

/// One material of a layer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Put {
    /// Which entry of the file it comes from, from 0.
    pub hand: usize,
    /// The material.
    pub material: String,
    /// The amount as a bed file has it.
    pub amount: String,
    /// Loose volume; m3.
    pub volume_m3: f64,
    /// Mass as it arrives, water included; kg.
    pub total_mass_kg: f64,
    /// The same in the measure of the file, where it uses one: how many, and its name.
    pub measures: Option<(f64, String)>,
    /// Whether it has a price.
    pub bought: bool,
}

/// Something to buy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Buy {
    /// The material.
    pub material: String,
    /// Whole packs.
    pub packs: f64,
    /// What a pack holds, in the words of the file.
    pub per: String,
    /// What they cost.
    pub cost: f64,
    /// Loose volume that is left of the last pack; m3.
    pub spare_m3: f64,
}

/// Something that is not used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Left {
    /// The material.
    pub material: String,
    /// Loose volume; m3.
    pub volume_m3: f64,
    /// Mass, water included; kg.
    pub total_mass_kg: f64,
    /// Whether its amount is told by weight.
    pub by_weight: bool,
}

/// What is short, as it stands on the day asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Shortfall {
    /// Growing soil; m3.
    pub soil_m3: f64,
    /// The same as a depth; m.
    pub soil_m: f64,
    /// Anything else to fill with; m3.
    pub fill_m3: f64,
    /// The same as a depth; m.
    pub fill_m: f64,
    /// Height that would be reached with all there is; m.
    pub reached_m: f64,
}
