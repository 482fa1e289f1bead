//! Temperature of open ground beside the bed, for comparison.

use moulder_core::law::ground::{DIFFUSIVITY, yearly_damping_m};
use moulder_core::law::season::Season;
use moulder_solve::month_log::{LayerMonthLog, SOWING_C};

use crate::bed::Bed;
use crate::forecast::calendar::days_to_month;
use crate::model::figures::Figures;
use crate::model::weather::{climate_of, day_of_season};

/// Open ground beside the bed.
pub(super) struct OpenGround {
    season: Season,
    damping_m: f64,
}

impl OpenGround {
    pub(crate) fn new(bed: &Bed, figures: &Figures) -> Self {
        let climate = climate_of(bed, figures);
        let (high, low) = (&climate.high_c, &climate.low_c);
        let mean = core::array::from_fn(|month| 0.5 * (high[month] + low[month]));
        Self {
            season: Season::from_months(&mean),
            damping_m: yearly_damping_m(figures.of(&DIFFUSIVITY)),
        }
    }

    /// A month at a depth: mean temperature, and days warm enough to sow. On day zero, that
    /// day.
    pub(super) fn month(&self, bed: &Bed, month: u32, depth_m: f64) -> LayerMonthLog {
        let first = f64::from(day_of_season(bed.filled)) - 1.0;
        let to = days_to_month(bed.filled, month);
        let mut day = days_to_month(bed.filled, month.saturating_sub(1))
            .min(to - 1.0)
            .max(0.0);
        let mut sum = LayerMonthLog::default();
        let mut days = 0.0;
        while day < to.max(1.0) {
            let warm_c = self
                .season
                .damped(first + day + 0.5, depth_m / self.damping_m);
            sum.mean_c += warm_c;
            if warm_c > SOWING_C {
                sum.warm_days += 1.0;
            }
            days += 1.0;
            day += 1.0;
        }
        sum.mean_c /= days;
        if month == 0 {
            sum.warm_days = 0.0;
        }
        sum
    }
}
