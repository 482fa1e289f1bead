//! The annual temperature amplitude, from the mean alone.

use moulder::internals::library::Library;

/// Half the range between the warmest and the coldest month, linear in the annual mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Swing {
    /// At a mean of 0 degC; degC.
    pub(crate) at_0_c: f64,
    /// degC per degC.
    pub(crate) slope: f64,
}

impl Swing {
    /// Least squares over the stations that ship with the library, independent of the litter
    /// bags.
    pub(crate) fn of_stations() -> Self {
        let (mut count, mut x, mut y, mut xx, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for station in Library::built_in().stations() {
            let months = &station.climate;
            let means = months.high_c.iter().zip(&months.low_c);
            let means: Vec<f64> = means.map(|(high, low)| 0.5 * (high + low)).collect();
            let most = means.iter().copied().fold(f64::MIN, f64::max);
            let least = means.iter().copied().fold(f64::MAX, f64::min);
            let mean_c = means.iter().sum::<f64>() / 12.0;
            let half_range_c = 0.5 * (most - least);
            count += 1.0;
            x += mean_c;
            y += half_range_c;
            xx += mean_c * mean_c;
            xy += mean_c * half_range_c;
        }
        let slope = (count * xy - x * y) / (count * xx - x * x);
        Self {
            at_0_c: (y - slope * x) / count,
            slope,
        }
    }

    /// degC, never below 0.
    pub(crate) fn half_range_c(self, mean_c: f64) -> f64 {
        (self.at_0_c + self.slope * mean_c).max(0.0)
    }
}
