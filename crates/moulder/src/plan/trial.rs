//! From depths to measurable amounts, and the bed that these make.

use super::retention::{Retention, plain_bed};
use super::role::Role;
use crate::bed::document::{BedDocument, LayerDocument, PutDocument, Then};
use crate::bed::plan_request::{PlanRequest, Reported, StockItem, Supply};
use crate::bed::{Amount, Bed, Firmness, Ingredient, Layer};
use crate::quantity::measures::Measures;
use crate::quantity::parse::parse;
use crate::quantity::unit::Dimension;
use crate::quantity::units::Units;

/// m3 in a cubic foot, kg in a pound (exact).
const CUBIC_FOOT_M3: f64 = 0.028_316_846_592;
const POUND_KG: f64 = 0.453_592_37;
/// Amounts below this are rounded to tenths of the unit, others to whole units.
const TENTHS_BELOW: f64 = 10.0;

/// One material in a measurable amount.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Measured {
    /// Index of the stock item.
    pub(super) hand: usize,
    /// The amount in the words of a bed file.
    pub(super) text: String,
    /// The same, parsed.
    pub(super) amount: Amount,
    /// Loose volume; m3.
    pub(super) volume_m3: f64,
}

/// A trial fill: layers from the ground up.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Trial {
    pub(super) layers: Vec<(Role, Vec<Measured>)>,
}

impl Trial {
    /// Rounds loose depths over the base (m) to measurable amounts, never above the stock.
    pub(super) fn new(plan: &PlanRequest, retentions: &[Retention], depths_m: &[f64]) -> Self {
        let area_m2 = plan.shape.area_m2();
        let mut layers: Vec<(Role, Vec<Measured>)> = Vec::new();
        for role in Role::ALL {
            let put: Vec<Measured> = plan
                .stock
                .iter()
                .zip(retentions)
                .zip(depths_m)
                .enumerate()
                .filter(|(_, ((item, _), _))| Role::from_ingredient(&item.sample) == role)
                .filter_map(|(index, ((item, retention), depth_m))| {
                    measured(plan.units, index, item, retention, depth_m * area_m2)
                })
                .collect();
            if !put.is_empty() {
                layers.push((role, put));
            }
        }
        Self { layers }
    }

    /// The bed it makes.
    pub(super) fn bed(&self, plan: &PlanRequest) -> Bed {
        let layers = self.layers.iter().map(|(role, put)| Layer {
            name: role.layer_name().to_owned(),
            grows: *role == self.top(),
            put: put
                .iter()
                .map(|measured| Ingredient {
                    amount: measured.amount,
                    ..plan.stock[measured.hand].sample.clone()
                })
                .collect(),
            firmness: Firmness::Loose,
            watered: true,
        });
        plain_bed(plan, layers.collect())
    }

    /// The same as a bed file.
    pub(super) fn document(&self, plan: &PlanRequest) -> BedDocument {
        let layer = self.layers.iter().map(|(role, put)| LayerDocument {
            name: Some(role.layer_name().to_owned()),
            grows: (*role == self.top()).then_some(true),
            put: put
                .iter()
                .map(|measured| {
                    let item = &plan.stock[measured.hand];
                    PutDocument {
                        material: item.sample.material.name.clone(),
                        amount: measured.text.clone(),
                        measured: None,
                        across: item.overrides.across.clone(),
                        moisture: item.overrides.moisture.clone(),
                        arrived: item.overrides.arrived.clone(),
                    }
                })
                .collect(),
            then: vec![Then::Wetted],
        });
        BedDocument {
            format: 1,
            name: Some(plan.name.clone()),
            filled: plan.filled.to_string(),
            climate: plan.climate_given.clone(),
            units: Some(plan.units),
            count: None,
            bed: plan.outline.clone(),
            measures: std::collections::BTreeMap::new(),
            layer: layer.collect(),
            weather: None,
            water: None,
            crop: None,
            fed: Vec::new(),
            seen: plan.seen.iter().map(|code| (*code).to_owned()).collect(),
            reading: Vec::new(),
            added: Vec::new(),
        }
    }

    /// Index of the growing soil, from the ground up.
    pub(super) fn soil(&self) -> Option<usize> {
        self.layers.iter().position(|(role, _)| *role == Role::Soil)
    }

    /// The layer with the roots: the highest.
    fn top(&self) -> Role {
        self.layers.last().map_or(Role::Soil, |(role, _)| *role)
    }
}

fn measured(
    units: Units,
    index: usize,
    item: &StockItem,
    retention: &Retention,
    volume_m3: f64,
) -> Option<Measured> {
    let us = units == Units::Us;
    let (value, one, unit) = match (&item.reported, us) {
        (Reported::Weight, false) => (volume_m3 * retention.total_mass_kg, 1.0, "kg"),
        (Reported::Weight, true) => (volume_m3 * retention.total_mass_kg, POUND_KG, "lb"),
        (_, false) => (volume_m3, 1e-3, "L"),
        (_, true) => (volume_m3, CUBIC_FOOT_M3, "cu ft"),
    };
    let stock = match item.supply {
        Supply::Plenty => f64::INFINITY,
        Supply::Of(amount) => {
            let m3 = retention.volume_m3(amount);
            if item.reported == Reported::Weight {
                m3 * retention.total_mass_kg / one
            } else {
                m3 / one
            }
        }
    };
    let text = format!("{} {unit}", rounded(value / one, stock, us)?);
    let dimensions = [Dimension::Volume, Dimension::Mass];
    let read = parse(&text, &dimensions, &Measures::default()).ok()?;
    let amount = if read.dimension == Dimension::Volume {
        Amount::VolumeM3(read.value)
    } else {
        Amount::WetMassKg(read.value)
    };
    Some(Measured {
        hand: index,
        text,
        volume_m3: retention.volume_m3(amount),
        amount,
    })
}

/// Whole numbers, or tenths where the amount is small or in cubic feet; none at zero.
fn rounded(value: f64, stock: f64, tenths: bool) -> Option<String> {
    let (step, places) = if tenths || value < TENTHS_BELOW {
        (10.0, 1)
    } else {
        (1.0, 0)
    };
    let mut count = (value * step).round();
    if count / step > stock * (1.0 + 1e-9) {
        count = (stock * step * (1.0 + 1e-9)).floor();
    }
    if !(1.0..1e12).contains(&count) {
        return None;
    }
    let text = format!("{:.places$}", count / step);
    Some(match text.strip_suffix(".0") {
        Some(whole) => whole.to_owned(),
        None => text,
    })
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    fn amounts_are_rounded_and_never_above_the_stock() {
        let text = |value, stock, tenths| rounded(value, stock, tenths);
        assert_eq!(text(123.4, 200.0, false).unwrap(), "123");
        assert_eq!(text(123.6, 123.7, false).unwrap(), "123");
        assert_eq!(text(2.34, 200.0, false).unwrap(), "2.3");
        assert_eq!(text(12.04, 200.0, true).unwrap(), "12");
        assert_eq!(text(0.04, 200.0, false), None);
        assert_eq!(text(f64::NAN, 200.0, false), None);
        assert_eq!(text(f64::INFINITY, f64::INFINITY, false), None);
    }
}
