//! Whole numbers as Python gives them: named in every refusal.

use pyo3::exceptions::{PyOverflowError, PyTypeError, PyValueError};
use pyo3::prelude::*;

/// Declares arguments that are whole numbers: type, number, the word for it.
macro_rules! whole_numbers {
    ($($(#[$doc:meta])+ $name:ident, $number:ty, $word:literal;)+) => {
        $(
            $(#[$doc])+
            #[derive(Clone, Copy)]
            pub(crate) struct $name(pub(crate) $number);

            impl<'py> FromPyObject<'_, 'py> for $name {
                type Error = PyErr;

                fn extract(given: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
                    let number = given.extract::<$number>();
                    number.map(Self).map_err(|error| refused(&given, $word, &error))
                }
            }
        )+
    };
}

whole_numbers! {
    /// Months from the day of filling.
    Months, u32, "months";
    /// Realisations.
    Draws, u32, "draws";
    /// Pairs of realisations.
    Rows, u32, "rows";
    /// The seed of realisations.
    Seed, u64, "seed";
    /// Threads to run in.
    Threads, u32, "threads";
    /// Width of a drawing; px.
    Width, u32, "width";
    /// Days from order to delivery.
    LeadDays, u32, "lead_days";
    /// A month of the year.
    OfYear, u8, "a month of the year";
}

fn refused(given: &Bound<'_, PyAny>, word: &str, error: &PyErr) -> PyErr {
    let py = given.py();
    if !error.is_instance_of::<PyOverflowError>(py) {
        let kind = kind_of(given);
        return PyTypeError::new_err(format!(
            "{word} must be a whole number, and {kind} was given"
        ));
    }
    if given.lt(0).unwrap_or(false) {
        PyValueError::new_err(format!("{word} must be 0 or more"))
    } else {
        PyValueError::new_err(format!("{word} is far too large"))
    }
}

/// The type of a value in words, with the article.
pub(crate) fn kind_of(given: &Bound<'_, PyAny>) -> String {
    let name = given.get_type().name();
    let name = name.map_or_else(|_| "value".to_owned(), |name| name.to_string());
    let article = match name.chars().next() {
        Some('a' | 'e' | 'i' | 'o' | 'A' | 'E' | 'I' | 'O') => "an",
        _ => "a",
    };
    format!("{article} {name}")
}
