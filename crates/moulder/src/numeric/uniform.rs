//! Uniform random numbers.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

/// Midpoint of one of 2^52 equal parts of the unit interval: never 0, never 1.
#[allow(
    clippy::cast_precision_loss,
    reason = "52 bits and a half fit a float exactly"
)]
pub(crate) fn part(numbers: &mut Pcg64) -> f64 {
    ((numbers.next_u64() >> 12) as f64 + 0.5) / 4_503_599_627_370_496.0
}
