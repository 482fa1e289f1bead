//! Beds side by side.

use moulder::ForecastOptions;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::answer::plain;
use crate::argument::{Draws, Months, Seed, Threads};
use crate::many::beds_of;
use crate::watch::Watch;

/// Compares beds under the same draws and weather: settlement, carbon and months short of
/// nitrogen, with the differences from the first.
#[pyfunction]
#[pyo3(
    signature = (
        beds, months=Months(12), draws=Draws(64), seed=Seed(1), *, progress=None, threads=None
    ),
    text_signature = "(beds, months=12, draws=64, seed=1, *, progress=None, threads=None)"
)]
pub(crate) fn compare<'py>(
    py: Python<'py>,
    beds: &Bound<'py, PyAny>,
    months: Months,
    draws: Draws,
    seed: Seed,
    progress: Option<Bound<'py, PyAny>>,
    threads: Option<Threads>,
) -> PyResult<Bound<'py, PyAny>> {
    let beds = beds_of(beds)?;
    if beds.len() > MOST_BEDS {
        let said = format!(
            "at most {MOST_BEDS} beds are compared, and {} were given",
            beds.len()
        );
        return Err(PyValueError::new_err(said));
    }
    if draws.0 == 0 {
        let said = "a comparison takes draws: 1 at least";
        return Err(PyValueError::new_err(said));
    }
    let options = ForecastOptions::default().months(months.0);
    let options = options.ensemble_size(draws.0).seed(seed.0);
    let watch = Watch { progress, threads };
    let compared = watch.run(py, move |progress| {
        let beds: Vec<moulder::Bed> = beds.iter().map(|bed| bed.as_ref().clone()).collect();
        moulder::compare(&beds, &options, progress)
    })?;
    plain(py, &compared)
}

/// Most beds at once: each draw holds all of them.
const MOST_BEDS: usize = 1000;
