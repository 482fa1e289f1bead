//! Drawings.

use std::fs;
use std::path::PathBuf;

use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

/// A drawing: notebooks show it, `save` writes it.
#[pyclass(frozen, module = "moulder")]
pub(crate) struct Chart {
    kind: &'static str,
    /// The drawing as an SVG file.
    #[pyo3(get)]
    svg: String,
}

impl Chart {
    pub(crate) const fn new(kind: &'static str, svg: String) -> Self {
        Self { kind, svg }
    }
}

#[pymethods]
impl Chart {
    /// What notebooks show.
    fn _repr_svg_(&self) -> &str {
        &self.svg
    }

    /// Writes the drawing to a file whose name ends in .svg.
    fn save(&self, path: PathBuf) -> PyResult<()> {
        if path.extension().is_none_or(|ending| ending != "svg") {
            let said = "a chart is written as SVG: end the file's name in .svg";
            return Err(PyValueError::new_err(said));
        }
        Ok(fs::write(path, &self.svg)?)
    }

    fn __repr__(&self) -> String {
        format!(
            "<moulder.Chart {}, {} bytes of SVG>",
            self.kind,
            self.svg.len()
        )
    }
}
