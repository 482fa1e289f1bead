//! Mass of a cubic metre of each material, and the share of its volume that it retains.

use moulder_core::bed::shape::Shape;

use crate::bed::plan_request::{PlanRequest, StockItem};
use crate::bed::site::BedSite;
use crate::bed::{Amount, Bed, BedWeather, Firmness, Ingredient, Layer};
use crate::fault::error::Error;
use crate::forecast::forecast;
use crate::forecast::progress::unwatched;
use crate::library::crop::Crop;
use crate::model::compile::arrivals;
use crate::model::figures::Figures;

/// Depth of the column in which a material is forecast alone; m. Our own choice: about a layer
/// of a deep bed.
const COLUMN_M: f64 = 0.3;

/// A cubic metre of one material, loose as tipped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Retention {
    /// Mass, water included; kg/m3.
    pub(super) total_mass_kg: f64,
    /// Oven-dry mass; kg/m3.
    pub(super) dry_kg: f64,
    /// Carbon; kg/m3.
    pub(super) carbon_kg: f64,
    /// Nitrogen; kg/m3.
    pub(super) nitrogen_kg: f64,
    /// Share of its loose volume left on the settled day, on its own.
    pub(super) kept: f64,
}

impl Retention {
    /// From its masses and a forecast of it alone in this climate.
    pub(super) fn new(plan: &PlanRequest, item: &StockItem) -> Result<Self, Error> {
        let bed = column(plan, &item.sample);
        let arrived = arrivals(&bed, Figures::nominal())?;
        let ratio = Figures::nominal().of(&item.sample.material.carbon_to_nitrogen);
        let mut retention = Self {
            total_mass_kg: 0.0,
            dry_kg: 0.0,
            carbon_kg: 0.0,
            nitrogen_kg: 0.0,
            kept: 0.0,
        };
        for arrival in arrived.iter().flatten() {
            retention.total_mass_kg += arrival.total_mass_kg() / COLUMN_M;
            retention.dry_kg += arrival.dry_kg / COLUMN_M;
            retention.carbon_kg += arrival.carbon_kg / COLUMN_M;
            retention.nitrogen_kg += arrival.nitrogen_kg(ratio) / COLUMN_M;
        }
        let forecast = forecast(&bed, plan.after_months, &unwatched)?;
        let end_m = forecast.months.last().map_or(0.0, |row| row.height_m);
        retention.kept = end_m / COLUMN_M;
        Ok(retention)
    }

    /// The loose volume of an amount; m3.
    pub(super) fn volume_m3(&self, amount: Amount) -> f64 {
        match amount {
            Amount::VolumeM3(m3) => m3,
            Amount::WetMassKg(kg) => kg / self.total_mass_kg,
            Amount::DryMassKg(kg) => kg / self.dry_kg,
            // A plan gives no thickness: over a square metre, as in the column.
            Amount::ThicknessM(m) => m,
        }
    }
}

/// A square metre of one material in a box.
fn column(plan: &PlanRequest, sample: &Ingredient) -> Bed {
    let put = Ingredient {
        amount: Amount::VolumeM3(COLUMN_M),
        ..sample.clone()
    };
    let layer = Layer {
        name: String::new(),
        grows: true,
        put: vec![put],
        firmness: Firmness::Loose,
        watered: true,
    };
    let mut bed = plain_bed(plan, vec![layer]);
    bed.site.shape = Shape::Box {
        width_m: 1.0,
        length_m: 1.0,
    };
    bed.site.rim_m = Some(COLUMN_M);
    bed.site.trench_m = 0.0;
    bed
}

/// A bed of the plan with these layers, without irrigation.
pub(super) fn plain_bed(plan: &PlanRequest, layers: Vec<Layer>) -> Bed {
    Bed {
        site: BedSite {
            defaults: Vec::new(),
            ..plan.site.clone()
        },
        count: 1,
        layers,
        weather: BedWeather::default(),
        irrigation: None,
        crop: Crop::default(),
        fed: Vec::new(),
        additions: Vec::new(),
        readings: Vec::new(),
        notices: Vec::new(),
    }
}
