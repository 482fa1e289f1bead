//! Published figures of materials, and our figure for each; for the tests and for
//! `examples/validation`.

use moulder::internals::library::material::Material;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::site_rate::single_rate_per_year;
use moulder_core::law::settlement::{closing_exponent, left_after_load};
use moulder_core::value::Status;

/// A material and a published range, ends included, read or from memory.
pub(crate) type Printed = (&'static str, f64, f64, Status);

const Q10_WOOD: f64 = 2.53;
const MINERAL_DENSITY: f64 = 2650.0;

/// Rate of the whole at 10 degC, moist and aerated, at a particle size of `particle_size_m`, as
/// studies fit it, by one exponential; 1/yr.
pub(crate) fn start_rate(material: &Material, particle_size_m: f64) -> f64 {
    let pools = material.pools.iter();
    pools
        .map(|pool| {
            pool.share.best
                * single_rate_per_year(
                    pool,
                    material,
                    particle_size_m,
                    Figures::nominal(),
                    Q10_WOOD,
                )
        })
        .sum()
}

/// Dry bulk density, loosely tipped; kg/m3.
pub(crate) fn loose_dry(material: &Material) -> f64 {
    let mineral = material.mineral_share.best;
    let envelope = mineral / MINERAL_DENSITY + (1.0 - mineral) / material.organic_density.best;
    1.0 / (envelope * (1.0 + material.void_ratio.best))
}

/// Dry bulk density as machines leave it, which is taken as trodden: excess voids after 6.4 kPa,
/// the residual stress of treading at best; kg/m3.
pub(crate) fn trodden_dry(material: &Material) -> f64 {
    const TRODDEN_KPA: f64 = 6.36;
    let (tipped, least) = (material.void_ratio.best, material.min_void_ratio.best);
    let exponent = closing_exponent(material.compression.best, tipped, least);
    let left = left_after_load(exponent, material.reference_stress.best, 0.0, TRODDEN_KPA);
    let trodden = least + (tipped - least) * left;
    loose_dry(material) * (1.0 + tipped) / (1.0 + trodden)
}

/// Bulk density as received, loosely tipped; kg/m3.
pub(crate) fn loose_as_received(material: &Material) -> f64 {
    let water = material.moisture.best;
    match material.moisture.unit.as_ref() {
        "kg/kg wet" => loose_dry(material) / (1.0 - water),
        _ => loose_dry(material) * (1.0 + water),
    }
}

/// Carbon in the dry mass, ash included; kg/kg.
pub(crate) fn carbon_of_dry(material: &Material) -> f64 {
    material.carbon_share.best * (1.0 - material.mineral_share.best)
}

/// Wood Handbook (FPL-GTR-190), table 5-3: specific gravity of green wood on oven-dry mass, of
/// each wood or its American relative (from memory); kg/m3. The library has other figures, from
/// the Global Wood Density Database, independent of these.
pub(crate) const WOOD_DENSITIES: &[(&str, f64)] = &[
    ("beech log", 560.0),   // American beech
    ("oak log", 600.0),     // white oak
    ("ash log", 550.0),     // white ash
    ("birch log", 480.0),   // paper birch
    ("maple log", 490.0),   // red maple
    ("cherry log", 470.0),  // black cherry
    ("robinia log", 660.0), // black locust
    ("larch log", 480.0),   // western larch
    ("douglas fir log", 450.0),
    ("spruce log", 370.0), // Engelmann 330, red 370, white 370
    ("yew log", 600.0),    // Pacific yew
];

/// Other species of the genus: allowed deviation from the printed density.
pub(crate) const WOOD_DENSITY_OFF: f64 = 0.15;

/// Carbon to nitrogen ratio. On-Farm Composting Handbook NRAES-54 (Rynk 1992), table A.1 (from
/// memory); leaves and grass as read in Cornell's factsheet, green waste as read in an abstract
/// of Bioresource Technology 96 (2005), spruce as read in Herrmann & Bauhus 2018.
pub(crate) const CARBON_TO_NITROGEN: &[Printed] = &[
    ("hardwood log", 451.0, 819.0, Status::Memory),
    ("softwood log", 212.0, 1313.0, Status::Memory),
    ("bark", 116.0, 1285.0, Status::Memory),
    ("sawdust", 200.0, 750.0, Status::Memory),
    ("deciduous leaves", 40.0, 80.0, Status::Read),
    ("grass clippings", 9.0, 25.0, Status::Read),
    ("straw", 48.0, 150.0, Status::Memory),
    ("hay", 15.0, 32.0, Status::Memory),
    ("kitchen vegetable waste", 11.0, 19.0, Status::Memory),
    ("horse manure", 22.0, 50.0, Status::Memory),
    ("mixed green waste", 15.0, 21.0, Status::Read),
    ("spruce log", 180.0, 1000.0, Status::Read),
];

/// Carbon in dead wood; kg/kg dry (Harmon et al. 2013, abstract, read).
pub(crate) const WOOD_CARBON: (f64, f64) = (0.434, 0.568);

/// Carbon in the dry mass, ash included; kg/kg. Typical proximate analyses, 5 % either way
/// unless stated (all from memory).
pub(crate) const CARBON_SHARES: &[Printed] = &[
    ("deciduous leaves", 0.437, 0.483, Status::Memory),
    ("evergreen leaves", 0.465, 0.515, Status::Memory),
    ("needles", 0.484, 0.536, Status::Memory),
    ("grass clippings", 0.408, 0.452, Status::Memory),
    ("mixed green waste", 0.408, 0.452, Status::Memory),
    ("straw", 0.427, 0.473, Status::Memory),
    ("hay", 0.418, 0.462, Status::Memory),
    ("horse manure", 0.361, 0.399, Status::Memory),
    // IPCC 2006, vol. 5 ch. 2 table 2.4: paper and card 0.46 in all.
    ("brown card", 0.40, 0.50, Status::Memory),
    // The same table, food waste.
    ("kitchen vegetable waste", 0.20, 0.50, Status::Memory),
    ("garden compost", 0.209, 0.231, Status::Memory),
];

/// Bulk density as received, loosely tipped, within published ranges; kg/m3. A row is from
/// memory where one of its ends is.
pub(crate) const LOOSE_WEIGHTS: &[Printed] = &[
    // Oregon DEQ 2005 green 281, US EPA 530-K-92-004 371.
    ("wood chips", 281.0, 371.0, Status::Read),
    // From dry chips 144 (Oregon DEQ) to US EPA.
    ("softwood chips", 144.0, 371.0, Status::Read),
    // NRAES-54, 350-450 lb/yd3.
    ("sawdust", 208.0, 267.0, Status::Memory),
    // NRAES-54, 100-300 lb/yd3.
    ("deciduous leaves", 59.0, 178.0, Status::Memory),
    ("evergreen leaves", 59.0, 178.0, Status::Memory),
    // Oregon DEQ, 250-500 lb/yd3.
    ("chopped deciduous leaves", 148.0, 297.0, Status::Read),
    // NRAES-54, 300-400 lb/yd3.
    ("grass clippings", 178.0, 237.0, Status::Memory),
    // Oregon DEQ, loose yard debris 148, compacted 380; a tenth below allowed.
    ("mixed green waste", 133.0, 380.0, Status::Read),
    ("hedge cuttings", 133.0, 380.0, Status::Read),
    // US EPA, flat loose card.
    ("brown card", 30.0, 89.0, Status::Read),
    // NRAES-54, 58-378 lb/yd3.
    ("straw", 34.0, 224.0, Status::Memory),
    // NRAES-54, 1215-1620 lb/yd3.
    ("horse manure", 721.0, 961.0, Status::Memory),
    // Below packed produce of NRAES-54.
    ("kitchen vegetable waste", 275.0, 940.0, Status::Memory),
    // A household's own weighing 668, Massachusetts DEP 801.
    ("garden compost", 650.0, 801.0, Status::Read),
    // Sellers of topsoil (read, weak) 1300-1400, general literature from 1100.
    ("sandy topsoil", 1100.0, 1400.0, Status::Memory),
    ("loamy topsoil", 1100.0, 1400.0, Status::Memory),
    ("clay topsoil", 1100.0, 1400.0, Status::Memory),
    // General literature.
    ("turf", 900.0, 1500.0, Status::Memory),
    // A seller, about 1000.
    ("raised-bed mix", 900.0, 1100.0, Status::Read),
];

/// Fresh chips in the ground, placed by machine, dry; kg/m3 (Christianson et al. 2023, abstract,
/// read).
pub(crate) const DRY_CHIPS: (f64, f64) = (206.0, 224.0);

/// Water-holding capacity of leaf litter; kg/kg dry. 2.0-2.1 in the field (Zagyvai-Kiss et al.
/// 2019, Agric. For. Meteorol. 278:107656, abstract, read), up to 3.4 by interception and
/// needles 1.8 (preprint authorea 584393, read).
pub(crate) const LITTER_WATER: &[Printed] = &[
    ("deciduous leaves", 2.0, 3.4, Status::Read),
    ("chopped deciduous leaves", 2.0, 3.4, Status::Read),
    ("needles", 1.5, 2.1, Status::Read),
];

/// Logs of 20 cm at 10 degC in moist soil; 1/yr. Our judgement from all rates read, before any
/// was converted to reference conditions by our laws.
pub(crate) const LOG_RATES: &[(&str, f64, f64)] = &[
    ("oak log", 0.012, 0.065),
    ("sweet chestnut log", 0.012, 0.065),
    ("ash log", 0.02, 0.09),
    ("cherry log", 0.02, 0.09),
    ("fruit wood log", 0.02, 0.09),
    ("maple log", 0.02, 0.09),
    ("birch log", 0.04, 0.15),
    ("beech log", 0.04, 0.15),
    ("poplar log", 0.04, 0.15),
    ("alder log", 0.04, 0.15),
    ("hornbeam log", 0.04, 0.15),
    ("spruce log", 0.018, 0.07),
    ("pine log", 0.018, 0.07),
    ("larch log", 0.004, 0.04),
    ("douglas fir log", 0.004, 0.04),
    ("cypress log", 0.006, 0.03),
    ("yew log", 0.006, 0.03),
];
