//! Our side: exact steps of pools and humus of `moulder_core`, with layers side by side.
#![allow(
    clippy::inline_always,
    reason = "what is not inlined is not compiled for the level asked for"
)]

use core::array::from_fn;

use crate::layers::Layers;
use crate::level::{Level, Work};
use crate::problem::{Draw, LAYERS, MONTHS};

/// A way to step layers through a problem.
pub(crate) trait Kernel {
    /// Reports the carbon of each layer, humus included, at each month end; kg. Values by layer
    /// are `spread` over the lanes. To be inlined.
    fn simulation<const L: usize>(
        &self,
        layers: &Layers<L>,
        spread: impl Fn(&[f64; LAYERS]) -> [f64; L],
        tell: impl FnMut(usize, &[f64; L]),
    );

    /// Total carbon of `L` realisations at each month end, one layer of all of them after the
    /// other; kg.
    fn totals_of_draws_kg<const L: usize>(
        &self,
        level: Level,
        draws: &[Draw; L],
        totals: &mut [[f64; L]; MONTHS],
    ) {
        level.run(OfDraws {
            kernel: self,
            draws,
            totals,
        });
    }

    /// Total carbon of one bed at each month end, its layers side by side; kg.
    fn totals_of_bed_kg(&self, level: Level, draw: &Draw, totals: &mut [f64; MONTHS]) {
        level.run(OfBed {
            kernel: self,
            draw,
            totals,
        });
    }
}

struct OfDraws<'a, K: ?Sized, const L: usize> {
    kernel: &'a K,
    draws: &'a [Draw; L],
    totals: &'a mut [[f64; L]; MONTHS],
}

impl<K: Kernel + ?Sized, const L: usize> Work for OfDraws<'_, K, L> {
    #[inline(always)]
    fn run(self) {
        *self.totals = [[0.0; L]; MONTHS];
        for layer in 0..LAYERS {
            let layers = Layers::new(&self.draws.each_ref().map(|draw| (draw, layer)));
            let spread = |by_layer: &[f64; LAYERS]| [by_layer[layer]; L];
            self.kernel.simulation(&layers, spread, |month, layers_kg| {
                for (total, layer_kg) in self.totals[month].iter_mut().zip(layers_kg) {
                    *total += layer_kg;
                }
            });
        }
    }
}

struct OfBed<'a, K: ?Sized> {
    kernel: &'a K,
    draw: &'a Draw,
    totals: &'a mut [f64; MONTHS],
}

impl<K: Kernel + ?Sized> Work for OfBed<'_, K> {
    #[inline(always)]
    fn run(self) {
        // Eight lanes are faster than five; the last layer fills the spare ones.
        let layers = Layers::<8>::new(&from_fn(|lane| (self.draw, lane.min(LAYERS - 1))));
        let spread = |by_layer: &[f64; LAYERS]| {
            let [a, b, c, d, e] = *by_layer;
            [a, b, c, d, e, e, e, e]
        };
        self.kernel.simulation(&layers, spread, |month, layers_kg| {
            // From the top down, as for many realisations.
            let layers_kg = layers_kg[..LAYERS].iter();
            self.totals[month] = layers_kg.fold(0.0, |sum, layer_kg| sum + layer_kg);
        });
    }
}
