//! When to top a bed up, with how much, and what to buy for it.
//!
//! The bed is marched as by [`forecast`](crate::forecast::forecast); at the end of each month
//! a [`Policy`] says whether it is due, and what is laid on then settles, weighs on what lies
//! below and rots like everything else. Buying follows from laying: whole units are bought,
//! what is left over waits for the next time.

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use moulder_solve::schedule::Schedule;
use moulder_solve::snapshot::Snapshot;
use schemars::JsonSchema;
use serde::Serialize;

use crate::bed::{Amount, Bed, Ingredient, Layer, Measured, Units};
use crate::course::{self, Follower, Laid, Stand};
use crate::draw::Draw;
use crate::forecast::{
    ForecastError, MONTHS_LIMIT, days_to_month, growing_layers, month_day, weather_for,
};
use crate::material::{Class, Material, wet_share};
use crate::notice::DefaultUsed;
use crate::watcher::{Go, Watcher};

/// Version of the form in which top-ups are written as JSON.
pub const SCHEMA_VERSION: u32 = 1;

/// Less than this is not worth a barrow; m (a tape reads no finer).
const LEAST_M: f64 = 0.01;
/// Room that takes a new layer of wood and greens under the soil; m (common practice, no
/// source).
pub const REFILL_ROOM_M: f64 = 0.30;

/// When a bed is topped up.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Policy {
    /// In these months of every year (1 to 12), up to the rim.
    Months(Vec<u8>),
    /// As soon as it stands lower than this below the rim at the end of a month, up to the
    /// rim; m.
    Below(f64),
    /// As soon as the soil that roots live in is thinner than this at the end of a month, up
    /// to that; m.
    Soil(f64),
}

/// How the material is sold.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Sold {
    /// What one is called ("bag").
    pub name: String,
    /// What one holds, loose; m3.
    pub volume_m3: f64,
    /// What one costs, in the owner's money; none where it is not known.
    pub price: Option<f64>,
    /// What each order costs on top.
    pub delivery: f64,
    /// How long before it is needed an order must be made; d.
    pub lead_days: u32,
}

/// What the owner wants.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// When to top up.
    pub policy: Policy,
    /// With what.
    pub material: Material,
    /// How it is sold.
    pub sold: Sold,
    /// No more than this at once, so that crowns stand; m.
    pub most_m: Option<f64>,
    /// No more than this spent from one January to the next.
    pub yearly_budget: Option<f64>,
    /// For how many months.
    pub months: u32,
}

/// One top-up.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct TopUp {
    /// Months since filling.
    pub month: u32,
    /// The day, year-month-day.
    pub date: String,
    /// The day on which to order, where anything has to be bought.
    pub order_by: Option<String>,
    /// How far the surface lay below the rim just before; m, negative above it. For a mound,
    /// below the height it was built to.
    pub below_before_m: f64,
    /// How far just after; m.
    pub below_after_m: f64,
    /// Loose volume that is laid on; m3.
    pub laid_m3: f64,
    /// Its weight, water included; kg.
    pub laid_kg: f64,
    /// How many units to buy.
    pub bought: u32,
    /// Loose volume left over, for the next time; m3.
    pub left_over_m3: f64,
    /// What that costs, delivery included; none where the price is not known.
    pub cost: Option<f64>,
    /// Whether more was wanted than the budget or the crowns allowed.
    pub is_held_back: bool,
}

/// What became of all that was laid on: `raised = restored + own loss + loss below`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Restored {
    /// By how much the top-ups raised the surface on their days; m.
    pub raised_m: f64,
    /// By how much the surface stands higher in the end than it would without them; m.
    pub restored_m: f64,
    /// What they have lost themselves since, by settling, sifting down and rot; m.
    pub own_loss_m: f64,
    /// What the fill below lies lower for their weight, less what sifted into it; m.
    pub loss_below_m: f64,
}

