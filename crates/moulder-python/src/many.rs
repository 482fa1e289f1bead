//! Many beds at once, in all cores.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use moulder::{Bed as CheckedBed, Error, Forecast, Progress};
use numpy::{PyArray1, PyArray2, PyArray3, PyArrayMethods as _};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use rayon::iter::ParallelIterator as _;
use rayon::iter::{IndexedParallelIterator as _, IntoParallelRefIterator as _};

use crate::argument::{Draws, Months, Seed, Threads, kind_of};
use crate::beds::Bed;
use crate::column::{self, Column};
use crate::document;
use crate::refusal::{Refusal, refused};
use crate::watch::Watch;

/// Beds shared with Python.
type Beds = Vec<Arc<CheckedBed>>;

/// The beds of an iterable of beds and of dicts; every fault of all of them together.
pub(crate) fn beds_of(given: &Bound<'_, PyAny>) -> PyResult<Beds> {
    let py = given.py();
    let Ok(items) = given.try_iter() else {
        let said = format!(
            "beds must be a list of beds, and {} was given",
            kind_of(given)
        );
        return Err(PyTypeError::new_err(said));
    };
    let (mut beds, mut faults) = (Beds::new(), Vec::new());
    for (index, item) in items.enumerate() {
        // A list may be long, or have no end.
        py.check_signals()?;
        let item = item?;
        if let Ok(bed) = item.cast::<Bed>() {
            beds.push(Arc::clone(&bed.get().is));
        } else if let Ok(dict) = item.cast::<PyDict>() {
            match document::read(dict)? {
                Ok((_, bed)) => beds.push(Arc::new(bed)),
                Err(found) => faults.extend(found.into_iter().map(|fault| Refusal {
                    bed: Some(index),
                    fault,
                })),
            }
        } else {
            let kind = kind_of(&item);
            let said = format!("beds[{index}] must be a Bed or a dict, and is {kind}");
            return Err(PyTypeError::new_err(said));
        }
    }
    if !faults.is_empty() {
        return Err(refused(py, &faults));
    }
    if beds.is_empty() {
        // As often from an iterator that was used up as on purpose.
        return Err(PyValueError::new_err("there are no beds in the list"));
    }
    Ok(beds)
}

/// Runs every bed of a list, in all threads, and takes what is wanted of each: in their order. The
/// first in the list that has no answer is the error.
fn of_each<T: Send>(
    beds: &[Arc<CheckedBed>],
    progress: &Progress<'_>,
    run: impl Fn(usize, &CheckedBed, &Progress<'_>) -> Result<T, Error> + Sync,
) -> Result<Vec<T>, Error> {
    let of = u32::try_from(beds.len()).unwrap_or(u32::MAX);
    let done = AtomicU32::new(0);
    let each = beds.par_iter().enumerate().map(|(index, bed)| {
        // Within a bed only whether to stop counts.
        let within = |_, _| progress(done.load(Ordering::Relaxed), of);
        if within(0, 0).is_break() {
            return Err(Error::Stopped);
        }
        let outcome = run(index, bed, &within);
        done.fetch_add(1, Ordering::Relaxed);
        let _ = within(0, 0);
        outcome.map_err(|error| match error {
            Error::Stopped | Error::TooManyMonths { .. } | Error::TooManyDraws { .. } => error,
            error => Error::OfBed {
                index,
                name: bed.name().to_owned(),
                error: Box::new(error),
            },
        })
    });
    let outcomes: Vec<Result<T, Error>> = each.collect();
    outcomes.into_iter().collect()
}

/// Nominal runs of many beds: arrays of beds by months from the day of filling, by column.
///
/// Tape readings do not count in nominal runs; in those of `bands_many` they do.
///
/// `beds` are beds or dicts. Runs go in all cores, or in so many threads; `progress(done, of)`
/// counts beds.
#[pyfunction]
#[pyo3(
    signature = (
        beds, months=Months(12), *, columns=vec!["height_m".to_owned()], progress=None, threads=None
    ),
    text_signature = "(beds, months=12, *, columns=['height_m'], progress=None, threads=None)"
)]
#[expect(
    clippy::needless_pass_by_value,
    reason = "arguments from Python are handed over"
)]
pub(crate) fn forecast_many<'py>(
    py: Python<'py>,
    beds: &Bound<'py, PyAny>,
    months: Months,
    columns: Vec<String>,
    progress: Option<Bound<'py, PyAny>>,
    threads: Option<Threads>,
) -> PyResult<Bound<'py, PyDict>> {
    let columns = columns.iter().map(|name| column::named(name));
    let columns = columns.collect::<PyResult<Vec<Column>>>()?;
    if columns.is_empty() {
        return Err(PyValueError::new_err("name a column at least"));
    }
    let beds = beds_of(beds)?;
    let watch = Watch { progress, threads };
    let figures = watch.run(py, |progress| {
        of_each(&beds, progress, |_, bed, progress| {
            let run = bed.forecast().months(months.0).ensemble_size(0);
            let forecast = run.progress(progress).run()?;
            let of = |column: &Column| forecast.months.iter().map(column.of).collect();
            Ok(columns.iter().map(of).collect::<Vec<Vec<f64>>>())
        })
    })?;
    let shape = [beds.len(), months.0 as usize + 1];
    let arrays = PyDict::new(py);
    for (at, column) in columns.iter().enumerate() {
        let all: Vec<f64> = figures
            .iter()
            .flat_map(|of_bed| &of_bed[at])
            .copied()
            .collect();
        let array: Bound<'_, PyArray2<f64>> = PyArray1::from_vec(py, all).reshape(shape)?;
        arrays.set_item(column.name, array)?;
    }
    Ok(arrays)
}

