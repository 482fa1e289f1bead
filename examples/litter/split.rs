//! Half of the sites to fit, the other half to predict.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

/// The generator's default stream, as given by its authors.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf96;

/// Whether each site, coldest first, is in the fitted half.
///
/// Sites are paired with neighbours in temperature, and one of each pair is fitted at random,
/// so that both halves reach from the arctic to the tropics. All litter of a site, of whatever
/// species, goes with it.
pub(crate) fn is_fitted(sites: usize, seed: u32) -> Vec<bool> {
    let mut coin = Pcg64::new(u128::from(seed), STREAM);
    let mut fitted = Vec::with_capacity(sites + 1);
    while fitted.len() < sites {
        let is_first = coin.next_u32() >> 31 == 1;
        fitted.extend([is_first, !is_first]);
    }
    fitted.truncate(sites);
    fitted
}
