//! The definite figures that a run takes for every uncertain one.

use moulder_core::value::Value;
use moulder_solve::schedule::StepSchedule;

/// A number for each constant of the laws: its best value, or what one realisation holds.
///
/// Materials carry definite numbers of their own in the bed that belongs to a realisation.
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
    ///
    /// ```
    /// use moulder::internals::model::figures::Figures;
    /// use moulder_core::law::temperature::Q10_WOOD;
    ///
    /// assert_eq!(Figures::nominal().of(&Q10_WOOD), Q10_WOOD.best);
    /// ```
    #[must_use]
    pub fn nominal() -> &'static Self {
        &NOMINAL
    }

    /// Those of one realisation, with the seed of its years of weather.
    pub(crate) fn of_realisation(laws: Vec<(Value, f64)>, weather_seed: u64) -> Self {
        Self {
            laws,
            weather_seed: Some(weather_seed),
        }
    }

    /// The number taken for a value: its best where nothing else is known.
    #[must_use]
    pub fn of(&self, value: &Value) -> f64 {
        let known = self.laws.iter().find(|(law, _)| law == value);
        known.map_or(value.best, |(_, figure)| *figure)
    }

    /// Seed of the years of weather; none for normal years.
    pub(crate) fn weather_seed(&self) -> Option<u64> {
        self.weather_seed
    }

    /// The steps by which it is marched: longer ones for one of many.
    pub(crate) fn schedule(&self) -> StepSchedule {
        match self.weather_seed {
            None => StepSchedule::default(),
            Some(_) => StepSchedule::coarse(),
        }
    }
}
