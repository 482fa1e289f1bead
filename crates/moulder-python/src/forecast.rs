//! A forecast, and its months as arrays.

use moulder::months::MonthIntervals;
use moulder::{Date, Interval, date};
use moulder_words::forecast::{how_sure, in_a_sentence};
use numpy::PyArray1;
use numpy::datetime::{Datetime, units::Days};
use pyo3::exceptions::{PyImportError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyDict};

use crate::answer::{plain, pretty, short};
use crate::column::all;
use crate::day;

/// A bed month by month: `months` as arrays, `summary` in words, all of it by `to_dict`.
#[pyclass(frozen, eq, module = "moulder")]
#[derive(PartialEq)]
pub(crate) struct Forecast {
    pub(crate) is: moulder::Forecast,
}

#[pymethods]
impl Forecast {
    /// Reads a forecast from its JSON, as `to_json` and the command write it.
    #[staticmethod]
    fn from_json(text: &str) -> PyResult<Self> {
        let read = serde_json::from_str(text);
        read.map(|is| Self { is })
            .map_err(|error| PyValueError::new_err(format!("this is no forecast: {error}")))
    }

    /// Name of the bed.
    #[getter]
    fn name(&self) -> &str {
        &self.is.name
    }

    /// Day of filling.
    #[getter]
    fn filled<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        day::date(py, self.is.filled)
    }

    /// Name of the climate.
    #[getter]
    fn climate(&self) -> &str {
        &self.is.climate
    }

    /// Height of the rim above the ground; m. None for a mound.
    #[getter]
    fn rim_m(&self) -> Option<f64> {
        self.is.rim_m
    }

    /// Realisations behind the intervals; 0 for the nominal run alone.
    #[getter]
    fn draws(&self) -> u32 {
        self.is.ensemble_size
    }

    /// Seed of the realisations; None for the nominal run alone.
    #[getter]
    fn seed(&self) -> Option<u64> {
        self.is.seed
    }

    /// Names of the layers, from the ground up; later additions come last.
    #[getter]
    fn layers(&self) -> Vec<String> {
        self.is.layers.clone()
    }

    /// Notices, the dangers among them: dicts with a code and what it is about.
    #[getter]
    fn notices<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        plain(py, &self.is.notices)
    }

    /// How far it sinks, why, and how sure that is, in sentences and in the owner's units.
    #[getter]
    fn summary(&self) -> String {
        let said = in_a_sentence(&self.is).unwrap_or_default() + " " + &how_sure(&self.is);
        said.trim_start().to_owned()
    }

    /// Arrays by name, one entry a month, day zero first: `month`, `date` and every column, whose
    /// figure is the mean. Where there are intervals, `height_m_lower`, `height_m_median` and
    /// `height_m_upper` beside `height_m`, and so on: 80 % lie between lower and upper.
    #[getter]
    fn months<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let rows = &self.is.months;
        let months = PyDict::new(py);
        let numbers = rows.iter().map(|row| i64::from(row.month));
        months.set_item("month", PyArray1::from_iter(py, numbers))?;
        let dates = rows.iter().map(|row| days_since_1970(row.date));
        months.set_item("date", PyArray1::from_iter(py, dates))?;
        for column in all() {
            let figures = rows.iter().map(column.of);
            months.set_item(column.name, PyArray1::from_iter(py, figures))?;
            if self.is.intervals.is_empty() {
                continue;
            }
            for (end, of) in ENDS {
                let at = |bands: &MonthIntervals| (column.band)(bands).map_or(f64::NAN, of);
                let figures = self.is.intervals.iter().map(at);
                let name = format!("{}_{end}", column.name);
                months.set_item(name, PyArray1::from_iter(py, figures))?;
            }
        }
        let chances = self.is.intervals.iter();
        let chances = chances.filter_map(|bands| bands.chance_deeper);
        let chances: Vec<f64> = chances.collect();
        if !chances.is_empty() {
            months.set_item("chance_deeper", PyArray1::from_vec(py, chances))?;
        }
        Ok(months)
    }

    /// The months as a `DataFrame`, whose index is the date; takes pandas.
    fn to_pandas<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let pandas = py.import("pandas").map_err(|error| {
            let said = "to_pandas takes pandas: pip install pandas";
            let wanted = PyImportError::new_err(said);
            wanted.set_cause(py, Some(error));
            wanted
        })?;
        let frame = pandas.call_method1("DataFrame", (self.months(py)?,))?;
        frame.call_method1("set_index", ("date",))
    }

    /// The whole forecast as dicts and lists, in metres and kilograms.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        plain(py, &self.is)
    }

    /// The whole forecast as JSON: what `moulder forecast --json` prints, byte for byte.
    fn to_json(&self) -> PyResult<String> {
        pretty(&self.is)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        let read = py.get_type::<Self>().getattr("from_json")?;
        Ok((read, (short(&self.is)?,)))
    }

    fn __repr__(&self) -> String {
        let last = self.is.months.last().map_or(0, |row| row.month);
        let (name, draws) = (&self.is.name, self.is.ensemble_size);
        format!("<moulder.Forecast of {name:?}, {last} months, {draws} draws>")
    }
}

/// A figure of an interval.
type End = fn(Interval) -> f64;

/// What columns of intervals end in.
const ENDS: [(&str, End); 3] = [
    ("lower", |band| band.lower),
    ("median", |band| band.median),
    ("upper", |band| band.upper),
];

/// A day as numpy counts them.
fn days_since_1970(day: Date) -> Datetime<Days> {
    let days = date(1970, 1, 1)
        .until(day)
        .map_or(0, |span| span.get_days());
    Datetime::from(i64::from(days))
}
