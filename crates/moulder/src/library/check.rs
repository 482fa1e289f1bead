//! Validation of materials.

use crate::library::material::{Class, Counts, Material, Pool, Rate};
use crate::text::phrase::quoted;
use moulder_core::law::envelope::MINERAL_DENSITY_KG_M3;
use moulder_core::law::settlement::{
    FOOT_KPA, FOOT_RADIUS_M, TREADING_DEPTH_M, TREADING_SHARE, treading_kpa,
};
use moulder_core::value::Value;
use std::collections::BTreeMap;

/// Tolerance of the sum of the pool shares.
const SHARE_TOLERANCE: f64 = 1e-9;

/// Units of water content.
const WATER: &[&str] = &["kg/kg wet", "kg/kg dry"];

/// Unit of a pure number.
const NUMBER: &[&str] = &["1"];

/// The faults of the materials, each with the index of its material and one plain sentence.
pub(crate) fn faults(materials: &[Material]) -> Vec<(usize, String)> {
    let mut faults = Vec::new();
    let mut named: BTreeMap<String, &str> = BTreeMap::new();
    for (i, material) in materials.iter().enumerate() {
        let mut own = Vec::new();
        for name in core::iter::once(&material.name).chain(&material.also) {
            if name.trim().is_empty() {
                own.push("a name is empty.".to_owned());
            }
            if let Some(first) = named.insert(name.trim().to_lowercase(), &material.name) {
                own.push(format!(
                    "the name {} is already taken by {}.",
                    quoted(name),
                    quoted(first)
                ));
            }
        }
        in_material(material, &mut own);
        faults.extend(own.into_iter().map(|fault| (i, fault)));
    }
    faults
}

/// Dry loose bulk density; kg/m3.
pub(crate) fn loose_dry_density(material: &Material) -> f64 {
    let mineral = material.mineral_share.best;
    let envelope =
        mineral / MINERAL_DENSITY_KG_M3 + (1.0 - mineral) / material.organic_density.best;
    1.0 / (envelope * (1.0 + material.void_ratio.best))
}

fn in_material(material: &Material, faults: &mut Vec<String>) {
    if material.about.trim().is_empty() {
        faults.push("it has no line about it.".to_owned());
    }
    for field in fields(material) {
        in_value(field.name, field.value, field.units, field.bounds, faults);
    }
    if let Some(sheet) = &material.sheet {
        in_value("sheet cover", &sheet.cover, NUMBER, (0.0, 1.0), faults);
        in_value(
            "sheet thickness",
            &sheet.thickness,
            &["m"],
            (1e-4, 0.2),
            faults,
        );
    }
    match &material.field_capacity {
        Some(field_capacity) => in_value(
            "water it holds",
            field_capacity,
            &["kg/kg dry"],
            (0.01, 8.0),
            faults,
        ),
        None if material.class == Class::Wood => {}
        None => faults.push("it does not say how much water it holds.".to_owned()),
    }
    if let Some(loose) = &material.loose {
        in_value("share that trickles", loose, NUMBER, (0.0, 1.0), faults);
    }
    if material.loose.is_none() && material.pools.iter().any(|pool| pool.in_soil) {
        faults.push("it holds soil and does not say how much of that trickles.".to_owned());
    }
    if material.moisture.unit == "kg/kg wet" && material.moisture.spread.high >= 1.0 {
        faults.push("water of 1 kg/kg wet or more leaves nothing dry.".to_owned());
    }
    if material.min_void_ratio.best >= material.void_ratio.best {
        faults.push("the gaps that stay are no smaller than the gaps it starts with.".to_owned());
    }
    in_collapse(material, faults);
    if material.collapse_trodden.best > material.collapse_tipped.best {
        faults.push("trodden it collapses more on wetting than tipped.".to_owned());
    }
    let loose = loose_dry_density(material);
    let (low, high) = match material.class {
        Class::Wood => (50.0, 500.0),
        Class::Plant => (25.0, 1000.0),
        // The low end is leaf mould and mixes with much peat or fibre.
        Class::Soil => (100.0, 1300.0),
    };
    if !(low..=high).contains(&loose) {
        faults.push(format!(
            "tipped it would weigh {loose:.0} kg dry a cubic metre, outside {low:.0} to {high:.0}."
        ));
    }
    in_pools(&material.pools, faults);
}

