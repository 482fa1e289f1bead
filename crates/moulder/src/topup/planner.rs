//! Decides top-ups month by month.

use jiff::ToSpan as _;
use jiff::civil::Date;
use moulder_solve::snapshot::Snapshot;

use super::stock::{Purchase, Stock};
use super::{Planned, Restored, TopUp, TopUpRule, TopUpTrigger};
use crate::bed::{Amount, Bed, Firmness, Ingredient, Layer, Placement};
use crate::fault::error::Error;
use crate::forecast::calendar::month_day;
use crate::forecast::progress::Progress;
use crate::forecast::roots::growing_layers;
use crate::forecast::trajectory::{AddedLayer, MonthEnd, Observer};
use crate::library::material::{Class, Material, wet_share};
use crate::uncertainty::discrepancy::{Discrepancy, DiscrepancyTracker};

/// Thinner top-ups are not made; m (a tape measure reads no finer).
const LEAST_M: f64 = 0.01;

/// A fresh bed sinks so fast that what is laid on is soon missing again: weeks after filling
/// without a top-up (common practice, no source).
const FRESH_WEEKS: i64 = 8;

/// The first day on which a top-up may be due: eight weeks after filling; not before the last
/// reading, or the next day where the document has an addition then. Earlier additions are in the
/// document.
pub(super) fn not_before(bed: &Bed) -> Date {
    let settled = bed.filled.saturating_add(FRESH_WEEKS.weeks());
    let Some(last) = bed.readings.last().map(|last| last.on) else {
        return settled;
    };
    let is_added_to = bed.additions.iter().any(|added| added.on == last);
    let next = last.tomorrow().ok().filter(|_| is_added_to);
    settled.max(next.unwrap_or(last))
}

/// Heights of a bed by month, with discrepancy, and its layers at the end.
pub(crate) struct Heights<'a> {
    tracker: DiscrepancyTracker<'a>,
    /// Above the base, day zero first; m.
    months: Vec<f64>,
    /// Height before any addition, and rise by additions, without discrepancy; m.
    first_m: Option<f64>,
    raised_m: f64,
    layers_m: Vec<f64>,
}

impl<'a> Heights<'a> {
    /// With that discrepancy.
    pub(crate) fn new(discrepancy: &'a Discrepancy) -> Self {
        Self {
            tracker: DiscrepancyTracker::new(discrepancy),
            months: Vec::new(),
            first_m: None,
            raised_m: 0.0,
            layers_m: Vec::new(),
        }
    }

    /// At the end of a month, before additions.
    fn month_end(&mut self, now: &Snapshot) {
        let first_m = *self.first_m.get_or_insert(now.height_m);
        self.tracker
            .month_end(first_m + self.raised_m - now.height_m, now.height_m);
    }

    fn add_raised(&mut self, added: &AddedLayer) {
        self.raised_m += added.after_m - added.before_m;
    }

    /// Height above the base with discrepancy, from the simulated one; m.
    fn actual_m(&self, by_laws_m: f64) -> f64 {
        by_laws_m - self.tracker.extra_m()
    }

    /// At the end of a month, after additions.
    fn record(&mut self, now: &Snapshot) {
        self.months.push(self.actual_m(now.height_m));
        self.layers_m = now.layers.iter().map(|layer| layer.thickness_m).collect();
    }

    pub(crate) fn start_m(&self) -> f64 {
        self.months.first().copied().unwrap_or_default()
    }

    pub(crate) fn end_m(&self) -> f64 {
        self.months.last().copied().unwrap_or_default()
    }

    fn last_layer_m(&self, index: usize) -> f64 {
        self.layers_m.get(index).copied().unwrap_or_default()
    }
}

impl Observer for Heights<'_> {
    fn additions_due(&mut self, _month: u32, now: &Snapshot) -> Vec<Layer> {
        self.month_end(now);
        Vec::new()
    }

    fn layer_added(&mut self, _on: Date, _layer: &Layer, added: &AddedLayer) {
        self.add_raised(added);
    }

    fn month_ended(&mut self, month_end: MonthEnd) -> Result<(), Error> {
        self.record(&month_end.now);
        Ok(())
    }
}

