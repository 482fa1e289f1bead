//! Two sides run alternately, so that a change of the machine's speed affects both.

use std::time::Instant;

/// Forecasts that the solver makes per turn.
pub(crate) const PER_TURN: usize = 200;
/// Repetitions of the kernel per turn, or it would be too short to time.
const AGAIN: u32 = 10;

/// Times of both sides, per forecast; microseconds.
pub(crate) struct Times {
    pub(crate) ours: Vec<f64>,
    pub(crate) theirs: Vec<f64>,
}

impl Times {
    /// Runs both sides; each receives the number of the turn.
    pub(crate) fn of(
        turns: usize,
        mut ours: impl FnMut(usize),
        mut theirs: impl FnMut(usize),
    ) -> Self {
        let per_forecast = |start: Instant, times: u32| {
            let count = times * u32::try_from(PER_TURN).expect("a few hundred");
            1e6 * start.elapsed().as_secs_f64() / f64::from(count)
        };
        let mut times = Self {
            ours: Vec::new(),
            theirs: Vec::new(),
        };
        for turn in 0..turns {
            let start = Instant::now();
            (0..AGAIN).for_each(|_| ours(turn));
            times.ours.push(per_forecast(start, AGAIN));
            let start = Instant::now();
            theirs(turn);
            times.theirs.push(per_forecast(start, 1));
        }
        times
    }

    /// Median over all turns of their time divided by ours.
    pub(crate) fn ratio(&self) -> f64 {
        let pairs = self.ours.iter().zip(&self.theirs);
        median(
            &pairs
                .map(|(ours, theirs)| theirs / ours)
                .collect::<Vec<_>>(),
        )
    }
}

pub(crate) fn median(times: &[f64]) -> f64 {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

pub(crate) fn least(times: &[f64]) -> f64 {
    times.iter().copied().fold(f64::INFINITY, f64::min)
}
