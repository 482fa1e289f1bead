//! The threads in which runs go.

use std::mem;
use std::process;
use std::sync::{Arc, Mutex, PoisonError};

use pyo3::exceptions::{PyRuntimeError, PyValueError};
use pyo3::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::argument::Threads;

/// Most threads of one pool.
const MOST: u32 = 512;

/// The pool of runs that ask for no number of threads, with the process that made it. It is locked
/// under the interpreter's lock alone, which a fork holds too: no child finds it locked.
static SHARED: Mutex<Option<(u32, Arc<ThreadPool>)>> = Mutex::new(None);

/// A pool of so many threads of its own; else the one of all cores, or of `RAYON_NUM_THREADS`.
pub(crate) fn pool(_attached: Python<'_>, threads: Option<Threads>) -> PyResult<Arc<ThreadPool>> {
    if let Some(Threads(count)) = threads {
        if !(1..=MOST).contains(&count) {
            let said = format!("threads must be 1 to {MOST}, and {count} was given");
            return Err(PyValueError::new_err(said));
        }
        return made(count as usize);
    }
    let here = process::id();
    let mut shared = SHARED.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((process, pool)) = &*shared
        && *process == here
    {
        return Ok(Arc::clone(pool));
    }
    let pool = made(0)?;
    // After a fork the threads of the parent's pool are not there: it cannot even be closed.
    mem::forget(shared.replace((here, Arc::clone(&pool))));
    Ok(pool)
}

fn made(count: usize) -> PyResult<Arc<ThreadPool>> {
    let pool = ThreadPoolBuilder::new()
        .num_threads(count)
        .thread_name(|number| format!("moulder-{number}"))
        .build();
    pool.map(Arc::new)
        .map_err(|error| PyRuntimeError::new_err(format!("no threads to run in: {error}")))
}
