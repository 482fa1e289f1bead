//! What a reading says of the deviations.

use moulder::internals::library::calibration::Calibrated;
use moulder::internals::numeric::prior::TENTH_Z;
use moulder_core::math::elementary::ln;

use crate::emulator::Emulator;
use crate::observed::Side;
use crate::reading::Readings;

/// Give or take of any reading, one standard deviation, as a strain (our own closure).
const READ: f64 = 0.01;

/// Degrees of freedom of Student's t, by which a source is distrusted as the model is: those of
/// the discrepancy.
const FREEDOM: f64 = 3.0;

/// The likelihood of one reading.
#[derive(Debug, Clone)]
pub(crate) struct Term<'a> {
    pub(crate) source: &'a str,
    pub(crate) name: String,
    pub(crate) emulator: Emulator,
    /// The middle of what was seen, or the bound.
    pub(crate) seen: f64,
    /// Standard deviation about it.
    pub(crate) sd: f64,
    pub(crate) side: Side,
    /// What it counts: readings of one case are one source's, and share one.
    weight: f64,
}

impl<'a> Term<'a> {
    /// Those of a case.
    pub(crate) fn of(case: &'a Readings) -> Vec<Self> {
        let count = f64::from(u32::try_from(case.all.len()).unwrap_or(u32::MAX));
        let readings = case.all.iter().zip(1..);
        readings
            .map(|(reading, number): (_, u32)| {
                let emulator = Emulator::of(&case.families, &reading.eta);
                let [low, high] = reading.seen;
                let half = 0.5 * (high - low) / TENTH_Z;
                Self {
                    source: &case.source,
                    name: format!("{} {number}", case.id),
                    seen: match reading.side {
                        Side::Both => 0.5 * (low + high),
                        Side::AtLeast => low,
                        Side::AtMost => high,
                    },
                    sd: (emulator.sd * emulator.sd + half * half + READ * READ).sqrt(),
                    side: reading.side,
                    weight: 1.0 / count,
                    emulator,
                }
            })
            .collect()
    }

    /// Logarithm of its likelihood, but for a constant.
    pub(crate) fn ln(&self, of: impl Fn(&Calibrated) -> f64) -> f64 {
        let off = (self.seen - self.emulator.at(of)) / self.sd;
        let likelihood = match self.side {
            Side::Both => -0.5 * (FREEDOM + 1.0) * ln(1.0 + off * off / FREEDOM),
            Side::AtLeast => ln(below(-off)),
            Side::AtMost => ln(below(off)),
        };
        self.weight * likelihood
    }
}

/// Distribution function of Student's t with three degrees of freedom, in closed form.
fn below(t: f64) -> f64 {
    let x = t / FREEDOM.sqrt();
    0.5 + (x / (1.0 + x * x) + libm::atan(x)) / core::f64::consts::PI
}
