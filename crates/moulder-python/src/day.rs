//! Days of the calendar, as Python has them.

use moulder::Date;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyString};

use crate::argument::kind_of;

/// A day given as a text such as "2026-09-14", or as what has `isoformat`: a date, a timestamp.
#[derive(Clone, Copy)]
pub(crate) struct Day(pub(crate) Date);

impl<'py> FromPyObject<'_, 'py> for Day {
    type Error = PyErr;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        let py = given.py();
        let text = if given.is_instance_of::<PyString>() {
            given.to_owned()
        } else {
            let written = given.call_method0(intern!(py, "isoformat"));
            written.map_err(|_| {
                let kind = kind_of(&given);
                PyTypeError::new_err(format!("a day is a text or a date, and {kind} was given"))
            })?
        };
        let text: String = text.extract()?;
        let day = text.parse();
        day.map(Self).map_err(|_| {
            let text: String = text.chars().take(40).collect();
            PyValueError::new_err(format!(
                "{text:?} is no day of the calendar; write it as 2026-09-14"
            ))
        })
    }
}

/// A day as Python's `datetime.date`.
pub(crate) fn date(py: Python<'_>, day: Date) -> PyResult<Bound<'_, PyDate>> {
    let (month, day_of_month) = (day.month().unsigned_abs(), day.day().unsigned_abs());
    PyDate::new(py, i32::from(day.year()), month, day_of_month)
}
