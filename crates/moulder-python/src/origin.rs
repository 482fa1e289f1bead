//! What a bed was read from, so that it can be pickled and read again elsewhere.

use moulder::{Date, Error, Library, Reading};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::beds::Bed;
use crate::refusal::raised;

/// A tape reading as given: day, height above the ground, depth below the rim, how far it may be
/// off, note.
pub(crate) type Given = (
    String,
    Option<f64>,
    Option<f64>,
    Option<f64>,
    Option<String>,
);

/// The form of a bed's text, its text, whether the readings in it are left out, and those since.
#[derive(Clone)]
pub(crate) struct Origin {
    pub(crate) form: &'static str,
    pub(crate) text: String,
    pub(crate) as_filled: bool,
    pub(crate) readings: Vec<Given>,
}

/// What pickle keeps of a bed: an [`Origin`] field by field.
pub(crate) type Pickled = (&'static str, String, bool, Vec<Given>);

pub(crate) const TOML: &str = "toml";
pub(crate) const JSON: &str = "json";
pub(crate) const EXAMPLE: &str = "example";

impl Origin {
    pub(crate) const fn new(form: &'static str, text: String) -> Self {
        Self {
            form,
            text,
            as_filled: false,
            readings: Vec::new(),
        }
    }

    /// The bed with another reading.
    pub(crate) fn read_again(
        bed: &moulder::Bed,
        given: &Given,
    ) -> PyResult<Result<moulder::Bed, Error>> {
        let (day, height_m, below_rim_m, give_or_take_m, note) = given;
        let on: Date = (day.parse())
            .map_err(|_| PyValueError::new_err(format!("{day:?} is no day of the calendar")))?;
        let mut reading = match (height_m, below_rim_m) {
            (Some(height_m), None) => Reading::height_m(on, *height_m),
            (None, Some(below_m)) => Reading::below_rim_m(on, *below_m),
            _ => {
                let said = "a reading is either height_m or below_rim_m";
                return Err(PyValueError::new_err(said));
            }
        };
        if let Some(error_m) = give_or_take_m {
            reading = reading.give_or_take_m(*error_m);
        }
        if let Some(note) = note {
            reading = reading.note(note.as_str());
        }
        Ok(bed.with_reading(reading))
    }
}

/// A bed from what it was made of: for pickle.
#[pyfunction]
#[pyo3(name = "_restored_bed")]
pub(crate) fn restored_bed(
    py: Python<'_>,
    form: &str,
    text: String,
    as_filled: bool,
    readings: Vec<Given>,
) -> PyResult<Bed> {
    let library = Library::built_in();
    let (form, read) = match form {
        TOML => (TOML, moulder::Bed::from_toml(&text, &library)),
        JSON => (JSON, moulder::Bed::from_json(&text, &library)),
        EXAMPLE => (EXAMPLE, Ok(moulder::Bed::example())),
        _ => return Err(PyValueError::new_err("no bed was pickled in that form")),
    };
    let bed = read.map_err(|error| raised(py, &error))?;
    let mut bed = Bed::new(bed, Origin::new(form, text));
    if as_filled {
        bed = bed.as_filled();
    }
    for given in readings {
        bed = bed.measured(py, given)?;
    }
    Ok(bed)
}
