//! The answer to a plan request: fills, or a shortfall.

use jiff::civil::Date;
use std::borrow::Cow;

use serde::{Deserialize, Serialize};

pub use super::aim::{Aim, Rule};
use super::role::Role;
use crate::bed::document::BedDocument;
use crate::fault::notice::{DefaultUsed, Notice};
use crate::model::mixture::Mixture;
use crate::numeric::interval::Interval;
use crate::quantity::units::Units;

/// Version of the JSON form of a plan.
pub const SCHEMA_VERSION: u32 = 2;

/// Fills for a plan request, or what is short. Figures are SI whatever the display units.
///
/// ```
/// use moulder::{Library, PlanRequest, plan};
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
/// let plan = plan(&request, &moulder::months::unwatched)?;
/// assert!(plan.shortfall.is_none());
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Plan {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Seed of the realisations; none for the nominal run alone.
    pub seed: Option<u64>,
    /// Number of realisations of each fill; 0 for the nominal run alone.
    pub ensemble_size: u32,
    /// Name of the bed.
    pub name: String,
    /// Day of filling.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub filled: Date,
    /// The day by which the bed shall have settled.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub settled: Date,
    /// Months between these days.
    pub after_months: u32,
    /// Name of the climate.
    pub climate: String,
    /// Display units.
    pub units: Units,
    /// Currency sign or code.
    pub money: String,
    /// Plan area of the bed's floor; m2.
    pub base_m2: f64,
    /// Height of the rim above the ground; m. A mound has none.
    pub rim_m: Option<f64>,
    /// Required height by then; m.
    pub height_m: f64,
    /// Least required depth of growing soil by then; m.
    pub soil_m: f64,
    /// Share of its volume that each material retains, in the order of the file.
    pub materials: Vec<Alone>,
    /// The fills, the best first; empty where something is short.
    pub fills: Vec<Fill>,
    /// The shortfall where there is no fill.
    pub shortfall: Option<Shortfall>,
    /// Defaults used where the plan file gives nothing.
    pub defaults: Vec<DefaultUsed>,
}

/// Share of its volume that a material retains on its own: the coefficient that the search
/// starts with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Alone {
    /// The material.
    pub material: String,
    /// The layer it goes to.
    pub layer: Role,
    /// Share of its loose volume that is left on the settled day.
    pub kept: f64,
}

/// One way to fill the bed. Its figures are means over the realisations; for the nominal run alone
/// those of the best values of all parameters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Fill {
    /// The aims that it is best for; more than one where their best fills are the same.
    pub aims: Vec<Aim>,
    /// Its layers, from the ground up.
    pub layers: Vec<FillLayer>,
    /// Height above the ground on the day of filling; m.
    pub tipped_m: f64,
    /// Height above the ground on the settled day, by the forecast of this bed; m.
    pub stands_m: f64,
    /// Depth of the growing soil on that day, by the same forecast; m.
    pub soil_stands_m: f64,
    /// By how much the height falls short of the requirement; m. 0 where it is met to half a
    /// millimetre.
    pub height_short_m: f64,
    /// By how much the growing soil falls short of the requirement; m. 0 where it is met to half a
    /// millimetre.
    pub soil_short_m: f64,
    /// Whether both are within 1 cm of the requirement (more soil is allowed).
    pub on_the_mark: bool,
    /// 80 % intervals on the settled day; none for the nominal run alone.
    pub intervals: Option<FillIntervals>,
    /// Number of nominal forecasts it took.
    pub forecasts: u32,
    /// Index of the layer that feeds the roots besides the soil, from the ground up; none
    /// without a mixed layer.
    pub feeding: Option<usize>,
    /// Water that brings the mixed layer and the card to [`WET_SHARE`]; L.
    pub water_l: f64,
    /// Largest mass at a month end, water included; kg.
    pub total_mass_kg: f64,
    /// Purchases, in whole packs.
    pub buy: Vec<Buy>,
    /// Total cost.
    pub cost: f64,
    /// Stock left over.
    pub left: Vec<Left>,
    /// Rules of good practice that were relaxed.
    pub bent: Vec<Rule>,
    /// Notices on this bed.
    pub notices: Vec<Notice>,
    /// The bed as a bed file.
    pub bed: BedDocument,
}

/// 80 % intervals of a fill on the settled day, with the model discrepancy of the surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct FillIntervals {
    /// Height above the ground; m.
    pub height_m: Interval,
    /// Depth of the growing soil, which bears its share of the discrepancy; m.
    pub soil_m: Interval,
}

/// Water content of the mixed layer as a share of its wet mass: where non-woody material decays
/// best by the moisture law (Haug 1993, scaled to 1 there).
pub const WET_SHARE: f64 = 0.6;

/// One layer of a fill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct FillLayer {
    /// Its role.
    pub role: Role,
    /// Its materials.
    pub put: Vec<Put>,
    /// Thickness on the day of filling; m.
    pub tipped_m: f64,
    /// Thickness on the settled day; m.
    pub stands_m: f64,
    /// Its carbon to nitrogen and water on arrival.
    pub mixture: Mixture,
}

/// One material of a layer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Put {
    /// Index of the entry in the file.
    pub hand: usize,
    /// The material.
    pub material: String,
    /// The amount in the words of a bed file.
    pub amount: String,
    /// Loose volume; m3.
    pub volume_m3: f64,
    /// Mass as it arrives, water included; kg.
    pub total_mass_kg: f64,
    /// The same in a measure of the file, where it uses one: how many, and its name.
    pub measures: Option<(f64, String)>,
    /// Whether it has a price.
    pub bought: bool,
}

/// A purchase.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Buy {
    /// The material.
    pub material: String,
    /// Whole packs.
    pub packs: f64,
    /// Content of a pack, in the words of the file.
    pub per: String,
    /// Cost.
    pub cost: f64,
    /// Loose volume left of the last pack; m3.
    pub spare_m3: f64,
}

/// Stock that is not used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Left {
    /// The material.
    pub material: String,
    /// Loose volume; m3.
    pub volume_m3: f64,
    /// Mass, water included; kg.
    pub total_mass_kg: f64,
    /// Whether its amount is given by weight.
    pub by_weight: bool,
}

/// What is short, as it would stand on the settled day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// Height reached with all there is; m.
    pub reached_m: f64,
}
