//! The figures of a material, by name.

use moulder_core::value::Value;

use crate::library::material::Material;

/// Name of the decay rates of a pool: all measured rates of it are wrong together.
pub(crate) const RATE: &str = "rate";
/// Name of the collapse strain, loose.
pub(crate) const COLLAPSE_TIPPED: &str = "collapse, tipped";
/// Name of the collapse strain, compacted.
pub(crate) const COLLAPSE_TRODDEN: &str = "collapse, trodden";
/// Name of the shares of the pools.
pub(crate) const POOL_SHARE: &str = "share of a pool";

/// A figure of a material.
pub(crate) struct Figure<'a> {
    /// What it is.
    pub(crate) of: &'static str,
    /// Its number among those of that name in the material; the pool's for a rate.
    pub(crate) nth: usize,
    /// The figure.
    pub(crate) value: &'a mut Value,
}

/// Every figure of a material, most influential first.
pub(crate) fn figures_of(material: &mut Material) -> Vec<Figure<'_>> {
    let Material {
        name: _,
        also: _,
        about: _,
        class: _,
        form: _,
        mineral_share,
        carbon_share,
        carbon_to_nitrogen,
        moisture,
        field_capacity,
        organic_density,
        particle_size: across,
        void_ratio,
        min_void_ratio,
        compression,
        reference_stress,
        creep,
        collapse_tipped,
        collapse_trodden,
        void_closure,
        lag,
        size_exponent,
        wilts: _,
        sheet,
        loose,
        pools,
    } = material;
    let mut figures = Vec::new();
    let mut put = |of, nth, value| figures.push(Figure { of, nth, value });
    put("void ratio", 0, void_ratio);
    put(COLLAPSE_TIPPED, 0, collapse_tipped);
    put("compression", 0, compression);
    put("reference stress", 0, reference_stress);
    put("creep", 0, creep);
    put("least void ratio", 0, min_void_ratio);
    put(COLLAPSE_TRODDEN, 0, collapse_trodden);
    put("void closure", 0, void_closure);
    put("moisture", 0, moisture);
    put("organic density", 0, organic_density);
    put("lag", 0, lag);
    put("across", 0, across);
    put("size exponent", 0, size_exponent);
    put("mineral share", 0, mineral_share);
    put("carbon share", 0, carbon_share);
    put("carbon to nitrogen", 0, carbon_to_nitrogen);
    if let Some(value) = loose {
        put("loose share", 0, value);
    }
    if let Some(value) = field_capacity {
        put("water held", 0, value);
    }
    if let Some(sheet) = sheet {
        put("cover of a sheet", 0, &mut sheet.cover);
        put("thickness of a sheet", 0, &mut sheet.thickness);
    }
    let mut sites = 0;
    for (nth, pool) in pools.iter_mut().enumerate() {
        put(POOL_SHARE, nth, &mut pool.share);
        put("humified share", nth, &mut pool.humification_coefficient);
        if let Some(ratio) = &mut pool.colonised {
            put("colonised", nth, ratio);
        }
        for rate in &mut pool.rates {
            put(RATE, nth, &mut rate.rate);
            if let Some(site) = &mut rate.site {
                put("half-range of a site", sites, &mut site.half_range_c);
                put("moisture of a site", sites, &mut site.moisture_factor);
                sites += 1;
            }
        }
    }
    figures
}
