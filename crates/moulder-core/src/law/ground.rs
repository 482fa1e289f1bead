//! Ground temperature: annual and half-annual waves of the air, damped and delayed with depth
//! (van Wijk & de Vries 1963, damped wave).

use crate::math::elementary::sqrt;
use crate::value::{Spread, Status, Value};

/// Damping depth of the daily temperature wave.
pub static DAILY_DAMPING: Value = Value::new(
    0.10,
    Spread::new(0.08, 0.12),
    "m",
    "van Wijk & de Vries 1963, damped wave; usual range for soils",
    Status::Memory,
);

/// Thermal diffusivity of the ground.
pub static DIFFUSIVITY: Value = Value::new(
    0.25e-6,
    Spread::new(0.12e-6, 0.45e-6),
    "m2/s",
    "between moist peat (0.13e-6) and clay (0.4e-6), Moene & van Dam 2014, Table 2.2; spread from wet peat to wet clay there; moist sand, 0.99e-6 there, left out",
    Status::Read,
);

/// Damping depth of the annual wave: `sqrt(2 kappa/omega)`; m.
///
/// ```
/// // van Wijk & de Vries 1963: moist peat, 0.13e-6 m2/s, 1.142 m for a year of 365 days.
/// let depth_m = moulder_core::law::ground::yearly_damping_m(0.13e-6);
/// assert!((depth_m - 1.142).abs() < 0.002);
/// ```
#[must_use]
pub fn yearly_damping_m(diffusivity_m2_per_s: f64) -> f64 {
    let omega_per_s = core::f64::consts::TAU / (crate::DAYS_PER_YEAR * 86_400.0);
    sqrt(2.0 * diffusivity_m2_per_s / omega_per_s)
}

#[cfg(test)]
mod tests {
    use crate::law::season::Season;

    /// The damped wave at four days and four depths, computed from the formula of van Wijk & de
    /// Vries 1963 by an independent script: self-consistency. Mean 10 degC, amplitude 8 degC,
    /// coldest on day 20, moist peat (D = 1.142 m).
    #[test]
    fn damped_wave_of_moist_peat() {
        let lag = core::f64::consts::TAU * 20.0 / 365.0;
        let season = Season {
            mean: 10.0,
            waves: [[-8.0 * libm::cos(lag), -8.0 * libm::sin(lag)], [0.0; 2]],
        };
        let table = [
            (0.0, [2.030, 9.141, 17.950, 10.791]),
            (0.3, [4.218, 7.774, 15.726, 12.176]),
            (0.6, [6.125, 7.202, 13.803, 12.765]),
            (1.0, [8.092, 7.226, 11.837, 12.758]),
        ];
        for (depth_m, row) in table {
            for (day, want) in [15.0, 105.0, 196.0, 288.0].into_iter().zip(row) {
                // The table's year has 365 days, ours slightly more.
                let day = day * crate::DAYS_PER_YEAR / 365.0;
                let mean_c = season.damped(day, depth_m / 1.142);
                assert!(
                    (mean_c - want).abs() < 0.01,
                    "{depth_m} m, day {day}: {mean_c} against {want}"
                );
            }
        }
    }
}