/// The top-ups of a bed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct TopUps {
    /// Version of the engine.
    pub engine: &'static str,
    /// Version of this form.
    pub schema: u32,
    /// What the owner calls the bed.
    pub name: String,
    /// How many beds like it there are; figures are for one.
    pub beds: u32,
    /// Day zero, year-month-day.
    pub filled: String,
    /// The units the owner thinks in; figures here are SI whatever they are.
    pub units: Units,
    /// Whether the height to come back to is a rim; else it is that of the day of filling.
    pub has_rim: bool,
    /// Months looked ahead.
    pub months: u32,
    /// When it is topped up.
    pub policy: Policy,
    /// The material.
    pub material: String,
    /// How it is sold.
    pub sold: Sold,
    /// The top-ups, in order of date.
    pub list: Vec<TopUp>,
    /// What became of them by the end.
    pub restored: Restored,
    /// How far below the rim it stands in the end; m.
    pub below_at_end_m: f64,
    /// How far it would stand without any; m.
    pub below_without_m: f64,
    /// The first day on which, without any top-up, there would be room for a new layer of
    /// wood and greens under the soil; none within these months.
    pub refill_from: Option<String>,
    /// What was assumed where the document is silent.
    pub defaults: Vec<DefaultUsed>,
}

impl TopUps {
    /// All that is laid on; m3.
    #[must_use]
    pub fn laid_m3(&self) -> f64 {
        self.list.iter().map(|topup| topup.laid_m3).sum()
    }

    /// All units to buy.
    #[must_use]
    pub fn bought(&self) -> u32 {
        self.list.iter().map(|topup| topup.bought).sum()
    }

    /// All it costs; none where the price is not known.
    #[must_use]
    pub fn cost(&self) -> Option<f64> {
        self.list.iter().map(|topup| topup.cost).sum()
    }
}

/// Plans the top-ups of a bed. What the document says was added is laid on as well.
///
/// # Errors
///
/// Too many months, a mound whose sides meet before a layer is in, or a watcher that stops it.
///
/// # Examples
///
/// ```
/// use moulder::topup::{Policy, Sold, Wish, plan_topups};
/// use moulder::{catalogue::Catalogue, read::read_toml};
/// use moulder::{station::Stations, watcher::Unwatched};
///
/// let text = r#"
/// format = 1
/// filled = 2026-03-14
/// climate = "Cambridge UK"
/// [bed]
/// shape = "box"
/// width = "1.2 m"
/// length = "2.4 m"
/// rim = "60 cm"
/// [[layer]]
/// put = [{ material = "mixed green waste", amount = "30 cm" }]
/// [[layer]]
/// put = [{ material = "loamy topsoil", amount = "30 cm" }]
/// "#;
/// let catalogue = Catalogue::built_in();
/// let bed = read_toml(text, &catalogue, &Stations::built_in())?;
/// let wish = Wish {
///     policy: Policy::Months(vec![3]),
///     material: catalogue.find("loamy topsoil").ok_or("no topsoil")?.clone(),
///     sold: Sold {
///         name: "bag".into(),
///         volume_m3: 0.04,
///         price: Some(4.5),
///         delivery: 0.0,
///         lead_days: 0,
///     },
///     most_m: None,
///     yearly_budget: None,
///     months: 24,
/// };
/// let topups = plan_topups(&bed, &wish, &mut Unwatched)?;
/// assert_eq!(topups.list.len(), 2);
/// assert!(topups.list[0].below_after_m.abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn plan_topups(
    bed: &Bed,
    wish: &Wish,
    watcher: &mut dyn Watcher,
) -> Result<TopUps, ForecastError> {
    if wish.months > MONTHS_LIMIT {
        return Err(ForecastError::TooManyMonths { asked: wish.months });
    }
    if matches!(wish.policy, Policy::Soil(_)) && wish.material.class != Class::Soil {
        return Err(ForecastError::NoSoil);
    }
    let weather = weather_for(bed, days_to_month(bed.filled, wish.months));
    let mut without = Heights::default();
    course::run(
        bed,
        weather.clone(),
        Draw::Middle,
        wish.months,
        Schedule::default(),
        &mut without,
    )?;
    let target_m = bed
        .rim_m
        .map_or_else(|| without.start_m(), |rim_m| rim_m + bed.trench_m);
    let mut planner = Planner {
        bed,
        wish,
        target_m,
        layers: bed.layers.clone(),
        stock_m3: 0.0,
        spent: Spent::default(),
        due: None,
        list: Vec::new(),
        own: Vec::new(),
        raised_m: 0.0,
        heights: Heights::default(),
        watcher,
    };
    course::run(
        bed,
        weather,
        Draw::Middle,
        wish.months,
        Schedule::default(),
        &mut planner,
    )?;
    let own_m: f64 = planner
        .own
        .iter()
        .map(|(index, _)| planner.heights.last_layer_m(*index))
        .sum();
    let (end_m, end_without_m) = (planner.heights.end_m(), without.end_m());
    let below_m = (end_m - own_m) - end_without_m;
    let restored = Restored {
        raised_m: planner.raised_m,
        restored_m: end_m - end_without_m,
        own_loss_m: planner.raised_m - own_m,
        loss_below_m: -below_m,
    };
    let refill_from = without
        .months
        .iter()
        .position(|height_m| target_m - height_m >= REFILL_ROOM_M)
        .and_then(|month| u32::try_from(month).ok())
        .map(|month| month_day(bed.filled, month).to_string());
    Ok(TopUps {
        engine: env!("CARGO_PKG_VERSION"),
        schema: SCHEMA_VERSION,
        name: bed.name.clone(),
        beds: bed.count,
        filled: bed.filled.to_string(),
        units: bed.units,
        has_rim: bed.rim_m.is_some(),
        months: wish.months,
        policy: wish.policy.clone(),
        material: wish.material.name.clone(),
        sold: wish.sold.clone(),
        list: planner.list,
        restored,
        below_at_end_m: target_m - end_m,
        below_without_m: target_m - end_without_m,
        refill_from,
        defaults: bed.defaults.clone(),
    })
}