/// A top-up that is decided and not yet made.
struct PendingTopUp {
    month: u32,
    requested_m: f64,
    needed_m3: f64,
    purchase: Purchase,
    is_held_back: bool,
}

/// Decides top-ups month by month, and lists them: up to the rim, or to the height on the day of
/// filling.
pub(super) struct Planner<'a> {
    bed: &'a Bed,
    rule: &'a TopUpRule,
    /// No top-up before this day.
    not_before: Date,
    layers: Vec<Layer>,
    stock: Stock,
    due: Option<PendingTopUp>,
    list: Vec<TopUp>,
    /// Layers of the top-ups, and their thickness when added; m.
    own: Vec<(usize, f64)>,
    raised_m: f64,
    heights: Heights<'a>,
    /// Largest mass at a month end, water included; kg.
    most_kg: f64,
    progress: &'a Progress<'a>,
}

impl<'a> Planner<'a> {
    /// The top-ups of a bed by that rule, with that discrepancy.
    pub(super) fn new(
        bed: &'a Bed,
        rule: &'a TopUpRule,
        discrepancy: &'a Discrepancy,
        progress: &'a Progress<'a>,
    ) -> Self {
        Self {
            bed,
            rule,
            not_before: rule.not_before(bed),
            layers: bed.layers.clone(),
            stock: Stock::default(),
            due: None,
            list: Vec::new(),
            own: Vec::new(),
            raised_m: 0.0,
            heights: Heights::new(discrepancy),
            most_kg: 0.0,
            progress,
        }
    }

    /// The plan once the run is over, beside the heights of the bed without it: above the base,
    /// day zero first; m.
    pub(super) fn planned(self, without_m: &[f64]) -> Planned {
        let target_m = self.target_m();
        let own_m: f64 = self
            .own
            .iter()
            .map(|(index, _)| self.heights.last_layer_m(*index))
            .sum();
        let (end_m, end_without_m) = (
            self.heights.end_m(),
            without_m.last().copied().unwrap_or_default(),
        );
        let below_m = (end_m - own_m) - end_without_m;
        Planned {
            restored: Restored {
                raised_m: self.raised_m,
                restored_m: end_m - end_without_m,
                own_loss_m: self.raised_m - own_m,
                loss_below_m: -below_m,
            },
            below_at_end_m: target_m - end_m,
            below_without_m: without_m
                .iter()
                .map(|height_m| target_m - height_m)
                .collect(),
            most_kg: self.most_kg,
            list: self.list,
        }
    }

    /// The target height above the base: the rim, or the height on the day of filling; m.
    fn target_m(&self) -> f64 {
        let rim_m = self.bed.rim_m.map(|rim_m| rim_m + self.bed.trench_m);
        rim_m.unwrap_or_else(|| self.heights.start_m())
    }

    /// Requested rise of the surface; m.
    fn requested_m(&self, month: u32, now: &Snapshot) -> f64 {
        let day = month_day(self.bed.filled, month);
        // Nothing is due on the day of filling.
        if month == 0 || day < self.not_before {
            return 0.0;
        }
        let below_m = self.below_m(now.height_m);
        match &self.rule.trigger {
            TopUpTrigger::Months(months) => {
                if months.contains(&day.month().unsigned_abs()) {
                    below_m
                } else {
                    0.0
                }
            }
            TopUpTrigger::BelowRimM(most_m) => {
                if below_m > *most_m {
                    below_m
                } else {
                    0.0
                }
            }
            TopUpTrigger::SoilDepthM(least_m) => {
                let roots = growing_layers(&self.layers, self.bed.layers.len());
                let soil_m: f64 = roots.iter().map(|i| now.layers[*i].thickness_m).sum();
                least_m - soil_m
            }
        }
    }

    /// Depth below the target, from the simulated height; m.
    fn below_m(&self, by_laws_m: f64) -> f64 {
        self.target_m() - self.heights.actual_m(by_laws_m)
    }

