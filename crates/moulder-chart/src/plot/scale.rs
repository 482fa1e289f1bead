//! Round numbers along an axis.

/// A range with the round numbers in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scale {
    /// Where it begins.
    pub low: f64,
    /// Where it ends.
    pub high: f64,
    /// From one round number to the next.
    pub step: f64,
}

/// Which steps people count in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Counting {
    /// In ones, twos and fives.
    Tens,
    /// In inches: whole feet and their parts.
    Inches,
}

impl Counting {
    /// The smallest of its steps that makes at most `most` of `range`.
    fn step(self, range: f64, most: f64) -> f64 {
        let inches = [1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 36.0, 60.0, 120.0];
        let enough = |step: &f64| range / step <= most;
        if self == Self::Inches
            && let Some(step) = inches.into_iter().find(enough)
        {
            return step;
        }
        // From a thousandth up: nothing drawn here is smaller.
        let mut power = 0.001;
        while power < 1e12 {
            let steps = [power, 2.0 * power, 5.0 * power];
            if let Some(step) = steps.into_iter().find(enough) {
                return step;
            }
            power *= 10.0;
        }
        power
    }
}

impl Scale {
    /// From a round number at or below `low` to one at or above `high`, with at most about
    /// `most` steps between. An empty range gets one step.
    #[must_use]
    pub(crate) fn around(low: f64, high: f64, most: f64, counting: Counting) -> Self {
        let step = counting.step((high - low).max(0.001), most);
        // Rounding errors are no reason for a step more.
        let low = ((low / step) + 1e-9).floor() * step;
        let high = ((high / step) - 1e-9).ceil() * step;
        Self {
            low,
            high: if high > low { high } else { low + step },
            step,
        }
    }

    /// The round numbers from `low` to `high`.
    #[must_use]
    pub(crate) fn ticks(&self) -> Vec<f64> {
        let first = (self.low / self.step - 1e-9).ceil();
        let mut ticks = Vec::new();
        let mut at = first;
        while at * self.step <= self.high + 1e-9 * self.step {
            ticks.push(at * self.step);
            at += 1.0;
        }
        ticks
    }

    /// A round number as it is written.
    #[must_use]
    pub(crate) fn written(&self, tick: f64) -> String {
        let places = [1.0, 0.1, 0.01, 0.001]
            .iter()
            .position(|unit| self.step >= *unit - 1e-12)
            .unwrap_or(3);
        let text = format!("{tick:.places$}");
        if text
            .trim_start_matches('-')
            .chars()
            .all(|c| c == '0' || c == '.')
        {
            "0".to_owned()
        } else {
            text
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Counting, Scale};

    #[test]
    fn ticks_are_round() {
        let scale = Scale::around(0.0, 93.0, 6.0, Counting::Tens);
        assert_eq!(scale.ticks(), [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
        let scale = Scale::around(0.0, 36.6, 6.0, Counting::Inches);
        assert_eq!(scale.ticks(), [0.0, 12.0, 24.0, 36.0, 48.0]);
        let scale = Scale::around(-0.2, 0.1, 4.0, Counting::Tens);
        let written: Vec<_> = scale
            .ticks()
            .iter()
            .map(|tick| scale.written(*tick))
            .collect();
        assert_eq!(written, ["-0.2", "-0.1", "0", "0.1"]);
    }

    #[test]
    fn a_range_of_nothing_has_a_step() {
        for at in [0.0, 5.0, -3.0] {
            let scale = Scale::around(at, at, 5.0, Counting::Tens);
            assert!(scale.high > scale.low && scale.ticks().len() >= 2);
        }
    }
}
