//! Errors as exceptions that carry every fault.

use moulder::{Error, Fault};
use moulder_chart::ChartError;
use pyo3::exceptions::PyValueError;
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

use crate::answer::plain;

/// Faults written out in a message; the rest is counted.
const WRITTEN: usize = 10;

/// A fault, and of which bed of a list.
pub(crate) struct Refusal {
    pub(crate) bed: Option<usize>,
    pub(crate) fault: Fault,
}

/// The exception of an error.
pub(crate) fn raised(py: Python<'_>, error: &Error) -> PyErr {
    let bed = match error {
        Error::OfBed { index, .. } => Some(*index),
        _ => None,
    };
    let faults = error.faults().iter().cloned();
    let faults: Vec<Refusal> = faults.map(|fault| Refusal { bed, fault }).collect();
    match error {
        Error::Faults(_) => refused(py, &faults),
        Error::OfBed { .. } | Error::NoRoom(_) | Error::NoReading => {
            bed_error(py, &error.to_string(), error.code().as_str(), &faults)
        }
        _ => PyValueError::new_err(error.to_string()),
    }
}

/// The exception of faults.
pub(crate) fn refused(py: Python<'_>, faults: &[Refusal]) -> PyErr {
    let code = faults.first().map_or("", |first| first.fault.code.as_str());
    let lines = faults
        .iter()
        .take(WRITTEN)
        .map(|refusal| match refusal.bed {
            Some(index) => format!("beds[{index}]: {}", refusal.fault),
            None => refusal.fault.to_string(),
        });
    let more = faults.len().saturating_sub(WRITTEN);
    let more = (more > 0).then(|| format!("and {more} more"));
    let message = lines.chain(more).collect::<Vec<String>>().join("\n");
    bed_error(py, &message, code, faults)
}

/// `moulder.BedError`; what comes in the way of raising it is raised instead.
fn bed_error(py: Python<'_>, message: &str, code: &str, faults: &[Refusal]) -> PyErr {
    let made = || -> PyResult<PyErr> {
        let told = faults.iter().map(|refusal| told(py, refusal));
        let told = PyList::new(py, told.collect::<PyResult<Vec<_>>>()?)?;
        let kind = py.import(intern!(py, "moulder.bed_error"))?;
        let error = kind.call_method1(intern!(py, "BedError"), (message, code, told))?;
        Ok(PyErr::from_value(error))
    };
    made().unwrap_or_else(|error| error)
}

/// A fault as a dict.
fn told<'py>(py: Python<'py>, refusal: &Refusal) -> PyResult<Bound<'py, PyAny>> {
    let fault = plain(py, &refusal.fault)?;
    let dict = fault.cast::<PyDict>()?;
    dict.set_item(intern!(py, "message"), refusal.fault.to_string())?;
    if let Some(index) = refusal.bed {
        dict.set_item(intern!(py, "bed"), index)?;
    }
    Ok(fault)
}

/// The exception of a chart that cannot be drawn.
pub(crate) fn undrawn(error: &ChartError) -> PyErr {
    PyValueError::new_err(error.to_string())
}
