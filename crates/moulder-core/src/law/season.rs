//! Annual course of a monthly quantity: mean and two harmonics.

use crate::DAYS_PER_YEAR;

/// Annual course: mean, annual and half-annual harmonic.
///
/// Fitted to twelve monthly means by discrete Fourier sums, so that the annual mean is kept. At
/// mid-month, two harmonics reproduce mean temperatures of the built-in stations within 0.7 degC,
/// daily maxima and minima within 1.1 degC (tested with the stations).
///
/// ```
/// use moulder_core::law::season::Season;
///
/// let flat = Season::from_months(&[10.0; 12]);
/// assert!((flat.at(200.0) - 10.0).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Season {
    /// Annual mean, in the unit of the months.
    pub mean: f64,
    /// Cosine and sine coefficients of the first and second harmonic; time from the start of the
    /// civil year.
    pub waves: [[f64; 2]; 2],
}

impl Season {
    /// Fits twelve monthly means, January first.
    #[must_use]
    pub fn from_months(months: &[f64; 12]) -> Self {
        let mean = months.iter().sum::<f64>() / 12.0;
        let mut waves = [[0.0; 2]; 2];
        for (order, wave) in (1_u32..).zip(waves.iter_mut()) {
            for (month, value) in (0_u32..).zip(months) {
                let angle =
                    core::f64::consts::TAU * f64::from(order) * (f64::from(month) + 0.5) / 12.0;
                wave[0] += value * libm::cos(angle) / 6.0;
                wave[1] += value * libm::sin(angle) / 6.0;
            }
        }
        Self { mean, waves }
    }

    /// A single annual harmonic of amplitude `half_range`, coldest at the start of the year.
    #[must_use]
    pub fn sinusoid(mean: f64, half_range: f64) -> Self {
        Self {
            mean,
            waves: [[-half_range, 0.0], [0.0, 0.0]],
        }
    }

    /// The value `day` days after the start of a civil year.
    #[must_use]
    pub fn at(&self, day: f64) -> f64 {
        self.damped(day, 0.0)
    }

    /// The value at depth: each harmonic damped by `exp(-depth)` and delayed by `depth`, relative
    /// to its own damping depth; `relative_depth` refers to the first harmonic.
    ///
    /// van Wijk & de Vries (1963) for each harmonic; the damping depth of the n-th is that of the
    /// first over the square root of n.
    #[must_use]
    pub fn damped(&self, day: f64, relative_depth: f64) -> f64 {
        const ROOT_ORDER: [f64; 2] = [1.0, core::f64::consts::SQRT_2];
        let year = core::f64::consts::TAU * day / DAYS_PER_YEAR;
        let mut value = self.mean;
        for (order, (wave, root)) in (1_u32..).zip(self.waves.iter().zip(ROOT_ORDER)) {
            let depth = relative_depth * root;
            let angle = year * f64::from(order) - depth;
            value += crate::math::elementary::exp(-depth)
                * (wave[0] * libm::cos(angle) + wave[1] * libm::sin(angle));
        }
        value
    }
}

#[cfg(test)]
mod tests {
    use super::Season;
    use crate::DAYS_PER_YEAR;

    #[test]
    fn keeps_mean_and_first_harmonic() {
        let mut months = [0.0; 12];
        for (i, month) in (0_u32..).zip(months.iter_mut()) {
            let angle = core::f64::consts::TAU * (f64::from(i) + 0.5) / 12.0;
            *month = 10.0 - 7.0 * libm::cos(angle);
        }
        let season = Season::from_months(&months);
        assert!((season.mean - 10.0).abs() < 1e-12);
        assert!((season.at(0.0) - 3.0).abs() < 1e-9);
        assert!((season.at(DAYS_PER_YEAR / 2.0) - 17.0).abs() < 1e-9);
    }
}
