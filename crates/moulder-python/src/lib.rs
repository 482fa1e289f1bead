//! The extension module of the Python package `moulder`: beds and forecasts as Python objects,
//! months as numpy arrays.
//!
//! It is thin: the library reads and reckons, and this says how Python asks and is answered. What
//! takes long runs in threads of Rust without the interpreter's lock, while the thread that asked
//! hears signals and tells progress.

mod answer;
mod argument;
mod beds;
mod chart;
mod column;
mod compared;
mod day;
mod document;
mod forecast;
mod many;
mod origin;
mod pool;
mod refusal;
mod watch;

use pyo3::pymodule;

/// What the package `moulder` is made of.
#[pymodule]
mod _moulder {
    use pyo3::prelude::*;

    #[pymodule_export]
    use super::beds::Bed;
    #[pymodule_export]
    use super::chart::Chart;
    #[pymodule_export]
    use super::column::columns;
    #[pymodule_export]
    use super::compared::compare;
    #[pymodule_export]
    use super::forecast::Forecast;
    #[pymodule_export]
    use super::many::{bands_many, forecast_many};
    #[pymodule_export]
    use super::origin::restored_bed;

    #[pymodule_init]
    fn begin(module: &Bound<'_, PyModule>) -> PyResult<()> {
        // Read before anything can fork: a child then finds it whole.
        let _ = moulder::Library::built_in();
        module.add("__version__", env!("CARGO_PKG_VERSION"))
    }
}
