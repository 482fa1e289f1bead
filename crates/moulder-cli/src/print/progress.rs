//! Progress of a long task, on a terminal.

use std::ops::ControlFlow;
use std::process;
use std::sync::{Mutex, Once, PoisonError};

use indicatif::{ProgressBar, ProgressStyle, WeakProgressBar};

use crate::print::look::Look;

/// What a program ends with that Ctrl-C ended: 128 and the number of that signal.
const INTERRUPTED: i32 = 130;

/// The bars that a terminal may show.
static SHOWN: Mutex<Vec<WeakProgressBar>> = Mutex::new(Vec::new());

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
        if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos} of {len} runs") {
            bar.set_style(style.progress_chars(ends));
        }
        clear_when_interrupted(&bar);
        Self { bar }
    }

    /// The callback that moves the bar. Threads may call it out of order: the bar never
    /// goes back within a task.
    pub(crate) fn watch(&self) -> impl Fn(u32, u32) -> ControlFlow<()> + Sync {
        |done, of| {
            self.bar.set_length(u64::from(of));
            if done == 0 || u64::from(done) > self.bar.position() {
                self.bar.set_position(u64::from(done));
            }
            ControlFlow::Continue(())
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

/// Has Ctrl-C clear the bar before it ends the program. Without a terminal nothing is there to
/// clear, and the signal does what it always does.
fn clear_when_interrupted(bar: &ProgressBar) {
    static ONCE: Once = Once::new();
    if bar.is_hidden() {
        return;
    }
    let mut shown = SHOWN.lock().unwrap_or_else(PoisonError::into_inner);
    shown.retain(|other| other.upgrade().is_some());
    shown.push(bar.downgrade());
    // Where there is no handler, the bar stays and the signal ends the program all the same.
    ONCE.call_once(|| ctrlc::set_handler(interrupted).unwrap_or_default());
}

fn interrupted() {
    let shown = SHOWN.lock().unwrap_or_else(PoisonError::into_inner);
    for bar in shown.iter().filter_map(WeakProgressBar::upgrade) {
        bar.finish_and_clear();
    }
    process::exit(INTERRUPTED)
}
