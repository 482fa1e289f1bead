//! Step lengths: short for a young bed, long for an old one.

use moulder_core::math::threshold::exceeds;

/// Step lengths by time since filling.
///
/// ```
/// use moulder_solve::schedule::StepSchedule;
///
/// let schedule = StepSchedule::default();
/// assert!(schedule.step_days(3.0) < schedule.step_days(300.0));
/// assert_eq!(schedule.refined().step_days(3.0), 0.5 * schedule.step_days(3.0));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepSchedule {
    scale: f64,
    is_coarse: bool,
}

impl Default for StepSchedule {
    fn default() -> Self {
        Self {
            scale: 1.0,
            is_coarse: false,
        }
    }
}

impl StepSchedule {
    /// Longest step of water within a pass, each under its own weather; d.
    ///
    /// Rate modifiers, heat and nitrogen bear long passes, but water under the mean rain of some
    /// days does not run through as it does under their rain: with steps of two days a soaking of
    /// turf washed its soil down a centimetre too little in one realisation of two hundred.
    pub(crate) const WATER_DAYS: f64 = 1.4;

    /// For ensemble realisations: steps four to eight times as long; passes of up to four days
    /// from the third month, whatever the rain, in which water alone steps by some day and a half,
    /// and without an evaluation at their midpoint. Over many realisations heights differ from the
    /// default by some 0.3 mm (root mean square; tested in `tests/accuracy.rs`), while
    /// realisations differ by centimetres.
    ///
    /// ```
    /// use moulder_solve::schedule::StepSchedule;
    ///
    /// let (coarse, schedule) = (StepSchedule::coarse(), StepSchedule::default());
    /// assert_eq!(coarse.step_days(30.0), 4.0 * schedule.step_days(30.0));
    /// ```
    #[must_use]
    pub fn coarse() -> Self {
        Self {
            scale: 1.0,
            is_coarse: true,
        }
    }

    /// The same schedule at half the step length.
    #[must_use]
    pub fn refined(self) -> Self {
        Self {
            scale: 0.5 * self.scale,
            ..self
        }
    }

    /// Longest step at `days` after filling: three hours on the first day, half a day for two
    /// weeks, a day for two months, two days for a year, then a week.
    #[must_use]
    pub fn step_days(&self, days: f64) -> f64 {
        // End of each grade, with the steps of the nominal run and of a realisation.
        const GRADES: [(f64, [f64; 2]); 6] = [
            (1.0, [0.125, 0.5]),
            (14.0, [0.5, 2.0]),
            (60.0, [1.0, 4.0]),
            (120.0, [2.0, 8.0]),
            (365.0, [2.0, 16.0]),
            (f64::INFINITY, [7.0, 31.0]),
        ];
        let grade = GRADES.iter().find(|(until, _)| days < *until);
        let [middle, coarse] = grade.map_or([7.0, 31.0], |(_, steps)| *steps);
        self.scale * if self.is_coarse { coarse } else { middle }
    }

    /// Whether each pass of water and heat evaluates rate modifiers at its midpoint as well, for
    /// Simpson's rule: a sixth more costly than the trapezoidal rule, and some seven times more
    /// accurate on active beds.
    ///
    /// ```
    /// use moulder_solve::schedule::StepSchedule;
    ///
    /// assert!(StepSchedule::default().meets_middle());
    /// assert!(!StepSchedule::coarse().meets_middle());
    /// ```
    #[must_use]
    pub fn meets_middle(&self) -> bool {
        !self.is_coarse
    }

    /// End of the pass of water and heat that begins `from` days after filling, `since` days after
    /// the last addition, on a day with so much rain: a day is one pass, two while a bed is fresh,
    /// double that when wet and four times that when soaked, as moisture and with it oxygen change
    /// quickly.
    ///
    /// Passes of realisations depend on the calendar alone.
    #[must_use]
    pub fn pass_end(&self, from: f64, since: f64, rain_mm: f64) -> f64 {
        const FRESH_DAYS: f64 = 14.0;
        /// Time after which passes of realisations span several days, and how many; d.
        const SLOW_DAYS: f64 = 60.0;
        const SLOW_PASS_DAYS: f64 = 4.0;
        /// Rain of a wet day, and of one that soaks a dry bed; mm.
        const WET_MM: f64 = 2.0;
        const SOAKED_MM: f64 = 10.0;
        // What is laid on an old bed is a small part of it: a fortnight suffices for that.
        let is_fresh = since < FRESH_DAYS;
        if self.is_coarse && from >= SLOW_DAYS && !is_fresh {
            return from + SLOW_PASS_DAYS;
        }
        let dry = if is_fresh { 2.0 } else { 1.0 };
        let passes_a_day = if self.is_coarse || !exceeds(rain_mm, WET_MM) {
            dry
        } else if exceeds(rain_mm, SOAKED_MM) {
            4.0 * dry
        } else {
            2.0 * dry
        };
        (libm::floor(from * passes_a_day + 1e-9) + 1.0) / passes_a_day
    }
}
