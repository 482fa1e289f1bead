//! Oxygen in the pores: diffusion and consumption by decay.
//!
//! Diffusion is fast compared with decay, so the profile is the steady state:
//!
//! ```text
//! 0 = exchange with neighbours, top and sides - Q_i X_i/(X_i + 2),    f_O = (X/(2 + X))/(21/23)
//! ```
//!
//! X in volume per cent; D by Millington & Quirk (1961); half-saturation at 2 % by Haug (1993;
//! both forms from memory).

use alloc::vec::Vec;

use crate::math::elementary::pow;
use crate::math::tridiagonal::Tridiagonal;
use crate::value::{Spread, Status, Value};

/// Oxygen in the atmosphere; volume per cent.
pub const AIR_PERCENT: f64 = 21.0;
/// Half-saturation of decay in oxygen; volume per cent (Haug 1993, from memory).
pub const HALF_RATE_PERCENT: f64 = 2.0;
/// Diffusivity of oxygen in air; m2/d (2.0e-5 m2/s at 20 degC, from memory).
pub const FREE_DIFFUSIVITY_M2_PER_DAY: f64 = 1.728;
/// Density of oxygen gas; kg/m3 (1.33 at 20 degC and 101.3 kPa).
pub const OXYGEN_KG_PER_M3: f64 = 1.33;
/// Oxygen consumed per released carbon; kg/kg (32/12).
pub const OXYGEN_PER_CARBON: f64 = 32.0 / 12.0;

/// Effective diffusivity at an air-filled porosity `air_share` and a total porosity `pore_share`;
/// m2/d (Millington & Quirk 1961).
#[inline]
#[must_use]
pub fn diffusivity_m2_per_day(air_share: f64, pore_share: f64) -> f64 {
    FREE_DIFFUSIVITY_M2_PER_DAY * pow(air_share, 10.0 / 3.0) / (pore_share * pore_share)
}

/// Area share of worm holes and cracks in soil, which stay open when it is wet.
pub static CHANNEL_SHARE: Value = Value::new(
    0.01,
    Spread::new(0.003, 0.03),
    "1",
    "our own closure: soil diffuses gas between its crumbs, of which the law of one even pore space knows nothing",
    Status::Judgement,
);

/// Effective diffusivity of open channels; m2/d (`0.66` of their share: Penman 1940, from
/// memory).
#[inline]
#[must_use]
pub fn channel_diffusivity_m2_per_day(channel_share: f64) -> f64 {
    0.66 * channel_share * FREE_DIFFUSIVITY_M2_PER_DAY
}

/// Oxygen factor of decay at `percent` of oxygen; 1 in the atmosphere.
///
/// ```
/// use moulder_core::law::air::oxygen_factor;
/// assert!((oxygen_factor(21.0) - 1.0).abs() < 1e-12);
/// assert!((oxygen_factor(2.0) - 0.5 * 23.0 / 21.0).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn oxygen_factor(percent: f64) -> f64 {
    (percent / (percent + HALF_RATE_PERCENT)) * ((AIR_PERCENT + HALF_RATE_PERCENT) / AIR_PERCENT)
}

/// Penetration depth of oxygen into a uniform layer with an open top: `sqrt(2 D C0/q)`; m.
/// Closed-form check of the profile.
#[must_use]
pub fn penetration_m(diffusivity_m2_s: f64, oxygen_kg_m3: f64, demand_kg_m3_s: f64) -> f64 {
    crate::math::elementary::sqrt(2.0 * diffusivity_m2_s * oxygen_kg_m3 / demand_kg_m3_s)
}

/// Oxygen exchange and demand of one slice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pores {
    /// Exchange with the slice above, or of the top slice with the atmosphere; m3/d.
    pub up_m3_per_day: f64,
    /// Exchange through the sides; m3/d.
    pub side_m3_per_day: f64,
    /// Oxygen demand at unlimited supply, as gas; m3/d.
    pub demand_m3_per_day: f64,
}

