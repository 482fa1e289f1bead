//! Conversion of published field rates to reference conditions.
//!
//! A field rate depends on the temperature, moisture and particle size of its site. The library
//! keeps it as published, with its site; here it is divided by the rate modifiers of our own laws
//! at that site, so that no number has to be edited when a law changes. The half-range of its
//! temperature and its moisture factor are figures with spreads, realised with the material's.

use moulder_core::law::decay::{COLONISED_ON_ARRIVAL, STUDY_YEARS, size_factor, two_stage_factor};
use moulder_core::law::temperature::{soft_factor, wood_factor, year_mean};
use moulder_core::math::elementary::{exp, ln};

use crate::library::material::{Class, Fitted, Material, Pool, Rate, Site};
use crate::model::figures::Figures;

/// Decay at a site relative to reference conditions (10 degC, moist, aerated): the mean
/// temperature modifier over the year, times the moisture and oxygen modifier.
#[must_use]
pub fn site_factor(site: &Site, class: Class, q10_wood: f64) -> f64 {
    let half_range_c = site.half_range_c.best;
    let warmth = match class {
        Class::Wood => year_mean(site.mean_c, half_range_c, |t| wood_factor(q10_wood, t)),
        Class::Plant | Class::Soil => year_mean(site.mean_c, half_range_c, soft_factor),
    };
    warmth * site.moisture_factor.best
}

/// A rate at reference conditions for particle size `particle_size_m`; 1/yr.
#[must_use]
fn reference_rate_per_year(
    rate: &Rate,
    material: &Material,
    particle_size_m: f64,
    figures: &Figures,
    q10_wood: f64,
) -> f64 {
    let at_site = rate
        .site
        .as_ref()
        .map_or(1.0, |site| site_factor(site, material.class, q10_wood));
    let size = rate.particle_size_m.map_or(1.0, |measured_m| {
        size_factor(
            particle_size_m,
            measured_m,
            figures.of(&material.size_exponent),
        )
    });
    figures.of(&rate.rate) / at_site * size
}

/// Factor from a published single rate to that of colonised wood: the two leave as much at the
/// end of the study, whose wood came as a bed's does. A late slope is that of colonised wood
/// already.
fn colonised_factor(rate: &Rate, pool: &Pool, figures: &Figures) -> f64 {
    let Some(ratio) = &pool.colonised else {
        return 1.0;
    };
    match rate.fitted {
        Fitted::Slope => 1.0,
        Fitted::FromStart => {
            let years = rate.years.unwrap_or_else(|| figures.of(&STUDY_YEARS));
            let colonised = figures.of(&COLONISED_ON_ARRIVAL);
            two_stage_factor(figures.of(&rate.rate) * years, figures.of(ratio), colonised)
        }
    }
}

/// Geometric mean of a pool's rates at reference conditions; 1/yr. Where wood is colonised first,
/// the rate of colonised wood.
#[must_use]
pub fn pool_rate_per_year(
    pool: &Pool,
    material: &Material,
    particle_size_m: f64,
    figures: &Figures,
    q10_wood: f64,
) -> f64 {
    mean_per_year(pool, |rate| {
        reference_rate_per_year(rate, material, particle_size_m, figures, q10_wood)
            * colonised_factor(rate, pool, figures)
    })
}

/// Geometric mean of a pool's rates at reference conditions as their studies fitted them, by one
/// exponential; 1/yr.
#[must_use]
pub fn single_rate_per_year(
    pool: &Pool,
    material: &Material,
    particle_size_m: f64,
    figures: &Figures,
    q10_wood: f64,
) -> f64 {
    mean_per_year(pool, |rate| {
        reference_rate_per_year(rate, material, particle_size_m, figures, q10_wood)
    })
}

fn mean_per_year(pool: &Pool, of: impl Fn(&Rate) -> f64) -> f64 {
    let mut sum = 0.0;
    let mut count = 0.0;
    for rate in &pool.rates {
        sum += ln(of(rate));
        count += 1.0;
    }
    exp(sum / count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;
    use moulder_core::value::{Spread, Status, Value};

    fn assumed(best: f64, unit: &'static str) -> Value {
        Value::new(
            best,
            Spread::new(best, best),
            unit,
            "assumed",
            Status::Judgement,
        )
    }

    /// A field rate converted to reference conditions and back to its own site and size is the
    /// published rate, for every rate in the library.
    #[test]
    fn rates_round_trip_at_their_own_site() {
        let library = Library::built_in();
        let mut seen = 0;
        for material in library.materials() {
            for rate in material.pools.iter().flat_map(|pool| &pool.rates) {
                let Some(site) = &rate.site else { continue };
                let particle_size_m = rate.particle_size_m.unwrap_or(material.particle_size.best);
                let reference = reference_rate_per_year(
                    rate,
                    material,
                    particle_size_m,
                    Figures::nominal(),
                    2.53,
                );
                let back = reference * site_factor(site, material.class, 2.53);
                assert!(
                    (back / rate.rate.best - 1.0).abs() < 1e-12,
                    "{}",
                    material.name
                );
                seen += 1;
            }
        }
        assert!(seen > 10, "{seen}");
    }

    /// Russell et al. 2014, Ecosystems 17:765-777 (abstract): 0.043-0.064 per year for hardwood
    /// and 0.024-0.040 for conifer logs over the climates of the eastern United States, here
    /// taken as 6-14 degC: a range, not a point.
    #[test]
    fn generic_logs_against_the_eastern_united_states() {
        let library = Library::built_in();
        for (name, low, high) in [
            ("hardwood log", 0.043, 0.064),
            ("softwood log", 0.024, 0.040),
        ] {
            let material = library.find_material(name).unwrap();
            let at = |mean_c: f64| {
                let site = Site {
                    place: "eastern United States".to_owned(),
                    mean_c,
                    source: "assumed".to_owned(),
                    half_range_c: assumed(12.0, "K"),
                    moisture_factor: assumed(0.8, "1"),
                };
                let pool = &material.pools[0];
                single_rate_per_year(pool, material, 0.25, Figures::nominal(), 2.53)
                    * site_factor(&site, Class::Wood, 2.53)
            };
            assert!(
                at(6.0) < high && at(14.0) > low,
                "{name}: {} to {}",
                at(6.0),
                at(14.0)
            );
        }
    }
}
