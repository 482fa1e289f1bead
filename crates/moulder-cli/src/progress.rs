//! How far a long task is, on a terminal.

use indicatif::{ProgressBar, ProgressStyle};
use moulder::forecast::watcher::{Go, Watcher};

use crate::arguments::Look;

/// A bar on the terminal while a task runs, gone when it is done. Where the complaints go
/// elsewhere than to a terminal there is none.
pub(crate) struct Progress {
    bar: ProgressBar,
}

impl Progress {
    pub(crate) fn of(look: Look) -> Self {
        let bar = ProgressBar::new(0);
        let ends = if look.plain { "=> " } else { "█▌ " };
        // A form that does not read leaves the bar as the library draws it.
        if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos} of {len} draws") {
            bar.set_style(style.progress_chars(ends));
        }
        Self { bar }
    }
}

impl Watcher for Progress {
    fn done(&mut self, so_far: u32, of: u32) -> Go {
        self.bar.set_length(u64::from(of));
        self.bar.set_position(u64::from(so_far));
        Go::On
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
