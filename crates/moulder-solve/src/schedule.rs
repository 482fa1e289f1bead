//! How long the steps are: short while a bed is young, long when it is old.

/// Lengths of steps by time since filling.
///
/// ```
/// use moulder_solve::schedule::Schedule;
///
/// let schedule = Schedule::default();
/// assert!(schedule.step_days(3.0) < schedule.step_days(300.0));
/// assert_eq!(schedule.halved().step_days(3.0), 0.5 * schedule.step_days(3.0));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Schedule {
    scale: f64,
}

impl Default for Schedule {
    fn default() -> Self {
        Self { scale: 1.0 }
    }
}

impl Schedule {
    /// The same grades with steps half as long.
    #[must_use]
    pub fn halved(self) -> Self {
        Self {
            scale: 0.5 * self.scale,
        }
    }

    /// Longest step at `days` after filling: three hours for a day, half a day for two
    /// weeks, a day for two months, two days for a year, then a week.
    #[must_use]
    pub fn step_days(&self, days: f64) -> f64 {
        let graded = if days < 1.0 {
            0.125
        } else if days < 14.0 {
            0.5
        } else if days < 60.0 {
            1.0
        } else if days < 365.0 {
            2.0
        } else {
            7.0
        };
        graded * self.scale
    }
}
