//! A bed, and what is asked of one.

use std::sync::Arc;

use moulder::{Library, Package, TopUpRequest, TopUpTrigger, purchases::top_ups_watched};
use moulder_chart::ChartOptions;
use numpy::{PyArray1, PyArray2, PyArrayMethods as _};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyDict};

use crate::answer::plain;
use crate::argument::{Draws, LeadDays, Months, OfYear, Rows, Seed, Threads, Width, kind_of};
use crate::chart::Chart;
use crate::column;
use crate::day::{self, Day};
use crate::document;
use crate::forecast::Forecast;
use crate::origin::{EXAMPLE, Given, JSON, Origin, Pickled, TOML};
use crate::refusal::{Refusal, raised, refused, undrawn};
use crate::watch::Watch;

/// A checked bed.
///
/// Made by `from_toml`, `from_json`, `from_dict` or `example`; it never changes, and pickles.
#[pyclass(frozen, eq, module = "moulder")]
pub(crate) struct Bed {
    pub(crate) is: Arc<moulder::Bed>,
    origin: Origin,
}

impl PartialEq for Bed {
    fn eq(&self, other: &Self) -> bool {
        self.is == other.is
    }
}

impl Bed {
    pub(crate) fn new(is: moulder::Bed, origin: Origin) -> Self {
        Self {
            is: Arc::new(is),
            origin,
        }
    }

    /// The bed with another reading.
    pub(crate) fn measured(&self, py: Python<'_>, given: Given) -> PyResult<Self> {
        let bed = Origin::read_again(&self.is, &given)?;
        let bed = bed.map_err(|error| raised(py, &error))?;
        let mut origin = self.origin.clone();
        origin.readings.push(given);
        Ok(Self::new(bed, origin))
    }
}

#[pymethods]
impl Bed {
    /// Reads a bed file in TOML; raises `BedError` with every fault.
    #[staticmethod]
    fn from_toml(py: Python<'_>, text: String) -> PyResult<Self> {
        let bed = moulder::Bed::from_toml(&text, &Library::built_in());
        let bed = bed.map_err(|error| raised(py, &error))?;
        Ok(Self::new(bed, Origin::new(TOML, text)))
    }

