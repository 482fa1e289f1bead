//! Somebody who watches a long task and may stop it.

/// Watches a task.
///
/// ```
/// use moulder::forecast::watcher::{Go, Watcher};
///
/// struct Patient;
/// impl Watcher for Patient {
///     fn done(&mut self, _so_far: u32, _of: u32) -> Go {
///         Go::On
///     }
/// }
/// assert_eq!(Patient.done(1, 12), Go::On);
/// ```
pub trait Watcher {
    /// Called when a part of the work is done; says whether to go on.
    fn done(&mut self, so_far: u32, of: u32) -> Go;
}

/// Whether a task goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Go {
    /// Keep going.
    On,
    /// Stop; the task returns an error and nothing else.
    Stop,
}

/// A watcher that never stops anything.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watcher for Unwatched {
    fn done(&mut self, _so_far: u32, _of: u32) -> Go {
        Go::On
    }
}