/// One seed for all beds, or one for each.
pub(crate) enum Seeds {
    /// For each.
    Each(Vec<Seed>),
    /// For all.
    All(Seed),
}

impl<'py> FromPyObject<'_, 'py> for Seeds {
    type Error = PyErr;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        match given.try_iter() {
            Ok(seeds) => {
                let seeds = seeds.map(|seed| seed?.extract());
                seeds.collect::<PyResult<_>>().map(Self::Each)
            }
            Err(_) => given.extract().map(Self::All),
        }
    }
}

impl Seeds {
    fn of(&self, index: usize) -> u64 {
        match self {
            Self::Each(seeds) => seeds.get(index).map_or(1, |seed| seed.0),
            Self::All(seed) => seed.0,
        }
    }
}

/// One column of many beds with its 80 % interval: an array of beds by months by lower end, mean
/// and upper end.
///
/// `seed` is one for all beds or a list with one for each: a bed's figures are the same in
/// whatever list it stands.
#[pyfunction]
#[pyo3(
    signature = (
        beds, months=Months(12), draws=Draws(64), seed=Seeds::All(Seed(1)), *, column="height_m",
        progress=None, threads=None
    ),
    text_signature = "(beds, months=12, draws=64, seed=1, *, column='height_m', progress=None, \
        threads=None)"
)]
#[expect(clippy::too_many_arguments, reason = "keywords, in Python")]
#[expect(
    clippy::needless_pass_by_value,
    reason = "arguments from Python are handed over"
)]
pub(crate) fn bands_many<'py>(
    py: Python<'py>,
    beds: &Bound<'py, PyAny>,
    months: Months,
    draws: Draws,
    seed: Seeds,
    column: &str,
    progress: Option<Bound<'py, PyAny>>,
    threads: Option<Threads>,
) -> PyResult<Bound<'py, PyArray3<f64>>> {
    let column = column::named(column)?;
    let beds = beds_of(beds)?;
    if let Seeds::Each(seeds) = &seed
        && seeds.len() != beds.len()
    {
        let (seeds, beds) = (seeds.len(), beds.len());
        let said = format!("there are {beds} beds, and {seeds} seeds for them");
        return Err(PyValueError::new_err(said));
    }
    if draws.0 == 0 {
        return Err(PyValueError::new_err("an interval takes draws: 1 at least"));
    }
    let watch = Watch { progress, threads };
    let figures = watch.run(py, |progress| {
        of_each(&beds, progress, |index, bed, progress| {
            let run = bed.forecast().months(months.0).ensemble_size(draws.0);
            let forecast = run.seed(seed.of(index)).progress(progress).run()?;
            Ok(bands(&forecast, column))
        })
    })?;
    let shape = [beds.len(), months.0 as usize + 1, 3];
    PyArray1::from_vec(py, figures.concat()).reshape(shape)
}

/// Lower end, mean and upper end of each month.
fn bands(forecast: &Forecast, column: Column) -> Vec<f64> {
    let bands = forecast.intervals.iter().map(column.band);
    let ends = bands.map(|band| match band {
        Some(band) => [band.lower, band.mean, band.upper],
        None => [f64::NAN; 3],
    });
    ends.flatten().collect()
}
