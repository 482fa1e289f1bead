//! Where the top-ups of many draws lie.

use schemars::JsonSchema;
use serde::Serialize;

use super::draw::{Drawn, drawn_material, topped, unknowns};
use super::tallies::{BedTally, YearsTally};
use super::{TopUps, Wish, plan_topups};
use crate::bands::Band;
use crate::bed::Bed;
use crate::blocks::in_blocks;
use crate::forecast::ForecastError;
use crate::sample::Sample;
use crate::uncertain::Draws;
use crate::watcher::{Unwatched, Watcher};

/// Where four in five dates lie, and their middle; each year-month-day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct DateBand {
    /// One in ten comes before this.
    pub low: String,
    /// Half of them come before this.
    pub middle: String,
    /// One in ten comes after this.
    pub high: String,
}

/// Where a top-up may lie, over the draws in which it comes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct TopUpBand {
    /// Its number: in order of the calendar where it comes in fixed months, else that of
    /// its turn in each draw.
    pub number: u32,
    /// Share of the draws in which it comes.
    pub chance: f64,
    /// Share of the draws in which more was wanted than the budget or the crowns allowed.
    pub chance_held_back: f64,
    /// The day.
    pub date: DateBand,
    /// The day on which to order.
    pub order_by: DateBand,
    /// How far the surface lay below the rim just before; m.
    pub below_before_m: Band,
    /// Loose volume that is laid on; m3.
    pub laid_m3: Band,
    /// Its weight, water included; kg.
    pub laid_kg: Band,
    /// How many units to buy.
    pub bought: Band,
    /// What that costs; none where the price is not known.
    pub cost: Option<Band>,
}

/// What top-ups come to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Sums {
    /// Loose volume that is laid on; m3.
    pub laid_m3: Band,
    /// Its weight, water included; kg.
    pub laid_kg: Band,
    /// How many units to buy.
    pub bought: Band,
    /// What that costs; none where the price is not known.
    pub cost: Option<Band>,
}

/// What the top-ups of a calendar year come to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct YearOfTopUps {
    /// The year in which they are laid on.
    pub year: i16,
    /// What they come to; nothing in a draw without one.
    pub sums: Sums,
}

/// All beds that were planned together, each as often as there are beds like it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct Together {
    /// How many beds.
    pub beds: u32,
    /// What a year comes to.
    pub years: Vec<YearOfTopUps>,
    /// What all years come to.
    pub all: Sums,
}

/// Where four in five draws lie. Each figure has its own band: they are not of one draw,
/// and the ends of a sum are not the sums of the ends.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct TopUpBands {
    /// Seed of the draws.
    pub seed: u64,
    /// How many draws.
    pub draws: u32,
    /// Every top-up that comes in any of them.
    pub list: Vec<TopUpBand>,
    /// Share of the draws in which there is any.
    pub chance_of_any: f64,
    /// How many top-ups there are.
    pub times: Band,
    /// What a year comes to, for one bed.
    pub years: Vec<YearOfTopUps>,
    /// What all years come to, for one bed.
    pub all: Sums,
    /// How far below the rim it stands in the end; m.
    pub below_at_end_m: Band,
    /// All beds that were planned together; the same for each of them.
    pub together: Together,
}

/// Plans the top-ups of a bed with bands: the middle line of [`plan_topups`], and where
/// four in five draws lie.
///
/// # Errors
///
/// As [`plan_topups`], and too many draws.
///
/// # Examples
///
/// ```
/// # let text = r#"
/// # format = 1
/// # filled = 2026-03-14
/// # climate = "Cambridge UK"
/// # [bed]
/// # shape = "round"
/// # across = "1.2 m"
/// # rim = "50 cm"
/// # [[layer]]
/// # put = [{ material = "deciduous leaves", amount = "300 L" }]
/// # [[layer]]
/// # put = [{ material = "loamy topsoil", amount = "20 cm" }]
/// # "#;
/// # use moulder::topup::Sold;
/// use moulder::topup::{Policy, Wish, topups_with_bands};
/// use moulder::{catalogue::Catalogue, read::read_toml, station::Stations};
/// use moulder::{uncertain::Draws, watcher::Unwatched};
///
/// let catalogue = Catalogue::built_in();
/// let bed = read_toml(text, &catalogue, &Stations::built_in())?;
/// let wish = Wish {
///     policy: Policy::Months(vec![9]),
///     material: catalogue.find("loamy topsoil").ok_or("no topsoil")?.clone(),
/// #   sold: Sold {
/// #       name: "bag".into(),
/// #       volume_m3: 0.04,
/// #       price: Some(4.5),
/// #       delivery: 0.0,
/// #       lead_days: 0,
/// #   },
///     // ... how it is sold, and what must not be gone beyond.
/// #   most_m: None,
/// #   yearly_budget: None,
///     months: 12,
/// };
/// let draws = Draws { count: 16, ..Draws::default() };
/// let topups = topups_with_bands(&bed, &wish, draws, &mut Unwatched)?;
/// let bags = topups.bands.ok_or("draws")?.all.bought;
/// assert!(bags.low <= bags.middle && bags.middle <= bags.high);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn topups_with_bands(
    bed: &Bed,
    wish: &Wish,
    draws: Draws,
    watcher: &mut dyn Watcher,
) -> Result<TopUps, ForecastError> {
    if draws.count == 0 {
        return plan_topups(bed, wish, watcher);
    }
    let mut topups = plan_topups(bed, wish, &mut Unwatched)?;
    let (beds, wishes) = (core::slice::from_ref(bed), core::slice::from_ref(wish));
    topups.bands = bands_of_all(beds, wishes, draws, watcher)?.pop();
    Ok(topups)
}

/// The bands of beds that are planned together, with a wish for each.
///
/// A draw gives all beds the same figures where they share them, and the same weather;
/// what they come to together is added up within each draw. Beds that are counted as
/// alike are the same in each.
///
/// # Errors
///
/// No draw at all or too many, a mound without room for its layers, or a watcher that
/// stops it.
pub fn bands_of_all(
    beds: &[Bed],
    wishes: &[Wish],
    draws: Draws,
    watcher: &mut dyn Watcher,
) -> Result<Vec<TopUpBands>, ForecastError> {
    let materials: Vec<_> = wishes.iter().map(|wish| &wish.material).collect();
    let unknowns = unknowns(beds, &materials);
    let each = || beds.iter().zip(wishes);
    let mut own: Vec<BedTally> = each()
        .map(|(bed, wish)| BedTally::of(bed, wish, draws.count))
        .collect();
    let mut together = YearsTally::of(each(), draws.count);
    in_blocks(
        draws,
        watcher,
        &|number| -> Result<Vec<Drawn>, ForecastError> {
            each()
                .map(|(bed, wish)| {
                    let sample = Sample::of(bed, &unknowns, draws.seed, number);
                    let mut wish = wish.clone();
                    wish.material =
                        drawn_material(bed, &wish.material, &unknowns, draws.seed, number);
                    topped(&sample, &wish)
                })
                .collect()
        },
        &mut |drawn| {
            for (tally, drawn) in own.iter_mut().zip(drawn) {
                tally.add(drawn);
            }
            let counts = beds.iter().map(|bed| bed.count);
            together.add(counts.zip(drawn.iter().map(|drawn| drawn.list.as_slice())));
        },
    )?;
    let together = Together {
        beds: beds.iter().map(|bed| bed.count).sum(),
        years: together.years(),
        all: together.all(),
    };
    Ok(own
        .iter()
        .map(|tally| tally.bands(draws, &together))
        .collect())
}
