//! Answers as Python takes them: the JSON of the library, and dicts of the same.

use pyo3::exceptions::PyRuntimeError;
use pyo3::intern;
use pyo3::prelude::*;
use serde::Serialize;

/// An answer as JSON for people and programs, as the command prints it.
pub(crate) fn pretty<T: Serialize>(answer: &T) -> PyResult<String> {
    let text = serde_json::to_string_pretty(answer).map_err(|error| unwritten(&error))?;
    Ok(text + "\n")
}

/// The same without spaces.
pub(crate) fn short<T: Serialize>(answer: &T) -> PyResult<String> {
    serde_json::to_string(answer).map_err(|error| unwritten(&error))
}

/// An answer as dicts, lists, texts and numbers.
pub(crate) fn plain<'py, T: Serialize>(py: Python<'py>, answer: &T) -> PyResult<Bound<'py, PyAny>> {
    let json = py.import(intern!(py, "json"))?;
    json.call_method1(intern!(py, "loads"), (short(answer)?,))
}

/// Numbers, texts and lists under text keys always make JSON.
fn unwritten(error: &serde_json::Error) -> PyErr {
    PyRuntimeError::new_err(format!("the answer made no JSON: {error}"))
}