/// Whether wetting closes more than the gaps that can close.
fn in_collapse(material: &Material, faults: &mut Vec<String>) {
    if material.min_void_ratio.best >= material.void_ratio.best {
        return;
    }
    let trodden_kpa = treading_kpa(
        TREADING_SHARE.best,
        FOOT_KPA.best,
        FOOT_RADIUS_M.best,
        TREADING_DEPTH_M,
    );
    let collapses = [
        ("tipped", &material.collapse_tipped),
        ("trodden", &material.collapse_trodden),
    ];
    for ((state, collapse), most) in collapses
        .into_iter()
        .zip(material.closing_strains(trodden_kpa))
    {
        if collapse.spread.high >= most {
            faults.push(format!(
                "{state} its gaps close at {most:.2} of its height, and its collapse goes up to {}.",
                collapse.spread.high
            ));
        }
    }
}

fn in_pools(pools: &[Pool], faults: &mut Vec<String>) {
    let sum: f64 = pools.iter().map(|pool| pool.share.best).sum();
    if (sum - 1.0).abs() > SHARE_TOLERANCE {
        faults.push(format!("the shares of its pools sum to {sum}, not to 1."));
    }
    for pool in pools {
        let name = quoted(&pool.name);
        in_value(
            &format!("share of {name}"),
            &pool.share,
            NUMBER,
            (1e-6, 1.0),
            faults,
        );
        in_value(
            &format!("humified share of {name}"),
            &pool.humification_coefficient,
            NUMBER,
            (0.0, 0.9),
            faults,
        );
        if pool.counts == Counts::AllCarbonLeft && pool.humification_coefficient.best > 0.0 {
            faults.push(format!(
                "{name} counts all carbon left and makes humus: humus is counted twice."
            ));
        }
        if let Some(ratio) = &pool.colonised {
            let name = format!("rate at which {name} is colonised over that of its decay");
            in_value(&name, ratio, NUMBER, (1.01, 50.0), faults);
        }
        if pool.rates.is_empty() {
            faults.push(format!("{name} has no rate."));
        }
        for rate in &pool.rates {
            in_rate(&name, rate, faults);
        }
    }
}

fn in_rate(pool: &str, rate: &Rate, faults: &mut Vec<String>) {
    in_value(
        &format!("rate of {pool}"),
        &rate.rate,
        &["1/yr"],
        (1e-4, 30.0),
        faults,
    );
    if rate
        .particle_size_m
        .is_some_and(|across| !(0.0005..=2.0).contains(&across))
    {
        faults.push(format!(
            "a rate of {pool} was measured on pieces of no likely size."
        ));
    }
    if rate
        .years
        .is_some_and(|years| !(0.05..=200.0).contains(&years))
    {
        faults.push(format!(
            "a rate of {pool} was measured over no likely number of years."
        ));
    }
    if let Some(site) = &rate.site {
        if !(-15.0..=30.0).contains(&site.mean_c) {
            faults.push(format!("a site of {pool} has no likely climate."));
        }
        in_value(
            &format!("half range of a site of {pool}"),
            &site.half_range_c,
            &["K"],
            (0.0, 35.0),
            faults,
        );
        in_value(
            &format!("moisture factor of a site of {pool}"),
            &site.moisture_factor,
            NUMBER,
            (0.01, 1.0),
            faults,
        );
        if site.place.trim().is_empty() || site.source.trim().is_empty() {
            faults.push(format!("a site of {pool} has no place or no source."));
        }
    }
}

fn in_value(
    name: &str,
    value: &Value,
    units: &[&str],
    bounds: (f64, f64),
    faults: &mut Vec<String>,
) {
    let (low, high) = (value.spread.low, value.spread.high);
    // False also when any of the three is NaN.
    let bracketed = low <= value.best && value.best <= high;
    if low > high {
        faults.push(format!("the spread of its {name} is the wrong way round."));
    } else if !bracketed {
        faults.push(format!(
            "the spread of its {name} does not hold the best value."
        ));
    }
    if !(low >= bounds.0 && high <= bounds.1) {
        faults.push(format!(
            "its {name} lies outside {} to {}.",
            bounds.0, bounds.1
        ));
    }
    if !units.contains(&value.unit.as_ref()) {
        faults.push(format!(
            "its {name} is in {}, not in \"{}\".",
            quoted(&value.unit),
            units.join("\" or \"")
        ));
    }
    if value.source.trim().is_empty() {
        faults.push(format!("its {name} has no source."));
    }
}

/// A value of a material with its permitted units and bounds.
struct Field<'a> {
    name: &'static str,
    value: &'a Value,
    units: &'static [&'static str],
    bounds: (f64, f64),
}

