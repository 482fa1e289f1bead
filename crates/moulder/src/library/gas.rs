//! Greenhouse gases: carbon dioxide from carbon, and a screening estimate of methane and nitrous
//! oxide.

use moulder_core::value::{Spread, Status, Value};
use serde::{Deserialize, Serialize};

use crate::quantity::range::Range;

/// Carbon dioxide per carbon; kg/kg. Molar masses of 44 and 12, rounded as in inventories (IPCC
/// 2006 Guidelines).
const CO2_PER_CARBON: f64 = 44.0 / 12.0;
/// Grams in a kilogram.
const G_PER_KG: f64 = 1000.0;

/// Methane emission factor of composting. The ends are those of the printed table, of no stated
/// probability.
pub static COMPOSTING_METHANE: Value = Value::new(
    4.0,
    Spread::new(0.03, 8.0),
    "g/kg wet",
    "IPCC 2006 Guidelines vol. 5 ch. 4, table 4.1, composting, wet weight: range read, middle \
     recalled",
    Status::Memory,
);

/// Nitrous oxide emission factor of composting. The ends are those of the printed table.
pub static COMPOSTING_NITROUS_OXIDE: Value = Value::new(
    0.24,
    Spread::new(0.06, 0.6),
    "g/kg wet",
    "IPCC 2006 Guidelines vol. 5 ch. 4, table 4.1, composting, wet weight: range read; the \
     print has 0.3, and the corrected middle of 0.24 (0.6 of dry waste at 60 % water) is \
     recalled",
    Status::Memory,
);

/// Global warming potential of non-fossil methane over 100 years.
pub static METHANE_WARMING: Value = Value::new(
    27.0,
    Spread::new(18.0, 36.0),
    "kg CO2e/kg",
    "IPCC AR6 WG I (2021) ch. 7, table 7.15, non-fossil methane: 27.0, with 11 either way for \
     nine in ten; spread narrowed from that to four in five",
    Status::Memory,
);

/// Global warming potential of nitrous oxide over 100 years.
pub static NITROUS_OXIDE_WARMING: Value = Value::new(
    273.0,
    Spread::new(172.0, 374.0),
    "kg CO2e/kg",
    "IPCC AR6 WG I (2021) ch. 7, table 7.15: 273, with 130 either way for nine in ten; spread \
     narrowed from that to four in five",
    Status::Memory,
);

/// Methane emission factor of open burning of garden wood.
pub static BURNING_METHANE: Value = Value::new(
    4.59,
    Spread::new(3.36, 5.82),
    "g/kg dry",
    "Akagi et al. 2011 as used in GFED4: temperate forest 3.36, agricultural waste 5.82; that a \
     garden fire lies midway is our own judgement",
    Status::Read,
);

/// Nitrous oxide emission factor of open burning of garden wood.
pub static BURNING_NITROUS_OXIDE: Value = Value::new(
    0.13,
    Spread::new(0.10, 0.16),
    "g/kg dry",
    "Akagi et al. 2011 as used in GFED4: agricultural waste 0.10, temperate forest 0.16; that a \
     garden fire lies midway is our own judgement",
    Status::Read,
);

/// Carbon dioxide of that mass of carbon; kg.
#[must_use]
pub fn co2_kg(carbon_kg: f64) -> f64 {
    carbon_kg * CO2_PER_CARBON
}

/// Upper screening estimate of methane and nitrous oxide from the non-woody material of a bed:
/// what an inventory would book had all of it been composted.
///
/// It is no forecast: compost heaps are larger, wetter and warmer than most beds, and an aerated
/// bed emits far less.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GasScreen {
    /// Mass of leaves, grass, card, the mat of turf and other non-woody plant matter on arrival,
    /// water included; no wood, soil or compost; kg.
    pub soft_wet_kg: f64,
    /// Methane at the best emission factor; kg.
    pub methane_kg: f64,
    /// Nitrous oxide at the best emission factor; kg.
    pub nitrous_oxide_kg: f64,
    /// Both as CO2 equivalent over 100 years; kg. The ends are those of the factors, both low and
    /// both high.
    pub co2e_kg: Range,
}