/// Steady oxygen profile, bottom first; volume per cent.
///
/// Newton's method on a concave system: after the first step it converges monotonically from
/// below.
pub fn profile(slices: &[Pores], system: &mut Tridiagonal, percent: &mut Vec<f64>) {
    const MAX_ITERATIONS: usize = 40;
    /// Convergence is quadratic: a last change of this leaves an error of 1e-12.
    const TOLERANCE_PERCENT: f64 = 1e-6;
    percent.clear();
    percent.resize(slices.len(), AIR_PERCENT);
    let last = slices.len().saturating_sub(1);
    for _ in 0..MAX_ITERATIONS {
        system.clear();
        for (i, slice) in slices.iter().enumerate() {
            let up = slice.up_m3_per_day;
            let down = if i == 0 {
                0.0
            } else {
                slices[i - 1].up_m3_per_day
            };
            let air = slice.side_m3_per_day + if i == last { up } else { 0.0 };
            // Demand in per cent: X/(X + 2) times 23/21 of the demand.
            let most =
                100.0 * slice.demand_m3_per_day * (AIR_PERCENT + HALF_RATE_PERCENT) / AIR_PERCENT;
            let x = percent[i];
            let used = most * x / (x + HALF_RATE_PERCENT);
            let slope =
                most * HALF_RATE_PERCENT / ((x + HALF_RATE_PERCENT) * (x + HALF_RATE_PERCENT));
            system.push(
                -down,
                up + down + slice.side_m3_per_day + slope,
                if i == last { 0.0 } else { -up },
                air * AIR_PERCENT - used + slope * x,
            );
        }
        let mut moved = 0.0_f64;
        for (x, new) in percent.iter_mut().zip(system.solve()) {
            let new = new.max(0.0);
            moved = moved.max((new - *x).abs());
            *x = new;
        }
        if moved < TOLERANCE_PERCENT {
            break;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Penetration depths for losses of 20, 100, 300 kg of dry matter per m3 and year at a
    /// porosity of 0.80, air-filled 0.30. Self-consistency: the values are derived.
    #[test]
    fn penetration_depths() {
        let diffusivity_m2_s = diffusivity_m2_per_day(0.30, 0.80) / 86_400.0;
        assert!((diffusivity_m2_s / 5.648e-7 - 1.0).abs() < 1e-3);
        for (loss, want_m) in [(20.0, 0.647), (100.0, 0.289), (300.0, 0.167)] {
            let demand = loss * 1.185 / (365.0 * 86_400.0);
            let got = penetration_m(diffusivity_m2_s, 0.2787, demand);
            assert!((got - want_m).abs() < 2e-3, "{loss}: {got}");
        }
    }

    /// In a thick uniform layer, finely sliced, oxygen drops near the closed-form depth.
    #[test]
    fn profile_matches_the_closed_form() {
        let (count, thickness_m) = (200, 0.01);
        let diffusivity = diffusivity_m2_per_day(0.30, 0.80);
        let demand_kg = 100.0 * 1.185 / 365.0 * thickness_m;
        let slices: Vec<Pores> = (0..count)
            .map(|i| Pores {
                up_m3_per_day: diffusivity / thickness_m * if i == count - 1 { 2.0 } else { 1.0 },
                side_m3_per_day: 0.0,
                demand_m3_per_day: demand_kg / OXYGEN_KG_PER_M3,
            })
            .collect();
        let (mut system, mut percent) = (Tridiagonal::default(), Vec::new());
        profile(&slices, &mut system, &mut percent);
        assert!(percent.iter().all(|x| (0.0..=AIR_PERCENT).contains(x)));
        assert!(
            percent.windows(2).all(|pair| pair[0] <= pair[1]),
            "rises to the top"
        );
        let reach = percent.iter().filter(|x| **x > 0.1 * AIR_PERCENT).count();
        let depth_m = f64::from(u32::try_from(reach).unwrap()) * thickness_m;
        let closed = penetration_m(
            diffusivity / 86_400.0,
            0.2787,
            100.0 * 1.185 / (365.0 * 86_400.0),
        );
        assert!(
            (0.6..1.4).contains(&(depth_m / closed)),
            "{depth_m} m against {closed}"
        );
    }

    #[test]
    fn impermeable_layer_becomes_anaerobic() {
        let tight = Pores {
            up_m3_per_day: 1e-5,
            side_m3_per_day: 0.0,
            demand_m3_per_day: 0.5,
        };
        let (mut system, mut percent) = (Tridiagonal::default(), Vec::new());
        profile(&[tight; 3], &mut system, &mut percent);
        assert!(oxygen_factor(percent[0]) < 0.01);
        let idle = Pores {
            demand_m3_per_day: 0.0,
            ..tight
        };
        profile(&[idle; 3], &mut system, &mut percent);
        assert!(percent.iter().all(|x| (x - AIR_PERCENT).abs() < 1e-9));
    }
}
