//! How a forecast is to be made.

use crate::text::limit::USUAL_SAMPLES;

/// How a forecast is to be made: a year with 80 % intervals over 64 realisations when
/// nothing else is said.
///
/// ```
/// use moulder::ForecastOptions;
///
/// let options = ForecastOptions::default().months(60).ensemble_size(400).seed(7);
/// assert_eq!(options.months, 60);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct ForecastOptions {
    /// How many months from the day of filling; at most 1200.
    pub months: u32,
    /// How many realisations the intervals rest on, at most 65,536; 0 for the nominal run
    /// alone.
    pub ensemble_size: u32,
    /// Seed of the realisations: the same seed, the same bytes.
    pub seed: u64,
    /// A depth below the rim whose chance is reported; m.
    pub deeper_than_m: Option<f64>,
}

impl Default for ForecastOptions {
    fn default() -> Self {
        Self {
            months: 12,
            ensemble_size: USUAL_SAMPLES,
            seed: 1,
            deeper_than_m: None,
        }
    }
}

impl ForecastOptions {
    /// With so many months.
    #[must_use]
    pub const fn months(mut self, months: u32) -> Self {
        self.months = months;
        self
    }

    /// With so many realisations; 0 for the nominal run alone.
    #[must_use]
    pub const fn ensemble_size(mut self, ensemble_size: u32) -> Self {
        self.ensemble_size = ensemble_size;
        self
    }

    /// With realisations of that seed.
    #[must_use]
    pub const fn seed(mut self, seed: u64) -> Self {
        self.seed = seed;
        self
    }

    /// With the chance that the surface lies deeper below the rim than this; m.
    #[must_use]
    pub const fn deeper_than_m(mut self, depth_m: f64) -> Self {
        self.deeper_than_m = Some(depth_m);
        self
    }
}
