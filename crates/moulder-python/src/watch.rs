//! Long runs, watched by the thread that asked for them.

use std::ops::ControlFlow;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use moulder::{Error, Progress};
use pyo3::exceptions::{PyRuntimeError, PyTypeError};
use pyo3::prelude::*;

use crate::argument::{Threads, kind_of};
use crate::pool::pool;
use crate::refusal::raised;

/// How long signals and progress wait at most.
const BEAT: Duration = Duration::from_millis(50);

/// Who watches a run, and in how many threads it goes.
pub(crate) struct Watch<'py> {
    /// Called with how much is done, and of how much.
    pub(crate) progress: Option<Bound<'py, PyAny>>,
    pub(crate) threads: Option<Threads>,
}

/// How far a run is.
#[derive(Clone, Copy, Default)]
struct State {
    done: u32,
    of: u32,
    is_stopped: bool,
    is_over: bool,
}

#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    over: Condvar,
}

impl Watch<'_> {
    /// Runs without the interpreter's lock, which other threads of Python then have. The calling
    /// thread calls `progress`, and looks for Ctrl-C when it is the main one; what either raises
    /// stops the run and is raised here.
    pub(crate) fn run<T: Send>(
        &self,
        py: Python<'_>,
        work: impl FnOnce(&Progress<'_>) -> Result<T, Error> + Send,
    ) -> PyResult<T> {
        if let Some(progress) = &self.progress
            && !progress.is_callable()
        {
            let kind = kind_of(progress);
            let said = format!("progress must be a function, and {kind} was given");
            return Err(PyTypeError::new_err(said));
        }
        let pool = pool(py, self.threads)?;
        let shared = Shared::default();
        let mut outcome = None;
        pool.in_place_scope(|scope| {
            scope.spawn(|_| {
                let _ended = Ended(&shared);
                outcome = Some(work(&|done, of| shared.tell(done, of)));
            });
            self.until_over(py, &shared)
        })?;
        match outcome {
            Some(outcome) => outcome.map_err(|error| raised(py, &error)),
            None => Err(PyRuntimeError::new_err("the run ended without an answer")),
        }
    }

    fn until_over(&self, py: Python<'_>, shared: &Shared) -> PyResult<()> {
        let mut told = (0, 0);
        loop {
            let state = py.detach(|| shared.wait_a_beat());
            let heard = self
                .tell(state, &mut told)
                .and_then(|()| py.check_signals());
            if let Err(error) = heard {
                py.detach(|| shared.stop());
                return Err(error);
            }
            if state.is_over {
                return Ok(());
            }
        }
    }

    /// Tells progress where there is any since it was told.
    fn tell(&self, state: State, told: &mut (u32, u32)) -> PyResult<()> {
        let now = (state.done, state.of);
        match &self.progress {
            Some(progress) if now != *told => {
                *told = now;
                progress.call1(now).map(|_| ())
            }
            _ => Ok(()),
        }
    }
}

impl Shared {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Called from the threads of the run, and out of order.
    fn tell(&self, done: u32, of: u32) -> ControlFlow<()> {
        let mut state = self.state();
        if state.of != of || state.done < done {
            (state.done, state.of) = (done, of);
        }
        if state.is_stopped {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    /// Waits for the end, but no longer than a beat.
    fn wait_a_beat(&self) -> State {
        let waited = self
            .over
            .wait_timeout_while(self.state(), BEAT, |now| !now.is_over);
        *waited.unwrap_or_else(PoisonError::into_inner).0
    }

    /// Stops the run, and waits until it has stopped.
    fn stop(&self) {
        self.state().is_stopped = true;
        let stopped = self.over.wait_while(self.state(), |now| !now.is_over);
        drop(stopped.unwrap_or_else(PoisonError::into_inner));
    }
}

/// Says that a run is over, in whatever way it ends.
struct Ended<'s>(&'s Shared);

impl Drop for Ended<'_> {
    fn drop(&mut self) {
        self.0.state().is_over = true;
        self.0.over.notify_all();
    }
}
