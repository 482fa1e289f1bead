//! Which processor instructions the kernel may use.
//!
//! The same operations in the same order, so the same bits: wider instructions only process
//! more lanes at once, and the compiler fuses nothing.

use pulp::{Arch, Simd, WithSimd};

/// An instruction set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Level {
    /// Available on every processor of the architecture.
    Baseline,
    /// All that this processor has and we compile for: on x86-64 up to AVX2.
    Best,
}

/// Work to run at a level. Its `run`, and all that it calls, must be inlined.
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
