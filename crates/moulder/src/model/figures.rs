//! Parameter values of a run.

use moulder_core::value::Value;
use moulder_solve::schedule::StepSchedule;

/// A value for each constant of the laws: its best value, or that of a realisation.
///
/// Materials carry their own values, in the bed of the realisation.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    laws: Vec<(Value, f64)>,
    weather_seed: Option<u64>,
}

static NOMINAL: Figures = Figures {
    laws: Vec::new(),
    weather_seed: None,
};

impl Figures {
    /// The best value of everything, in normal years.
    #[must_use]
    pub fn nominal() -> &'static Self {
        &NOMINAL
    }

    /// The best value of everything, in the drawn years of a seed.
    #[must_use]
    pub fn in_drawn_years(seed: u64) -> Self {
        Self::of_realisation(Vec::new(), seed)
    }

    /// Those of one realisation, with the seed of its weather.
    pub(crate) fn of_realisation(laws: Vec<(Value, f64)>, weather_seed: u64) -> Self {
        Self {
            laws,
            weather_seed: Some(weather_seed),
        }
    }

    /// The value taken: the best one where a realisation has none.
    #[must_use]
    pub fn of(&self, value: &Value) -> f64 {
        let known = self.laws.iter().find(|(law, _)| law == value);
        known.map_or(value.best, |(_, figure)| *figure)
    }

    /// Seed of the weather; none for normal years.
    pub(crate) fn weather_seed(&self) -> Option<u64> {
        self.weather_seed
    }

    /// Time steps: longer ones for a realisation.
    pub(crate) fn schedule(&self) -> StepSchedule {
        match self.weather_seed {
            None => StepSchedule::default(),
            Some(_) => StepSchedule::coarse(),
        }
    }
}
