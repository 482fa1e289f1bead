//! How far a long run is, and whether it goes on.

use std::ops::ControlFlow;

/// Called during a long run with how much of it is done and of how much: once a month in a
/// single run, once a realisation in an ensemble. It may be called from any thread, and out of
/// order. [`ControlFlow::Break`] stops the run, which then ends with
/// [`Error::Stopped`](crate::fault::error::Error::Stopped).
///
/// ```
/// use std::ops::ControlFlow;
///
/// let progress: &moulder::Progress<'_> = &|done, of| {
///     println!("{done} of {of}");
///     ControlFlow::Continue(())
/// };
/// moulder::Bed::example().forecast().months(1).ensemble_size(2).progress(progress).run()?;
/// # Ok::<(), moulder::Error>(())
/// ```
pub type Progress<'a> = dyn Fn(u32, u32) -> ControlFlow<()> + Sync + 'a;

/// Nobody watches: the run goes on to its end.
pub const fn unwatched(_done: u32, _of: u32) -> ControlFlow<()> {
    ControlFlow::Continue(())
}