    /// Reads a bed file in JSON; raises `BedError` with every fault.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: String) -> PyResult<Self> {
        let bed = moulder::Bed::from_json(&text, &Library::built_in());
        let bed = bed.map_err(|error| raised(py, &error))?;
        Ok(Self::new(bed, Origin::new(JSON, text)))
    }

    /// Reads a bed from a dict with the fields of a bed file, hyphens in their names or
    /// underscores; raises `BedError` with every fault.
    #[staticmethod]
    fn from_dict(py: Python<'_>, bed: &Bound<'_, PyAny>) -> PyResult<Self> {
        let Ok(dict) = bed.cast::<PyDict>() else {
            let said = format!("a bed is a dict here, and {} was given", kind_of(bed));
            return Err(PyTypeError::new_err(said));
        };
        match document::read(dict)? {
            Ok((text, bed)) => Ok(Self::new(bed, Origin::new(JSON, text))),
            Err(faults) => {
                let faults = faults.into_iter();
                let faults = faults.map(|fault| Refusal { bed: None, fault });
                Err(refused(py, &faults.collect::<Vec<Refusal>>()))
            }
        }
    }

    /// A small round bed, to try things on.
    #[staticmethod]
    fn example() -> Self {
        let origin = Origin::new(EXAMPLE, String::new());
        Self::new(moulder::Bed::example(), origin)
    }

    /// What its owner calls it.
    #[getter]
    fn name(&self) -> &str {
        self.is.name()
    }

    /// Day of filling.
    #[getter]
    fn filled<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        day::date(py, self.is.filled())
    }

    /// Name of the climate.
    #[getter]
    fn climate(&self) -> &str {
        &self.is.climate().name
    }

    /// Height of the rim above the ground; m. None for a mound.
    #[getter]
    fn rim_m(&self) -> Option<f64> {
        self.is.rim_m()
    }

    /// Number of identical beds.
    #[getter]
    fn count(&self) -> u32 {
        self.is.count()
    }

    /// Names of the layers, from the ground up.
    #[getter]
    fn layers(&self) -> Vec<&str> {
        self.is
            .layers()
            .iter()
            .map(|layer| layer.name.as_str())
            .collect()
    }

    /// Notices about what was read: dicts with a code and what it is about.
    #[getter]
    fn notices<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        plain(py, &self.is.notices())
    }

    /// The bed with a tape reading: its height above the ground beside it, or its depth below the
    /// rim. Forecasts go on from its readings.
    #[pyo3(signature = (on, *, height_m=None, below_rim_m=None, give_or_take_m=None, note=None))]
    fn with_reading(
        &self,
        py: Python<'_>,
        on: Day,
        height_m: Option<f64>,
        below_rim_m: Option<f64>,
        give_or_take_m: Option<f64>,
        note: Option<String>,
    ) -> PyResult<Self> {
        let on = on.0.to_string();
        self.measured(py, (on, height_m, below_rim_m, give_or_take_m, note))
    }

    /// The bed without its readings: as it was filled, and not as it was found since.
    pub(crate) fn as_filled(&self) -> Self {
        let mut origin = self.origin.clone();
        origin.as_filled = true;
        origin.readings.clear();
        Self::new(self.is.as_filled(), origin)
    }

    /// The forecast over so many months from the day of filling: means and 80 % intervals from so
    /// many draws, which go on from tape readings; 0 for the nominal run alone, which does not.
    ///
    /// `progress(done, of)` is called in the thread that asked; what it raises stops the run, as
    /// Ctrl-C does. `threads` gives the run a pool of its own.
    #[pyo3(
        signature = (
            months=Months(12), draws=Draws(64), seed=Seed(1), *, deeper_than_m=None, progress=None,
            threads=None
        ),
        text_signature = "($self, months=12, draws=64, seed=1, *, deeper_than_m=None, \
            progress=None, threads=None)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keywords, in Python")]
    fn forecast(
        &self,
        py: Python<'_>,
        months: Months,
        draws: Draws,
        seed: Seed,
        deeper_than_m: Option<f64>,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Forecast> {
        if deeper_than_m.is_some_and(|depth_m| !depth_m.is_finite()) {
            let said = "deeper_than_m must be a depth in metres";
            return Err(PyValueError::new_err(said));
        }
        let bed = Arc::clone(&self.is);
        let watch = Watch { progress, threads };
        let is = watch.run(py, move |progress| {
            let run = asked(&bed, months, draws, seed).progress(progress);
            match deeper_than_m {
                Some(depth_m) => run.deeper_than_m(depth_m).run(),
                None => run.run(),
            }
        })?;
        Ok(Forecast { is })
    }

    /// One column of each realisation: an array of draws by months, day zero first. The surface of
    /// each is that with one model discrepancy.
    #[pyo3(
        signature = (
            months=Months(12), draws=Draws(64), seed=Seed(1), *, column="height_m", progress=None,
            threads=None
        ),
        text_signature = "($self, months=12, draws=64, seed=1, *, column='height_m', \
            progress=None, threads=None)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keywords, in Python")]
    fn realisations<'py>(
        &self,
        py: Python<'py>,
        months: Months,
        draws: Draws,
        seed: Seed,
        column: &str,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Bound<'py, PyArray2<f64>>> {
        let column = column::named(column)?;
        let bed = Arc::clone(&self.is);
        let watch = Watch { progress, threads };
        let figures = watch.run(py, move |progress| {
            let mut figures = Vec::new();
            let run = asked(&bed, months, draws, seed).progress(progress);
            run.each_realisation(&mut |rows| figures.extend(rows.iter().map(column.of)))?;
            Ok(figures)
        })?;
        let shape = [draws.0 as usize, months.0 as usize + 1];
        PyArray1::from_vec(py, figures).reshape(shape)
    }

    /// When to top it up, with how much, and what to buy: up to the rim in the month before spring
    /// unless `in_months`, `below_rim_m` or `soil_depth_m` says when.
    #[pyo3(
        signature = (
            material, *, pack="bag", pack_litres=40.0, price=None, delivery=0.0,
            lead_days=LeadDays(0), in_months=None, below_rim_m=None, soil_depth_m=None,
            at_most_m=None, yearly_budget=None, months=Months(12), draws=Draws(64), seed=Seed(1),
            progress=None, threads=None
        ),
        text_signature = "($self, material, *, pack='bag', pack_litres=40.0, price=None, \
            delivery=0.0, lead_days=0, in_months=None, below_rim_m=None, soil_depth_m=None, \
            at_most_m=None, yearly_budget=None, months=12, draws=64, seed=1, progress=None, \
            threads=None)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keywords, in Python")]
    fn top_ups<'py>(
        &self,
        py: Python<'py>,
        material: &str,
        pack: &str,
        pack_litres: f64,
        price: Option<f64>,
        delivery: f64,
        lead_days: LeadDays,
        in_months: Option<Vec<OfYear>>,
        below_rim_m: Option<f64>,
        soil_depth_m: Option<f64>,
        at_most_m: Option<f64>,
        yearly_budget: Option<f64>,
        months: Months,
        draws: Draws,
        seed: Seed,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let mut package = Package::new(pack, pack_litres * 1e-3);
        package.price = price;
        let package = package.delivery(delivery).lead_days(lead_days.0);
        let mut request = TopUpRequest::new(material)
            .in_packs(&package)
            .months(months.0)
            .ensemble_size(draws.0)
            .seed(seed.0);
        let in_months = in_months.map(|months| months.iter().map(|month| month.0).collect());
        let triggers = [
            in_months.map(TopUpTrigger::Months),
            below_rim_m.map(TopUpTrigger::BelowRimM),
            soil_depth_m.map(TopUpTrigger::SoilDepthM),
        ];
        let mut triggers = triggers.into_iter().flatten();
        if let Some(trigger) = triggers.next() {
            request = request.trigger(trigger);
        }
        if triggers.next().is_some() {
            let said = "give one of in_months, below_rim_m and soil_depth_m";
            return Err(PyValueError::new_err(said));
        }
        if let Some(most_m) = at_most_m {
            request = request.at_most_m(most_m);
        }
        if let Some(money) = yearly_budget {
            request = request.yearly_budget(money);
        }
        let beds = [self.is.as_ref().clone()];
        let watch = Watch { progress, threads };
        let plans = watch.run(py, move |progress| {
            top_ups_watched(&beds, &request, progress)
        })?;
        plain(py, &plans[0])
    }

    /// What its tape readings changed: the forecast before and after, and what they taught. A year
    /// beyond the last reading over 128 draws when nothing is said.
    #[pyo3(
        signature = (months=None, draws=None, seed=Seed(1), *, progress=None, threads=None),
        text_signature = "($self, months=None, draws=None, seed=1, *, progress=None, threads=None)"
    )]
    fn fit<'py>(
        &self,
        py: Python<'py>,
        months: Option<Months>,
        draws: Option<Draws>,
        seed: Seed,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let bed = Arc::clone(&self.is);
        let watch = Watch { progress, threads };
        let fit = watch.run(py, move |progress| {
            let mut run = bed.forecast().seed(seed.0).progress(progress);
            if let Some(months) = months {
                run = run.months(months.0);
            }
            if let Some(draws) = draws {
                run = run.ensemble_size(draws.0);
            }
            run.fit()
        })?;
        plain(py, &fit)
    }

    /// Its carbon year by year, and beside it that of burning its wood.
    #[pyo3(
        signature = (
            months=Months(12), draws=Draws(64), seed=Seed(1), *, progress=None, threads=None
        ),
        text_signature = "($self, months=12, draws=64, seed=1, *, progress=None, threads=None)"
    )]
    fn ledger<'py>(
        &self,
        py: Python<'py>,
        months: Months,
        draws: Draws,
        seed: Seed,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let bed = Arc::clone(&self.is);
        let watch = Watch { progress, threads };
        let ledger = watch.run(py, move |progress| {
            asked(&bed, months, draws, seed).progress(progress).ledger()
        })?;
        plain(py, &ledger)
    }

    /// What makes the range of the last month wide, and what measuring it would gain.
    #[pyo3(
        signature = (
            months=Months(12), rows=Rows(64), seed=Seed(1), *, progress=None, threads=None
        ),
        text_signature = "($self, months=12, rows=64, seed=1, *, progress=None, threads=None)"
    )]
    fn sensitivity<'py>(
        &self,
        py: Python<'py>,
        months: Months,
        rows: Rows,
        seed: Seed,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let bed = Arc::clone(&self.is);
        let watch = Watch { progress, threads };
        let found = watch.run(py, move |progress| {
            let run = bed.forecast().months(months.0).seed(seed.0);
            run.progress(progress).sensitivity(rows.0)
        })?;
        plain(py, &found)
    }

    /// A drawing of a forecast: "section", "height", "layers", "causes", "carbon", "nitrogen",
    /// "warmth", "water" or "weight". Without a forecast one is made over so many months.
    #[pyo3(
        signature = (
            kind="section", forecast=None, *, width=Width(800), months=Months(12), draws=Draws(64),
            seed=Seed(1), progress=None, threads=None
        ),
        text_signature = "($self, kind='section', forecast=None, *, width=800, months=12, \
            draws=64, seed=1, progress=None, threads=None)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keywords, in Python")]
    fn chart(
        &self,
        py: Python<'_>,
        kind: &str,
        forecast: Option<&Bound<'_, Forecast>>,
        width: Width,
        months: Months,
        draws: Draws,
        seed: Seed,
        progress: Option<Bound<'_, PyAny>>,
        threads: Option<Threads>,
    ) -> PyResult<Chart> {
        let kind: moulder_chart::Chart = kind.parse().map_err(|error| undrawn(&error))?;
        let made;
        let forecast = if let Some(given) = forecast {
            &given.get().is
        } else {
            made = self.forecast(py, months, draws, seed, None, progress, threads)?;
            &made.is
        };
        let options = ChartOptions::default().width_px(width.0);
        let svg = py.detach(|| moulder_chart::svg(kind, &self.is, forecast, &options));
        let svg = svg.map_err(|error| undrawn(&error))?;
        Ok(Chart::new(kind.as_str(), svg.file()))
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Pickled)> {
        let restored = py.import("moulder._moulder")?.getattr("_restored_bed")?;
        let Origin {
            form,
            text,
            as_filled,
            readings,
        } = self.origin.clone();
        Ok((restored, (form, text, as_filled, readings)))
    }

    fn __repr__(&self) -> String {
        let (name, filled) = (self.is.name(), self.is.filled());
        format!("<moulder.Bed {name:?}, filled {filled}>")
    }
}

/// A run of a bed.
fn asked(bed: &moulder::Bed, months: Months, draws: Draws, seed: Seed) -> moulder::Run<'_> {
    let run = bed.forecast().months(months.0);
    run.ensemble_size(draws.0).seed(seed.0)
}
