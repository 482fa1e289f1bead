//! What filling a bed with wood and garden waste saves over filling it with bought mix.

use serde::{Deserialize, Serialize};

use crate::bed::{Amount, Bed};
use crate::fault::error::NoRoom;
use crate::forecast::{Forecast, Month};
use crate::library::gas::co2_kg;
use crate::library::material::Class;
use crate::model::compile::{Arrival, arrivals};
use crate::model::figures::Figures;
use crate::topup::TopUps;

/// Loose volume of a car trailer load; m3 (common practice, no source).
const TRAILER_M3: f64 = 1.0;
/// Mass of a car trailer load; kg (common practice, no source).
const TRAILER_KG: f64 = 500.0;

/// Savings of one bed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Saving {
    /// Loose mix that would fill the volume of the wood and garden waste; m3.
    pub mix_m3: f64,
    /// Volume of its top-ups; m3.
    pub topups_m3: f64,
    /// The mix saved less the top-ups; m3.
    pub net_m3: f64,
    /// The same in money; none where the price is not known.
    pub net_money: Option<f64>,
    /// Wood and garden waste used on the site, loose; m3.
    pub kept_m3: f64,
    /// Their mass, water included; kg.
    pub kept_kg: f64,
    /// Car trailer trips that would have removed them.
    pub trips: u32,
    /// Emissions had its wood been burnt on the day of filling, as carbon dioxide; kg.
    pub burnt_co2_kg: f64,
    /// The part of that still in its wood at the end; kg.
    pub held_co2_kg: f64,
}

/// Soil that the document adds after filling, which had to be bought as well; m3, loose.
fn added_soil_m3(bed: &Bed) -> f64 {
    let since = bed.additions.iter().filter(|added| added.on > bed.filled);
    let soil = since.filter(|added| added.ingredient.material.class == Class::Soil);
    soil.map(|added| match added.ingredient.amount {
        Amount::VolumeM3(volume_m3) => volume_m3,
        Amount::ThicknessM(thick_m) => thick_m * bed.shape.area_m2(),
        _ => 0.0,
    })
    .sum()
}

/// Savings of a bed, from its forecast as filled and its planned top-ups.
///
/// The mix has the price and package of the top-ups. Its own settlement is not counted, so the
/// saving is a lower bound.
///
/// # Errors
///
/// A mound without room for its layers.
pub fn saving(bed: &Bed, as_filled: &Forecast, topups: &TopUps) -> Result<Saving, NoRoom> {
    let (mut kept_m3, mut kept_kg, mut mix_m3) = (0.0, 0.0, 0.0);
    let mut bottom_m = 0.0;
    let thick = as_filled.months.first().into_iter();
    let thick = thick.flat_map(|row| &row.layers);
    for (layer, row) in arrivals(bed, Figures::nominal())?.iter().zip(thick) {
        let is_waste = |put: &&Arrival<'_>| put.ingredient.material.class != Class::Soil;
        let all_m3: f64 = layer.iter().map(|put| put.loose_m3).sum();
        let waste_m3: f64 = layer.iter().filter(is_waste).map(|put| put.loose_m3).sum();
        kept_m3 += waste_m3;
        kept_kg += layer
            .iter()
            .filter(is_waste)
            .map(Arrival::total_mass_kg)
            .sum::<f64>();
        // Mixed materials take less volume than apart.
        let top_m = bottom_m + row.thickness_m;
        mix_m3 += bed.shape.volume_m3(bottom_m, top_m) * waste_m3 / all_m3;
        bottom_m = top_m;
    }
    let topups_m3 = topups.laid_m3() + added_soil_m3(bed);
    let sold = &topups.package;
    let net_money = sold.price.zip(topups.cost()).map(|(price, cost)| {
        (mix_m3 / sold.volume_m3 - 1e-9).ceil().max(0.0) * price + sold.delivery - cost
    });
    let trips = (kept_m3 / TRAILER_M3).max(kept_kg / TRAILER_KG).ceil();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held to the range"
    )]
    let trips = trips.clamp(0.0, 1e6) as u32;
    let wood_kg = |row: Option<&Month>| -> f64 {
        let layers = row.into_iter().flat_map(|row| &row.layers);
        layers.map(|layer| layer.wood_carbon_kg).sum()
    };
    Ok(Saving {
        mix_m3,
        topups_m3,
        net_m3: mix_m3 - topups_m3,
        net_money,
        kept_m3,
        kept_kg,
        trips,
        burnt_co2_kg: co2_kg(wood_kg(as_filled.months.first())),
        held_co2_kg: co2_kg(wood_kg(as_filled.months.last())),
    })
}