impl GasScreen {
    /// Estimate for that mass of non-woody material; kg.
    ///
    /// ```
    /// use moulder::months::GasScreen;
    ///
    /// let screen = GasScreen::of(1.0);
    /// assert_eq!(format!("{:.3}", screen.co2e_kg.best), "0.174");
    /// ```
    #[must_use]
    pub fn of(soft_wet_kg: f64) -> Self {
        let (methane, nitrous_oxide) = (&COMPOSTING_METHANE, &COMPOSTING_NITROUS_OXIDE);
        let co2e_kg = |methane_g: f64, nitrous_oxide_g: f64| {
            soft_wet_kg * co2e_per_kg(methane_g, nitrous_oxide_g)
        };
        Self {
            soft_wet_kg,
            methane_kg: soft_wet_kg * methane.best / G_PER_KG,
            nitrous_oxide_kg: soft_wet_kg * nitrous_oxide.best / G_PER_KG,
            co2e_kg: Range {
                best: co2e_kg(methane.best, nitrous_oxide.best),
                low: co2e_kg(methane.spread.low, nitrous_oxide.spread.low),
                high: co2e_kg(methane.spread.high, nitrous_oxide.spread.high),
            },
        }
    }
}

/// Emissions had the wood of a bed been burnt in the open on the day of filling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Burning {
    /// Dry mass of the wood; kg.
    pub wood_dry_kg: f64,
    /// Carbon in it; kg.
    pub wood_carbon_kg: f64,
    /// Carbon dioxide, if all of that carbon burns; ash and charcoal keep a little; kg.
    pub co2_kg: f64,
    /// Methane and nitrous oxide of the smoke as CO2 equivalent over 100 years; kg.
    pub smoke_co2e_kg: f64,
}

impl Burning {
    /// Emissions of that dry mass of wood and that mass of carbon in it; kg.
    #[must_use]
    pub fn of(wood_dry_kg: f64, wood_carbon_kg: f64) -> Self {
        Self {
            wood_dry_kg,
            wood_carbon_kg,
            co2_kg: co2_kg(wood_carbon_kg),
            smoke_co2e_kg: wood_dry_kg
                * co2e_per_kg(BURNING_METHANE.best, BURNING_NITROUS_OXIDE.best),
        }
    }
}

/// Both gases in g/kg as CO2 equivalent over 100 years; kg/kg.
fn co2e_per_kg(methane_g: f64, nitrous_oxide_g: f64) -> f64 {
    weighted(
        [methane_g, nitrous_oxide_g],
        [METHANE_WARMING.best, NITROUS_OXIDE_WARMING.best],
    )
}

/// Gases in g weighted by their warming potentials; kg.
fn weighted(gases_g: [f64; 2], warming: [f64; 2]) -> f64 {
    (gases_g[0] * warming[0] + gases_g[1] * warming[1]) / G_PER_KG
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Warming potentials of methane and nitrous oxide in IPCC AR5, table 8.7 (memory).
    const AR5: [f64; 2] = [28.0, 265.0];

    #[test]
    fn composting_matches_inventories() {
        let gases = [COMPOSTING_METHANE.best, COMPOSTING_NITROUS_OXIDE.best];
        assert!((co2e_per_kg(gases[0], gases[1]) - 0.174).abs() < 0.0005);
        assert!((weighted(gases, AR5) - 0.176).abs() < 0.0005);
        let screen = GasScreen::of(120.0);
        assert!((screen.methane_kg - 0.48).abs() < 1e-12);
        assert!((screen.nitrous_oxide_kg - 0.0288).abs() < 1e-12);
        let range = screen.co2e_kg;
        assert!(range.low < range.best && range.best < range.high);
    }

    /// Akagi et al. 2011 as used in GFED4: methane and nitrous oxide of temperate forest and
    /// of agricultural waste come to 0.134 and 0.184 kg CO2e/kg dry.
    #[test]
    fn smoke_lies_between_forest_and_straw() {
        let (methane, nitrous_oxide) = (&BURNING_METHANE.spread, &BURNING_NITROUS_OXIDE.spread);
        let forest = co2e_per_kg(methane.low, nitrous_oxide.high);
        let straw = co2e_per_kg(methane.high, nitrous_oxide.low);
        assert!((forest - 0.134).abs() < 0.0005, "{forest}");
        assert!((straw - 0.184).abs() < 0.0005, "{straw}");
        let burning = Burning::of(1000.0, 500.0);
        assert!((burning.co2_kg - 1833.3).abs() < 0.05);
        let smoke = burning.smoke_co2e_kg / 1000.0;
        assert!(forest < smoke && smoke < straw, "{smoke}");
    }
}