/// Heights of a bed by month, and its layers in the end.
#[derive(Default)]
struct Heights {
    months: Vec<f64>,
    layers_m: Vec<f64>,
}

impl Heights {
    fn note(&mut self, now: &Snapshot) {
        self.months.push(now.height_m);
        self.layers_m = now.layers.iter().map(|layer| layer.thickness_m).collect();
    }

    fn start_m(&self) -> f64 {
        self.months.first().copied().unwrap_or_default()
    }

    fn end_m(&self) -> f64 {
        self.months.last().copied().unwrap_or_default()
    }

    fn last_layer_m(&self, index: usize) -> f64 {
        self.layers_m.get(index).copied().unwrap_or_default()
    }
}

impl Follower for Heights {
    fn stands(&mut self, stand: Stand) -> Result<(), ForecastError> {
        self.note(&stand.now);
        Ok(())
    }
}

/// Money spent in a calendar year.
#[derive(Default)]
struct Spent {
    year: i16,
    money: f64,
}

/// A top-up on its way: what was decided before it is laid on.
struct Due {
    month: u32,
    wanted_m: f64,
    laid_m3: f64,
    bought: u32,
    cost: Option<f64>,
    is_held_back: bool,
}

/// Decides month by month, and keeps the list.
struct Planner<'a> {
    bed: &'a Bed,
    wish: &'a Wish,
    /// Height over the foot to come back to; m.
    target_m: f64,
    layers: Vec<Layer>,
    /// Loose material left over; m3.
    stock_m3: f64,
    spent: Spent,
    due: Option<Due>,
    list: Vec<TopUp>,
    /// The layers that the top-ups made, and how thick they were laid; m.
    own: Vec<(usize, f64)>,
    raised_m: f64,
    heights: Heights,
    watcher: &'a mut dyn Watcher,
}

impl Planner<'_> {
    /// By how much the surface should rise now; m.
    fn wanted_m(&self, month: u32, now: &Snapshot) -> f64 {
        let below_m = self.target_m - now.height_m;
        let wanted_m = match &self.wish.policy {
            Policy::Months(months) => {
                let number = month_day(self.bed.filled, month).month().unsigned_abs();
                if months.contains(&number) {
                    below_m
                } else {
                    0.0
                }
            }
            Policy::Below(most_m) => {
                if below_m > *most_m {
                    below_m
                } else {
                    0.0
                }
            }
            Policy::Soil(least_m) => {
                let roots = growing_layers(&self.layers, self.bed.layers.len());
                let soil_m: f64 = roots.iter().map(|i| now.layers[*i].thickness_m).sum();
                least_m - soil_m
            }
        };
        // On the day of filling nothing is due yet.
        if month == 0 { 0.0 } else { wanted_m }
    }

    /// What is laid on and bought for a rise of so much.
    fn decide(&mut self, month: u32, wanted_m: f64, now: &Snapshot) -> Due {
        let sold = &self.wish.sold;
        let most_m = self.wish.most_m.unwrap_or(wanted_m);
        // On a mound, to just below the point where its sides meet.
        let peak_m = self.bed.shape.peak_m();
        let room_m = peak_m.map_or(wanted_m, |peak_m| (0.99 * peak_m - now.height_m).max(0.0));
        let at_once_m = wanted_m.min(most_m).min(room_m);
        let needed_m3 = self
            .bed
            .shape
            .volume_m3(now.height_m, now.height_m + at_once_m)
            * now.swelling;
        let year = month_day(self.bed.filled, month).year();
        if self.spent.year != year {
            self.spent = Spent { year, money: 0.0 };
        }
        let missing_m3 = (needed_m3 - self.stock_m3).max(0.0);
        let mut bought = whole_units(missing_m3 / sold.volume_m3);
        if let (Some(budget), Some(price)) = (self.wish.yearly_budget, sold.price) {
            let left = budget - self.spent.money - sold.delivery;
            // Free soil is not free where each delivery costs.
            let affordable = if left < 0.0 {
                0
            } else if price > 0.0 {
                whole_units_below(left / price)
            } else {
                u32::MAX
            };
            bought = bought.min(affordable);
        }
        let cost = sold.price.map(|price| {
            if bought == 0 {
                0.0
            } else {
                f64::from(bought) * price + sold.delivery
            }
        });
        let there_m3 = self.stock_m3 + f64::from(bought) * sold.volume_m3;
        let laid_m3 = needed_m3.min(there_m3);
        self.spent.money += cost.unwrap_or(0.0);
        self.stock_m3 = there_m3 - laid_m3;
        Due {
            month,
            wanted_m,
            laid_m3,
            bought,
            cost,
            is_held_back: at_once_m < wanted_m || laid_m3 < needed_m3,
        }
    }
}

