//! Which instructions of the processor the kernel may use.
//!
//! The same operations in the same order, so the same bits: wider instructions only do
//! more lanes at once, and the compiler fuses nothing.

use pulp::{Arch, Simd, WithSimd};

/// A set of instructions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Level {
    /// Those that every processor of its kind has.
    Baseline,
    /// All that this one has, as far as we compile for them: on x86-64 up to AVX2.
    Best,
}

/// Something to do at a level. Its `run` must be inlined, and all that it calls.
pub(crate) trait Work {
    fn run(self);
}

impl Level {
    pub(crate) fn run(self, work: impl Work) {
        match self {
            Self::Baseline => work.run(),
            Self::Best => Arch::new().dispatch(AtBest(work)),
        }
    }
}

struct AtBest<W>(W);

impl<W: Work> WithSimd for AtBest<W> {
    type Output = ();

    #[allow(
        clippy::inline_always,
        reason = "only so does the level reach the work"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, _simd: S) {
        self.0.run();
    }
}