    /// Volume and purchase for a rise.
    fn decide(&mut self, month: u32, requested_m: f64, now: &Snapshot) -> PendingTopUp {
        let most_m = self.rule.most_m.unwrap_or(requested_m);
        // On a mound, up to just below its peak.
        let peak_m = self.bed.shape.peak_m();
        let room_m = peak_m.map_or(requested_m, |peak_m| {
            (0.99 * peak_m - now.height_m).max(0.0)
        });
        let at_once_m = requested_m.min(most_m).min(room_m);
        let to_m = now.height_m + at_once_m;
        let needed_m3 = self.bed.room_m3(now.height_m, to_m, now.swelling);
        let year = month_day(self.bed.filled, month).year();
        let purchase = self.stock.buy(
            core::slice::from_ref(&self.rule.package),
            self.rule.yearly_budget,
            year,
            needed_m3,
        );
        PendingTopUp {
            month,
            requested_m,
            needed_m3,
            is_held_back: at_once_m < requested_m || purchase.laid_m3 < needed_m3,
            purchase,
        }
    }
}

impl Observer for Planner<'_> {
    fn additions_due(&mut self, month: u32, now: &Snapshot) -> Vec<Layer> {
        self.heights.month_end(now);
        let requested_m = self.requested_m(month, now);
        if requested_m < LEAST_M {
            return Vec::new();
        }
        let due = self.decide(month, requested_m, now);
        if due.purchase.laid_m3 <= 0.0 {
            // A top-up that could not be made is listed as well.
            let below_m = self.below_m(now.height_m);
            self.list.push(TopUp {
                month,
                date: month_day(self.bed.filled, month),
                order_by: None,
                below_before_m: below_m,
                below_after_m: below_m,
                needed_m3: due.needed_m3,
                laid_m3: 0.0,
                laid_kg: 0.0,
                bought: 0,
                left_over_m3: self.stock.left_over_m3,
                cost: due.purchase.cost,
                is_held_back: true,
            });
            return Vec::new();
        }
        let layer = top_up_layer(&self.rule.material, due.purchase.laid_m3);
        self.due = Some(due);
        vec![layer]
    }

    fn layer_added(&mut self, on: Date, layer: &Layer, added: &AddedLayer) {
        self.layers.push(layer.clone());
        self.heights.add_raised(added);
        // Additions of the document follow, and are not top-ups.
        let Some(due) = self.due.take() else {
            return;
        };
        let raised_m = added.after_m - added.before_m;
        self.raised_m += raised_m;
        self.own.push((added.index, raised_m));
        self.list.push(TopUp {
            month: due.month,
            date: on,
            order_by: (due.purchase.bought > 0).then(|| self.rule.package.order_by(on)),
            below_before_m: self.below_m(added.before_m),
            below_after_m: self.below_m(added.after_m),
            needed_m3: due.needed_m3,
            laid_m3: due.purchase.laid_m3,
            laid_kg: added.total_mass_kg,
            bought: due.purchase.bought,
            left_over_m3: self.stock.left_over_m3,
            cost: due.purchase.cost,
            is_held_back: due.is_held_back && raised_m < due.requested_m - 1e-9,
        });
    }

    fn month_ended(&mut self, month_end: MonthEnd) -> Result<(), Error> {
        self.heights.record(&month_end.now);
        self.most_kg = self.most_kg.max(month_end.now.total_mass_kg());
        if month_end.month > 0 && (self.progress)(month_end.month, self.rule.months).is_break() {
            return Err(Error::Stopped);
        }
        Ok(())
    }
}

/// The layer that a loose volume of a material makes.
pub(super) fn top_up_layer(material: &Material, volume_m3: f64) -> Layer {
    Layer {
        name: format!("top-up of {}", material.name),
        grows: material.class == Class::Soil,
        put: vec![Ingredient {
            amount: Amount::VolumeM3(volume_m3),
            placement: Placement::Loose,
            particle_size_m: material.particle_size.best,
            moisture_wet: wet_share(&material.moisture),
            rotten: 0.0,
            material: material.clone(),
        }],
        firmness: Firmness::Loose,
        watered: false,
    }
}