impl Follower for Planner<'_> {
    fn due(&mut self, month: u32, now: &Snapshot) -> Vec<Layer> {
        let wanted_m = self.wanted_m(month, now);
        if wanted_m < LEAST_M {
            return Vec::new();
        }
        let due = self.decide(month, wanted_m, now);
        if due.laid_m3 <= 0.0 {
            // Nothing could be had: that is worth a line as well.
            let below_m = self.target_m - now.height_m;
            self.list.push(TopUp {
                month,
                date: month_day(self.bed.filled, month).to_string(),
                order_by: None,
                below_before_m: below_m,
                below_after_m: below_m,
                laid_m3: 0.0,
                laid_kg: 0.0,
                bought: 0,
                left_over_m3: self.stock_m3,
                cost: due.cost,
                is_held_back: true,
            });
            return Vec::new();
        }
        let layer = laid_layer(&self.wish.material, due.laid_m3);
        self.due = Some(due);
        vec![layer]
    }

    fn laid(&mut self, on: Date, layer: &Layer, laid: &Laid) {
        self.layers.push(layer.clone());
        // What the document adds is laid on after it, and is none of ours.
        let Some(due) = self.due.take() else {
            return;
        };
        let raised_m = laid.after_m - laid.before_m;
        self.raised_m += raised_m;
        self.own.push((laid.index, raised_m));
        let lead: Span = i64::from(self.wish.sold.lead_days).days();
        self.list.push(TopUp {
            month: due.month,
            date: on.to_string(),
            order_by: (due.bought > 0).then(|| on.saturating_sub(lead).to_string()),
            below_before_m: self.target_m - laid.before_m,
            below_after_m: self.target_m - laid.after_m,
            laid_m3: due.laid_m3,
            laid_kg: laid.wet_kg,
            bought: due.bought,
            left_over_m3: self.stock_m3,
            cost: due.cost,
            is_held_back: due.is_held_back && raised_m < due.wanted_m - 1e-9,
        });
    }

    fn stands(&mut self, stand: Stand) -> Result<(), ForecastError> {
        self.heights.note(&stand.now);
        if stand.month > 0 && self.watcher.done(stand.month, self.wish.months) == Go::Stop {
            return Err(ForecastError::Stopped);
        }
        Ok(())
    }
}

/// The least whole number of units that holds `units`, but for rounding.
fn whole_units(units: f64) -> u32 {
    whole((units - 1e-9).ceil())
}

/// The largest whole number of units within `units`, but for rounding.
fn whole_units_below(units: f64) -> u32 {
    whole((units + 1e-9).floor())
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held to the range"
)]
fn whole(units: f64) -> u32 {
    units.clamp(0.0, f64::from(u32::MAX)) as u32
}

/// The layer that so much of a material makes, loose.
fn laid_layer(material: &Material, volume_m3: f64) -> Layer {
    Layer {
        name: format!("top-up of {}", material.name),
        grows: material.class == Class::Soil,
        put: vec![Ingredient {
            amount: Amount::Volume(volume_m3),
            measured: Measured::Tipped,
            across_m: material.across.best,
            moisture_wet: wet_share(&material.moisture),
            rotten: 0.0,
            material: material.clone(),
        }],
        trodden: false,
        watered: false,
    }
}