fn fields(material: &Material) -> Vec<Field<'_>> {
    let field = |name, value, units, low, high| Field {
        name,
        value,
        units,
        bounds: (low, high),
    };
    let m = material;
    vec![
        field("mineral share", &m.mineral_share, &["kg/kg dry"], 0.0, 0.99),
        field(
            "carbon share",
            &m.carbon_share,
            &["kg/kg organic dry"],
            0.3,
            // The high end is char.
            0.95,
        ),
        field(
            "carbon to nitrogen",
            &m.carbon_to_nitrogen,
            &["kg/kg"],
            3.0,
            2000.0,
        ),
        field("moisture", &m.moisture, WATER, 0.0, 4.0),
        field(
            "organic density",
            &m.organic_density,
            &["kg/m3"],
            50.0,
            1600.0,
        ),
        field("size across", &m.particle_size, &["m"], 0.0005, 1.0),
        field("void ratio", &m.void_ratio, &["m3/m3"], 0.3, 25.0),
        field("least void ratio", &m.min_void_ratio, &["m3/m3"], 0.0, 5.0),
        field("compression", &m.compression, NUMBER, 0.0, 0.6),
        field("reference stress", &m.reference_stress, &["kPa"], 0.1, 20.0),
        field("creep", &m.creep, NUMBER, 0.0, 0.6),
        field("collapse when tipped", &m.collapse_tipped, NUMBER, 0.0, 0.7),
        field(
            "collapse when trodden",
            &m.collapse_trodden,
            NUMBER,
            0.0,
            0.7,
        ),
        field("closing of gaps", &m.void_closure, NUMBER, 0.0, 2.0),
        field("lag", &m.lag, NUMBER, 1.0, 6.0),
        field("size exponent", &m.size_exponent, NUMBER, -1.0, 0.5),
    ]
}

#[cfg(test)]
mod tests {
    use super::{faults, loose_dry_density};
    use crate::library::material::Material;
    use crate::library::materials::Catalogue;
    use moulder_core::value::Spread;

    /// The faults of the built-in beech log after one change.
    fn after(change: impl FnOnce(&mut Material)) -> Vec<String> {
        let mut beech = Catalogue::built_in().find("beech log").unwrap().clone();
        change(&mut beech);
        faults(&[beech])
            .into_iter()
            .map(|(_, message)| message)
            .collect()
    }

    #[test]
    fn an_untouched_material_has_no_fault() {
        assert_eq!(after(|_| ()), Vec::<String>::new());
    }

    #[test]
    fn each_kind_of_fault_is_named() {
        let damaged = [
            (after(|m| m.pools[0].share.best = 0.9), "sum to 0.9"),
            (after(|m| m.lag.best = 9.0), "does not hold the best value"),
            (after(|m| m.lag.best = f64::NAN), "does not hold"),
            (
                after(|m| m.particle_size.unit = "mm".into()),
                "is in \"mm\"",
            ),
            (after(|m| m.moisture.source = " ".into()), "has no source"),
            (
                after(|m| m.pools[0].rates[0].rate.spread = Spread::new(-0.1, 0.2)),
                "lies outside",
            ),
            (after(|m| m.pools[0].rates.clear()), "has no rate"),
            (
                after(|m| {
                    m.organic_density.best = 50.0;
                    m.organic_density.spread = Spread::new(50.0, 60.0);
                }),
                "kg dry a cubic metre",
            ),
            (
                after(|m| m.collapse_tipped.spread.high = 0.3),
                "tipped its gaps close at 0.25 of its height",
            ),
            (after(|m| m.also.push("Beech Log".into())), "already taken"),
            (
                after(|m| m.lag.spread = Spread::new(4.0, 2.0)),
                "the wrong way round",
            ),
        ];
        for (found, part) in damaged {
            assert!(
                found.iter().any(|fault| fault.contains(part)),
                "{part}: {found:?}"
            );
        }
    }

    #[test]
    fn loose_bulk_densities_match_published_ones() {
        let materials = Catalogue::built_in();
        let wet = |name: &str| {
            let material = materials.find(name).unwrap();
            assert_eq!(material.moisture.unit, "kg/kg wet", "{name}");
            loose_dry_density(material) / (1.0 - material.moisture.best)
        };
        // Bounds in kg/m3 as received: NRAES-54 (memory) for leaves and grass,
        // US EPA 530-K-92-004 for card, general literature (memory) for turf and
        // topsoil, a household's own weighing and Massachusetts DEP for compost.
        for (name, low, high) in [
            ("deciduous leaves", 59.0, 178.0),
            ("grass clippings", 178.0, 237.0),
            ("brown card", 30.0, 89.0),
            ("turf", 900.0, 1500.0),
            ("loamy topsoil", 1100.0, 1500.0),
            ("garden compost", 650.0, 801.0),
        ] {
            let found = wet(name);
            assert!((low..=high).contains(&found), "{name}: {found:.0}");
        }
    }
}
